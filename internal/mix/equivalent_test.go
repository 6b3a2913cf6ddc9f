package mix_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mix"
)

// TestEquivalents counts groups one by one, from the molar masses of NIST (from
// memory): KOH 56.1056 g/mol, NCO 42.017 g/mol. What data sheets reckon with
// differs by their rounding.
func TestEquivalents(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		oh := rapid.Float64Range(20, 1000).Draw(t, "oh")
		nco := rapid.Float64Range(0.05, 0.5).Draw(t, "nco")
		polyol := rapid.Float64Range(1, 5000).Draw(t, "polyol")
		index := rapid.Float64Range(0.9, 1.2).Draw(t, "index")
		iso, err := mix.IsocyanateFor(polyol, oh, nco, index)
		hydroxyls := polyol * oh / 1000 / 56.1056 // mol
		groups := iso * nco / 42.017              // mol
		if err != nil || math.Abs(groups/hydroxyls/index-1) > 3e-4 {
			t.Fatalf("%v g, %v: %v mol of NCO on %v of OH, want %v for each", iso, err, groups, hydroxyls, index)
		}
		twice, _ := mix.IsocyanateFor(2*polyol, oh, nco, index)
		if math.Abs(twice-2*iso) > 1e-9*twice {
			t.Fatalf("twice the polyol takes %v, want 2 × %v", twice, iso)
		}
		ahew, eew := rapid.Float64Range(15, 500).Draw(t, "ahew"), rapid.Float64Range(100, 1000).Draw(t, "eew")
		phr, err := mix.AminePHR(ahew, eew)
		if err != nil || math.Abs(phr/ahew-100/eew) > 1e-12 { // mol of hydrogen, mol of epoxy
			t.Fatalf("%v phr, %v", phr, err)
		}
	})
	// MDI is 250.26 g/mol with two groups (from memory): 33.58 % NCO, 125.1 g each.
	if e, err := mix.IsocyanateEquivalent(2 * 42.017 / 250.26); err != nil || math.Abs(e-125.13) > 0.02 {
		t.Errorf("MDI: %v, %v", e, err)
	}
}

func TestEquivalentRefusals(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		f      func() (float64, error)
		option string
	}{
		"no OH number":    {func() (float64, error) { return mix.PolyolEquivalent(0) }, "oh_number"},
		"percent as such": {func() (float64, error) { return mix.IsocyanateEquivalent(31.5) }, "nco"},
		"no NCO":          {func() (float64, error) { return mix.IsocyanateEquivalent(nan) }, "nco"},
		"no polyol":       {func() (float64, error) { return mix.IsocyanateFor(0, 400, 0.3, 1) }, "polyol"},
		"no OH for it":    {func() (float64, error) { return mix.IsocyanateFor(100, nan, 0.3, 1) }, "oh_number"},
		"no NCO for it":   {func() (float64, error) { return mix.IsocyanateFor(100, 400, 0, 1) }, "nco"},
		"index of 100":    {func() (float64, error) { return mix.IsocyanateFor(100, 400, 0.3, 100) }, "index"},
		"no hydrogen":     {func() (float64, error) { return mix.AminePHR(0, 190) }, "ahew"},
		"no epoxy":        {func() (float64, error) { return mix.AminePHR(24.4, nan) }, "eew"},
	} {
		v, err := c.f()
		if f := fault.As(err); f == nil || f.Code != fault.OutOfRange || f.Option != c.option || f.HintText() == "" || v != 0 {
			t.Errorf("%s: %v, %v, want out_of_range in %s with a hint", name, v, err, c.option)
		}
	}
}
