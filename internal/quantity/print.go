package quantity

import (
	"strconv"
)

// Text writes the quantity in the unit it was typed in.
func (q Quantity) Text(s System) string { return Text(q.Value, q.Dim, s) }

// Text writes a value in base units of d for a member of that system.
func Text(v float64, d Dim, s System) string {
	return strconv.FormatFloat(v, 'g', 4, 64) + " " + BaseUnit(d)
}

// TextIn writes a value in base units as a reading in u.
func TextIn(v float64, u Unit) string {
	return strconv.FormatFloat(u.From(v), 'g', 4, 64) + " " + u.Symbol()
}

// TextStep writes grams as a scale of that step shows them.
func TextStep(v, step float64, s System) string { return Text(v, Mass, s) }

// TextRange writes a range, "11–14 min".
func TextRange(r Range, d Dim, s System) string {
	return Text(r.Low, d, s) + "–" + Text(r.High, d, s)
}

// TextSpan writes a difference of temperatures, given in °C.
func TextSpan(v float64, s System) string { return Text(v, Temp, s) }

// Percent writes a fraction, 0.07 as "7 %".
func Percent(f float64) string { return strconv.FormatFloat(100*f, 'g', 3, 64) + " %" }

// Text writes the ratio as typed, "100:45 by weight".
func (r Ratio) Text() string {
	return strconv.FormatFloat(r.A, 'g', -1, 64) + ":" + strconv.FormatFloat(r.B, 'g', -1, 64)
}
