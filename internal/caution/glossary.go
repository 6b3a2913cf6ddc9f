package caution

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Term is one word of the trade.
type Term struct {
	Word    string
	Aliases []string
	Text    string   // full sentences
	See     []string // other terms
	// Standard names the test or text where the word has a number of its own.
	Standard string
	// Step is the one whose figures at the shop's altitude belong with the word:
	// Degassing, Pressing or none.
	Step Step
	// common marks a word of everyday speech, which replies do not point at.
	common bool
}

// Terms gives the glossary in order of the alphabet.
func Terms() []Term {
	out := slices.Clone(glossary)
	slices.SortFunc(out, func(a, b Term) int { return strings.Compare(strings.ToLower(a.Word), strings.ToLower(b.Word)) })
	return out
}

// Words gives every word and alias, for completion and near names.
func Words() []string {
	var out []string
	for _, t := range Terms() {
		out = append(out, t.Word)
		out = append(out, t.Aliases...)
	}
	return out
}

// Lookup finds a term by its word or an alias, whatever the case, hyphens and
// a plural s. Near names are left to the caller.
func Lookup(word string) (Term, bool) {
	i, ok := at(termKey(word))
	if !ok {
		return Term{}, false
	}
	return glossary[i], true
}

// at is the place of a term by its key.
func at(key string) (int, bool) {
	i, ok := index[key]
	if !ok {
		i, ok = index[strings.TrimSuffix(key, "s")]
	}
	return i, ok
}

// index finds a term by key.
var index = func() map[string]int {
	m := map[string]int{}
	for i, t := range glossary {
		for _, w := range append([]string{t.Word}, t.Aliases...) {
			m[termKey(w)] = i
		}
	}
	return m
}()

func termKey(word string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(word), func(r rune) bool { return !inWord(r) }), " ")
}

// Used gives the trade words in a text as they stand there, in lower case but for initials,
// first use first and each meaning once, for a reply to point at. Words of
// everyday speech are left out.
func Used(text string) []string {
	var out []string
	var seen []int
	var words, lower, rests []string // from here on, as many as a term may have
	for {
		word, rest := nextWord(text)
		if word == "" {
			return out
		}
		text = rest
		most := longest(strings.ToLower(word))
		if most == 0 {
			continue
		}
		words, lower, rests = words[:0], lower[:0], rests[:0]
		for ; word != "" && len(words) < most; word, rest = nextWord(rest) {
			words, lower, rests = append(words, word), append(lower, strings.ToLower(word)), append(rests, rest)
		}
		for size := len(words); size > 0; size-- {
			term, ok := at(strings.Join(lower[:size], " "))
			if !ok || glossary[term].common || tooShort(words[:size]) {
				continue
			}
			if !slices.Contains(seen, term) {
				seen = append(seen, term)
				out = append(out, asWritten(words[:size]))
			}
			text = rests[size-1]
			break
		}
	}
}

// nextWord gives the first word of a text and what follows it, or nothing.
func nextWord(text string) (word, rest string) {
	from := strings.IndexFunc(text, inWord)
	if from < 0 {
		return "", ""
	}
	text = text[from:]
	end := strings.IndexFunc(text, func(r rune) bool { return !inWord(r) })
	if end < 0 {
		end = len(text)
	}
	return text[:end], text[end:]
}

// inWord tells the letters and digits, of which words are made, from the rest.
func inWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

// firstWords has the first word of every key in the index, with the words of
// the longest key that begins with it.
var firstWords = func() map[string]int {
	m := map[string]int{}
	for key := range index {
		words := strings.Fields(key)
		m[words[0]] = max(m[words[0]], len(words))
	}
	return m
}()

// longest is how many words a term that begins with a word in lower case may
// have: none for most.
func longest(word string) int {
	return max(firstWords[word], firstWords[strings.TrimSuffix(word, "s")])
}

// asWritten joins words in lower case, but for what is all capitals.
func asWritten(words []string) string {
	text := strings.Join(words, " ")
	if text == strings.ToUpper(text) {
		return text
	}
	return strings.ToLower(text)
}

// tooShort keeps single letters and pairs, such as a unit, from being taken
// for an alias.
func tooShort(words []string) bool { return len(words) == 1 && utf8.RuneCountInString(words[0]) < 3 }
