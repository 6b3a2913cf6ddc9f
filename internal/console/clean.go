package console

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/mattn/go-runewidth"

	"github.com/pourwright/pourwright/internal/shop"
)

// clean makes a text safe to show: no escape or other control character, no
// character that turns the direction of writing or hides, and no broken
// encoding. Newlines stay.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n':
			return r
		case r == '\t', unicode.Is(unicode.Zl, r), unicode.Is(unicode.Zp, r):
			return ' '
		case r == utf8.RuneError:
			return '?'
		case shop.Unseen(r):
			return -1
		}
		return r
	}, s)
}

// oneLine is clean with newlines as spaces.
func oneLine(s string) string {
	return strings.Join(strings.FieldsFunc(clean(s), func(r rune) bool { return r == '\n' }), " ")
}

// columns is how many columns a cleaned text takes.
func columns(s string) int { return runewidth.StringWidth(s) }

// wrap breaks a text into lines of at most width columns, at spaces where
// there are any; a word that is longer than a line is cut.
func wrap(s string, width int) []string {
	width = max(width, 10)
	var lines []string
	for paragraph := range strings.SplitSeq(clean(s), "\n") {
		line := ""
		for _, word := range strings.Fields(paragraph) {
			for columns(word) > width {
				head := runewidth.Truncate(word, width, "")
				if line != "" {
					lines = append(lines, line)
					line = ""
				}
				lines = append(lines, head)
				word = word[len(head):]
			}
			switch {
			case line == "":
				line = word
			case columns(line)+1+columns(word) <= width:
				line += " " + word
			default:
				lines = append(lines, line)
				line = word
			}
		}
		lines = append(lines, line)
	}
	return lines
}
