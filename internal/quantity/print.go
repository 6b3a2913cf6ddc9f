package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Text writes the quantity in the unit that it was typed in, so that a reply
// answers alike, and else as the package's Text does. Times and densities in
// g/mL always are: "1 h 20 min", "1.10 g/mL". In an imperial shop a US measure
// says that it is one.
func (q Quantity) Text(s System) string {
	if q.Unit == NoUnit || q.Unit == GramPerMilliliter || q.Dim == Time {
		return Text(q.Value, q.Dim, s)
	}
	text := TextIn(q.Value, q.Unit)
	if _, differs := imperialOf[q.Unit]; differs && s == Imperial {
		symbol := q.Unit.Symbol()
		national := strings.Replace(" US "+symbol, "US lb/", "lb/US ", 1)
		text = strings.Replace(text, " "+symbol, national, 1)
	}
	return text
}

// Text writes a value in base units of d as a member of that system reads it:
// three significant digits, or all digits of a larger whole part, in a unit
// that suits the size. Parse reads it back.
//
//	Text(1318, Mass, Metric) == "1.32 kg"
//	Text(4800, Time, Metric) == "1 h 20 min"
func Text(v float64, d Dim, s System) string {
	switch d {
	case Time:
		return timeText(v)
	case Temp:
		u := BareUnit(Temp, s)
		return sized(fixed(u.From(v), tempDigits(u)), u)
	case Density:
		return densityText(v)
	case Number:
		return significant(v, 4)
	}
	u := suited(v, d, s)
	return sized(significant(u.From(v), 3), u)
}

// TextIn writes a value in base units as a reading in u, to four significant
// digits.
func TextIn(v float64, u Unit) string {
	return sized(significant(u.From(v), 4), u)
}

// TextStep writes grams as a scale of that step shows them, "132.0 g"; step is
// in grams, and zero or less means that no scale is known. Members of the other
// systems read ounces beside: "132.0 g (4.66 oz)".
func TextStep(v, step float64, s System) string {
	if !(step > 0) {
		return Text(v, Mass, s)
	}
	shown := math.Round(v/step) * step
	text := fixedZeros(shown, stepDigits(step)) + " g"
	if beside := poundText(shown); s != Metric && beside != "" {
		text += " (" + beside + ")"
	}
	return text
}

// stepDigits is how many decimals show every multiple of step: 1 for 0.5 and
// 0.1, 2 for 0.05.
func stepDigits(step float64) int {
	const most = 6
	scaled := step
	for n := range most {
		if math.Abs(scaled-math.Round(scaled)) < 1e-6*scaled {
			return n
		}
		scaled *= 10
	}
	return most
}

// poundText writes grams in ounces, from one pound on in pounds and ounces as
// a postal scale shows them; it is empty below what such a scale shows.
func poundText(grams float64) string {
	ounces := math.Abs(grams / ounceG)
	switch {
	case ounces < 0.05:
		return ""
	case ounces < 9.995:
		return fixed(grams/ounceG, 2) + " oz"
	case ounces < 15.95:
		return fixed(grams/ounceG, 1) + " oz"
	}
	tenths := math.Round(ounces * 10)
	pounds := math.Floor(tenths / 160)
	text := fixed(math.Copysign(pounds, grams), 0) + " lb"
	if rest := tenths - pounds*160; rest > 0 {
		text += " " + fixed(rest/10, 1) + " oz"
	}
	return text
}

// TextRange writes a range by its low and high ends, "11–14 min"; one value
// where both read the same.
func TextRange(r Range, d Dim, s System) string {
	low, high := Text(r.Low, d, s), Text(r.High, d, s)
	if low == high {
		return low
	}
	lowNumber, lowUnit, _ := strings.Cut(low, " ")
	_, highUnit, _ := strings.Cut(high, " ")
	if sameUnit(lowUnit, highUnit) && r.Low >= 0 {
		return lowNumber + "–" + high
	}
	if sameUnit(lowUnit, highUnit) {
		return lowNumber + " to " + high
	}
	return low + " to " + high
}

// sameUnit compares what stands behind two numbers but for the plural; the rest
// of "1 h 20 min" is more than a unit.
func sameUnit(a, b string) bool {
	return strings.TrimSuffix(a, "s") == strings.TrimSuffix(b, "s") && !strings.ContainsAny(a, "0123456789")
}

// TextSpan writes a difference of temperatures, given in °C: ten degrees
// Celsius are eighteen degrees Fahrenheit.
func TextSpan(v float64, s System) string {
	u := BareUnit(Temp, s)
	return sized(fixed(u.Span(v), tempDigits(u)), u)
}

// Percent writes a fraction, 0.07 as "7 %".
func Percent(f float64) string { return significant(100*f, 3) + " %" }

// tempDigits is the decimals of a temperature: a tenth of a degree Celsius, and
// whole degrees Fahrenheit, as thermometers show them.
func tempDigits(u Unit) int {
	if u == Fahrenheit {
		return 0
	}
	return 1
}

// densityText keeps two or three decimals, as bulletins print densities.
func densityText(v float64) string {
	text := fixed(v, 3)
	if v >= 0.01 && len(text) < len("1.00") {
		text = fixedZeros(v, 2)
	}
	return text + " g/mL"
}

// suited is the unit that a value of that size reads best in.
func suited(v float64, d Dim, s System) Unit {
	if v == 0 && d == Length {
		return BareUnit(d, s) // nothing is nothing: no need of micrometers
	}
	v = math.Abs(v)
	ladder := ladders[d][s]
	u := ladder[0].unit
	for _, step := range ladder[1:] {
		if v >= step.from {
			u = step.unit
		}
	}
	return u
}

// rung is a unit and the least value, in base units, that is written in it. The
// limits sit just below a round number, so that rounding cannot give 1000 g.
type rung struct {
	unit Unit
	from float64
}

var ladders = [...][3][]rung{
	Mass: {
		{{Milligram, 0}, {Gram, 0.000999}, {Kilogram, 999.5}},
		{{Milligram, 0}, {Gram, 0.000999}, {Ounce, ounceG / 2}, {Pound, 15.95 * ounceG}},
		{{Milligram, 0}, {Gram, 0.000999}, {Ounce, ounceG / 2}, {Pound, 15.95 * ounceG}},
	},
	Volume: {
		{{Milliliter, 0}, {Liter, 999.5}},
		{{Milliliter, 0}, {FluidOunce, 0.1 * fluidOunceML}, {Gallon, gallonML / 2}},
		{{Milliliter, 0}, {ImperialFluidOunce, 0.1 * impFluidOunceML}, {ImperialGallon, impGallonML / 2}},
	},
	Length: {
		{{Micrometer, 0}, {Millimeter, 0.01}, {Meter, 999.5}},
		{{Inch, 0}, {Foot, 10 * footMM}},
		{{Inch, 0}, {Foot, 10 * footMM}},
	},
	Area: {
		{{SquareMillimeter, 0}, {SquareCentimeter, 99.95}, {SquareMeter, 999500}},
		{{SquareInch, 0}, {SquareFoot, 10 * footMM * footMM}},
		{{SquareInch, 0}, {SquareFoot, 10 * footMM * footMM}},
	},
	Pressure: {
		{{Kilopascal, 0}},
		{{PSI, 0}},
		{{PSI, 0}},
	},
	Drops: {{{Drop, 0}}, {{Drop, 0}}, {{Drop, 0}}},
}

// sized puts a unit behind a written number.
func sized(number string, u Unit) string {
	if l := label(u, number); l != "" {
		return number + " " + l
	}
	return number
}

// label is the unit behind a written number: the symbol, or a word with its
// plural where the unit has no symbol that everybody knows.
func label(u Unit, number string) string {
	word, spelled := spelledUnits[u]
	switch {
	case !spelled:
		return u.Symbol()
	case number == "1":
		return word
	}
	return word + "s"
}

var spelledUnits = map[Unit]string{
	Drop: "drop", Cup: "cup", ImperialCup: "imp cup", Day: "day", Week: "week", Month: "month",
}

// significant writes v to that many significant digits without an exponent or
// closing zeros; a longer whole part is kept in full.
func significant(v float64, digits int) string {
	if v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return fixed(v, 0)
	}
	whole := int(math.Floor(math.Log10(math.Abs(v)))) + 1
	return fixed(v, min(max(digits-whole, 0), 15))
}

// fixed writes v with at most that many decimals, without closing zeros.
func fixed(v float64, decimals int) string {
	text := fixedZeros(v, decimals)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// fixedZeros writes v with exactly that many decimals, with the minus sign of
// typography and without a negative zero.
func fixedZeros(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if math.Abs(v) >= tooLong {
		text = strconv.FormatFloat(v, 'g', 4, 64)
	}
	if rest, negative := strings.CutPrefix(text, "-"); negative {
		if strings.Trim(rest, "0.") == "" {
			return rest
		}
		return "−" + rest
	}
	return text
}

// exact writes v as it was typed: the shortest digits that give v again.
func exact(v float64) string {
	text := strconv.FormatFloat(v, 'f', -1, 64)
	if math.Abs(v) >= tooLong {
		text = strconv.FormatFloat(v, 'g', -1, 64)
	}
	return strings.Replace(text, "-", "−", 1)
}

// tooLong is where numbers get an exponent: nobody counts fifteen zeros.
const tooLong = 1e15
