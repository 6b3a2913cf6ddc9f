package quantity_test

import (
	"math"
	"testing"

	"github.com/pourwright/pourwright/internal/quantity"
)

// sp811 is NIST Special Publication 811 (2008), Appendix B.9, read in a
// transcription of its table; its factors are to metric base units and rounded
// to seven digits where they are not exact.
const sp811 = "NIST SP 811 (2008), Appendix B.9"

// TestFactorsPublished compares one of each unit with what standards print.
// sevenDigits is half a step in the last place of a seven-digit factor.
func TestFactorsPublished(t *testing.T) {
	const sevenDigits, exact = 5e-7, 1e-15
	tests := []struct {
		name   string
		unit   quantity.Unit
		want   float64 // base units
		rel    float64
		source string
	}{
		{"gram", quantity.Gram, 1, 0, "SI"},
		{"kilogram", quantity.Kilogram, 1000, 0, "SI"},
		{"milligram", quantity.Milligram, 0.001, 0, "SI"},
		{"pound", quantity.Pound, 453.59237, exact, "NIST Handbook 44, Appendix C: 1 lb = 453.592 37 g exactly, from memory"},
		{"pound, rounded", quantity.Pound, 453.5924, sevenDigits, sp811},
		{"ounce", quantity.Ounce, 28.34952, sevenDigits, sp811},
		{"ounce, all digits", quantity.Ounce, 28.349523125, exact, "NIST Handbook 44, Appendix C, seen in texts that cite it"},

		{"milliliter", quantity.Milliliter, 1, 0, "SI"},
		{"centiliter", quantity.Centiliter, 10, 0, "SI"},
		{"liter", quantity.Liter, 1000, 0, sp811},
		{"cubic millimeter", quantity.CubicMillimeter, 0.001, 0, "SI"},
		{"cubic centimeter", quantity.CubicCentimeter, 1, 0, "SI"},
		{"cubic meter", quantity.CubicMeter, 1e6, 0, "SI"},
		{"cubic inch", quantity.CubicInch, 16.387064, exact, "NIST Handbook 44, Appendix C: 16.387 064 cm³ exactly, from memory"},
		{"cubic foot", quantity.CubicFoot, 28316.846592, exact, "NIST Handbook 44, Appendix C: 28.316 846 592 dm³ exactly, from memory"},
		{"fluid ounce", quantity.FluidOunce, 29.57353, sevenDigits, sp811},
		{"fluid ounce, all digits", quantity.FluidOunce, 29.5735295625, exact, "NIST Handbook 44, Appendix C, seen in texts that cite it"},
		{"cup", quantity.Cup, 236.5882, sevenDigits, sp811},
		{"pint", quantity.Pint, 473.1765, sevenDigits, sp811},
		{"quart", quantity.Quart, 946.3529, sevenDigits, sp811},
		{"gallon", quantity.Gallon, 3785.412, sevenDigits, sp811},
		{"gallon, all digits", quantity.Gallon, 3785.411784, exact, "NIST Handbook 44, Appendix C, seen in texts that cite it"},
		{"tablespoon", quantity.Tablespoon, 14.78676, sevenDigits, sp811},
		{"teaspoon", quantity.Teaspoon, 4.928922, sevenDigits, sp811},
		{"imperial fluid ounce", quantity.ImperialFluidOunce, 28.41306, sevenDigits, sp811},
		{"imperial gill, a quarter pint", quantity.ImperialPint, 4 * 142.0653, sevenDigits, sp811},
		{"imperial gallon", quantity.ImperialGallon, 4546.09, exact, sp811},
		{"imperial quart", quantity.ImperialQuart, 1136.5225, exact, "a quarter of the imperial gallon"},
		{"imperial cup", quantity.ImperialCup, 284.130625, exact, "common practice, no source: half an imperial pint"},

		{"millimeter", quantity.Millimeter, 1, 0, "SI"},
		{"centimeter", quantity.Centimeter, 10, 0, "SI"},
		{"meter", quantity.Meter, 1000, 0, "SI"},
		{"inch", quantity.Inch, 25.4, exact, sp811},
		{"foot", quantity.Foot, 304.8, exact, sp811},
		{"micrometer", quantity.Micrometer, 0.001, 0, sp811},

		{"square millimeter", quantity.SquareMillimeter, 1, 0, "SI"},
		{"square centimeter", quantity.SquareCentimeter, 100, 0, "SI"},
		{"square meter", quantity.SquareMeter, 1e6, 0, "SI"},
		{"square inch", quantity.SquareInch, 645.16, exact, "NIST SP 811 (2008), Appendix B: 6.4516 E-04 m² exactly"},
		{"square foot", quantity.SquareFoot, 92903.04, exact, "NIST SP 811 (2008), Appendix B: 9.290 304 E-02 m² exactly"},

		{"second", quantity.Second, 1, 0, "SI"},
		{"minute", quantity.Minute, 60, 0, sp811},
		{"hour", quantity.Hour, 3600, 0, sp811},
		{"day", quantity.Day, 86400, 0, sp811},
		{"week", quantity.Week, 7 * 86400, 0, "seven days"},
		{"month", quantity.Month, 146097 * 86400 / 4800.0, exact, "Gregorian calendar: 146 097 days in 4800 months"},

		{"kilopascal", quantity.Kilopascal, 1, 0, "SI"},
		{"bar", quantity.Bar, 100, 0, sp811},
		{"millibar", quantity.Millibar, 0.1, 0, sp811},
		{"psi", quantity.PSI, 6.894757, sevenDigits, sp811},
		{"inch of mercury, conventional", quantity.InchOfMercury, 3.386389, sevenDigits, sp811},
		{"atmosphere", quantity.Atmosphere, 101.325, 0, sp811},
		{"torr", quantity.Torr, 0.1333224, sevenDigits, sp811},

		{"gram per milliliter", quantity.GramPerMilliliter, 1, 0, "SI"},
		{"kilogram per cubic meter", quantity.KilogramPerCubicMeter, 0.001, 0, "SI"},
		{"pound per gallon", quantity.PoundPerGallon, 0.1198264, sevenDigits, "NIST SP 811 (2008), Appendix B, seen in texts that cite it"},
		{"pound per imperial gallon", quantity.PoundPerImperialGallon, 0.09977637, sevenDigits, "NIST SP 811 (2008), Appendix B, from memory"},
		{"pound per cubic foot", quantity.PoundPerCubicFoot, 0.01601846, sevenDigits, "NIST SP 811 (2008), Appendix B, seen in texts that cite it"},
		{"cubic inch per pound", quantity.CubicInchPerPound, 27.67990, sevenDigits, "reciprocal of lb/in³: NIST SP 811 (2008), Appendix B, seen in texts that cite it"},
		{"specific gravity", quantity.SpecificGravity, 1, 0, "common practice, no source: bulletins print g/mL under SG"},

		{"drop", quantity.Drop, 1, 0, "definition"},
		{"percent", quantity.PercentSign, 0.01, 0, "definition"},
		{"one", quantity.One, 1, 0, "definition"},
	}
	seen := make(map[quantity.Unit]bool)
	for _, tt := range tests {
		seen[tt.unit] = true
		t.Run(tt.name, func(t *testing.T) {
			if got := tt.unit.Base(1); math.Abs(got-tt.want) > tt.rel*tt.want {
				t.Errorf("1 %s = %.12g base units, want %.12g (%s)", tt.unit.Symbol(), got, tt.want, tt.source)
			}
		})
	}
	for u := quantity.Gram; u <= quantity.One; u++ {
		if !seen[u] && u.Dim() != quantity.Temp {
			t.Errorf("unit %d (%s) has no row here: give it one with the source of its factor", u, u.Symbol())
		}
	}
}

// TestTemperaturePoints uses fixed points of the scales: NIST SP 811 (2008),
// Appendix B.9, T/K = t/°C + 273.15 and t/°C = (t/°F − 32)/1.8.
func TestTemperaturePoints(t *testing.T) {
	tests := []struct {
		name    string
		unit    quantity.Unit
		reading float64
		want    float64 // °C
	}{
		{"ice point in F", quantity.Fahrenheit, 32, 0},
		{"boiling in F", quantity.Fahrenheit, 212, 100},
		{"scales meet", quantity.Fahrenheit, -40, -40},
		{"room in F", quantity.Fahrenheit, 72, 22.0 + 2.0/9},
		{"ice point in K", quantity.Kelvin, 273.15, 0},
		{"absolute zero", quantity.Kelvin, 0, -273.15},
		{"celsius", quantity.Celsius, 21, 21},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := tt.unit.Base(tt.reading); math.Abs(got-tt.want) > 1e-12 {
				t.Errorf("%g %s = %.15g °C, want %.15g", tt.reading, tt.unit.Symbol(), got, tt.want)
			}
			if got := tt.unit.From(tt.want); math.Abs(got-tt.reading) > 1e-12 {
				t.Errorf("%g °C = %.15g %s, want %g", tt.want, got, tt.unit.Symbol(), tt.reading)
			}
		})
	}
	if got := quantity.Fahrenheit.Span(10); math.Abs(got-18) > 1e-12 {
		t.Errorf("ten degrees Celsius warmer is %g °F warmer, want 18", got)
	}
	if got := quantity.CubicInchPerPound.Span(1); !math.IsNaN(got) {
		t.Errorf("a difference of densities in in³/lb = %g, want NaN", got)
	}
}
