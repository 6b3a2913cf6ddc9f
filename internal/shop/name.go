package shop

import (
	"strings"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// NameKey is what decides whether two names are the same: composed characters,
// no case, one space between words. Full folding takes care of letters such as
// ß; the first rune of its orbit then stands for each letter, since the library
// folds the two cases of a few scripts (Cherokee) into each other rather than
// into one.
func NameKey(name string) string {
	name = strings.Map(firstOfOrbit, cases.Fold().String(norm.NFD.String(name)))
	return strings.Join(strings.Fields(norm.NFC.String(name)), " ")
}

// firstOfOrbit gives the smallest rune that differs from r in case only.
func firstOfOrbit(r rune) rune {
	first := r
	for next := unicode.SimpleFold(r); next != r; next = unicode.SimpleFold(next) {
		first = min(first, next)
	}
	return first
}
