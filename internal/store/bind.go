package store

import "strconv"

// Dollar appends the n-th placeholder as Postgres counts them: $1, $2 and so on.
func Dollar(to []byte, n int) []byte {
	return strconv.AppendInt(append(to, '$'), int64(n), 10)
}

// marked rewrites the placeholders ? of a statement as mark appends them, given
// their number from 1. A question mark inside a quoted text or name, or in a
// comment to the end of the line, is left alone.
func marked(text string, mark func(to []byte, n int) []byte) string {
	out := make([]byte, 0, len(text)+32)
	n := 0
	for i := 0; i < len(text); {
		if end := opaque(text, i); end > i {
			out = append(out, text[i:end]...)
			i = end
			continue
		}
		if text[i] == '?' {
			n++
			out = mark(out, n)
		} else {
			out = append(out, text[i])
		}
		i++
	}
	return string(out)
}

// opaque gives the end of the quoted text, quoted name or comment that begins
// at i, or i if none does. A doubled quote inside needs no care: it ends one
// quoted piece and begins the next.
func opaque(text string, i int) int {
	switch c := text[i]; {
	case c == '\'' || c == '"':
		return after(text, i+1, c)
	case c == '-' && i+1 < len(text) && text[i+1] == '-':
		return after(text, i+2, '\n')
	}
	return i
}

// after gives the place behind the next c at or after i, or the text's end.
func after(text string, i int, c byte) int {
	for ; i < len(text); i++ {
		if text[i] == c {
			return i + 1
		}
	}
	return len(text)
}
