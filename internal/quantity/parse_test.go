package quantity_test

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

func takes(dims ...quantity.Dim) quantity.Want {
	return quantity.Want{Option: "size", Dims: dims}
}

func in(w quantity.Want, s quantity.System) quantity.Want {
	w.System = s
	return w
}

var percent = quantity.Want{Option: "waste", Dims: []quantity.Dim{quantity.Number}, Percent: true, Negative: true, Max: 1, Min: -0.5}

// TestParse has every form of a quantity that the command surface promises.
// Values follow from the definitions in factor.go, which TestFactorsPublished
// checks, by the arithmetic beside them.
func TestParse(t *testing.T) {
	mass, volume, length := takes(quantity.Mass), takes(quantity.Volume), takes(quantity.Length)
	temp, time, density := takes(quantity.Temp), takes(quantity.Time), takes(quantity.Density)
	tests := []struct {
		text  string
		want  quantity.Want
		value float64 // base units
		unit  quantity.Unit
		note  string // part of the one note, "" for none
	}{
		// Bare numbers take the unit of the shop and say so.
		{"250", volume, 250, quantity.Milliliter, "250 taken as 250 mL"},
		{"2.5", volume, 2.5, quantity.Milliliter, "2.5 mL"},
		{"2,5", volume, 2.5, quantity.Milliliter, "2,5 taken as 2.5 mL"},
		{"1/2", volume, 0.5, quantity.Milliliter, "0.5 mL"},
		{"2 3/8", length, 2.375, quantity.Millimeter, "2 3/8 taken as 2.375 mm"},
		{"1e3", volume, 1000, quantity.Milliliter, "1000 mL"},
		{"250", mass, 250, quantity.Gram, "250 g"},
		{"8", in(volume, quantity.US), 8 * 29.5735295625, quantity.FluidOunce, "8 taken as 8 fl oz"},
		{"8", in(volume, quantity.Imperial), 8 * 28.4130625, quantity.ImperialFluidOunce, "8 imp fl oz"},
		{"72", in(temp, quantity.US), 200.0 / 9, quantity.Fahrenheit, "72 °F"},
		{"22", temp, 22, quantity.Celsius, "22 °C"},
		{"90", time, 5400, quantity.Minute, "90 min"},
		{"1.10", density, 1.1, quantity.GramPerMilliliter, "1.1 g/mL"},
		{"12", takes(quantity.Number), 12, quantity.NoUnit, ""},
		{"3", quantity.Want{Dims: []quantity.Dim{quantity.Time}, Bare: quantity.Day}, 3 * 86400, quantity.Day, "3 days"},
		{"1", quantity.Want{Dims: []quantity.Dim{quantity.Time}, Bare: quantity.Day}, 86400, quantity.Day, "1 day"},

		// Units, case-free, with or without a space.
		{"250ml", volume, 250, quantity.Milliliter, ""},
		{"250 ML", volume, 250, quantity.Milliliter, ""},
		{"1.5 l", volume, 1500, quantity.Liter, ""},
		{"33 cl", volume, 330, quantity.Centiliter, ""},
		{"250cc", volume, 250, quantity.CubicCentimeter, ""},
		{"40 cm3", volume, 40, quantity.CubicCentimeter, ""},
		{"40 cm³", volume, 40, quantity.CubicCentimeter, ""},
		{"40 cm^3", volume, 40, quantity.CubicCentimeter, ""},
		{"2 in3", volume, 2 * 16.387064, quantity.CubicInch, ""},
		{"2 cubic inches", volume, 2 * 16.387064, quantity.CubicInch, ""},
		{"5 ft3", volume, 5 * 28316.846592, quantity.CubicFoot, ""},
		{"8 fl oz", in(volume, quantity.US), 8 * 29.5735295625, quantity.FluidOunce, ""},
		{"8 fl. oz.", in(volume, quantity.US), 8 * 29.5735295625, quantity.FluidOunce, ""},
		{"8floz", volume, 8 * 29.5735295625, quantity.FluidOunce, "floz read as US"},
		{"1/2 cup", in(volume, quantity.US), 118.29411825, quantity.Cup, ""},
		{"3 tsp", in(volume, quantity.US), 14.78676478125, quantity.Teaspoon, ""},
		{"1 tbsp", in(volume, quantity.US), 14.78676478125, quantity.Tablespoon, ""},
		{"2 drops", takes(quantity.Drops), 2, quantity.Drop, ""},
		{"1 drop", takes(quantity.Drops), 1, quantity.Drop, ""},
		{"12 mm", length, 12, quantity.Millimeter, ""},
		{"1.2 m", length, 1200, quantity.Meter, ""},
		{"500 µm", length, 0.5, quantity.Micrometer, ""},
		{"500 um", length, 0.5, quantity.Micrometer, ""},
		{"300 cm2", takes(quantity.Area), 30000, quantity.SquareCentimeter, ""},
		{"2 sq ft", takes(quantity.Area), 2 * 92903.04, quantity.SquareFoot, ""},
		{"45 min", time, 2700, quantity.Minute, ""},
		{"4 mo", time, 4 * 2629746, quantity.Month, ""},
		{"2 wk", time, 14 * 86400, quantity.Week, ""},
		{"400 kPa", takes(quantity.Pressure), 400, quantity.Kilopascal, ""},
		{"60psi", takes(quantity.Pressure), 60 * 6.894757293168, quantity.PSI, ""},
		{"29 inHg", takes(quantity.Pressure), 29 * 3.386388640341, quantity.InchOfMercury, ""},
		{"1100 kg/m3", density, 1.1, quantity.KilogramPerCubicMeter, ""},
		{"9.2 lb/gal", in(density, quantity.US), 9.2 * 0.11982642731689663, quantity.PoundPerGallon, ""},
		{"26 in3/lb", density, 27.679904710203125 / 26, quantity.CubicInchPerPound, ""},
		{"26 cu in per lb", density, 27.679904710203125 / 26, quantity.CubicInchPerPound, ""},
		{"1.10 SG", density, 1.1, quantity.SpecificGravity, ""},
		{"SG 1.10", density, 1.1, quantity.SpecificGravity, ""},
		{"10%", percent, 0.1, quantity.PercentSign, ""},
		{"0.5 %", percent, 0.005, quantity.PercentSign, ""},

		// Compounds.
		{"1 lb 4 oz", mass, 566.9904625, quantity.Ounce, ""},
		{"1lb4oz", mass, 566.9904625, quantity.Ounce, ""},
		{"1 lb, 4 oz", mass, 566.9904625, quantity.Ounce, ""},
		{"1 lb and 4 oz", mass, 566.9904625, quantity.Ounce, ""},
		{"5 ft 3 in", length, 1600.2, quantity.Inch, ""},
		{"5ft3in", length, 1600.2, quantity.Inch, ""},
		{`5' 3"`, length, 1600.2, quantity.Inch, ""},
		{"5′ 3″", length, 1600.2, quantity.Inch, ""},
		{"5' 3''", length, 1600.2, quantity.Inch, ""},
		{"5' 3 1/2\"", length, 1612.9, quantity.Inch, ""},
		{"5 ft 3", length, 1600.2, quantity.Inch, ""},
		{"1h20", time, 4800, quantity.Minute, ""},
		{"1h20m", time, 4800, quantity.Minute, ""},
		{"1 h 20 min", time, 4800, quantity.Minute, ""},
		{"1h20m30s", time, 4830, quantity.Second, ""},
		{"1:02:30", time, 3750, quantity.Second, ""},
		{"1 d 4 h", time, 100800, quantity.Hour, ""},
		{"-5 ft 3 in", quantity.Want{Dims: []quantity.Dim{quantity.Length}, Negative: true}, -1600.2, quantity.Inch, ""},
		{"1 pt 4 oz", in(volume, quantity.US), 20 * 29.5735295625, quantity.FluidOunce, ""},

		// Temperatures; K is the one unit with a case.
		{"72F", temp, 200.0 / 9, quantity.Fahrenheit, ""},
		{"22 °C", temp, 22, quantity.Celsius, ""},
		{"22 c", temp, 22, quantity.Celsius, ""},
		{"22 deg C", temp, 22, quantity.Celsius, ""},
		{"295 K", temp, 21.85, quantity.Kelvin, ""},
		{"-5 C", temp, -5, quantity.Celsius, ""},
		{"−5 °C", temp, -5, quantity.Celsius, ""},
		{"0 C", temp, 0, quantity.Celsius, ""},
		{"22°", temp, 22, quantity.Celsius, "22 taken as 22 °C"},
		{"72°", in(temp, quantity.US), 200.0 / 9, quantity.Fahrenheit, "72 °F"},

		// Numbers as the world writes them.
		{"0,125 l", volume, 125, quantity.Liter, ""},
		{"1,000.5 ml", volume, 1000.5, quantity.Milliliter, ""},
		{"1.000,5 ml", volume, 1000.5, quantity.Milliliter, ""},
		{"1234,567 ml", volume, 1234.567, quantity.Milliliter, ""},
		{"1,234,567 ml", volume, 1234567, quantity.Milliliter, ""},
		{"1 000 ml", volume, 1000, quantity.Milliliter, "1 000 read as 1000"},
		{"1\u202f000 ml", volume, 1000, quantity.Milliliter, "read as 1000"},
		{"12\u00a0mm", length, 12, quantity.Millimeter, ""},
		{".5 in", length, 12.7, quantity.Inch, ""},
		{"5. in", length, 127, quantity.Inch, ""},
		{"+5 in", length, 127, quantity.Inch, ""},
		{"1.2E-1 in", length, 3.048, quantity.Inch, ""},
		{"½ in", length, 12.7, quantity.Inch, ""},
		{"2½ in", length, 63.5, quantity.Inch, ""},
		{"¾\"", length, 19.05, quantity.Inch, ""},
		{"1⁄4 in", length, 6.35, quantity.Inch, ""},
		{"2-3/8 in", length, 60.325, quantity.Inch, ""},
		{"1/2-inch", length, 12.7, quantity.Inch, ""},
		{"２５ｍｌ", volume, 25, quantity.Milliliter, ""},
		{"\u200e250 ml\u200f", volume, 250, quantity.Milliliter, ""},

		// Ounces and countries.
		{"8 oz", volume, 8 * 29.5735295625, quantity.FluidOunce, "US fluid ounces, 29.57 mL each"},
		{"8 oz", in(volume, quantity.US), 8 * 29.5735295625, quantity.FluidOunce, "US fluid ounces"},
		{"8 oz", mass, 226.796185, quantity.Ounce, ""},
		{"8 oz wt", takes(quantity.Mass, quantity.Volume), 226.796185, quantity.Ounce, ""},
		{"8 fl oz", in(takes(quantity.Mass, quantity.Volume), quantity.US), 236.5882365, quantity.FluidOunce, ""},
		{"1 lb 8 oz", takes(quantity.Mass, quantity.Volume), 680.388555, quantity.Ounce, ""},
		{"1 gal", volume, 3785.411784, quantity.Gallon, "gal read as US, 3785 mL each"},
		{"1 gal", in(volume, quantity.Imperial), 4546.09, quantity.ImperialGallon, "imperial, 4546 mL each"},
		{"1 US gal", in(volume, quantity.Imperial), 3785.411784, quantity.Gallon, ""},
		{"2 pt", in(volume, quantity.Imperial), 1136.5225, quantity.ImperialPint, "imperial"},
		{"9 lb/gal", in(density, quantity.Imperial), 9 * 453.59237 / 4546.09, quantity.PoundPerImperialGallon, "pounds per imperial gallon"},

		// Percentages.
		{"10", percent, 0.1, quantity.PercentSign, "10 taken as 10 %"},
		{"1", percent, 0.01, quantity.PercentSign, "1 %"},
		{"0", percent, 0, quantity.PercentSign, "0 %"},
		{"-5", percent, -0.05, quantity.PercentSign, "%"},
		{"1.5 %", percent, 0.015, quantity.PercentSign, ""},

		// Several dimensions; the first one is that of a bare number.
		{"5", takes(quantity.Volume, quantity.Mass), 5, quantity.Milliliter, "5 mL"},
		{"5 g", takes(quantity.Volume, quantity.Mass), 5, quantity.Gram, ""},
		{"5 g", quantity.Want{}, 5, quantity.Gram, ""},
		{"5", quantity.Want{}, 5, quantity.NoUnit, ""},
		{"0 g", quantity.Want{Dims: []quantity.Dim{quantity.Mass}, Zero: true}, 0, quantity.Gram, ""},
	}
	for _, tt := range tests {
		t.Run(tt.text, func(t *testing.T) {
			q, notes, err := quantity.Parse(tt.text, tt.want)
			if err != nil {
				t.Fatalf("Parse(%q): %v", tt.text, err)
			}
			if math.Abs(q.Value-tt.value) > 1e-10*math.Max(1, math.Abs(tt.value)) || q.Unit != tt.unit {
				t.Errorf("Parse(%q) = %.12g in %q, want %.12g in %q", tt.text, q.Value, q.Unit.Symbol(), tt.value, tt.unit.Symbol())
			}
			if q.Dim != tt.unit.Dim() {
				t.Errorf("Parse(%q) is %s", tt.text, q.Dim.Name())
			}
			if tt.note == "" && len(notes) > 0 || tt.note != "" && (len(notes) != 1 || !strings.Contains(notes[0], tt.note)) {
				t.Errorf("Parse(%q) notes %q, want one with %q", tt.text, notes, tt.note)
			}
		})
	}
}

// TestParseRefusals holds the code of each refusal, and words that its message
// and hint must have: what was read, and what to type.
func TestParseRefusals(t *testing.T) {
	mass, volume, time := takes(quantity.Mass), takes(quantity.Volume), takes(quantity.Time)
	thickness := quantity.Want{Option: "thickness", Dims: []quantity.Dim{quantity.Length}, Min: 1, Max: 500}
	tests := []struct {
		name    string
		text    string
		want    quantity.Want
		code    fault.Code
		message string
		hint    string
	}{
		{"nothing", " ", mass, fault.BadQuantity, "nothing was typed", "such as 250 g"},
		{"too long", strings.Repeat("1", 300), mass, fault.BadQuantity, "300 characters", "250 g"},
		{"no number", "some", mass, fault.BadQuantity, `"some"`, "250 g"},
		{"NaN", "NaN", thickness, fault.BadQuantity, `"NaN"`, "from 1 mm to 500 mm"},
		{"NaN with unit", "nan mm", thickness, fault.BadQuantity, `"nan mm"`, "from 1 mm to 500 mm"},
		{"infinite", "inf", thickness, fault.BadQuantity, `"inf"`, "from 1 mm to 500 mm"},
		{"overflow", "1e999 mm", thickness, fault.OutOfRange, `"1e999 mm"`, "from 1 mm to 500 mm"},
		{"underflow", "1e-999 mm", thickness, fault.OutOfRange, `"1e-999 mm"`, "from 1 mm to 500 mm"},
		{"absurd", "1e30 ml", volume, fault.OutOfRange, "more than", "up to 100000000 mL"},
		{"less than any scale shows", "1e-9 g", mass, fault.OutOfRange, "less than", "above 0"},
		{"above the range, in its unit", "300 in", thickness, fault.OutOfRange, `"300 in" is more`, "from 0.03937 in to 19.69 in"},
		{"below the range", "0.2 mm", thickness, fault.OutOfRange, "less than", "from 1 mm to 500 mm"},
		{"zero", "0 mm", thickness, fault.OutOfRange, "nothing at all", "from 1 mm"},
		{"zero volume", "0", volume, fault.OutOfRange, "nothing at all", "above 0"},
		{"negative", "-3 ml", volume, fault.OutOfRange, "below zero", "above 0"},
		{"below absolute cold", "-300 C", takes(quantity.Temp), fault.OutOfRange, "less than", "−100 °C"},
		{"no density at all", "0 in3/lb", takes(quantity.Density), fault.OutOfRange, "outside", "in³/lb"},
		{"wrong dimension", "12 ml", thickness, fault.BadQuantity, "is a volume, and a length is wanted", "12 mm"},
		{"wrong of several", "12 mm", takes(quantity.Mass, quantity.Volume), fault.BadQuantity, "a weight or a volume", "250 g"},
		{"percent of a weight", "10 %", mass, fault.BadQuantity, "a number, and a weight", "g"},
		{"meters for minutes", "20m", time, fault.BadQuantity, "is a length", "type 20 min"},
		{"unknown unit", "3 furlong", thickness, fault.BadQuantity, `"furlong"`, "mm, cm, m, in or ft"},
		{"small k", "295 k", takes(quantity.Temp), fault.BadQuantity, "capital K", "C"},
		{"two values", "5 g 3 ml", mass, fault.BadQuantity, "", "250 g"},
		{"smaller unit first", "4 oz 1 lb", mass, fault.BadQuantity, "more than one value", "250 g"},
		{"same unit twice", "3 g 4 g", mass, fault.BadQuantity, "more than one value", "250 g"},
		{"temperatures do not add", "20 K 3 C", takes(quantity.Temp), fault.BadQuantity, "more than one value", "22 C"},
		{"sign inside", "1 lb -4 oz", mass, fault.BadQuantity, "sign stands inside", "250 g"},
		{"range", "10-12 min", time, fault.BadQuantity, "is a range", "45 min"},
		{"range with a dash", "10 – 12 min", time, fault.BadQuantity, "is a range", "45 min"},
		{"tail without unit", "250 ml 3", volume, fault.BadQuantity, "needs a unit", "250 mL"},
		{"ratio", "1:2", volume, fault.BadQuantity, "ratio", "250 mL"},
		{"list", "3 ml; 4 ml", volume, fault.BadQuantity, "several", "250 mL"},
		{"sign of money", "$5", volume, fault.BadQuantity, `"$5"`, "250 mL"},
		{"rest", "5 ml ?", volume, fault.BadQuantity, `from "?" on`, "250 mL"},
		{"two points", "1.2.3 ml", volume, fault.BadQuantity, `"1.2.3"`, "250 mL"},
		{"zero below the line", "1/0 in", thickness, fault.BadQuantity, `"1/0"`, "12 mm"},
		{"three stories", "1/2/3 in", thickness, fault.BadQuantity, `"1/2"`, "12 mm"},
		{"top-heavy mixed number", "2 9/8 in", thickness, fault.BadQuantity, `"2 9/8"`, "12 mm"},
		{"clock, one colon", "2:30", time, fault.AmbiguousUnit, "hours or minutes", "type 2 h 30 min, or 2 min 30 s"},
		{"clock, minute 75", "1:75:00", time, fault.BadQuantity, "59", "45 min"},
		{"comma and three digits", "1,000", volume, fault.AmbiguousNumber, `"1,000"`, "type 1000 if the comma groups thousands, or 1 if"},
		{"the same with a unit", "1,250 ml", volume, fault.AmbiguousNumber, `"1,250"`, "type 1250 ml if the comma groups thousands, or 1.25 ml if"},
		{"the same below zero", "-12,500 C", takes(quantity.Temp), fault.AmbiguousNumber, `"-12,500"`, "−12.5 C"},
		{"fraction or percent", "0.5", percent, fault.AmbiguousNumber, `"0.5"`, "type 0.5% for 0.5 %, or 50% for 0.5 of"},
		{"vulgar fraction or percent", "1/2", percent, fault.AmbiguousNumber, `"1/2"`, "50%"},
		{"more than all", "150", percent, fault.OutOfRange, "more than", "from −50 % to 100 %"},
		{"ounce of what", "8 oz", takes(quantity.Mass, quantity.Volume), fault.AmbiguousUnit, `"8 oz"`, "8 oz wt for the weight (226.8 g), or 8 fl oz for the volume (236.6 mL)"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			q, _, err := quantity.Parse(tt.text, tt.want)
			f := fault.As(err)
			if f == nil {
				t.Fatalf("Parse(%q) = %v, %v, want a refusal", tt.text, q, err)
			}
			if f.Code != tt.code || f.Option != tt.want.Option {
				t.Errorf("Parse(%q) refused as %s of %q, want %s of %q", tt.text, f.Code, f.Option, tt.code, tt.want.Option)
			}
			if !strings.Contains(f.Message, tt.message) || !strings.Contains(f.Message, tt.want.Option) {
				t.Errorf("Parse(%q) message %q, want %q and %q in it", tt.text, f.Message, tt.message, tt.want.Option)
			}
			if !strings.Contains(f.HintText(), tt.hint) {
				t.Errorf("Parse(%q) hint %q, want %q in it", tt.text, f.HintText(), tt.hint)
			}
			if q != (quantity.Quantity{}) {
				t.Errorf("Parse(%q) gives %v beside the refusal", tt.text, q)
			}
		})
	}
}

// TestHintsWork types what a refusal proposes and expects to be understood.
func TestHintsWork(t *testing.T) {
	for _, text := range []string{"8 oz wt", "8 fl oz", "1000 ml", "−12.5 g", "0.5%"} {
		if _, _, err := quantity.Parse(text, quantity.Want{Negative: true}); err != nil {
			t.Errorf("a hint proposes %q: %v", text, err)
		}
	}
}

// TestParseEcho keeps what could redraw a screen out of messages.
func TestParseEcho(t *testing.T) {
	_, _, err := quantity.Parse("\x1b[2J\u202e"+strings.Repeat("x", 100)+"\xff", takes(quantity.Mass))
	f := fault.As(err)
	if f == nil {
		t.Fatal("control characters were taken for a weight")
	}
	if strings.ContainsAny(f.Message, "\x1b\u202e\n") || !utf8.ValidString(f.Message) || len([]rune(f.Message)) > 150 {
		t.Errorf("message %q", f.Message)
	}
}

// TestDimensions offers one of every unit to an option of every dimension. The
// ounce alone fits two.
func TestDimensions(t *testing.T) {
	for u := quantity.Gram; u < quantity.One; u++ {
		text := "1.5 " + u.Symbol()
		if u.Dim() == quantity.Temp {
			text = "295 " + u.Symbol()
		}
		for d := quantity.Number; d <= quantity.Drops; d++ {
			_, _, err := quantity.Parse(text, takes(d))
			if d == u.Dim() && err != nil {
				t.Errorf("%s as %s: %v", text, d.Name(), err)
			}
			if d != u.Dim() && !fault.Is(err, fault.BadQuantity) && !(u == quantity.Ounce && d == quantity.Volume) {
				t.Errorf("%s as %s: %v, want bad_quantity", text, d.Name(), err)
			}
		}
	}
}
