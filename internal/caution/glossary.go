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
	return strings.Join(strings.FieldsFunc(strings.ToLower(word), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	}), " ")
}

// Used gives the trade words in a text as they stand there, in lower case but for initials,
// first use first and each meaning once, for a reply to point at. Words of
// everyday speech are left out.
func Used(text string) []string {
	words := strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	lower := make([]string, len(words))
	for i, w := range words {
		lower[i] = strings.ToLower(w)
	}
	var out []string
	var seen []int
	for i := 0; i < len(words); {
		n := 1
		for size := min(longest(lower[i]), len(words)-i); size > 0; size-- {
			term, ok := at(strings.Join(lower[i:i+size], " "))
			if !ok || glossary[term].common || tooShort(words[i:i+size]) {
				continue
			}
			if !slices.Contains(seen, term) {
				seen = append(seen, term)
				out = append(out, asWritten(words[i:i+size]))
			}
			n = size
			break
		}
		i += n
	}
	return out
}

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
