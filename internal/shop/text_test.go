package shop_test

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/shop"
)

func TestSeen(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"plain", "slow white 2", "slow white 2"},
		{"accents and joined pictographs stay", "café 👩\u200d🔧 n\u0303", "café 👩\u200d🔧 n\u0303"},
		{"an escape sequence", "a\x1b[31mb", "a[31mb"},
		{"a C1 control", "a\u009b31mb", "a31mb"},
		{"direction is turned", "a\u202etext.exe\u202c", "atext.exe"},
		{"direction is isolated", "\u2067a\u2069", "a"},
		{"no width", "a\u200bb\ufeffc\u2060d\u00ade", "abcde"},
		{"fillers", "a\u3164b\u115fc\u2800d\uffa0e", "abcde"},
		{"tags", "a\U000e0041b", "ab"},
		{"private use", "a\ue000b", "ab"},
		{"line ends", "a\r\nb\u2028c\u2029d\ve", "a  b c d e"},
		{"no text", "a\xff\xfeb", "ab"},
		{"four marks", "a\u0300\u0301\u0302\u0303b", "a\u0300\u0301\u0302\u0303b"},
		{"a heap of marks", "a" + strings.Repeat("\u0300", 40) + "b", "a\u0300\u0300\u0300\u0300b"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := shop.Seen(c.text, false); got != c.want {
				t.Errorf("Seen(%q) = %q, want %q", c.text, got, c.want)
			}
		})
	}
	if got := shop.Seen("a\nb", true); got != "a\nb" {
		t.Errorf("with lines: %q", got)
	}
}

// TestSeenProperties: whatever comes in, what is left is text that can be seen,
// and seeing it again changes nothing.
func TestSeenProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := string(rapid.SliceOfN(rapid.Byte(), 0, 60).Draw(t, "bytes")) + rapid.String().Draw(t, "text")
		got := shop.Seen(s, rapid.Bool().Draw(t, "lines"))
		switch {
		case !utf8.ValidString(got), shop.Heaped(got), strings.ContainsFunc(got, func(r rune) bool { return r != '\n' && shop.Unseen(r) }):
			t.Fatalf("Seen(%q) = %q", s, got)
		case shop.Seen(got, true) != got:
			t.Fatalf("Seen(%q) = %q, and seen again %q", s, got, shop.Seen(got, true))
		case strings.ContainsFunc(got, func(r rune) bool { return unicode.Is(unicode.Bidi_Control, r) }):
			t.Fatalf("Seen(%q) = %q turns", s, got)
		}
	})
}

// Pairs of the confusables of Unicode Technical Standard 39 and of people who
// have tried.
func TestShape(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want bool
	}{
		{"admin", "аdmin", true}, // Cyrillic а
		{"demo rigid white", "dеmо rigid whitе", true},
		{"demo rigid white", "DЕMO RIGID WHITE", true},
		{"demo rigid white", "demo rigid\u00a0white", true},
		{"demo rigid white", "ｄｅｍｏ rigid white", true},
		{"demo rigid white", "demo rig\u200did white", true},
		{"scope", "ѕсоре", true},   // all Cyrillic
		{"paypal", "ρ⍺у𝓅𝒂ן", true}, // the standard's own example
		{"mold 1", "mold l", true},
		{"demo rigid white", "Demo Rigid White", true},
		{"white", "weiß", false},
		{"café", "cafe", false},
		{"воск", "vosk", false},
		{"同じ", "同じ", true},
	} {
		if a, b := shop.Shape(c.a), shop.Shape(c.b); (a == b) != c.want {
			t.Errorf("%q looks like %q, %q like %q; the same: %v, want %v", c.a, a, c.b, b, a == b, c.want)
		}
	}
}
