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
	i, ok := index[termKey(word)]
	if !ok {
		i, ok = index[strings.TrimSuffix(termKey(word), "s")]
	}
	if !ok {
		return Term{}, false
	}
	return glossary[i], true
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

// longestTerm is the most words that a term has.
const longestTerm = 4

// Used gives the trade words in a text as they stand there, in lower case but for initials,
// first use first and each meaning once, for a reply to point at. Words of
// everyday speech are left out.
func Used(text string) []string {
	words := strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	var out []string
	seen := map[string]bool{}
	for i := 0; i < len(words); {
		n := 1
		if !beginsTerm(words[i]) {
			i++
			continue
		}
		for size := min(longestTerm, len(words)-i); size > 0; size-- {
			found := asWritten(words[i : i+size])
			t, ok := Lookup(found)
			if !ok || t.common || tooShort(words[i:i+size]) {
				continue
			}
			if !seen[t.Word] {
				seen[t.Word] = true
				out = append(out, found)
			}
			n = size
			break
		}
		i += n
	}
	return out
}

// firstWords has the first word of every key in the index.
var firstWords = func() map[string]bool {
	m := map[string]bool{}
	for key := range index {
		first, _, _ := strings.Cut(key, " ")
		m[first] = true
	}
	return m
}()

// beginsTerm tells quickly that no term begins with a word, as is so for most.
func beginsTerm(word string) bool {
	word = strings.ToLower(word)
	return firstWords[word] || firstWords[strings.TrimSuffix(word, "s")]
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
