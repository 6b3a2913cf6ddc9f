package quantity

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Limits on what a member may type. The longest honest quantity, a compound
// with spelled-out units, stays under a quarter of textLimit.
const (
	textLimit = 200  // bytes of one quantity or ratio
	listLimit = 1000 // bytes of a list or a size
	showLimit = 40   // runes of a member's text repeated in an error
)

// clean maps the many ways in which phones and word processors write the same
// signs to the ones that the reader knows, and drops marks that have no width.
func clean(text string) string {
	var b strings.Builder
	for _, r := range text {
		switch {
		case r >= 0xFF01 && r <= 0xFF5E: // full-width forms of ASCII
			b.WriteRune(r - 0xFEE0)
		case unicode.Is(unicode.Cf, r): // joiners, direction marks
		default:
			if plain, ok := plainOf[r]; ok {
				b.WriteString(plain)
				continue
			}
			if unicode.IsSpace(r) {
				r = ' '
			}
			b.WriteRune(r)
		}
	}
	return strings.TrimSpace(b.String())
}

// plainOf spells signs in plain ones. A vulgar fraction gets a space before
// it, so that 2½ is a mixed number and not 21/2.
var plainOf = map[rune]string{
	'½': " 1/2", '⅓': " 1/3", '⅔': " 2/3", '¼': " 1/4", '¾': " 3/4",
	'⅕': " 1/5", '⅖': " 2/5", '⅗': " 3/5", '⅘': " 4/5", '⅙': " 1/6", '⅚': " 5/6",
	'⅛': " 1/8", '⅜': " 3/8", '⅝': " 5/8", '⅞': " 7/8", '⁄': "/", '∕': "/",
	'−': "-", '–': "-", '—': "-", '‐': "-", '‑': "-",
	'×': "x", '✕': "x", '*': "x", '∶': ":",
	'′': "'", '‘': "'", '’': "'", '″': `"`, '“': `"`, '”': `"`,
	'²': "^2", '³': "^3", 'µ': "u", 'μ': "u", 'Μ': "u",
	'º': "°", '˚': "°", '℃': "°C", '℉': "°F", 'ℓ': "l", '㎜': "mm", '㎝': "cm", '㎖': "ml", '㎏': "kg",
}

// shown is a member's text as an error may repeat it: short, on one line, with
// nothing in it that could redraw the screen or reverse the line.
func shown(text string) string {
	var b strings.Builder
	for n, r := range []rune(strings.TrimSpace(text)) {
		if n == showLimit {
			b.WriteRune('…')
			break
		}
		switch {
		case r == utf8.RuneError, !unicode.IsPrint(r):
			b.WriteRune('?')
		case r == '"':
			b.WriteRune('″') // the message sets it in quotes itself
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
