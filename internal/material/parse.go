package material

import (
	"math"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// ParseHardness reads a Shore reading, "74 D", "D74", "28 shore A", "00-30".
// The scale is required: 50 A and 50 D are a bath toy and a hard hat.
// Errors: bad_quantity, out_of_range (not within 0 to 100).
func ParseHardness(text string) (Hardness, error) {
	t := strings.ToUpper(strings.Join(strings.Fields(text), " "))
	t = strings.TrimSpace(strings.ReplaceAll(strings.ReplaceAll(t, "SHORE", " "), "DUROMETER", " "))
	bad := fault.New(fault.BadQuantity, "%q is no hardness", fault.Echo(text)).In("hardness").
		Hint("give the number and its Shore scale, such as 74 D, 28 A or 30 00")
	scale, number := splitHardness(t)
	if scale == "" {
		return Hardness{}, bad
	}
	v, err := strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return Hardness{}, bad
	}
	if v < 0 || v > 100 {
		return Hardness{}, fault.New(fault.OutOfRange, "a Shore reading of %s is outside 0 to 100", number).In("hardness").
			Hint("give the number and its scale, such as 74 D")
	}
	return Hardness{Shore: v, Scale: scale}, nil
}

// splitHardness tells scale and number apart, in either order. "OO" is a
// common way to write 00. scale is "" where there is none.
func splitHardness(t string) (scale, number string) {
	for _, s := range []struct{ typed, scale string }{{"OO", "00"}, {"00", "00"}, {"A", "A"}, {"D", "D"}} {
		if rest, ok := strings.CutPrefix(t, s.typed); ok {
			if rest = strings.TrimLeft(rest, " -:"); rest != "" {
				return s.scale, rest
			}
		}
		if rest, ok := strings.CutSuffix(t, s.typed); ok {
			// "100" is a number without a scale, not 1 on the 00 scale.
			cut := strings.TrimRight(rest, " -:")
			if cut != "" && (s.typed != "00" || cut != rest) {
				return s.scale, cut
			}
		}
	}
	return "", ""
}

// maxSpan bounds a shelf time: 50 years, far past any bulletin.
const maxSpanMonths = 600

// ParseSpan reads a shelf time, "4 months", "1 year", "90 d", "1 y 6 mo". A
// bare number is refused, since days and months are both usual. Months stay
// calendar months. Errors: bad_time, out_of_range.
func ParseSpan(text string) (Span, error) {
	bad := fault.New(fault.BadTime, "%q is no shelf time", fault.Echo(text)).
		Hint("give months, weeks or days, such as 4 months or 90 d")
	t := strings.ToLower(strings.Join(strings.Fields(text), " "))
	var s Span
	rest := t
	for rest != "" {
		i := strings.IndexFunc(rest, func(r rune) bool { return r < '0' || r > '9' })
		if i <= 0 {
			return Span{}, bad
		}
		n, err := strconv.Atoi(rest[:i])
		if err != nil || n > 100*maxSpanMonths {
			return Span{}, bad
		}
		rest = strings.TrimLeft(rest[i:], " ")
		j := strings.IndexFunc(rest, func(r rune) bool { return r < 'a' || r > 'z' })
		if j < 0 {
			j = len(rest)
		}
		unit, ok := spanUnits[rest[:j]]
		if !ok {
			return Span{}, bad
		}
		s.Months += n * unit.Months
		s.Days += n * unit.Days
		rest = strings.TrimLeft(rest[j:], " ,.")
		rest = strings.TrimPrefix(rest, "and ")
	}
	if s == (Span{}) {
		return Span{}, bad
	}
	if s.Months > maxSpanMonths || s.Days > 31*maxSpanMonths {
		return Span{}, fault.New(fault.OutOfRange, "a shelf time of %s is more than 50 years", s).
			Hint("give what the bulletin says, such as 4 months")
	}
	return s, nil
}

var spanUnits = map[string]Span{
	"d": {Days: 1}, "day": {Days: 1}, "days": {Days: 1},
	"w": {Days: 7}, "wk": {Days: 7}, "wks": {Days: 7}, "week": {Days: 7}, "weeks": {Days: 7},
	"mo": {Months: 1}, "mos": {Months: 1}, "month": {Months: 1}, "months": {Months: 1},
	"y": {Months: 12}, "yr": {Months: 12}, "yrs": {Months: 12}, "year": {Months: 12}, "years": {Months: 12},
}

// String writes the span as it would be typed, "4 months"; the zero Span is "".
func (s Span) String() string {
	var parts []string
	add := func(n int, one string) {
		switch {
		case n == 1:
			parts = append(parts, "1 "+one)
		case n > 1:
			parts = append(parts, strconv.Itoa(n)+" "+one+"s")
		}
	}
	add(s.Months, "month")
	add(s.Days, "day")
	return strings.Join(parts, " ")
}

// String writes the reading with its scale, "74 D".
func (h Hardness) String() string {
	return strconv.FormatFloat(h.Shore, 'f', -1, 64) + " " + h.Scale
}

// ParseSide reads A or B. Errors: missing_option, not_found.
func ParseSide(text string) (Side, error) {
	switch strings.TrimPrefix(strings.ToUpper(strings.TrimSpace(text)), "PART ") {
	case "A":
		return SideA, nil
	case "B":
		return SideB, nil
	case "":
		return NoSide, fault.New(fault.MissingOption, "the part is empty").Hint("give A or B").Choose("A", "B")
	}
	return NoSide, fault.New(fault.NotFound, "there is no part %q", fault.Echo(text)).Hint("give A or B").Choose("A", "B")
}
