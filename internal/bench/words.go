package bench

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/chat"
)

// span is a piece of text. One with a Line is a trade word: pressing it asks
// what the word means.
type span struct{ Text, Line string }

// terms marks each trade word of a reply where it stands first.
type terms struct{ left []string }

func newTerms(words []string) *terms {
	return &terms{left: append([]string(nil), words...)}
}

// mark cuts a text into spans around the words not marked so far.
func (t *terms) mark(text string) []span {
	var out []span
	for {
		at, end, which := t.first(text)
		if which < 0 {
			break
		}
		if at > 0 {
			out = append(out, span{Text: text[:at]})
		}
		out = append(out, span{Text: text[at:end], Line: termLine(t.left[which])})
		text = text[end:]
		t.left = append(t.left[:which:which], t.left[which+1:]...)
	}
	if text != "" || out == nil {
		out = append(out, span{Text: text})
	}
	return out
}

// first finds the word that stands first, the longer of two at one place.
func (t *terms) first(text string) (at, end, which int) {
	which = -1
	for i, w := range t.left {
		a, e := findWord(text, w)
		if e > 0 && (which < 0 || a < at || a == at && e > end) {
			at, end, which = a, e, i
		}
	}
	return at, end, which
}

// findWord finds a whole word without regard to case, with a plural s or not;
// end is 0 if it is not there.
func findWord(text, word string) (at, end int) {
	if word == "" {
		return 0, 0
	}
	for from := 0; from < len(text); {
		if n, ok := matchFold(text[from:], word); ok && wordEdge(text, from) {
			stop := from + n
			if !wordEdge(text, stop) && text[stop] == 's' {
				stop++
			}
			if wordEdge(text, stop) && !typed(text, from, stop) {
				return from, stop
			}
		}
		_, n := utf8.DecodeRuneInString(text[from:])
		from += n
	}
	return 0, 0
}

// typed reports whether the word is part of a command as it is typed: one that
// follows a slash, an option's name or its value.
func typed(text string, at, end int) bool {
	if at > 0 && strings.IndexByte("/:\"", text[at-1]) >= 0 {
		return true
	}
	return end+1 < len(text) && text[end] == ':' && !unicode.IsSpace(rune(text[end+1]))
}

// matchFold reports whether text begins with word, and how far it does.
func matchFold(text, word string) (n int, ok bool) {
	for _, w := range word {
		r, size := utf8.DecodeRuneInString(text[n:])
		if size == 0 || unicode.ToLower(r) != unicode.ToLower(w) {
			return 0, false
		}
		n += size
	}
	return n, true
}

// wordEdge reports whether no word goes on across the place.
func wordEdge(text string, at int) bool {
	before, _ := utf8.DecodeLastRuneInString(text[:at])
	after, _ := utf8.DecodeRuneInString(text[at:])
	return !inWord(before) || !inWord(after)
}

func inWord(r rune) bool {
	return r != utf8.RuneError && (unicode.IsLetter(r) || unicode.IsDigit(r))
}

// rest are the words that stood in no text, to be listed at the end.
func (t *terms) rest() []span {
	out := make([]span, len(t.left))
	for i, w := range t.left {
		out[i] = span{Text: w, Line: termLine(w)}
	}
	return out
}

// termLine asks what a word means.
func termLine(word string) string {
	return chat.FormatLine("term", map[string]string{"word": word}, nil)
}
