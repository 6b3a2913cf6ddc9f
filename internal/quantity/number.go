package quantity

import (
	"strconv"
	"strings"
)

// number is a number as typed. Where a comma and three digits leave open
// whether thousands or decimals were meant, value is the larger reading and
// small the other.
type number struct {
	value     float64
	small     float64
	ambiguous bool
	spaced    bool   // digits were grouped by spaces, 2 500
	text      string // as typed
}

// scanNumber reads the number that s begins with and tells its length in
// bytes: a decimal with point or comma, grouped digits, an exponent, a
// fraction or a mixed number. ok is false where s does not begin with a number
// or begins with one that cannot be read, such as 1.2.3; the length then covers
// what looked like one.
func scanNumber(s string) (n number, length int, ok bool) {
	sign, i := 1.0, 0
	if strings.HasPrefix(s, "-") || strings.HasPrefix(s, "+") {
		if i = 1; s[0] == '-' {
			sign = -1
		}
	}
	start := i
	i = scanDigits(s, i)
	run := s[start:i]
	if !strings.ContainsAny(run, "0123456789") {
		return number{}, i, false
	}
	if isDigits(run) {
		if value, end, found := scanFraction(s, run, i); found {
			n = number{value: sign * value, text: s[:end]}
			return n, end, value >= 0 && !continuesFraction(s[end:])
		}
		run, i, n.spaced = scanSpaced(s, run, i)
	}
	large, small, ok := readDigits(run)
	if exp := scanExponent(s[i:]); ok && exp != "" {
		large, small, i = large+exp, small+exp, i+len(exp)
	}
	n.value, n.small = sign*parseFloat(large), sign*parseFloat(small)
	n.ambiguous = small != large
	n.text = s[:i]
	return n, i, ok
}

// scanDigits moves over digits and the points and commas between them; a
// comma counts only before a digit, so that the comma of a list does not.
func scanDigits(s string, i int) int {
	for ; i < len(s); i++ {
		if isDigit(s[i]) {
			continue
		}
		if (s[i] == ',' || s[i] == '.') && i+1 < len(s) && isDigit(s[i+1]) {
			continue
		}
		if s[i] == '.' && i > 0 && isDigit(s[i-1]) { // 5. and 5.in
			i++
		}
		break
	}
	return i
}

// scanSpaced joins groups of three digits after a space to run: 1 000 000.
func scanSpaced(s, run string, i int) (string, int, bool) {
	if len(run) > 3 || run[0] == '0' {
		return run, i, false
	}
	spaced := false
	for len(s) >= i+4 && s[i] == ' ' && isDigits(s[i+1:i+4]) &&
		(len(s) == i+4 || !strings.ContainsRune("0123456789/:", rune(s[i+4]))) {
		run, i, spaced = run+s[i+1:i+4], i+4, true
	}
	if spaced && len(s) > i+1 && (s[i] == '.' || s[i] == ',') && isDigit(s[i+1]) {
		end := scanWhile(s, i+1, isDigit)
		run, i = run+"."+s[i+1:end], end
	}
	return run, i, spaced
}

// scanFraction reads 1/2, 2 3/8 and 2-3/8, whose first digits are whole. A
// value below zero marks a fraction that cannot be read.
func scanFraction(s, whole string, i int) (value float64, end int, found bool) {
	if num, den, end, ok := scanOver(s, whole, i); ok {
		return over(num, den), end, true
	}
	j := scanWhile(s, i, isSpace)
	if j == i && j < len(s) && s[j] == '-' {
		j++
	}
	k := scanWhile(s, j, isDigit)
	if k == j || j == i {
		return 0, 0, false
	}
	num, den, end, ok := scanOver(s, s[j:k], k)
	if !ok {
		return 0, 0, false
	}
	part := over(num, den)
	if part < 0 || part >= 1 { // 2 9/8 is more likely a slip than 3 1/8
		return -1, end, true
	}
	return parseFloat(whole) + part, end, true
}

func scanOver(s, num string, i int) (n, d string, end int, ok bool) {
	if i >= len(s) || s[i] != '/' {
		return "", "", 0, false
	}
	end = scanWhile(s, i+1, isDigit)
	return num, s[i+1 : end], end, end > i+1
}

func over(num, den string) float64 {
	if d := parseFloat(den); d > 0 {
		return parseFloat(num) / d
	}
	return -1
}

// continuesFraction sees the rest of 1/2/3 and 1/2.5.
func continuesFraction(rest string) bool {
	return len(rest) > 1 && strings.ContainsRune("/.,", rune(rest[0])) && isDigit(rest[1])
}

func scanExponent(s string) string {
	if s == "" || (s[0] != 'e' && s[0] != 'E') {
		return ""
	}
	i := 1
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	end := scanWhile(s, i, isDigit)
	if end == i {
		return ""
	}
	return s[:end]
}

func scanWhile(s string, i int, is func(byte) bool) int {
	for i < len(s) && is(s[i]) {
		i++
	}
	return i
}

// readDigits turns digits with points and commas into what ParseFloat takes,
// twice where there are two readings: 1,000 is a thousand to some and one to
// others. 0,125 and 1234,567 cannot be grouped digits, and 1,000.5 shows which
// sign is which.
func readDigits(run string) (large, small string, ok bool) {
	points, commas := strings.Count(run, "."), strings.Count(run, ",")
	switch {
	case commas == 0 && points <= 1:
		return run, run, true
	case points == 0 && commas == 1:
		decimal := strings.Replace(run, ",", ".", 1)
		if grouped(run, ",") {
			return strings.Replace(run, ",", "", 1), decimal, true
		}
		return decimal, decimal, true
	case commas == 0 || points == 0:
		sep := run[strings.IndexAny(run, ".,"):][:1]
		whole := strings.ReplaceAll(run, sep, "")
		return whole, whole, grouped(run, sep)
	}
	// Both signs: the last one is the decimal sign, the other one groups.
	last := strings.LastIndexAny(run, ".,")
	sep := map[byte]string{'.': ",", ',': "."}[run[last]]
	value := strings.ReplaceAll(run[:last], sep, "") + "." + run[last+1:]
	return value, value, grouped(run[:last], sep)
}

// grouped reports whether run is digits in groups of three, as in 12,345,678.
func grouped(run, sep string) bool {
	groups := strings.Split(run, sep)
	if len(groups) < 2 || len(groups[0]) > 3 || groups[0] == "" || groups[0][0] == '0' {
		return false
	}
	for i, g := range groups {
		if !isDigits(g) || (i > 0 && len(g) != 3) {
			return false
		}
	}
	return true
}

// parseFloat reads what the scanner has checked; overflow gives an infinity,
// which the bounds of the option then refuse.
func parseFloat(s string) float64 {
	v, _ := strconv.ParseFloat(s, 64)
	return v
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func isSpace(c byte) bool { return c == ' ' }

func isDigits(s string) bool {
	for i := range len(s) {
		if !isDigit(s[i]) {
			return false
		}
	}
	return s != ""
}
