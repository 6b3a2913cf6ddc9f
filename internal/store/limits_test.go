package store

import (
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/shop"
)

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
		if err != nil || again != name || shop.NameKey(name) != shop.NameKey(s) {
			t.Fatalf("tidyName(%q) = %q, then %q, %v", s, name, again, err)
		}
	})
}
