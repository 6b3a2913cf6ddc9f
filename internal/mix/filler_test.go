package mix_test

import (
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mix"
	"pgregory.net/rapid"
)

func TestParseFiller(t *testing.T) {
	for _, c := range []struct {
		text, name   string
		phr, density float64
	}{
		{"microspheres 20 phr", "microspheres", 20, 0.15},
		{"20phr microspheres", "microspheres", 20, 0.15},
		{"Chalk 50 PHR", "calcium carbonate", 50, 2.71},
		{"ath 12,5 phr", "alumina trihydrate", 12.5, 2.42},
		{"microspheres 20 phr 0.25 g/ml", "microspheres", 20, 0.25},
		{"microspheres 20 phr, 250 kg/m3", "microspheres", 20, 0.25},
		{"pumice 30 phr 2.4 g/ml", "pumice", 30, 2.4},
		{"pumice 30 phr 2.4", "pumice", 30, 2.4},
	} {
		t.Run(c.text, func(t *testing.T) {
			got, err := mix.ParseFiller(c.text)
			if err != nil {
				t.Fatal(err)
			}
			if got.Name != c.name || got.PHR != c.phr || !near(got.Density, c.density, 1e-12) || got.Source == "" {
				t.Errorf("got %+v, want %s %v phr at %v g/mL", got, c.name, c.phr, c.density)
			}
		})
	}
	for text, code := range map[string]fault.Code{
		"":                                  fault.BadQuantity,
		"microspheres":                      fault.BadQuantity,
		"microspheres 20 %":                 fault.BadQuantity,
		"20 phr":                            fault.BadQuantity,
		"pumice 30 phr":                     fault.NotFound,
		"chalk 0 phr":                       fault.OutOfRange,
		"chalk 3000 phr":                    fault.OutOfRange,
		"chalk 10 phr 99 g/ml":              fault.OutOfRange,
		"chalk 10 phr 3 mm":                 fault.BadQuantity,
		strings.Repeat("x", 300) + " 1 phr": fault.BadQuantity,
	} {
		if _, err := mix.ParseFiller(text); !fault.Is(err, code) || fault.As(err).HintText() == "" {
			t.Errorf("ParseFiller(%.40q) = %v, want %s with a hint", text, err, code)
		}
	}
}

// Every listed filler can be typed by its name and has a source.
func TestFillerNames(t *testing.T) {
	for _, name := range mix.FillerNames() {
		f, err := mix.ParseFiller(name + " 10 phr")
		if err != nil || f.Name != name || f.Source == "" || !(f.Density > 0) {
			t.Errorf("%s: %+v, %v", name, f, err)
		}
	}
}

// Densities of solids out of the CRC Handbook of Chemistry and Physics, from
// memory, in g/mL.
func TestFillerDensities(t *testing.T) {
	for name, want := range map[string]float64{"calcium carbonate": 2.71, "aluminum powder": 2.70, "copper powder": 8.96, "iron powder": 7.87, "silica sand": 2.65} {
		if f, err := mix.ParseFiller(name + " 1 phr"); err != nil || !near(f.Density, want, 0.005*want) {
			t.Errorf("%s: %v g/mL, want %v (%v)", name, f.Density, want, err)
		}
	}
}

func TestFillerSide(t *testing.T) {
	tin := material.Profile{Ratio: byWeight(100, 8), DensityA: 1.26, DensityB: 0.98, TintSide: material.SideA}
	white := rigid()
	white.TintSide = material.SideB
	for _, c := range []struct {
		name string
		p    material.Profile
		want material.Side
	}{
		{"never into a few grams of catalyst", tin, material.SideA},
		{"the side without isocyanate", white, material.SideB},
		{"the larger one of an epoxy", epoxy(), material.SideA},
		{"without densities", bare(), material.SideA},
		{"a small A", material.Profile{Ratio: byWeight(10, 100), TintSide: material.SideA}, material.SideB},
	} {
		if got := mix.FillerSide(c.p); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// Water matters to urethane alone.
func TestDampFiller(t *testing.T) {
	chalk, err := mix.ParseFiller("chalk 20 phr")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		p    material.Profile
		want bool
	}{{rigid(), true}, {epoxy(), false}} {
		b, err := mix.New(mix.Want{Profile: c.p, Volume: 100, Filler: &chalk})
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(strings.Join(b.Notes, " "), "foams"); got != c.want {
			t.Errorf("%s: %q", c.p.Name, b.Notes)
		}
	}
}

func TestFillerMath(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := mix.Filler{PHR: rapid.Float64Range(0.1, 300).Draw(t, "phr"), Density: rapid.Float64Range(0.1, 10).Draw(t, "rho f")}
		rho, v := rapid.Float64Range(0.8, 1.6).Draw(t, "rho"), rapid.Float64Range(1, 5000).Draw(t, "V")
		resin := f.Resin(v, rho)
		solid := resin * f.PHR / 100
		// The two volumes fill the mold, and the masses give the density.
		if got := resin/rho + solid/f.Density; !near(got, v, 1e-9*v) {
			t.Fatalf("%v mL of %v", got, v)
		}
		if got := (resin + solid) / v; !near(got, f.Mixed(rho), 1e-9) {
			t.Fatalf("%v g/mL, want %v", f.Mixed(rho), got)
		}
		if got := solid / f.Density / v; !near(got, f.Share(rho), 1e-9) {
			t.Fatalf("share %v, want %v", f.Share(rho), got)
		}
		if m := f.Mixed(rho); m < min(rho, f.Density)-1e-9 || m > max(rho, f.Density)+1e-9 {
			t.Fatalf("a mix of %v and %v at %v", rho, f.Density, m)
		}
	})
}

func FuzzParseFiller(f *testing.F) {
	for _, s := range []string{"microspheres 20 phr", "50 phr chalk", "pumice 30 phr 2.4 g/ml", "1e9 phr", "phr", "20 phr 20 phr x", "µ 1,5phr 0.2 SG", "x 1 phr 1 lb/gal"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := mix.ParseFiller(text)
		if err != nil {
			if fault.As(err) == nil {
				t.Fatalf("%q: %v is no fault", text, err)
			}
			return
		}
		if !(got.PHR > 0) || got.PHR > 2000 || !(got.Density > 0) || math.IsInf(got.Density, 0) || got.Name == "" || len(got.Name) > 200 {
			t.Fatalf("%q: %+v", text, got)
		}
	})
}
