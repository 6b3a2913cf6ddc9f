package transfer

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// cell is one value of a file, as it stands there.
type cell struct {
	text   string
	number bool          // a number of JSON, in the column's own unit
	unit   quantity.Unit // of a bare number, where the header names one
	needs  bool          // the header names no unit: a bare number could be any
	sized  bool          // the column takes numbers
	*style               // of the file; nil is that of JSON
}

// style is how a file writes its numbers and times.
type style struct {
	comma  bool // 1,5 for 1.5
	points bool // fields are apart by commas: 1,5 is a slip
	zone   *time.Location
}

// written is the style of a cell.
func (c cell) written() style {
	if c.style == nil {
		return style{}
	}
	return *c.style
}

// plainNumber is what both formats write and what needs no guessing: digits,
// with a point anywhere among them, and an exponent of up to three digits.
// Nearly every cell comes by here, so that it is no regular expression.
func plainNumber(text string) bool {
	whole, rest := digits(unsigned(text))
	part := 0
	if strings.HasPrefix(rest, ".") {
		part, rest = digits(rest[1:])
	}
	if whole+part == 0 {
		return false
	}
	if rest == "" {
		return true
	}
	if rest[0] != 'e' && rest[0] != 'E' {
		return false
	}
	n, rest := digits(unsigned(rest[1:]))
	return n >= 1 && n <= 3 && rest == ""
}

// unsigned is the text without a sign at its head.
func unsigned(text string) string {
	if text != "" && (text[0] == '+' || text[0] == '-') {
		return text[1:]
	}
	return text
}

// digits counts those at the head of the text.
func digits(text string) (n int, rest string) {
	for n < len(text) && text[n] >= '0' && text[n] <= '9' {
		n++
	}
	return n, text[n:]
}

// leadingNumber is the sign, digits, points and commas at the head of the text,
// "" where there is but a sign.
func leadingNumber(text string) string {
	rest := unsigned(text)
	after := strings.TrimLeft(rest, "0123456789.,")
	if len(after) == len(rest) {
		return ""
	}
	return text[:len(text)-len(after)]
}

// Numbers with a comma: decimal where it can't group digits.
var (
	commaNumber  = regexp.MustCompile(`^[+-]?\d+,\d+$`)
	groupedComma = regexp.MustCompile(`^[+-]?[1-9]\d{0,2}(,\d{3})+$`)
	groupedPoint = regexp.MustCompile(`^[+-]?[1-9]\d{0,2}(\.\d{3})+$`)
	decimalComma = regexp.MustCompile(`^[+-]?(0|\d+),(\d{1,2}|\d{4,})$|^[+-]?0,\d+$`)
	decimalPoint = regexp.MustCompile(`^[+-]?\d+\.(\d{1,2}|\d{4,})$|^[+-]?0\.\d+$`)
)

// value reads a quantity in its base unit.
func (c cell) value(name string, d quantity.Dim, base quantity.Unit) (float64, error) {
	if c.number {
		return float(c.text)
	}
	text, err := c.point(strings.TrimSpace(c.text))
	if err != nil {
		return 0, err
	}
	if plainNumber(text) {
		return c.bare(text)
	}
	q, _, err := quantity.Parse(text, quantity.Want{Option: name, Dims: []quantity.Dim{d}, Bare: base, Zero: true})
	if err != nil {
		return 0, err
	}
	return q.Value, nil
}

// bare reads a number without a unit.
func (c cell) bare(text string) (float64, error) {
	v, err := float(text)
	switch {
	case err != nil || c.unit == quantity.NoUnit && !c.needs:
		return v, err
	case c.needs && v != 0:
		return 0, fault.New(fault.AmbiguousUnit, "%s has no unit, and neither has the head of its column", shown(text)).
			Hint("write the unit behind it, or name the column as /data export does")
	}
	return c.unit.Base(v), nil
}

// float reads a plain number that is finite.
func float(text string) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, fault.New(fault.BadQuantity, "%s is not a number that can be read", shown(text)).Hint("write a number such as 12.5")
	}
	return v, nil
}

// point gives the text with a decimal point where its number has a decimal
// comma, and refuses what can be read in two ways.
func (c cell) point(text string) (string, error) {
	num, w := leadingNumber(text), c.written()
	if !strings.Contains(num, ",") && !(w.comma && strings.Contains(num, ".")) {
		return text, nil
	}
	decimal := strings.Replace(num, ",", ".", 1) + text[len(num):]
	switch {
	case w.comma && groupedPoint.MatchString(num):
		return "", twoReadings(num, strings.ReplaceAll(num, ".", ""))
	case w.comma && commaNumber.MatchString(num):
		return decimal, nil
	case groupedComma.MatchString(num) && strings.Count(num, ",") == 1:
		return "", twoReadings(strings.Replace(num, ",", ".", 1), strings.Replace(num, ",", "", 1))
	case commaNumber.MatchString(num) && w.points:
		return "", fault.New(fault.AmbiguousNumber, "%s has a comma in a file whose fields are apart by commas", shown(num)).
			Hint("write %s with a point", strings.Replace(num, ",", ".", 1))
	case commaNumber.MatchString(num):
		return decimal, nil
	}
	return text, nil
}

func twoReadings(small, large string) error {
	return fault.New(fault.AmbiguousNumber, "it can be read as %s or as %s", small, large).
		Hint("write %s or %s, with a point for the decimals and nothing between thousands", small, large)
}

// count reads a whole number.
func (c cell) count(low, high int) (int, error) {
	v, err := c.value("", quantity.Number, quantity.One)
	if err != nil {
		return 0, err
	}
	if v != math.Trunc(v) || v < float64(low) || v > float64(high) {
		return 0, fault.New(fault.OutOfRange, "%s is no whole number from %d to %d", shown(c.text), low, high).Hint("write a number from %d to %d", low, high)
	}
	return int(v), nil
}

// words reads a text as a typed one is read: no control or bidirectional
// formatting characters, a line break only where there may be paragraphs.
func (c cell) words(most int, paragraphs bool) (string, error) {
	text := strings.ReplaceAll(c.text, "\r\n", "\n")
	text = strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case r == '\n' && paragraphs:
			return r
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case r == utf8.RuneError, unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r):
			return -1
		}
		return r
	}, text))
	if n := utf8.RuneCountInString(text); n > most {
		return "", fault.New(fault.OutOfRange, "the text has %d characters, at most %d fit", n, most).Hint("shorten it")
	}
	return text, nil
}

// yes reads yes or no.
func (c cell) yes() (bool, error) {
	switch strings.ToLower(strings.TrimSpace(c.text)) {
	case "yes", "y", "true", "1":
		return true, nil
	case "no", "n", "false", "0":
		return false, nil
	}
	return false, fault.New(fault.BadQuantity, "%s is neither yes nor no", shown(c.text)).Hint("write yes or no")
}

// instants are how a time may be written; the later ones are in the member's
// own zone.
var instants = []string{time.RFC3339Nano, "2006-01-02 15:04:05", "2006-01-02 15:04", "2006-01-02T15:04:05", time.DateOnly}

// instant reads a time.
func (c cell) instant() (time.Time, error) {
	zone := c.written().zone
	if zone == nil {
		zone = time.UTC
	}
	for _, layout := range instants {
		if at, err := time.ParseInLocation(layout, strings.TrimSpace(c.text), zone); err == nil && at.Year() >= 1970 && at.Year() < 2200 {
			return at.UTC().Truncate(time.Millisecond), nil
		}
	}
	return time.Time{}, fault.New(fault.BadTime, "%s is no time", shown(c.text)).Hint("write it like 2026-11-20T09:30:00Z or 2026-11-20 09:30")
}

// day reads a date, which means the same in every zone.
func (c cell) day() (time.Time, error) {
	if at, err := time.Parse(time.DateOnly, strings.TrimSpace(c.text)); err == nil && at.Year() >= 1900 && at.Year() < 2200 {
		return at, nil
	}
	at, err := c.instant()
	if err != nil {
		return at, fault.New(fault.BadTime, "%s is no day that can be read in one way", shown(c.text)).Hint("write year, month and day, such as 2026-03-01")
	}
	return at, nil
}

// shown quotes a stranger's text for a message, shortened.
func shown(text string) string {
	const most = 40
	r := []rune(strings.ToValidUTF8(strings.TrimSpace(text), "?"))
	if len(r) > most {
		r = append(r[:most-1], '…')
	}
	return `"` + string(r) + `"`
}
