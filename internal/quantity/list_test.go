package quantity_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// TestSplitListLong cuts a text that is far longer than any honest one. Were
// the work to grow with the square of its length, this would take minutes.
func TestSplitListLong(t *testing.T) {
	const n = 500_000
	if got := len(quantity.SplitList(strings.Repeat("1,", n))); got != n {
		t.Errorf("%d items, want %d", got, n)
	}
}

func TestSplitList(t *testing.T) {
	tests := []struct {
		name, text string
		want       []string
	}{
		{"empty", "", nil},
		{"one", "3 min", []string{"3 min"}},
		{"with units", "3 min, 100 g, 23 C", []string{"3 min", "100 g", "23 C"}},
		{"no spaces", "3 min,100 g,23 C", []string{"3 min", "100 g", "23 C"}},
		{"decimal points", "1.10, 1.02", []string{"1.10", "1.02"}},
		{"decimal points, no space", "1.10,1.02", []string{"1.10", "1.02"}},
		{"decimal commas", "1,10, 1,02", []string{"1,10", "1,02"}},
		{"decimal commas, semicolon", "1,10; 1,02", []string{"1,10", "1,02"}},
		{"no telling", "1,10,1,02", []string{"1", "10", "1", "02"}},
		{"thousands", "1,000.5, 2", []string{"1,000.5", "2"}},
		{"millions", "1,234,567", []string{"1,234,567"}},
		{"names", "brick red 0,5%, soot black 2 drops", []string{"brick red 0,5%", "soot black 2 drops"}},
		{"brackets", "shell (outer, inner), 3", []string{"shell (outer, inner)", "3"}},
		{"bracket never closed", "a (b, c", []string{"a (b, c"}},
		{"bracket never opened", "a), b", []string{"a)", "b"}},
		{"lines", "3 min\n100 g\n", []string{"3 min", "100 g"}},
		{"gap", "3 min,, 23 C", []string{"3 min", "", "23 C"}},
		{"trailing comma", "3 min,", []string{"3 min"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := quantity.SplitList(tt.text); !slices.Equal(got, tt.want) {
				t.Errorf("SplitList(%q) = %q, want %q", tt.text, got, tt.want)
			}
		})
	}
}

// potLife is the list of the surface's own example: a time, the mass that it
// was measured with, and the temperature.
func potLife() []quantity.Want {
	return []quantity.Want{
		{Option: "pot_life", Dims: []quantity.Dim{quantity.Time}},
		{Option: "pot_life", Dims: []quantity.Dim{quantity.Mass}},
		{Option: "pot_life", Dims: []quantity.Dim{quantity.Temp}},
	}
}

func densities() []quantity.Want {
	w := quantity.Want{Option: "densities", Dims: []quantity.Dim{quantity.Density}}
	return []quantity.Want{w, w}
}

const absent = -1e9 // stands for nil in the table

func TestParseList(t *testing.T) {
	tests := []struct {
		name, text string
		wants      []quantity.Want
		want       []float64
		notes      int
	}{
		{"the example", "3 min, 100 g, 23 C", potLife(), []float64{180, 100, 23}, 0},
		{"other order", "23 C, 100 g, 3 min", potLife(), []float64{180, 100, 23}, 0},
		{"bare, in order", "3, 100, 23", potLife(), []float64{180, 100, 23}, 3},
		{"bare behind a unit", "100 g, 23", potLife(), []float64{absent, 100, 23}, 1},
		{"bare before a unit", "3, 23 C", potLife(), []float64{180, absent, 23}, 1},
		{"gap", "3 min,, 23", potLife(), []float64{180, absent, 23}, 1},
		{"first left out", ", 100", potLife(), []float64{absent, 100, absent}, 1},
		{"fewer", "3 min", potLife(), []float64{180, absent, absent}, 0},
		{"none", "", potLife(), []float64{absent, absent, absent}, 0},
		{"an ounce where a weight is next", "3 min, 4 oz", potLife(), []float64{180, 113.3980925, absent}, 0},
		{"compound", "1h20; 1 lb 4 oz; 72 F", potLife(), []float64{4800, 566.9904625, 200.0 / 9}, 0},
		{"same dimension by order", "1.10 g/mL, 1.02 g/mL", densities(), []float64{1.10, 1.02}, 0},
		{"decimal commas", "1,10, 1,02", densities(), []float64{1.10, 1.02}, 2},
		{"no wants", "3 min", nil, nil, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, notes, err := quantity.ParseList(tt.text, tt.wants...)
			if err != nil || len(got) != len(tt.want) {
				t.Fatalf("ParseList(%q) = %v, %v", tt.text, got, err)
			}
			for i, want := range tt.want {
				switch {
				case got[i] == nil && want != absent:
					t.Errorf("ParseList(%q)[%d] is absent, want %g", tt.text, i, want)
				case got[i] != nil && (want == absent || !near(got[i].Value, want, 1e-12)):
					t.Errorf("ParseList(%q)[%d] = %v, want %g", tt.text, i, *got[i], want)
				}
			}
			if len(notes) != tt.notes {
				t.Errorf("ParseList(%q) notes %q, want %d", tt.text, notes, tt.notes)
			}
		})
	}
}

func TestParseListRefusals(t *testing.T) {
	tests := []struct {
		name, text string
		code       fault.Code
		says       string
	}{
		{"two of one", "3 min, 4 min", fault.BadQuantity, `no place for "4 min"`},
		{"too many", "1, 2, 3, 4", fault.BadQuantity, `no place for "4"`},
		{"dimension not wanted", "3 min, 12 mm", fault.BadQuantity, `no place for "12 mm"`},
		{"unreadable item", "3 min, soon", fault.BadQuantity, `"soon"`},
		{"out of range", "3 min, -5 g", fault.OutOfRange, `"-5 g"`},
		{"ambiguous item", "2:30, 100 g", fault.AmbiguousUnit, `"2:30"`},
		{"too long", strings.Repeat("3 min, ", 200), fault.BadQuantity, "characters long"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, _, err := quantity.ParseList(tt.text, potLife()...)
			f := fault.As(err)
			if f == nil || f.Code != tt.code || f.Option != "pot_life" || !strings.Contains(f.Message, tt.says) || f.HintText() == "" {
				t.Errorf("ParseList(%q): %v, want %s with %q and a hint", tt.text, err, tt.code, tt.says)
			}
		})
	}
}
