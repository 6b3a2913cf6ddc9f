package shop

import (
	"strings"
	"unicode"

	"github.com/mtibben/confusables"
	"golang.org/x/text/unicode/norm"
)

// Text from members is shown to others, in a terminal, on a page and in a chat.
// What is here keeps out of it what can't be seen but changes how the rest is
// seen, wherever the text comes in and whatever shows it.

// marksMost is how many marks may stand on one letter. Unicode Technical
// Standard 39, section 5.4, takes more than four for a sign of abuse (from
// memory); no spelling needs so many.
const marksMost = 4

// The two joiners are needed by the spelling of some scripts and by joined
// pictographs; they move nothing.
const (
	zeroWidthNonJoiner = '\u200c'
	zeroWidthJoiner    = '\u200d'
)

// Unseen reports a rune that can't be seen: a control character, one that
// turns the direction of writing, one that formats or fills without a shape of
// its own, or a byte that is no text. Line ends and tabs are control
// characters.
func Unseen(r rune) bool {
	switch {
	case r >= ' ' && r <= '~', r == zeroWidthJoiner, r == zeroWidthNonJoiner:
		return false
	case r < ' ', r == unicode.ReplacementChar:
		return true
	}
	return unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Co, r) || unicode.Is(unicode.Cs, r) ||
		unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r) || r == '\u2800' // a Braille cell without dots
}

// Seen gives a text without what can't be seen, and with no letter under more
// marks than it can carry. What ends a line becomes a space, or stays where
// lines are wanted.
func Seen(s string, lines bool) string {
	if strings.IndexFunc(s, func(r rune) bool { return !ordinary(r) }) < 0 {
		return s
	}
	return sift(s, lines)
}

// ordinary tells quickly of most characters that they are seen as they are:
// ASCII, Latin letters and signs such as °, dashes and quotes, arrows and those
// of arithmetic. A test holds it against sift.
func ordinary(r rune) bool {
	switch {
	case r <= '~':
		return r >= ' '
	case r <= '\u02ff':
		return r > '\u00a0' && r != '\u00ad' // which is seen at the end of a line alone
	}
	return r >= '\u2010' && r <= '\u2027' || r >= '\u2190' && r <= '\u22ff'
}

// sift is Seen, one character after another.
func sift(s string, lines bool) string {
	var b strings.Builder
	b.Grow(len(s))
	marks := 0
	for _, r := range s {
		switch {
		case r == '\n' && lines:
		case unicode.IsSpace(r) && r != '\u00a0':
			r = ' ' // also the two separators of lines and paragraphs
		case Unseen(r):
			continue
		}
		if unicode.In(r, unicode.Mn, unicode.Me) {
			if marks++; marks > marksMost {
				continue
			}
		} else {
			marks = 0
		}
		b.WriteRune(r)
	}
	return b.String()
}

// Plain reports ASCII that is seen as it is, as most texts are.
func Plain(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}

// Heaped reports a letter under more marks than it can carry.
func Heaped(s string) bool {
	marks := 0
	for _, r := range s {
		if marks++; !unicode.In(r, unicode.Mn, unicode.Me) {
			marks = 0
		}
		if marks > marksMost {
			return true
		}
	}
	return false
}

// Shape is a name reduced to how it looks, so that names that look the same are
// the same: Unicode Technical Standard 39, section 4, over letters without
// case, joiners and spaces left out.
func Shape(name string) string {
	lower := strings.ToLower(norm.NFKC.String(name))
	shape := confusables.Skeleton(strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == zeroWidthJoiner || r == zeroWidthNonJoiner {
			return -1
		}
		return r
	}, lower))
	return shape
}
