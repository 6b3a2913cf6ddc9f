package store

import "strconv"

// numbered rewrites the placeholders ? of a statement to $1, $2 and so on, as
// Postgres counts them. A question mark inside a quoted text or name, or in a
// comment to the end of the line, is left alone.
func numbered(text string) string {
	out := make([]byte, 0, len(text)+16)
	n := 0
	for i := 0; i < len(text); {
		if end := opaque(text, i); end > i {
			out = append(out, text[i:end]...)
			i = end
			continue
		}
		if text[i] == '?' {
			n++
			out = strconv.AppendInt(append(out, '$'), int64(n), 10)
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
