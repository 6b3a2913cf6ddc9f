package color_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/color"
)

// scattering is a white base that looks the same whatever it scatters.
func scattering(t testing.TB, s float64) *color.Base {
	t.Helper()
	b, err := color.NewBase(color.BaseSpec{Kind: color.WhiteBase, Seen: color.Hex(hex(t, "#F2EFE6")), Scatter: s, Quality: color.Careful}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestFloorOfCarriedStrength: an opaque swatch shows K/S alone (Kubelka, J. Opt.
// Soc. Am. 38 (1948) 448, DOI 10.1364/JOSA.38.000448), so white bases that
// scatter half or twice as much all give the same swatch, and tints of half or
// twice the strength. In a clear base those are other colors, and what is said
// of the error has to cover them.
func TestFloorOfCarriedStrength(t *testing.T) {
	for _, code := range []string{"#C9837F", "#7F9DC0", "#E6CF7E", "#8E8E8E"} {
		for _, dose := range []float64{0.0005, 0.002, 0.01} {
			mix := func(s float64) color.Prediction {
				tint := tintOf(t, color.Colored, scattering(t, s), code, 0.005)
				return predict(t, color.Recipe{Base: clearBase(t), Doses: []color.Dose{{Tint: tint, Part: dose}}, Wall: color.Wall{MM: 3}})
			}
			usual := mix(5)
			most := color.Floor(color.Masstone)
			for _, s := range []float64{2.5, 10} {
				off := color.Difference(usual.Lab, mix(s).Lab)
				if usual.Floor < min(off, most)-1e-9 || usual.Floor < color.Floor(color.Careful) || usual.Floor > most {
					t.Errorf("%s at %v: ±%.1f is told, and a base that scatters %v is off by %.1f", code, dose, usual.Floor, s, off)
				}
			}
		}
	}
}

// TestFloorOfSettledStrength: in the swatch's own kind of base the same bases
// give the same color, and the reading alone counts; so it does where a black
// base swallows the tint.
func TestFloorOfSettledStrength(t *testing.T) {
	for _, s := range []float64{2.5, 5, 10} {
		base := scattering(t, s)
		tint := tintOf(t, color.Colored, base, "#C9837F", 0.005)
		for _, into := range []*color.Base{base, blackBase(t)} {
			p := predict(t, color.Recipe{Base: into, Doses: []color.Dose{{Tint: tint, Part: 0.01}}})
			near(t, "floor", p.Floor, color.Floor(color.Careful), 1e-9)
		}
	}
}

// TestFloorOfWeakSwatch: a swatch that looks like its base does not settle how
// strong the tint is, which more of it brings to light.
func TestFloorOfWeakSwatch(t *testing.T) {
	base := whiteBase(t)
	weak := tintOf(t, color.Colored, base, "#F1EDE2", 0.0005)
	if !hasNote(weak.Notes, "hardly differs") {
		t.Fatalf("notes %q", weak.Notes)
	}
	at := func(dose float64) float64 {
		return predict(t, color.Recipe{Base: base, Doses: []color.Dose{{Tint: weak, Part: dose}}}).Floor
	}
	if low, high := at(0.0005), at(0.02); low != color.Floor(color.Careful) || high <= low {
		t.Errorf("±%.1f at its own dose, ±%.1f at forty times that", low, high)
	}
}
