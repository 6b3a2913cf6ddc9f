package plot

import (
	"fmt"
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/quantity"
)

// Alt tells the marks with their ranges, and of each curve its start, its top
// and its end.
func (c Curves) Alt() string {
	if c.check() != nil {
		return "A chart that could not be drawn."
	}
	var b strings.Builder
	fmt.Fprintf(&b, "A chart over %s.", strings.TrimSpace(c.along(c.span())+" "+clean(c.Since)))
	for _, m := range c.Marks {
		fmt.Fprintf(&b, " %s: %s.", clean(m.Label), rangeText(m.At, c.along))
	}
	for _, p := range c.Panels {
		fmt.Fprintf(&b, " %s:", clean(p.Title))
		for i, s := range p.Series {
			if i > 0 {
				b.WriteByte(';')
			}
			b.WriteString(" " + clean(s.Label) + " " + s.course(c.along))
		}
		for _, l := range p.Levels {
			fmt.Fprintf(&b, "; %s at %s", clean(l.Label), number(l.At))
		}
		b.WriteByte('.')
	}
	return b.String()
}

// course tells how a curve goes on, by its middle.
func (s Series) course(along func(float64) string) string {
	top, last := 0, len(s.Values)-1
	for i, v := range s.Values {
		if v.Mid > s.Values[top].Mid {
			top = i
		}
	}
	text := "from " + number(s.Values[0].Mid)
	if top > 0 && top < last && s.Values[top].Mid > s.Values[last].Mid {
		text += fmt.Sprintf(" up to %s after %s, then", rangeText(s.Values[top], number), along(s.Time[top]))
	}
	return text + " to " + rangeText(s.Values[last], number)
}

// rangeText is the middle and, where there is a range, its ends.
func rangeText(r quantity.Range, say func(float64) string) string {
	mid, low, high := say(r.Mid), say(r.Low), say(r.High)
	if low == high {
		return mid
	}
	return fmt.Sprintf("%s (%s to %s)", mid, low, high)
}

// number is v with three digits: more is not in a picture.
func number(v float64) string {
	if v != 0 {
		unit := math.Pow(10, math.Floor(math.Log10(math.Abs(v)))-2)
		v = math.Round(v/unit) * unit
	}
	return quantity.Text(v, quantity.Number, quantity.Metric)
}

// along tells a place on the axis.
func (c Curves) along(x float64) string {
	if c.Of != "" {
		return number(x) + " " + clean(c.Of)
	}
	return timeText(x)
}

func timeText(s float64) string { return quantity.Text(s, quantity.Time, quantity.Metric) }
