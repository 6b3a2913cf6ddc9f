package color_test

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"

	"github.com/pourwright/pourwright/internal/color"
)

func referenceConstants(t *testing.T, raw json.RawMessage) {
	c := into[struct {
		K1, K2     float64
		Min        float64            `json:"R_internal_min"`
		Max        float64            `json:"R_internal_max"`
		White      [3]float64         `json:"white_XYZ"`
		Scatter    map[string]float64 `json:"S_base_per_mm"`
		Backing    map[string]float64 `json:"backing_R"`
		MaxLoad    float64            `json:"max_load"`
		DoseFloor  float64            `json:"dose_floor"`
		Verdict    map[string]float64 `json:"verdict_limits_dE00"`
		Floor      map[string]float64 `json:"error_floor_dE00"`
		FromLinear [3][3]float64      `json:"srgb_to_xyz"`
		ToLinear   [3][3]float64      `json:"xyz_to_srgb"`
	}](t, raw)
	near(t, "gloss of a white surface", 1-color.Surface(1), c.K1, 1e-12)
	near(t, "surface of a half", color.Surface(0.5), (1-c.K1)*(1-c.K2)*0.5/(1-c.K2*0.5), 1e-12)
	for i, want := range c.White {
		near(t, "white", color.Linear{1, 1, 1}.XYZ()[i], want, 1e-9)
	}
	near(t, "load limit", color.LoadUsual, c.MaxLoad, 0)
	near(t, "dose floor", color.DoseFloor, c.DoseFloor, 0)
	for word, at := range c.Verdict {
		if got := color.Judge(at); string(got) != word {
			t.Errorf("Judge(%v) = %s, want %s", at, got, word)
		}
		if got := color.Judge(at + 1e-9); string(got) == word {
			t.Errorf("Judge(over %v) = %s still", at, got)
		}
	}
	names := map[string]color.Quality{"instrument": color.Instrument, "careful_hex": color.Careful,
		"phone_photo": color.Card, "poor_light": color.Poor, "masstone_only": color.Masstone}
	for name, want := range c.Floor {
		q, ok := names[name]
		if !ok {
			t.Errorf("no quality is known for %s", name)
		}
		near(t, "floor of "+name, color.Floor(q), want, 0)
	}
	unit := func(i int) (v [3]float64) { v[i] = 1; return v }
	for i := range 3 {
		from, to := color.Linear(unit(i)).XYZ(), color.XYZ(unit(i)).Linear()
		for r := range 3 {
			near(t, "linear to XYZ", from[r]/100, c.FromLinear[r][i], 1e-9)
			near(t, "XYZ to linear", to[r]*100, c.ToLinear[r][i], 1e-9)
		}
	}
	for kind, s := range c.Scatter {
		// A bare layer without absorption shows S: R = St/(St+1) over black.
		checkScatter(t, color.BaseKind(kind), s, c.Backing["black"])
	}
}

// checkScatter looks at 1 mm over black of a base that does not absorb.
func checkScatter(t *testing.T, kind color.BaseKind, s, backing float64) {
	t.Helper()
	spec := color.BaseSpec{Kind: kind, Seen: color.Hex(color.RGB{R: 255, G: 255, B: 255}), Wall: color.Wall{MM: 1, Backing: color.BlackBacking}}
	base, err := color.NewBase(spec, nil)
	if err != nil {
		t.Fatal(err)
	}
	p, err := color.Predict(color.Recipe{Base: base, Wall: spec.Wall})
	if err != nil {
		t.Fatal(err)
	}
	want := color.Surface(color.Backed(s/(s+1), 1/(s+1), backing))
	near(t, "1 mm of a clear "+string(kind)+" base", p.Curve[0], want, 1e-9)
}

func referenceCIE(t *testing.T, raw json.RawMessage) {
	c := into[struct {
		Wavelength []float64       `json:"wavelength_nm"`
		X          color.Spectrum  `json:"weights_X"`
		Y          color.Spectrum  `json:"weights_Y"`
		Z          color.Spectrum  `json:"weights_Z"`
		Check      json.RawMessage `json:"white_check"`
	}](t, raw)
	if len(c.Wavelength) != color.Bands || c.Wavelength[0] != 380 || c.Wavelength[color.Bands-1] != 730 {
		t.Fatalf("bands are %v", c.Wavelength)
	}
	for i := range color.Bands {
		var one color.Spectrum
		one[i] = 1
		got := one.XYZ()
		for k, want := range []float64{c.X[i], c.Y[i], c.Z[i]} {
			near(t, fmt.Sprintf("weight %d of band %d", k, i), got[k]/100, want, 1e-9)
		}
	}
	want := into[struct{ Wanted []float64 }](t, c.Check).Wanted
	var ones color.Spectrum
	for i := range ones {
		ones[i] = 1
	}
	for k, v := range ones.XYZ() {
		near(t, "white", v, want[k], 1e-9)
	}
	nearLab(t, "white", ones.XYZ().Lab(), []float64{100, 0, 0}, 1e-9)
}

func referenceSRGB(t *testing.T, raw json.RawMessage) {
	type row struct {
		Hex              string
		Linear, XYZ, Lab []float64
	}
	rows(t, raw, func(t *testing.T, r row) {
		c := hex(t, r.Hex)
		for i := range 3 {
			near(t, "linear", c.Linear()[i], r.Linear[i], 1e-6)
			near(t, "XYZ", c.XYZ()[i], r.XYZ[i], 1e-6)
		}
		nearLab(t, "Lab", c.Lab(), r.Lab, 1e-6)
		if back, clipped := c.Lab().XYZ().Linear().RGB(); back != c || clipped {
			t.Errorf("back from Lab: %s, clipped %v", back, clipped)
		}
	})
}

func referenceDifference(t *testing.T, raw json.RawMessage) {
	type row struct {
		Lab1, Lab2       []float64
		Published, Exact float64
	}
	rows(t, raw, func(t *testing.T, r row) {
		p, q := labOf(r.Lab1), labOf(r.Lab2)
		for _, got := range []float64{color.Difference(p, q), color.Difference(q, p)} {
			near(t, "published", got, r.Published, 5e-5)
			near(t, "exact", got, r.Exact, 1e-9)
		}
	})
}

// referenceChart looks at measured reflectances under D65 by the package. The
// published values are under D50, for which the package has no weights: those
// are made here from the file's tables, and the package's Lab, which takes
// shares of its own white, does the rest.
func referenceChart(t *testing.T, raw json.RawMessage) {
	chart := into[struct {
		Mean float64 `json:"mean_dE00"`
		Max  float64 `json:"max_dE00"`
		Rows []struct {
			Name      string
			R         color.Spectrum
			XyY       [3]float64 `json:"published_xyY_D50"`
			Published []float64  `json:"lab_D50_from_published"`
			FromR     []float64  `json:"lab_D50_from_R"`
			D65       []float64  `json:"lab_D65_from_R"`
			DE        float64    `json:"dE00"`
		}
	}](t, raw)
	horizon := readD50(t)
	sum, most := 0.0, 0.0
	for _, r := range chart.Rows {
		nearLab(t, r.Name+" under D65", r.R.XYZ().Lab(), r.D65, 1e-4)
		x, y, Y := r.XyY[0], r.XyY[1], r.XyY[2]
		published := horizon.lab(color.XYZ{100 * Y * x / y, 100 * Y, 100 * Y * (1 - x - y) / y})
		measured := horizon.lab(horizon.xyz(&r.R))
		nearLab(t, r.Name+" as published", published, r.Published, 1e-3)
		nearLab(t, r.Name+" from its curve", measured, r.FromR, 1e-3)
		d := color.Difference(published, measured)
		near(t, r.Name+" ΔE00", d, r.DE, 1e-3)
		sum, most = sum+d, max(most, d)
	}
	near(t, "mean", sum/float64(len(chart.Rows)), chart.Mean, 1e-3)
	near(t, "max", most, chart.Max, 1e-3)
}

// otherLight is an illuminant of the file with its observer.
type otherLight struct {
	X     color.Spectrum `json:"x_bar"`
	Y     color.Spectrum `json:"y_bar"`
	Z     color.Spectrum `json:"z_bar"`
	Power color.Spectrum `json:"D50"`
}

func readD50(t *testing.T) otherLight {
	var file struct{ CIE otherLight }
	if !readReference(t, "color.json", &file) {
		t.Skip("no color.json")
	}
	return file.CIE
}

// whiteD50 is the white point of D50 as ICC.1 profiles have it.
var whiteD50 = color.XYZ{96.42, 100, 82.49}

func (o *otherLight) xyz(r *color.Spectrum) (c color.XYZ) {
	for k, bar := range []*color.Spectrum{&o.X, &o.Y, &o.Z} {
		full := 0.0
		for i := range bar {
			full += o.Power[i] * bar[i]
			c[k] += o.Power[i] * bar[i] * r[i]
		}
		c[k] *= whiteD50[k] / full
	}
	return c
}

func (o *otherLight) lab(c color.XYZ) color.Lab {
	white := color.Linear{1, 1, 1}.XYZ()
	for k := range c {
		c[k] *= white[k] / whiteD50[k]
	}
	return c.Lab()
}

func referenceSmooth(t *testing.T, raw json.RawMessage) {
	cache := color.NewCache(0)
	type row struct {
		Hex string
		R   color.Spectrum
	}
	rows(t, raw, func(t *testing.T, r row) {
		got := cache.Reflectance(hex(t, r.Hex))
		for i := range got {
			near(t, fmt.Sprintf("band %d", i), got[i], r.R[i], 1e-6)
		}
		if again := cache.Reflectance(hex(t, r.Hex)); again != got {
			t.Error("the cache gives another curve")
		}
	})
}

func referenceOpaque(t *testing.T, raw json.RawMessage) {
	type row struct {
		R    float64 `json:"R_inf"`
		KS   float64 `json:"K_over_S"`
		Back float64
	}
	rows(t, raw, func(t *testing.T, r row) {
		nearRel(t, "K/S", color.Absorption(r.R), r.KS, 1e-9)
		near(t, "back", color.Opaque(r.KS, 1), r.Back, 1e-9)
	})
}

func referenceSurface(t *testing.T, raw json.RawMessage) {
	type row struct {
		R          float64 `json:"R_internal"`
		Spex, Spin float64
	}
	rows(t, raw, func(t *testing.T, r row) {
		near(t, "seen", color.Surface(r.R), r.Spex, 1e-9)
		near(t, "back", color.Inside(r.Spex), r.R, 1e-9)
		var with color.Spectrum
		for i := range with {
			with[i] = r.Spin
		}
		// An instrument's value with gloss is the value without it.
		near(t, "with gloss", color.Curve(with, true).Lab().XYZ()[1]/100, r.Spex, 1e-9)
	})
}

func referenceLayer(t *testing.T, raw json.RawMessage) {
	type row struct {
		K, S    float64
		MM      *float64 `json:"t_mm"`
		Backing float64  `json:"R_backing"`
		R, T    *float64
	}
	rows(t, raw, func(t *testing.T, r row) {
		if r.MM == nil {
			near(t, "R", color.Opaque(r.K, r.S), *r.R, 1e-9)
			return
		}
		refl, pass := color.Layer(r.K, r.S, *r.MM)
		near(t, "R", color.Backed(refl, pass, r.Backing), *r.R, 1e-9)
		if r.T != nil {
			near(t, "T", pass, *r.T, 1e-9)
		}
	})
}

// referenceSelf computes what the reference says of itself with the package and
// holds it against the same tolerances that the reference met.
func referenceSelf(t *testing.T, raw json.RawMessage) {
	ours := map[string]func(*testing.T) (got, most float64){
		"layer_vs_ode_max_abs":          layerAgainstEquations,
		"layer_vs_coth_form_max_abs":    layerAgainstTextbook,
		"reflectance_vs_SLSQP_max_abs":  nil, // another optimizer: TestSmoothIsSmoothest has its own
		"cube_colors":                   func(*testing.T) (float64, float64) { return float64(len(cube())), 4102 },
		"cube_max_newton_steps":         nil, // TestStepsOfSmooth
		"cube_max_linear_error":         cubeError,
		"dE00_34_pairs_max_abs":         nil, // section ciede2000
		"saunderson_round_trip_max_abs": func(*testing.T) (float64, float64) { return roundTrip(color.Surface, color.Inside), 1e-15 },
		"km_round_trip_max_abs": func(*testing.T) (float64, float64) {
			return roundTrip(color.Absorption, func(ks float64) float64 { return color.Opaque(ks, 1) }), 1e-14
		},
		"raw_white":              nil, // section cie
		"white_from_5nm_380_780": nil, // a finer table that the program does not use
	}
	for name := range into[map[string]any](t, raw) {
		t.Run(name, func(t *testing.T) {
			compute, ok := ours[name]
			if !ok {
				t.Fatal("no test knows this check")
			}
			if compute == nil {
				t.Skip("checked elsewhere")
			}
			if got, most := compute(t); !(got <= most) {
				t.Errorf("got %g, want %g at most", got, most)
			}
		})
	}
}

// roundTrip is the largest error of there and back.
func roundTrip(there, back func(float64) float64) (worst float64) {
	for i := 1; i < 1000; i++ {
		r := float64(i) / 1000
		worst = max(worst, math.Abs(back(there(r))-r))
	}
	return worst
}

// cube is a grid of 16 steps a channel and six odd colors near its corners.
func cube() (out []color.RGB) {
	for r := 0; r < 256; r += 17 {
		for g := 0; g < 256; g += 17 {
			for b := 0; b < 256; b += 17 {
				out = append(out, color.RGB{R: uint8(r), G: uint8(g), B: uint8(b)})
			}
		}
	}
	return append(out, []color.RGB{{R: 1}, {G: 1}, {B: 1}, {R: 254, G: 255, B: 255}, {R: 255, G: 254, B: 255}, {R: 255, G: 255, B: 254}}...)
}

// cubeError is the worst miss of a curve, in linear light.
func cubeError(*testing.T) (worst, most float64) {
	var none *color.Cache
	for _, c := range cube() {
		curve := none.Reflectance(c)
		got := curve.XYZ().Linear()
		for i, want := range c.Linear() {
			worst = max(worst, math.Abs(got[i]-want))
		}
	}
	return worst, 1e-9
}

// layerCases are K, S, t that span clear, dark, thin and thick.
var layerCases = [][3]float64{{0.01, 5, 0.5}, {0.3, 5, 3}, {1, 0.02, 6}, {0.002, 0.002, 6}, {4, 10, 1}, {1e-6, 0.5, 10}, {0, 2, 2}}

// layerAgainstEquations integrates dR/dt = S − 2(K+S)R + SR² and
// dT/dt = T(SR − K − S) by the fourth-order rule of Runge and Kutta.
func layerAgainstEquations(*testing.T) (worst, most float64) {
	for _, c := range layerCases {
		k, s, t := c[0], c[1], c[2]
		const steps = 20000
		h, r, p := t/steps, 0.0, 1.0
		slope := func(r, p float64) (float64, float64) { return s - 2*(k+s)*r + s*r*r, p * (s*r - k - s) }
		for range steps {
			r1, p1 := slope(r, p)
			r2, p2 := slope(r+h/2*r1, p+h/2*p1)
			r3, p3 := slope(r+h/2*r2, p+h/2*p2)
			r4, p4 := slope(r+h*r3, p+h*p3)
			r += h / 6 * (r1 + 2*r2 + 2*r3 + r4)
			p += h / 6 * (p1 + 2*p2 + 2*p3 + p4)
		}
		refl, pass := color.Layer(k, s, t)
		worst = max(worst, math.Abs(refl-r), math.Abs(pass-p))
	}
	return worst, 1e-9
}

// layerAgainstTextbook takes the hyperbolic form of 1948 over a backing.
func layerAgainstTextbook(*testing.T) (worst, most float64) {
	for _, c := range layerCases {
		k, s, t := c[0], c[1], c[2]
		if k == 0 {
			continue // 0/0 in that form
		}
		for _, backing := range []float64{0, 0.5, 0.9} {
			a := 1 + k/s
			b := math.Sqrt(a*a - 1)
			coth := 1 / math.Tanh(b*s*t)
			want := (1 - backing*(a-b*coth)) / (a - backing + b*coth)
			refl, pass := color.Layer(k, s, t)
			worst = max(worst, math.Abs(color.Backed(refl, pass, backing)-want))
		}
	}
	return worst, 1e-9
}
