package working

import (
	"math"
	"strconv"
	"strings"
)

// Num writes a number for a step: five significant digits, no exponent where
// a person would not write one, no zeros that say nothing.
func Num(v float64) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return strconv.FormatFloat(v+0, 'g', -1, 64)
	}
	if a := math.Abs(v); a < 1e-4 || a >= 1e9 {
		return strconv.FormatFloat(v, 'g', 5, 64)
	}
	digits := max(4-int(math.Floor(math.Log10(math.Abs(v)))), 0)
	s := strconv.FormatFloat(v, 'f', digits, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
