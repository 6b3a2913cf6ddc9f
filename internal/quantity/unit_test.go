package quantity_test

import (
	"math"
	"testing"

	"github.com/pourwright/pourwright/internal/quantity"
)

func TestUnitNamed(t *testing.T) {
	tests := []struct {
		text   string
		system quantity.System
		want   quantity.Unit
	}{
		{"g", quantity.Metric, quantity.Gram},
		{"KG", quantity.Metric, quantity.Kilogram},
		{"Lbs", quantity.Metric, quantity.Pound},
		{"ounces", quantity.Metric, quantity.Ounce},
		{"mL", quantity.Metric, quantity.Milliliter},
		{"cc", quantity.Metric, quantity.CubicCentimeter},
		{"in³", quantity.Metric, quantity.CubicInch},
		{"cu. in.", quantity.Metric, quantity.CubicInch},
		{"fl. oz.", quantity.Metric, quantity.FluidOunce},
		{"fl oz", quantity.Imperial, quantity.ImperialFluidOunce},
		{"gal", quantity.US, quantity.Gallon},
		{"gal", quantity.Metric, quantity.Gallon},
		{"gal", quantity.Imperial, quantity.ImperialGallon},
		{"quarts", quantity.Imperial, quantity.ImperialQuart},
		{"pt", quantity.Imperial, quantity.ImperialPint},
		{"cup", quantity.Imperial, quantity.ImperialCup},
		{"tbsp", quantity.Imperial, quantity.Tablespoon},
		{"US gal", quantity.Imperial, quantity.Gallon},
		{"imp gal", quantity.US, quantity.ImperialGallon},
		{"UK pt", quantity.US, quantity.ImperialPint},
		{"imperial fl oz", quantity.US, quantity.ImperialFluidOunce},
		{"lb/gal", quantity.Imperial, quantity.PoundPerImperialGallon},
		{"lb/US gal", quantity.Imperial, quantity.PoundPerGallon},
		{"µm", quantity.Metric, quantity.Micrometer}, // micro sign
		{"μm", quantity.Metric, quantity.Micrometer}, // Greek mu
		{`"`, quantity.Metric, quantity.Inch},
		{"'", quantity.Metric, quantity.Foot},
		{"K", quantity.Metric, quantity.Kelvin},
		{"°F", quantity.Metric, quantity.Fahrenheit},
		{"c", quantity.Metric, quantity.Celsius},
		{"M", quantity.Metric, quantity.Meter},
		{"MO", quantity.Metric, quantity.Month},
		{"inHg", quantity.Metric, quantity.InchOfMercury},
		{"sg", quantity.Metric, quantity.SpecificGravity},
		{"in3/lb", quantity.Metric, quantity.CubicInchPerPound},
		{"%", quantity.Metric, quantity.PercentSign},
		{"1", quantity.Metric, quantity.One},
		{"drops", quantity.Metric, quantity.Drop},
	}
	for _, tt := range tests {
		t.Run(tt.text, func(t *testing.T) {
			if got, ok := quantity.UnitNamed(tt.text, tt.system); got != tt.want || !ok {
				t.Errorf("UnitNamed(%q, %d) = %q, %v, want %q", tt.text, tt.system, got.Symbol(), ok, tt.want.Symbol())
			}
		})
	}
}

func TestUnitNamedUnknown(t *testing.T) {
	for _, text := range []string{"", " ", "k", "furlong", "us", "imp", "us g", "imp kg", "us tin", "mil", "gr", "²"} {
		if u, ok := quantity.UnitNamed(text, quantity.Metric); ok || u != quantity.NoUnit {
			t.Errorf("UnitNamed(%q) = %q, %v, want none", text, u.Symbol(), ok)
		}
	}
}

// TestUnitReadsBack finds each unit under its own symbol in a metric shop, where
// no country is assumed, and turns readings there and back.
func TestUnitReadsBack(t *testing.T) {
	for u := quantity.Gram; u < quantity.One; u++ {
		if got, ok := quantity.UnitNamed(u.Symbol(), quantity.Metric); !ok || got != u {
			t.Errorf("UnitNamed(%q) = %d, %v, want %d", u.Symbol(), got, ok, u)
		}
		for _, reading := range []float64{1e-3, 1, 22.5, 1e6} {
			if back := u.From(u.Base(reading)); math.Abs(back-reading) > 1e-9*math.Max(1, reading) {
				t.Errorf("%g %s comes back as %g", reading, u.Symbol(), back)
			}
		}
	}
}

func TestNoUnit(t *testing.T) {
	for _, u := range []quantity.Unit{quantity.NoUnit, 255} {
		if u.Symbol() != "" || u.Dim() != quantity.Number || u.Base(3) != 3 || u.From(3) != 3 {
			t.Errorf("unit %d is not that of a plain number", u)
		}
	}
}

// TestBaseUnit holds the JSON units of the command surface.
func TestBaseUnit(t *testing.T) {
	want := map[quantity.Dim]string{
		quantity.Number: "1", quantity.Mass: "g", quantity.Volume: "mL", quantity.Length: "mm", quantity.Area: "mm2",
		quantity.Time: "s", quantity.Temp: "degC", quantity.Pressure: "kPa", quantity.Density: "g/mL", quantity.Drops: "drop",
	}
	for d := quantity.Number; d <= quantity.Drops; d++ {
		if got := quantity.BaseUnit(d); got != want[d] {
			t.Errorf("BaseUnit(%s) = %q, want %q", d.Name(), got, want[d])
		}
		for s := quantity.Metric; s <= quantity.Imperial; s++ {
			if u := quantity.BareUnit(d, s); u.Dim() != d {
				t.Errorf("BareUnit(%s, %d) is %s", d.Name(), s, u.Dim().Name())
			}
		}
	}
}
