package mesh

import (
	"bytes"
	"math"
	"strconv"
)

// words walks over the white-space separated words of a text, counting lines.
type words struct {
	data []byte
	at   int
	line int // of the last word given, from 1
}

func isSpace(c byte) bool { return c == ' ' || c >= '\t' && c <= '\r' }

// next is the next word, or nil at the end.
func (w *words) next() []byte {
	i, d := w.at, w.data
	for i < len(d) && isSpace(d[i]) {
		if d[i] == '\n' {
			w.line++
		}
		i++
	}
	start := i
	for i < len(d) && !isSpace(d[i]) {
		i++
	}
	w.at = i
	if start == i {
		return nil
	}
	return d[start:i]
}

// rest gives what is left of the line and moves to its end.
func (w *words) rest() []byte {
	end := bytes.IndexByte(w.data[w.at:], '\n')
	if end < 0 {
		end = len(w.data) - w.at
	}
	out := w.data[w.at : w.at+end]
	w.at += end
	return out
}

// is reports whether a word equals a lower-case keyword, in any case.
func is(word []byte, keyword string) bool {
	if len(word) != len(keyword) {
		return false
	}
	for i, c := range word {
		if c >= 'A' && c <= 'Z' {
			c += 'a' - 'A'
		}
		if c != keyword[i] {
			return false
		}
	}
	return true
}

// pow10 are the powers of ten that float64 holds exactly.
var pow10 = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// parseNumber reads a decimal number: sign, digits, point, exponent. No comma,
// hexadecimal, underscore, NaN or Inf. The result is the nearest float64: up to
// 15 digits and 22 powers of ten one exact multiplication or division does it
// (W. D. Clinger, How to read floating point numbers accurately, 1990,
// doi:10.1145/93542.93557, from memory); else strconv.
func parseNumber(b []byte) (float64, bool) {
	i, neg := 0, false
	if i < len(b) && (b[i] == '-' || b[i] == '+') {
		neg = b[i] == '-'
		i++
	}
	var mant uint64
	digits, exp := 0, 0
	seen, point := false, false
	for ; i < len(b); i++ {
		c := b[i]
		if c == '.' && !point {
			point = true
			continue
		}
		if c < '0' || c > '9' {
			break
		}
		seen = true
		if digits < 19 {
			mant = mant*10 + uint64(c-'0')
			if mant > 0 {
				digits++
			}
			if point {
				exp--
			}
		} else {
			digits++ // too long for the quick way
		}
	}
	if !seen {
		return 0, false
	}
	if i < len(b) {
		e, ok := parseExponent(b[i:])
		if !ok {
			return 0, false
		}
		exp += e
	}
	if digits <= 15 && exp >= -22 && exp <= 22 {
		x := float64(mant)
		if exp < 0 {
			x /= pow10[-exp]
		} else {
			x *= pow10[exp]
		}
		if neg {
			x = -x
		}
		return x, true
	}
	x, err := strconv.ParseFloat(string(b), 64)
	if err != nil && !math.IsInf(x, 0) {
		return 0, false
	}
	return x, true // an overflow is infinite: the caller's limit refuses it
}

func parseExponent(b []byte) (int, bool) {
	if b[0] != 'e' && b[0] != 'E' {
		return 0, false
	}
	b = b[1:]
	neg := false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		neg = b[0] == '-'
		b = b[1:]
	}
	if len(b) == 0 {
		return 0, false
	}
	e := 0
	for _, c := range b {
		if c < '0' || c > '9' {
			return 0, false
		}
		if e < 10000 {
			e = e*10 + int(c-'0')
		}
	}
	if neg {
		e = -e
	}
	return e, true
}

// parseCoordinate reads a number and checks it against the coordinate limit.
// The text of the refusal is "" when all is well.
func parseCoordinate(b []byte) (float64, wrongCoordinate) {
	x, ok := parseNumber(b)
	if !ok {
		if is(b, "nan") || is(b, "-nan") || is(b, "inf") || is(b, "-inf") || is(b, "infinity") || is(b, "-infinity") {
			return 0, "a coordinate that is not a finite number"
		}
		return 0, wrongCoordinate("'" + clean(b, 24) + "' where a number must stand")
	}
	if !(math.Abs(x) <= maxCoordinate) {
		return 0, badCoordinate(x)
	}
	return x, ""
}
