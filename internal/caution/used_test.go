package caution

import (
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// slowUsed looks every run of words up, as Used would without its short cut.
func slowUsed(text string) []string {
	const longestTerm = 6 // words; more than any term has
	words := strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	var out, seen []string
	for i := 0; i < len(words); i++ {
		for size := min(longestTerm, len(words)-i); size > 0; size-- {
			found := asWritten(words[i : i+size])
			t, ok := Lookup(found)
			if !ok || t.common || tooShort(words[i:i+size]) {
				continue
			}
			if !slices.Contains(seen, t.Word) {
				seen, out = append(seen, t.Word), append(out, found)
			}
			i += size - 1
			break
		}
	}
	return out
}

func TestUsedAgainstSlow(t *testing.T) {
	words := append(Words(), "the", "a", "cup", "of", "it", "is", "S", "pulls", "250", "g,", "(dry)", "parts")
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(words), 0, 30).Draw(t, "words"), " ")
		if rapid.Bool().Draw(t, "loud") {
			text = strings.ToUpper(text)
		}
		if got, want := Used(text), slowUsed(text); !slices.Equal(got, want) {
			t.Errorf("Used(%q) = %q, want %q", text, got, want)
		}
	})
}

// An explanation is a reply's title, which chat shows up to 256 characters.
func TestTermsFitATitle(t *testing.T) {
	for _, term := range Terms() {
		if n := utf8.RuneCountInString(term.Word + ": " + term.Text); n > 256 {
			t.Errorf("%s is explained in %d characters, want 256 at most", term.Word, n)
		}
	}
}

func BenchmarkUsed(b *testing.B) {
	text := strings.Repeat("Measure 10.4 g of A into cup one. Zero the scale, then 9.6 g of B. Stop when the pot life is over. ", 10)
	b.ReportAllocs()
	for b.Loop() {
		Used(text)
	}
}
