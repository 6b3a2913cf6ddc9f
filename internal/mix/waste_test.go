package mix_test

import (
	"math"
	"testing"

	"github.com/pourwright/pourwright/internal/mix"
	"pgregory.net/rapid"
)

func TestDefaultWaste(t *testing.T) {
	for _, c := range []struct {
		name           string
		volume         float64
		cups           int
		cupSize        float64
		want           float64
		rule           string
		fractionPermil int
	}{
		{"a large batch", 250, 1, 0, 10, "4 % of the volume", 40},
		{"a small one", 20, 1, 0, 2, "2 mL for each cup", 100},
		{"where both are equal", 50, 1, 0, 2, "4 % of the volume", 40},
		{"several cups", 60, 3, 25, 6, "2 mL for each cup", 100},
		// A 2 L pail is 136.6 mm wide; 60 mL wet 4.1 mm of its wall and its
		// bottom: 0.3·(π·136.6·4.1 + π·136.6²/4)/1000 = 4.92 mL.
		{"a little in a pail", 60, 1, 2000, 4.9235, "the film left in the cup", 82},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := mix.DefaultWaste(c.volume, c.cups, c.cupSize)
			if !near(got.Volume, c.want, 0.01) || got.Rule != c.rule {
				t.Errorf("got %v mL by %q, want %v by %q", got.Volume, got.Rule, c.want, c.rule)
			}
			if p := int(math.Round(1000 * got.Fraction)); p != c.fractionPermil {
				t.Errorf("got %d ‰, want %d", p, c.fractionPermil)
			}
		})
	}
}

// Cup film: table value of a cup 80 mm wide, wet 60 mm high, 0.3 mm thick,
// by hand: 0.3·(π·80·60 + π·80²/4)/1000 = 6.032 mL.
func TestCupFilm(t *testing.T) {
	if got := mix.CupFilm(80, 60, 0.3); !near(got, 6.0319, 1e-4) {
		t.Errorf("got %v", got)
	}
}

func TestDefaultWasteRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(0.1, 5000).Draw(t, "volume")
		n := rapid.IntRange(1, 40).Draw(t, "cups")
		size := rapid.Float64Range(0, 2000).Draw(t, "cup")
		w := mix.DefaultWaste(v, n, size)
		if w.Volume < 0.04*v-1e-9 || w.Volume < 2*float64(n)-1e-9 {
			t.Fatalf("%v mL is below one of the rules", w.Volume)
		}
		if !near(w.Fraction*v, w.Volume, 1e-9*v) {
			t.Fatalf("%v of %v is not %v", w.Fraction, v, w.Volume)
		}
		if more := mix.DefaultWaste(v, n+1, size); more.Volume < w.Volume-1e-9 {
			t.Fatalf("one cup more wastes less: %v, then %v", w.Volume, more.Volume)
		}
		if more := mix.DefaultWaste(1.5*v, n, size); more.Volume < w.Volume-1e-9 {
			t.Fatalf("half as much again wastes less: %v, then %v", w.Volume, more.Volume)
		}
	})
}

func TestWasteBand(t *testing.T) {
	last := math.Inf(1)
	for _, v := range []float64{1, 59, 60, 249, 250, 999, 1000, 1e5} {
		b := mix.WasteBand(v)
		if !(b.Low <= b.Usual && b.Usual <= b.High) || b.Usual > last {
			t.Errorf("%v mL: %+v", v, b)
		}
		last = b.Usual
	}
}
