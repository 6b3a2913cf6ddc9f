package discord

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/chat"
)

// escape makes a text show as it was typed: no bold, links, spoilers, lists,
// mentions or time stamps come of it, whoever wrote it. The service shows any
// ASCII punctuation after a backslash as itself.
func escape(s string) string {
	var b strings.Builder
	b.Grow(len(s) + 8)
	lineStart := true
	digits := false
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		rest := s[i+size:]
		i += size
		if r == '\u2028' || r == '\u2029' {
			r = ' ' // a line end that would make room for a forged line
		}
		if r == '\r' || r != '\n' && !shown(r) {
			continue
		}
		if special(r, lineStart, digits, rest) {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
		digits = r >= '0' && r <= '9' && (lineStart || digits)
		lineStart = r == '\n' || lineStart && (r == ' ' || r == '\t')
	}
	return b.String()
}

// special says whether the service could read a character as markup. lineStart
// holds before a line's first mark, digits after nothing but digits in it.
func special(r rune, lineStart, digits bool, rest string) bool {
	switch r {
	case '\\', '*', '_', '~', '`', '|', '<', '>', '@', '[', ']':
		return true
	case '#', '-', '+':
		return lineStart
	case '.', ')':
		return digits && (rest == "" || rest[0] == ' ')
	case ':':
		// A bare address would become a link; an emoji's short name a picture.
		return strings.HasPrefix(rest, "//") || shortName(rest)
	}
	return false
}

// shortName reports whether what follows a colon runs to a second one without a
// space, as an emoji's name does.
func shortName(rest string) bool {
	end := strings.IndexByte(rest, ':')
	return end > 0 && !strings.ContainsAny(rest[:end], " \n")
}

// shown refuses what can't be seen but changes how the rest is seen: control
// and direction characters, fillers, and bytes that are no text.
func shown(r rune) bool { return r == '\t' || !chat.Hidden(r) }

// plain is for places without markup (button labels, form titles): one line
// with nothing invisible in it.
func plain(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r' || r == '\u2028' || r == '\u2029':
			return ' '
		case !shown(r):
			return -1
		}
		return r
	}, s)
	return strings.TrimSpace(s)
}

// sentence begins a text with a capital, unless its first word is a name or a
// quote.
func sentence(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	if size == 0 || !unicode.IsLower(r) {
		return s
	}
	return string(unicode.ToUpper(r)) + s[size:]
}
