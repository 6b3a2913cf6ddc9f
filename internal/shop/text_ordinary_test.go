package shop

import (
	"testing"
	"unicode/utf8"
)

func TestOrdinaryCharactersAreSeenAsTheyAre(t *testing.T) {
	n := 0
	for r := range rune(utf8.MaxRune + 1) {
		if !ordinary(r) || !utf8.ValidRune(r) {
			continue
		}
		n++
		if s := string(r); sift(s, false) != s || sift("a"+s+"b", true) != "a"+s+"b" {
			t.Errorf("%U is shown as %q", r, sift(s, false))
		}
	}
	if n < 1000 {
		t.Errorf("%d characters are ordinary", n)
	}
}
