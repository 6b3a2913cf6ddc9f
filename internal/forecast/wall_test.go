package forecast_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/quantity"
)

func TestParseWalls(t *testing.T) {
	silicone := func(mm float64) cure.Wall { return cure.Wall{Kind: cure.WallSilicone, Thick: mm} }
	for _, c := range []struct {
		text  string
		want  []cure.Wall
		open  bool
		notes int
	}{
		{"silicone 10 mm", []cure.Wall{silicone(10)}, false, 0},
		{"Silicone 1 cm", []cure.Wall{silicone(10)}, false, 0},
		{"10 mm silicone", []cure.Wall{silicone(10)}, false, 0},
		{"silicone mold 10 mm thick", []cure.Wall{silicone(10)}, false, 0},
		{"10 mm", []cure.Wall{silicone(10)}, false, 1},
		{"plaster", []cure.Wall{{Kind: cure.WallPlaster, Thick: 20}}, false, 1},
		{"aluminium 1/2 in", []cure.Wall{{Kind: cure.WallAluminum, Thick: 12.7}}, false, 0},
		{"latex 4 mm", []cure.Wall{{Kind: cure.WallUrethane, Thick: 4}}, false, 1},
		{"open", nil, true, 0},
		{"open top", nil, true, 0},
		{"silicone 6 mm, open", []cure.Wall{silicone(6)}, true, 0},
		{"silicone 6 mm open", []cure.Wall{silicone(6)}, true, 0},
		{"silicone 6 mm, plaster 20 mm", []cure.Wall{silicone(6), {Kind: cure.WallPlaster, Thick: 20}}, false, 0},
		{"silicone 6 mm + plaster 20 mm", []cure.Wall{silicone(6), {Kind: cure.WallPlaster, Thick: 20}}, false, 0},
		{"silicone 2,5 mm", []cure.Wall{silicone(2.5)}, false, 0},
		{"silicone 8", []cure.Wall{silicone(8)}, false, 1}, // a bare number takes the shop's unit, and a note says so
	} {
		got, err := forecast.ParseWalls(c.text, quantity.Metric)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if diff := cmp.Diff(c.want, got.Layers); diff != "" || got.Open != c.open || len(got.Notes) != c.notes {
			t.Errorf("%q: open %v, notes %q, layers (-want +got):\n%s", c.text, got.Open, got.Notes, diff)
		}
	}
}

func TestParseWallsRefuses(t *testing.T) {
	for text, code := range map[string]fault.Code{
		"cheese":            fault.NotFound,
		"cheese 10 mm":      fault.NotFound,
		"":                  fault.NotFound,
		", ,":               fault.NotFound,
		"mold":              fault.NotFound,
		"silicone 10 g":     fault.BadQuantity,
		"silicone ten":      fault.BadQuantity,
		"silicone 0 mm":     fault.OutOfRange,
		"silicone -5 mm":    fault.OutOfRange,
		"silicone 1,000 mm": fault.AmbiguousNumber,
	} {
		_, err := forecast.ParseWalls(text, quantity.Metric)
		f := fault.As(err)
		if f == nil || f.Code != code || f.Option != "wall" || f.HintText() == "" {
			t.Errorf("%q: got %v, want %s of option wall with a hint", text, err, code)
		}
	}
}

func TestParsePost(t *testing.T) {
	for text, want := range map[string]cure.Post{
		"4 h at 65 C":   {Time: 4 * 3600, Temp: 65},
		"65 C, 4 h":     {Time: 4 * 3600, Temp: 65},
		"90 min @ 60°C": {Time: 5400, Temp: 60},
		"1h30 AT 150 F": {Time: 5400, Temp: 65.5556},
	} {
		got, _, err := forecast.ParsePost(text, quantity.Metric)
		if err != nil || got.Time != want.Time || got.Temp-want.Temp > 1e-3 || want.Temp-got.Temp > 1e-3 {
			t.Errorf("%q: got %+v (%v), want %+v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "4 h", "65 C", "4 h at noon", "4 h at 65 C at 3 h", "2 g at 65 C"} {
		_, _, err := forecast.ParsePost(text, quantity.Metric)
		if f := fault.As(err); f == nil || f.Option != "post" || f.HintText() == "" {
			t.Errorf("%q: got %v, want a refusal of option post with a hint", text, err)
		}
	}
}

// Whatever is typed is read or refused in words; what is read is a wall.
func FuzzParseWalls(f *testing.F) {
	for _, s := range []string{"silicone 10 mm", "open", "plaster, open", "10", "silicone 6 mm + plaster 20 mm", "silicone 1/2 in thick mold", "ſilicone 1e9 m", ",,,", "open open 3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		w, err := forecast.ParseWalls(text, quantity.US)
		if err != nil {
			if r := fault.As(err); r == nil || r.Option != "wall" || r.HintText() == "" {
				t.Fatalf("%q: %v", text, err)
			}
			return
		}
		if len(w.Layers) == 0 && !w.Open {
			t.Fatalf("%q: neither wall nor open", text)
		}
		for _, l := range w.Layers {
			if !(l.Thick > 0) || l.Kind == "" {
				t.Fatalf("%q: %+v", text, l)
			}
		}
	})
}

func FuzzParsePost(f *testing.F) {
	for _, s := range []string{"4 h at 65 C", "65 C, 4 h", "at", "@@", "1h20 at 150F", strings.Repeat("1 h at ", 40)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, _, err := forecast.ParsePost(text, quantity.Metric)
		if err != nil {
			if r := fault.As(err); r == nil || r.Option != "post" || r.HintText() == "" {
				t.Fatalf("%q: %v", text, err)
			}
			return
		}
		if !(p.Time > 0) || p.Temp < -300 {
			t.Fatalf("%q: %+v", text, p)
		}
	})
}
