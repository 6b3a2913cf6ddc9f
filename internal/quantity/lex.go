package quantity

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

type tokenKind uint8

const (
	numberToken tokenKind = iota
	wordToken             // letters with a power, or one of % ' "
	markToken             // any other sign
)

type token struct {
	kind tokenKind
	num  number
	text string
}

func (t token) isMark(marks string) bool {
	return t.kind == markToken && strings.Contains(marks, t.text)
}

// lex cuts cleaned text into numbers, words and marks. Spaces and the full
// stops of abbreviations vanish. It gives back what looks like a number and
// cannot be read as one.
func lex(s string) (tokens []token, bad string) {
	for s != "" {
		r, size := utf8.DecodeRuneInString(s)
		switch {
		case r == ' ', r == '.' && !startsNumber(s):
			s = s[size:]
		case startsNumber(s) && !joinsNumbers(s, tokens):
			n, length, ok := scanNumber(s)
			if !ok {
				return nil, s[:length]
			}
			tokens = append(tokens, token{kind: numberToken, num: n, text: n.text})
			s = s[length:]
		case isWordRune(r):
			length := scanWord(s)
			tokens = append(tokens, token{kind: wordToken, text: s[:length]})
			s = s[length:]
		case r == '%' || r == '\'' || r == '"':
			if strings.HasPrefix(s, "''") { // two primes for inches
				r, size = '"', 2
			}
			tokens = append(tokens, token{kind: wordToken, text: string(r)})
			s = s[size:]
		default:
			tokens = append(tokens, token{kind: markToken, text: string(r)})
			s = s[size:]
		}
	}
	return tokens, ""
}

// startsNumber looks past one sign and one decimal mark for a digit.
func startsNumber(s string) bool {
	if s != "" && (s[0] == '-' || s[0] == '+') {
		s = s[1:]
	}
	if s != "" && (s[0] == '.' || s[0] == ',') {
		s = s[1:]
	}
	return s != "" && isDigit(s[0])
}

// joinsNumbers sees that a sign or comma right after a number stands between
// two numbers, as in 10-12, and does not begin one.
func joinsNumbers(s string, before []token) bool {
	return !isDigit(s[0]) && s[0] != '.' && len(before) > 0 && before[len(before)-1].kind == numberToken
}

func isWordRune(r rune) bool { return unicode.IsLetter(r) || r == '°' }

// scanWord takes letters and the power of a unit: in3, cm^2. A digit that makes
// no unit, or that stands before more letters or digits, begins a number
// instead: h2, 5ft3in, 1h20m.
func scanWord(s string) int {
	i := 0
	for i < len(s) {
		r, size := utf8.DecodeRuneInString(s[i:])
		if !isWordRune(r) {
			break
		}
		i += size
	}
	power := i
	if power < len(s) && s[power] == '^' {
		power++
	}
	if power == len(s) || !isDigit(s[power]) {
		return i
	}
	if _, known := unitByName[unitKey(s[:power+1])]; !known {
		return i
	}
	rest := s[power+1:]
	next, _ := utf8.DecodeRuneInString(rest)
	if startsNumber(rest) || isWordRune(next) {
		return i
	}
	return power + 1
}
