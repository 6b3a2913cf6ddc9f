package store

import (
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestFoldName(t *testing.T) {
	for _, c := range []struct {
		name, a, b string
		same       bool
	}{
		{"case", "Slow White", "slow WHITE", true},
		{"space", " slow\u00a0 white\n", "slow white", true},
		{"sharp s", "Weiß", "WEISS", true},
		{"composed and not", "caf\u00e9", "cafe\u0301", true},
		{"Greek final sigma", "ΚΟΣΜΟΣ", "κοσμος", true},
		{"Cherokee", "\u13a0", "\uab70", true},
		{"accents differ", "cafe", "café", false},
		{"one word or two", "slowwhite", "slow white", false},
		{"digits", "white 1", "white 2", false},
	} {
		if got := foldName(c.a) == foldName(c.b); got != c.same {
			t.Errorf("%s: %q and %q are the same: %v, want %v", c.name, c.a, c.b, got, c.same)
		}
	}
}

// TestNameProperties: what is kept of a name is fit to keep, and keeping it
// again changes nothing.
func TestNameProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := string(rapid.SliceOfN(rapid.Byte(), 0, 300).Draw(t, "bytes"))
		if rapid.Bool().Draw(t, "text") {
			s = rapid.String().Draw(t, "s")
		}
		p := person(s)
		if !utf8.ValidString(p) || utf8.RuneCountInString(p) > maxPerson || strings.ContainsRune(p, 0) || person(p) != p {
			t.Fatalf("person(%q) = %q", s, p)
		}
		name, err := tidyName("name", "material", s)
		if err != nil {
			return
		}
		again, err := tidyName("name", "material", name)
		if err != nil || again != name || foldName(name) != foldName(s) || foldName(foldName(name)) != foldName(name) {
			t.Fatalf("tidyName(%q) = %q, then %q, %v", s, name, again, err)
		}
	})
}
