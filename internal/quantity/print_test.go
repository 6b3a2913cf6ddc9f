package quantity_test

import (
	"math"
	"testing"

	"github.com/pourwright/pourwright/internal/quantity"
)

// near compares to a relative tolerance, absolute below one.
func near(got, want, tol float64) bool {
	return math.Abs(got-want) <= tol*math.Max(1, math.Abs(want))
}

// TestText holds how members read values. Digits and units are this project's
// choice; the converted values follow from the factors.
func TestText(t *testing.T) {
	const hour, day = 3600, 86400
	tests := []struct {
		v                    float64
		dim                  quantity.Dim
		metric, us, imperial string
	}{
		{0.0004, quantity.Mass, "0.4 mg", "0.4 mg", "0.4 mg"},
		{0.045, quantity.Mass, "0.045 g", "0.045 g", "0.045 g"},
		{131.97, quantity.Mass, "132 g", "4.66 oz", "4.66 oz"},
		{999.6, quantity.Mass, "1 kg", "2.2 lb", "2.2 lb"},
		{1318, quantity.Mass, "1.32 kg", "2.91 lb", "2.91 lb"},
		{240.3, quantity.Volume, "240 mL", "8.13 fl oz", "8.46 imp fl oz"},
		{1.5, quantity.Volume, "1.5 mL", "1.5 mL", "1.5 mL"},
		{3785.411784, quantity.Volume, "3.79 L", "1 gal", "0.833 imp gal"},
		{12, quantity.Length, "12 mm", "0.472 in", "0.472 in"},
		{0.004, quantity.Length, "4 µm", "0.000157 in", "0.000157 in"},
		{250000, quantity.Length, "250 m", "820 ft", "820 ft"},
		{64516, quantity.Area, "645 cm²", "100 in²", "100 in²"},
		{50, quantity.Area, "50 mm²", "0.0775 in²", "0.0775 in²"},
		{2e6, quantity.Area, "2 m²", "21.5 ft²", "21.5 ft²"},
		{21, quantity.Temp, "21 °C", "70 °F", "70 °F"},
		{22.25, quantity.Temp, "22.2 °C", "72 °F", "72 °F"},
		{-5, quantity.Temp, "−5 °C", "23 °F", "23 °F"},
		{-0.01, quantity.Temp, "0 °C", "32 °F", "32 °F"},
		{413.6854, quantity.Pressure, "414 kPa", "60 psi", "60 psi"},
		{1.1, quantity.Density, "1.10 g/mL", "1.10 g/mL", "1.10 g/mL"},
		{1.064612, quantity.Density, "1.065 g/mL", "1.065 g/mL", "1.065 g/mL"},
		{2, quantity.Density, "2.00 g/mL", "2.00 g/mL", "2.00 g/mL"},
		{1, quantity.Drops, "1 drop", "1 drop", "1 drop"},
		{12, quantity.Drops, "12 drops", "12 drops", "12 drops"},
		{1234, quantity.Number, "1234", "1234", "1234"},
		{0.92727, quantity.Number, "0.9273", "0.9273", "0.9273"},
		{0, quantity.Volume, "0 mL", "0 mL", "0 mL"},
		{-3, quantity.Volume, "−3 mL", "−0.101 fl oz", "−0.106 imp fl oz"},

		{0.5, quantity.Time, "0.5 s", "0.5 s", "0.5 s"},
		{45, quantity.Time, "45 s", "45 s", "45 s"},
		{59.7, quantity.Time, "1 min", "1 min", "1 min"},
		{91, quantity.Time, "1 min 31 s", "1 min 31 s", "1 min 31 s"},
		{202, quantity.Time, "3 min 20 s", "3 min 20 s", "3 min 20 s"},
		{720, quantity.Time, "12 min", "12 min", "12 min"},
		{59.8 * 60, quantity.Time, "1 h", "1 h", "1 h"},
		{4800, quantity.Time, "1 h 20 min", "1 h 20 min", "1 h 20 min"},
		{16*hour + 140, quantity.Time, "16 h", "16 h", "16 h"},
		{24 * hour, quantity.Time, "24 h", "24 h", "24 h"},
		{5 * day, quantity.Time, "5 days", "5 days", "5 days"},
		{5*day + 6*hour, quantity.Time, "5 days 6 h", "5 days 6 h", "5 days 6 h"},
		{21.3 * day, quantity.Time, "21 days", "21 days", "21 days"},
		{4 * 2629746, quantity.Time, "4 months", "4 months", "4 months"},
		{-90, quantity.Time, "−1 min 30 s", "−1 min 30 s", "−1 min 30 s"},
	}
	for _, tt := range tests {
		for s, want := range []string{tt.metric, tt.us, tt.imperial} {
			if got := quantity.Text(tt.v, tt.dim, quantity.System(s)); got != want {
				t.Errorf("Text(%g, %s, %d) = %q, want %q", tt.v, tt.dim.Name(), s, got, want)
			}
		}
	}
}

func TestTextIn(t *testing.T) {
	tests := []struct {
		v    float64
		unit quantity.Unit
		want string
	}{
		{240, quantity.Milliliter, "240 mL"},
		{1.10 * 16.387064, quantity.CubicInch, "1.1 in³"},
		{12345.67, quantity.Gram, "12346 g"},
		{22, quantity.Fahrenheit, "71.6 °F"},
		{22, quantity.Kelvin, "295.1 K"},
		{1.0645, quantity.CubicInchPerPound, "26 in³/lb"},
		{236.5882365, quantity.Cup, "1 cup"},
		{2 * 236.5882365, quantity.Cup, "2 cups"},
		{86400, quantity.Day, "1 day"},
		{5 * 86400, quantity.Day, "5 days"},
		{0.07, quantity.PercentSign, "7 %"},
		{7, quantity.One, "7"},
		{1, quantity.Drop, "1 drop"},
	}
	for _, tt := range tests {
		if got := quantity.TextIn(tt.v, tt.unit); got != tt.want {
			t.Errorf("TextIn(%g, %q) = %q, want %q", tt.v, tt.unit.Symbol(), got, tt.want)
		}
	}
}

func TestTextStep(t *testing.T) {
	tests := []struct {
		v, step float64
		system  quantity.System
		want    string
	}{
		{132, 0.1, quantity.Metric, "132.0 g"},
		{131.96, 0.1, quantity.Metric, "132.0 g"},
		{132.03, 0.05, quantity.Metric, "132.05 g"},
		{132.3, 0.5, quantity.Metric, "132.5 g"},
		{132, 1, quantity.Metric, "132 g"},
		{132, 5, quantity.Metric, "130 g"},
		{0.1234, 0.001, quantity.Metric, "0.123 g"},
		{1318, 0.1, quantity.Metric, "1318.0 g"}, // a scale does not change to kg
		{1318, 0, quantity.Metric, "1.32 kg"},
		{-0.01, 0.1, quantity.Metric, "0.0 g"},
		{132, 0.1, quantity.US, "132.0 g (4.66 oz)"},
		{400, 1, quantity.US, "400 g (14.1 oz)"},
		{453.59237, 0.1, quantity.US, "453.6 g (1 lb)"},
		{1318, 1, quantity.Imperial, "1318 g (2 lb 14.5 oz)"},
		{0.3, 0.1, quantity.US, "0.3 g"}, // no scale in ounces shows it
	}
	for _, tt := range tests {
		if got := quantity.TextStep(tt.v, tt.step, tt.system); got != tt.want {
			t.Errorf("TextStep(%g, %g, %d) = %q, want %q", tt.v, tt.step, tt.system, got, tt.want)
		}
	}
}

func TestTextRange(t *testing.T) {
	tests := []struct {
		low, high float64
		dim       quantity.Dim
		system    quantity.System
		want      string
	}{
		{660, 840, quantity.Time, quantity.Metric, "11–14 min"},
		{660, 4840, quantity.Time, quantity.Metric, "11 min to 1 h 21 min"},
		{4800, 7500, quantity.Time, quantity.Metric, "1 h 20 min to 2 h 5 min"},
		{14 * 3600, 18 * 3600, quantity.Time, quantity.Metric, "14–18 h"},
		{3600, 4800, quantity.Time, quantity.Metric, "1 h to 1 h 20 min"},
		{1, 3, quantity.Drops, quantity.Metric, "1–3 drops"},
		{720, 721, quantity.Time, quantity.Metric, "12 min"},
		{-5, 3, quantity.Temp, quantity.Metric, "−5 to 3 °C"},
		{21, 24, quantity.Temp, quantity.US, "70–75 °F"},
		{70, 90, quantity.Volume, quantity.US, "2.37–3.04 fl oz"},
		{900, 1100, quantity.Volume, quantity.Metric, "900 mL to 1.1 L"},
		{3, 5, quantity.Number, quantity.Metric, "3–5"},
	}
	for _, tt := range tests {
		r := quantity.Range{Low: tt.low, Mid: (tt.low + tt.high) / 2, High: tt.high}
		if got := quantity.TextRange(r, tt.dim, tt.system); got != tt.want {
			t.Errorf("TextRange(%g…%g, %s, %d) = %q, want %q", tt.low, tt.high, tt.dim.Name(), tt.system, got, tt.want)
		}
	}
}

func TestPercentAndSpan(t *testing.T) {
	for f, want := range map[float64]string{0.07: "7 %", 0.1111: "11.1 %", 0.0045: "0.45 %", 1.5: "150 %", 0: "0 %", -0.05: "−5 %"} {
		if got := quantity.Percent(f); got != want {
			t.Errorf("Percent(%g) = %q, want %q", f, got, want)
		}
	}
	if got := quantity.TextSpan(10, quantity.US); got != "18 °F" {
		t.Errorf("a difference of 10 °C in a US shop reads %q", got)
	}
	if got := quantity.TextSpan(2.5, quantity.Metric); got != "2.5 °C" {
		t.Errorf("a difference of 2.5 °C reads %q", got)
	}
}

// TestQuantityText answers in the unit that was typed.
func TestQuantityText(t *testing.T) {
	for text, want := range map[string]string{
		"8 oz": "8 oz", "1.5 lb": "1.5 lb", "250 g": "250 g", "250": "250 g", "72 F": "72 °F",
		"80 min": "1 h 20 min", "5 d": "5 days", "1.1 g/mL": "1.10 g/mL", "9 lb/gal": "9 lb/gal", "12": "12 g",
	} {
		q, _, err := quantity.Parse(text, quantity.Want{Bare: quantity.Gram})
		if err != nil && text == "8 oz" { // two things where anything is taken
			q, _, err = quantity.Parse(text, takes(quantity.Mass))
		}
		if err != nil {
			t.Fatal(err)
		}
		if got := q.Text(quantity.Metric); got != want {
			t.Errorf("%q is answered as %q, want %q", text, got, want)
		}
	}
	for u, want := range map[quantity.Unit]string{
		quantity.Gallon: "1 US gal", quantity.ImperialGallon: "1 imp gal", quantity.PoundPerGallon: "1 lb/US gal", quantity.Cup: "1 US cup", quantity.Liter: "1 L",
	} {
		if got := (quantity.Quantity{Value: u.Base(1), Dim: u.Dim(), Unit: u}).Text(quantity.Imperial); got != want {
			t.Errorf("one %s in an imperial shop reads %q, want %q", u.Symbol(), got, want)
		}
	}
	if got := (quantity.Quantity{Value: 1318, Dim: quantity.Mass}).Text(quantity.Metric); got != "1.32 kg" {
		t.Errorf("without a unit: %q", got)
	}
}

func TestTextOfNonsense(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, math.SmallestNonzeroFloat64} {
		for d := quantity.Number; d <= quantity.Drops; d++ {
			for s := quantity.Metric; s <= quantity.Imperial; s++ {
				if got := quantity.Text(v, d, s); len(got) > 40 {
					t.Errorf("Text(%g, %s) has %d characters", v, d.Name(), len(got))
				}
			}
		}
	}
}
