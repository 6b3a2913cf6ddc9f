package color_test

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"

	"github.com/pourwright/pourwright/internal/color"
)

// rack is the invented bases and tints of the file.
type rack struct {
	Bases map[string]struct {
		Cures   color.BaseKind
		Hex     string
		MM      float64 `json:"t_mm"`
		Backing color.Backing
	}
	Tints map[string]struct {
		In, Kind, Hex, Geometry string
		Dose                    float64
		Lab                     []float64
		Spectrum                *color.Spectrum
		MM                      float64 `json:"t_mm"`
		Backing                 color.Backing
	}
}

func readRack(t testing.TB) rack {
	var file struct{ Demo rack }
	if !readReference(t, "color.json", &file) {
		t.Skip("no color.json")
	}
	return file.Demo
}

func (r rack) base(t testing.TB, name string) *color.Base {
	t.Helper()
	b, ok := r.Bases[name]
	if !ok {
		t.Fatalf("no base %q", name)
	}
	spec := color.BaseSpec{Name: name, Kind: b.Cures, Wall: color.Wall{MM: b.MM, Backing: b.Backing}, Quality: color.Careful}
	if b.Hex != "" {
		spec.Seen = color.Hex(hex(t, b.Hex))
	}
	base, err := color.NewBase(spec, nil)
	if err != nil {
		t.Fatal(err)
	}
	return base
}

func (r rack) tint(t testing.TB, name string) *color.Tint {
	t.Helper()
	x, ok := r.Tints[name]
	if !ok {
		t.Fatalf("no tint %q", name)
	}
	spec := color.TintSpec{Name: name, Family: color.Colored, Base: r.base(t, x.In), Dose: x.Dose,
		Wall: color.Wall{MM: x.MM, Backing: x.Backing}, Quality: color.Careful}
	if x.Kind != "" {
		spec.Family = color.Family(x.Kind)
	}
	switch {
	case x.Hex != "":
		spec.Swatch = color.Hex(hex(t, x.Hex))
	case x.Lab != nil:
		spec.Swatch = color.Measured(labOf(x.Lab))
	case x.Spectrum != nil:
		spec.Swatch = color.Curve(*x.Spectrum, x.Geometry == "spin")
	}
	tint, err := color.NewTint(spec, nil)
	if err != nil {
		t.Fatal(err)
	}
	return tint
}

func wallOf(mm *float64, b color.Backing) color.Wall {
	if mm == nil {
		return color.Wall{}
	}
	return color.Wall{MM: *mm, Backing: b}
}

// referenceDemo makes every base and tint of the rack and gets their swatches
// back.
func referenceDemo(t *testing.T, raw json.RawMessage) {
	r := into[rack](t, raw)
	for name := range r.Bases {
		t.Run(name, func(t *testing.T) { r.base(t, name) })
	}
	for name, x := range r.Tints {
		t.Run(name, func(t *testing.T) {
			tint := r.tint(t, name)
			if x.Hex == "" || tint.Dose == 0 {
				return
			}
			p, err := color.Predict(color.Recipe{Base: r.base(t, x.In), Doses: []color.Dose{{Tint: tint, Part: x.Dose}}, Wall: color.Wall{MM: x.MM, Backing: x.Backing}})
			if err != nil {
				t.Fatal(err)
			}
			nearHex(t, "swatch", p.Code, x.Hex)
		})
	}
}

func referenceForward(t *testing.T, raw json.RawMessage) {
	rack := readRack(t)
	type row struct {
		Base    string
		Doses   map[string]float64
		MM      *float64 `json:"t_mm"`
		Backing color.Backing
		Expect  struct {
			R3  []float64 `json:"R_450_550_650"`
			R   []float64
			Lab []float64
			Hex string
			Ten float64 `json:"dE00_if_all_doses_10pct_high"`
		}
	}
	rows(t, raw, func(t *testing.T, r row) {
		recipe := color.Recipe{Base: rack.base(t, r.Base), Wall: wallOf(r.MM, r.Backing)}
		for name, d := range r.Doses {
			recipe.Doses = append(recipe.Doses, color.Dose{Tint: rack.tint(t, name), Part: d})
		}
		p, err := color.Predict(recipe)
		if err != nil {
			t.Fatal(err)
		}
		nearLab(t, "color", p.Lab, r.Expect.Lab, 0.01)
		nearHex(t, "code", p.Code, r.Expect.Hex)
		near(t, "with 10 % more", p.Tenth, r.Expect.Ten, 0.01)
		for i, want := range r.Expect.R3 {
			near(t, fmt.Sprintf("R at %d nm", 450+100*i), p.Curve[7+10*i], want, 1e-5)
		}
		for i, want := range r.Expect.R {
			near(t, fmt.Sprintf("R of band %d", i), p.Curve[i], want, 1e-5)
		}
	})
}

func referenceInverse(t *testing.T, raw json.RawMessage) {
	rack := readRack(t)
	type row struct {
		Base, Target string
		Tints        []string
		MaxLoad      float64  `json:"max_load"`
		MM           *float64 `json:"t_mm"`
		Backing      color.Backing
		Expect       struct {
			Best    float64 `json:"dE00_best_of_all_subsets"`
			DE      float64 `json:"dE00"`
			Verdict color.Verdict
			Doses   map[string]float64
			Tol     *float64 `json:"dose_tolerance_rel"`
		}
	}
	rows(t, raw, func(t *testing.T, r row) {
		w := color.Want{Base: rack.base(t, r.Base), Target: color.Hex(hex(t, r.Target)), MaxLoad: r.MaxLoad, Wall: wallOf(r.MM, r.Backing)}
		for _, name := range r.Tints {
			w.Palette = append(w.Palette, rack.tint(t, name))
		}
		m, err := color.Find(w, nil)
		if err != nil {
			t.Fatal(err)
		}
		x := r.Expect
		if got := m.Best.Difference; !(got <= x.DE+0.05) {
			t.Errorf("ΔE00 %.4f, want %.4f or less: %+v", got, x.DE, doses(m.Best))
		}
		if got := m.Ranked[0].Difference; !(got <= x.Best+0.05) {
			t.Errorf("best ΔE00 %.4f, want %.4f or less", got, x.Best)
		}
		t.Logf("ΔE00 %.4f (reference %.4f), %v, %v", m.Best.Difference, x.DE, m.Verdict, doses(m.Best))
		if m.Verdict != x.Verdict && min(math.Abs(x.DE-2), math.Abs(x.DE-5)) > 0.05 {
			t.Errorf("verdict %q, want %q", m.Verdict, x.Verdict)
		}
		if m.Best.Load > r.MaxLoad*(1+1e-9) {
			t.Errorf("load %v over the limit %v", m.Best.Load, r.MaxLoad)
		}
		if x.Tol == nil {
			return
		}
		got := doses(m.Best)
		for name, want := range x.Doses {
			nearRel(t, name, got[name], want, *x.Tol)
		}
	})
}

func doses(b color.Blend) map[string]float64 {
	out := map[string]float64{}
	for _, d := range b.Doses {
		out[d.Tint.Name] = d.Part
	}
	return out
}

func referenceWeighing(t *testing.T, raw json.RawMessage) {
	type tint struct {
		PerCup  float64 `json:"tint_g_per_cup"`
		Batch   float64 `json:"tint_g_batch"`
		AtOnce  bool    `json:"enough_if_whole_part_b_is_tinted_at_once"`
		Letdown string
		Weigh   float64 `json:"weigh_g_per_cup"`
		Heavy   bool    `json:"heavy_enough"`
		Carried float64 `json:"part_b_carried_g_per_cup"`
		Stock   []struct {
			Make, Of string
			Take     float64 `json:"take_g"`
			Side     float64 `json:"part_b_g"`
		}
		Drops *float64 `json:"drops_per_cup"`
	}
	type row struct {
		In struct {
			Resin       float64 `json:"resin_g"`
			Side        float64 `json:"part_b_g"`
			Doses       []float64
			Readability float64
			Cups        int
			Drop        float64 `json:"drop_g"`
		}
		Expect struct {
			Least    float64 `json:"min_weighable_g"`
			Total    float64 `json:"total_mix_g"`
			Tints    []tint
			Left     float64 `json:"part_b_to_add_g_per_cup"`
			Feasible bool
		}
	}
	const tol = 1e-6
	words := map[int]string{1: "none", 10: "1:10", 100: "1:100"}
	rows(t, raw, func(t *testing.T, r row) {
		w := color.WeighWant{Resin: r.In.Resin, Side: r.In.Side, Doses: r.In.Doses, Step: r.In.Readability, Cups: r.In.Cups}
		for range r.In.Doses {
			w.Drops = append(w.Drops, r.In.Drop)
		}
		got, err := color.Weigh(w)
		if err != nil {
			t.Fatal(err)
		}
		nearRel(t, "least", got.Least, r.Expect.Least, tol)
		nearRel(t, "total", got.Total, r.Expect.Total, tol)
		nearRel(t, "side left", got.SideLeft, r.Expect.Left, tol)
		if got.Feasible != r.Expect.Feasible || len(got.Tints) != len(r.Expect.Tints) {
			t.Fatalf("feasible %v with %d tints, want %v with %d", got.Feasible, len(got.Tints), r.Expect.Feasible, len(r.Expect.Tints))
		}
		for i, want := range r.Expect.Tints {
			g := got.Tints[i]
			nearRel(t, "per cup", g.PerCup, want.PerCup, tol)
			nearRel(t, "batch", g.Batch, want.Batch, tol)
			nearRel(t, "weigh", g.Weigh, want.Weigh, tol)
			nearRel(t, "carries", g.Carries, want.Carried, tol)
			if g.AtOnce != want.AtOnce || g.HeavyEnough != want.Heavy || words[g.Letdown] != want.Letdown || len(g.Stock) != len(want.Stock) {
				t.Errorf("got %+v, want %+v", g, want)
				continue
			}
			for k, s := range want.Stock {
				nearRel(t, "take", g.Stock[k].Take, s.Take, tol)
				nearRel(t, "side", g.Stock[k].Side, s.Side, tol)
				if of := map[string]string{"none": "tint"}[words[g.Stock[k].Of]]; words[g.Stock[k].Letdown] != s.Make || of+words[g.Stock[k].Of] != "tintnone" && words[g.Stock[k].Of] != s.Of {
					t.Errorf("stock %+v, want %+v", g.Stock[k], s)
				}
			}
			if want.Drops != nil {
				nearRel(t, "drops", g.Drops, *want.Drops, tol)
			} else if g.Drops != 0 {
				t.Errorf("drops %v of an unweighed drop", g.Drops)
			}
		}
	})
}

// referenceLibraries compares with what two general-purpose color libraries
// gave: their white is rounded, which moves Lab by 0.01. The mixes of the third
// one follow other rules and are compared by the hue they go toward.
func referenceLibraries(t *testing.T, raw json.RawMessage) {
	file := into[struct {
		Lab []struct {
			Hex             string
			Culori, ColorJS []float64
			DE              float64 `json:"dE00_to_ours"`
		}
		Mixes []struct {
			A, B           string
			Concentrations [2]float64
			Theirs         [3]float64 `json:"mix_srgb"`
			Ours           string     `json:"ours_same_concentrations_no_surface_correction_hex"`
			DE             float64    `json:"dE00"`
		} `json:"spectral_mixes"`
	}](t, raw)
	for _, r := range file.Lab {
		got := hex(t, r.Hex).Lab()
		nearLab(t, r.Hex+" culori", got, r.Culori, 0.011)
		nearLab(t, r.Hex+" colorjs", got, r.ColorJS, 0.011)
		near(t, r.Hex+" ΔE00", color.Difference(got, labOf(r.Culori)), r.DE, 5e-5)
	}
	for _, r := range file.Mixes {
		// Without a surface: K/S of both curves, mixed by concentration.
		a, b := color.NewCache(0).Reflectance(hex(t, r.A)), color.NewCache(0).Reflectance(hex(t, r.B))
		var mix color.Spectrum
		for i := range mix {
			mix[i] = color.Opaque(r.Concentrations[0]*ks(a[i])+r.Concentrations[1]*ks(b[i]), 1)
		}
		code, _ := mix.XYZ().Linear().RGB()
		nearHex(t, r.A+" with "+r.B, code, r.Ours)
		theirs := color.RGB{R: uint8(r.Theirs[0]), G: uint8(r.Theirs[1]), B: uint8(r.Theirs[2])}
		near(t, r.A+" with "+r.B+" ΔE00", color.Difference(code.Lab(), theirs.Lab()), r.DE, 0.5)
	}
}

func ks(r float64) float64 { return color.Absorption(min(max(r, 1e-4), 0.9999)) }
