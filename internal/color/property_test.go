package color_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/color"
)

// drawCode draws a color that a cast can have, away from the ends where a curve
// is clamped.
func drawCode(t *rapid.T, name string) color.RGB {
	v := rapid.SliceOfN(rapid.IntRange(30, 245), 3, 3).Draw(t, name)
	return color.RGB{R: uint8(v[0]), G: uint8(v[1]), B: uint8(v[2])}
}

var warm = color.RGB{R: 0xF2, G: 0xEF, B: 0xE6}

func whiteBase(t rapid.TB) *color.Base {
	b, err := color.NewBase(color.BaseSpec{Name: "white", Kind: color.WhiteBase, Seen: color.Hex(warm), Quality: color.Careful}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func clearBase(t rapid.TB) *color.Base {
	b, err := color.NewBase(color.BaseSpec{Name: "clear", Kind: color.ClearBase, Quality: color.Careful}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func drawTint(t *rapid.T, base *color.Base, name string) *color.Tint {
	spec := color.TintSpec{Name: name, Family: color.Colored, Base: base, Swatch: color.Hex(drawCode(t, name)),
		Dose: rapid.Float64Range(0.001, 0.02).Draw(t, name+" dose"), Quality: color.Careful}
	tint, err := color.NewTint(spec, nil)
	if err != nil {
		t.Fatal(err)
	}
	return tint
}

func predict(t rapid.TB, r color.Recipe) color.Prediction {
	p, err := color.Predict(r)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func drawWall(t *rapid.T) color.Wall {
	if rapid.Bool().Draw(t, "thick") {
		return color.Wall{}
	}
	return color.Wall{MM: rapid.Float64Range(0.5, 30).Draw(t, "wall"), Backing: rapid.SampledFrom([]color.Backing{color.WhiteBacking, color.BlackBacking}).Draw(t, "backing")}
}

func TestNoTintIsTheBase(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := whiteBase(t)
		p := predict(t, color.Recipe{Base: base, Doses: []color.Dose{{Tint: drawTint(t, base, "tint")}}})
		if p.Code != warm || p.Load != 0 || p.Tenth != 0 {
			t.Fatalf("no tint gives %v, load %v, tenth %v", p.Code, p.Load, p.Tenth)
		}
	})
}

// TestSwatchComesBack: at the dose of its swatch a tint looks like it, unless
// some band would have to be lighter than the base, where K is clamped.
func TestSwatchComesBack(t *testing.T) {
	cache := color.NewCache(0)
	rapid.Check(t, func(t *rapid.T) {
		base := whiteBase(t)
		code := drawCode(t, "swatch")
		wanted, bare := cache.Reflectance(code), cache.Reflectance(warm)
		for i := range wanted {
			if wanted[i] > bare[i] {
				t.Skip("lighter than the base in some band")
			}
		}
		tint, err := color.NewTint(color.TintSpec{Family: color.Colored, Base: base, Swatch: color.Hex(code), Dose: 0.004}, cache)
		if err != nil {
			t.Fatal(err)
		}
		p := predict(t, color.Recipe{Base: base, Doses: []color.Dose{{Tint: tint, Part: 0.004}}})
		if d := color.Difference(p.Lab, code.Lab()); d > 0.01 {
			t.Fatalf("%v came back as %v", code, p.Code)
		}
	})
}

// TestMoreTintIsNeverLighter: a colored tint only takes light away, in every
// band, whatever the wall.
func TestMoreTintIsNeverLighter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := rapid.SampledFrom([]*color.Base{whiteBase(t), clearBase(t)}).Draw(t, "base")
		wall := drawWall(t)
		if base.Kind == color.ClearBase && wall.MM == 0 {
			wall.MM = 6
		}
		tint := drawTint(t, whiteBase(t), "tint")
		low := rapid.Float64Range(0, 0.02).Draw(t, "dose")
		high := low + rapid.Float64Range(0, 0.05).Draw(t, "more")
		at := func(d float64) color.Prediction {
			return predict(t, color.Recipe{Base: base, Doses: []color.Dose{{Tint: tint, Part: d}}, Wall: wall})
		}
		a, b := at(low), at(high)
		for i := range a.Curve {
			if b.Curve[i] > a.Curve[i]+1e-12 {
				t.Fatalf("band %d: %v at %v, %v at %v", i, a.Curve[i], low, b.Curve[i], high)
			}
		}
	})
}

// TestOverBlackGrowsWithTheWall: a thicker wall over black gives back more light.
func TestOverBlackGrowsWithTheWall(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(0, 10).Draw(t, "K")
		s := rapid.Float64Range(0.001, 10).Draw(t, "S")
		wall := rapid.Float64Range(0.01, 100).Draw(t, "wall")
		thin, passed := color.Layer(k, s, wall)
		thick, less := color.Layer(k, s, wall*1.1)
		if thick < thin-1e-12 || less > passed+1e-12 || thin < 0 || thin+passed > 1+1e-12 || thick > color.Opaque(k, s)+1e-12 {
			t.Fatalf("K %v S %v: %v mm gives %v and %v, a tenth more %v and %v", k, s, wall, thin, passed, thick, less)
		}
	})
}

// TestFindGetsBackWhatWasMixed: the color of any mix under the limit is found
// again. A dose is nothing, or what counts as one.
func TestFindGetsBackWhatWasMixed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := whiteBase(t)
		palette := []*color.Tint{drawTint(t, base, "one"), drawTint(t, base, "two"), drawTint(t, base, "three")}
		var mixed []color.Dose
		for i, tint := range palette {
			mixed = append(mixed, color.Dose{Tint: tint, Part: rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(color.DoseFloor, 0.0066)).Draw(t, string(rune('a'+i)))})
		}
		target := predict(t, color.Recipe{Base: base, Doses: mixed})
		m, err := color.Find(color.Want{Base: base, Palette: palette, Target: color.Measured(target.Lab)}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if d := m.Ranked[0].Difference; d >= 0.05 {
			t.Fatalf("ΔE00 %v for a color that was mixed from %v", d, mixed)
		}
		if m.Best.Difference > m.Ranked[0].Difference+0.3 || m.Verdict != color.Matches {
			t.Fatalf("offered %+v", m.Best)
		}
		for _, b := range m.Ranked {
			checkBlend(t, b, color.LoadUsual)
		}
	})
}

// checkBlend: doses are never below the least one, and within the limit.
func checkBlend(t rapid.TB, b color.Blend, limit float64) {
	sum := 0.0
	for _, d := range b.Doses {
		if !(d.Part >= (1-1e-9)*color.DoseFloor) {
			t.Fatalf("dose %v", d.Part)
		}
		sum += d.Part
	}
	if sum > limit*(1+1e-9) || math.Abs(sum-b.Load) > 1e-12 {
		t.Fatalf("load %v, said %v, limit %v", sum, b.Load, limit)
	}
}

// TestOrderOfTintsDoesNotMatter to a match: sets within 0.001 count as equal.
func TestOrderOfTintsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base, wall := whiteBase(t), drawWall(t)
		palette := []*color.Tint{drawTint(t, base, "one"), drawTint(t, base, "two"), drawTint(t, base, "three")}
		turned := slices.Clone(palette)
		slices.Reverse(turned)
		target := color.Hex(drawCode(t, "target"))
		at := func(p []*color.Tint) float64 {
			m, err := color.Find(color.Want{Base: base, Palette: p, Target: target, Wall: wall}, nil)
			if err != nil {
				t.Fatal(err)
			}
			for _, b := range m.Ranked {
				checkBlend(t, b, color.LoadUsual)
			}
			return m.Ranked[0].Difference
		}
		if a, b := at(palette), at(turned); math.Abs(a-b) > 2e-3 {
			t.Fatalf("ΔE00 %v, turned round %v", a, b)
		}
	})
}

func TestDifferenceIsSymmetric(t *testing.T) {
	draw := func(t *rapid.T, name string) color.Lab {
		v := rapid.SliceOfN(rapid.Float64Range(-128, 128), 3, 3).Draw(t, name)
		return color.Lab{L: math.Abs(v[0]) / 1.28, A: v[1], B: v[2]}
	}
	rapid.Check(t, func(t *rapid.T) {
		p, q := draw(t, "p"), draw(t, "q")
		a, b := color.Difference(p, q), color.Difference(q, p)
		if math.Abs(a-b) > 2e-3*(1+a) || math.IsNaN(a) || a < 0 || color.Difference(p, p) != 0 {
			t.Fatalf("ΔE00 %v and %v", a, b)
		}
	})
}

// TestGraysRoundTrip: each of the 256 grays comes back through curve, Lab and
// code, and is flat.
func TestGraysRoundTrip(t *testing.T) {
	var none *color.Cache
	for v := range 256 {
		gray := color.RGB{R: uint8(v), G: uint8(v), B: uint8(v)}
		curve := none.Reflectance(gray)
		if curve[0] != curve[color.Bands-1] {
			t.Errorf("%s is not flat", gray)
		}
		back, clipped := curve.XYZ().Linear().RGB()
		if back != gray || clipped {
			t.Errorf("%s came back as %s", gray, back)
		}
		if c := curve.XYZ().Lab().Chroma(); c > 1e-9 {
			t.Errorf("%s has chroma %g", gray, c)
		}
	}
}

// TestCodesRoundTrip: every code is written and read alike, through light and
// Lab.
func TestCodesRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Byte(), 3, 3).Draw(t, "code")
		c := color.RGB{R: v[0], G: v[1], B: v[2]}
		read, err := color.ParseHex(c.String())
		if err != nil || read != c {
			t.Fatalf("%s read as %s, %v", c, read, err)
		}
		if back, clipped := c.Lab().XYZ().Linear().RGB(); back != c || clipped {
			t.Fatalf("%s came back as %s", c, back)
		}
	})
}

// TestWeighingAddsUp: tint that is weighed is the tint that was asked for, and
// letdowns bring the tint side that they take off.
func TestWeighingAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := color.WeighWant{
			Resin: rapid.Float64Range(5, 5000).Draw(t, "resin"),
			Step:  rapid.SampledFrom([]float64{0.01, 0.1, 1}).Draw(t, "step"),
			Cups:  rapid.IntRange(1, 9).Draw(t, "cups"),
			Doses: rapid.SliceOfN(rapid.Float64Range(1e-5, 0.02), 0, 4).Draw(t, "doses"),
		}
		w.Side = w.Resin * rapid.Float64Range(0.05, 0.95).Draw(t, "side")
		got, err := color.Weigh(w)
		if err != nil {
			t.Fatal(err)
		}
		cups, tint, side := float64(w.Cups), 0.0, got.SideLeft
		for i, x := range got.Tints {
			tint += x.Weigh / float64(x.Letdown)
			side += x.Carries
			if math.Abs(x.PerCup*cups/got.Total-w.Doses[i]) > 1e-9 || math.Abs(x.Shown-x.Weigh) > w.Step/2*(1+1e-9) {
				t.Fatalf("dose %v weighed as %+v", w.Doses[i], x)
			}
			for k, s := range x.Stock {
				next := x.Weigh * cups // what the last letdown has to cover
				if k+1 < len(x.Stock) {
					next = x.Stock[k+1].Take
				}
				if s.Take+s.Side < next || s.Take < got.Least*(1-1e-9) && s.Take+s.Side < 1.1*next*(1-1e-9) || math.Abs(s.Side-9*s.Take) > 1e-9*s.Side {
					t.Fatalf("stock %+v for %v", s, next)
				}
			}
		}
		if math.Abs(side-w.Side/cups) > 1e-9*w.Side || math.Abs(tint*cups+w.Resin-got.Total) > 1e-9*got.Total {
			t.Fatalf("tint %v, side %v of %+v", tint, side, got)
		}
	})
}
