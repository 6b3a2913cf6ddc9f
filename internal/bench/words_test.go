package bench

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestMark(t *testing.T) {
	tests := []struct {
		name, text string
		words      []string
		want       string // marked words in brackets
	}{
		{"first of two", "One pull, then a pull.", []string{"pull"}, "One [pull], then a pull."},
		{"without regard to case", "Section is 6 mm", []string{"section"}, "[Section] is 6 mm"},
		{"a plural", "17 pulls so far", []string{"pull"}, "17 [pulls] so far"},
		{"not inside a word", "the pulley pullover", []string{"pull"}, "the pulley pullover"},
		{"the longer word", "a post cure is long", []string{"cure", "post cure"}, "a [post cure] is long"},
		{"each once, as they stand", "cure, then a post cure", []string{"post cure", "cure"}, "[cure], then a [post cure]"},
		{"at the ends", "pull", []string{"pull"}, "[pull]"},
		{"letters beyond ASCII", "Ärger, ÄRGER", []string{"ärger"}, "[Ärger], ÄRGER"},
		{"a letter that grows in lower case", "İ pull", []string{"pull"}, "İ [pull]"},
		{"not where it is typed", `/cure demold:"12 min" about:demold word:"demold"; demold: when it may come out`, []string{"demold"}, `/cure demold:"12 min" about:demold word:"demold"; [demold]: when it may come out`},
		{"not a command", "/cure it, then a cure", []string{"cure"}, "/cure it, then a [cure]"},
		{"no text", "", []string{"pull"}, ""},
		{"an empty word", "pull", []string{""}, "pull"},
		{"broken text", "\xff pull \xff", []string{"pull"}, "\xff [pull] \xff"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := bracketed(newTerms(tt.words).mark(tt.text)); got != tt.want {
				t.Errorf("mark(%q) = %q, want %q", tt.text, got, tt.want)
			}
		})
	}
}

func bracketed(spans []span) string {
	var b strings.Builder
	for _, s := range spans {
		if s.Line != "" {
			b.WriteString("[" + s.Text + "]")
		} else {
			b.WriteString(s.Text)
		}
	}
	return b.String()
}

// Marking takes nothing away, and each word is marked or left over.
func TestMarkKeepsTheText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfNDistinct(rapid.StringMatching(`[a-cÄß]{1,3}( [a-c]{1,2})?`), 0, 5, rapid.ID[string]).Draw(t, "words")
		text := rapid.StringMatching(`([a-cÄßsS.]{0,3} ?){0,12}`).Draw(t, "text")
		terms := newTerms(words)
		var whole strings.Builder
		marked := 0
		for _, s := range terms.mark(text) {
			whole.WriteString(s.Text)
			if s.Line != "" {
				marked++
			}
		}
		if whole.String() != text {
			t.Errorf("marked text is %q, want %q", whole.String(), text)
		}
		if marked+len(terms.rest()) != len(words) {
			t.Errorf("%d marked and %d left of %d words", marked, len(terms.rest()), len(words))
		}
	})
}
