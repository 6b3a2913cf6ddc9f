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

func TestBatch(t *testing.T) {
	none := ptr(0)
	for _, c := range []struct {
		name string
		want mix.Want
		a, b float64 // g
		cups int
		rule string
	}{
		// 120 mL of each: 132.0 g and 122.4 g, on the scale's grid.
		{"volume ratio, no waste", mix.Want{Profile: rigid(), Volume: 240, Waste: none}, 132.0, 122.4, 1, "as asked"},
		// 260 mL: 130 mL of each, 143.0 g and 132.6 g.
		{"volume ratio, usual waste", mix.Want{Profile: rigid(), Volume: 250}, 143.0, 132.6, 1, "4 % of the volume"},
		{"mass, nothing added", mix.Want{Profile: epoxy(), Mass: 145}, 100, 45, 1, ""},
		// 145/(100/1.15 + 45/0.98) = 1.09126 g/mL, so 109.13 g of 100:45.
		{"weight ratio by volume", mix.Want{Profile: epoxy(), Volume: 100, Waste: none}, 75.3, 33.9, 1, "as asked"},
		{"less than the mold holds", mix.Want{Profile: rigid(), Volume: 240, Waste: ptr(-0.5)}, 66, 61.2, 1, "as asked"},
		{"coarse scale", mix.Want{Profile: rigid(), Volume: 240, Waste: none, Step: 1}, 133, 123, 1, "as asked"},
		{"two cups", mix.Want{Profile: rigid(), Volume: 500, CupSize: 250, Waste: none}, 275, 255, 2, "as asked"},
		// Waste makes 520 mL of 500, so three cups hold it: 183.73 g each, and
		// 95.9 + 88.9 is truer than anything nearer.
		{"waste asks for one more cup", mix.Want{Profile: rigid(), Volume: 500, CupSize: 250}, 285.9, 265.2, 3, "4 % of the volume"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := mix.New(c.want)
			if err != nil {
				t.Fatal(err)
			}
			if !near(got.MassA, c.a, 1e-9) || !near(got.MassB, c.b, 1e-9) || len(got.Cups) != c.cups || got.Waste.Rule != c.rule {
				t.Errorf("A %v + B %v in %d cups by %q, want A %v + B %v in %d by %q", got.MassA, got.MassB, len(got.Cups), got.Waste.Rule, c.a, c.b, c.cups, c.rule)
			}
			if !near(got.MassTotal, got.MassA+got.MassB, 1e-9) {
				t.Errorf("total %v of A %v + B %v", got.MassTotal, got.MassA, got.MassB)
			}
			if len(got.Steps) < 3 {
				t.Errorf("too little working: %v", got.Steps)
			}
		})
	}
}

func TestBatchFacts(t *testing.T) {
	got, err := mix.New(mix.Want{Profile: rigid(), Volume: 240, Waste: ptr(0)})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name            string
		got, want, near float64
	}{
		{"volume of A", got.VolumeA, 120, 1e-9},
		{"volume of B", got.VolumeB, 120, 1e-9},
		{"volume in all", got.VolumeTotal, 240, 1e-9},
		{"density", got.Density, 1.06, 1e-12},
		{"ratio error", got.RatioError, 0, 1e-12},
		// 0.1/(2·0.02)·2.12/1.02
		{"least batch", got.MinBatch, 5.19607843, 1e-8},
		// The pack of 1800 g makes 1800 g at its own ratio: 254.4·42/1800.
		{"cost", got.Cost, 5.936, 1e-9},
		{"the trap", got.Trap, 0.0784313725, 1e-9},
	} {
		if !near(c.got, c.want, c.near) {
			t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
		}
	}
	if !got.PastPotMass || got.OverMass || got.TooSmall || got.PotLifeSplit || got.TooFast {
		t.Errorf("flags: %+v", got)
	}
}

func TestBatchByVolumeOnly(t *testing.T) {
	got, err := mix.New(mix.Want{Profile: bare(), Volume: 90, Waste: ptr(0)})
	if err != nil {
		t.Fatal(err)
	}
	if got.NoWeights == "" || got.MassA != 0 || got.MassB != 0 || got.MinBatch != 0 {
		t.Errorf("weights without densities: %+v", got)
	}
	if !near(got.VolumeA, 60, 1e-9) || !near(got.VolumeB, 30, 1e-9) || !near(got.MassTotal, 94.5, 1e-9) {
		t.Errorf("A %v mL, B %v mL, %v g in all; want 60, 30, 94.5", got.VolumeA, got.VolumeB, got.MassTotal)
	}
	// A mass is turned into volumes by the density of the mix.
	got, err = mix.New(mix.Want{Profile: bare(), Mass: 94.5})
	if err != nil || !near(got.VolumeA, 60, 1e-9) || got.NoWeights == "" {
		t.Errorf("94.5 g: %v mL of A, %v", got.VolumeA, err)
	}
	// Without any density the volume still splits.
	p := bare()
	p.DensityMixed = 0
	got, err = mix.New(mix.Want{Profile: p, Volume: 90, Waste: ptr(0)})
	if err != nil || !near(got.VolumeA, 60, 1e-9) || got.MassTotal != 0 {
		t.Errorf("no density: %v mL of A, %v g in all, %v", got.VolumeA, got.MassTotal, err)
	}
}

func TestBatchRefuses(t *testing.T) {
	noDensity := bare()
	noDensity.DensityMixed = 0
	noBasis := rigid()
	noBasis.Ratio.By = 0
	for _, c := range []struct {
		name   string
		want   mix.Want
		code   fault.Code
		option string
	}{
		{"nothing asked", mix.Want{Profile: rigid()}, fault.MissingOption, "volume"},
		{"volume and mass", mix.Want{Profile: rigid(), Volume: 1, Mass: 1}, fault.TooManyOptions, "mass"},
		{"negative volume", mix.Want{Profile: rigid(), Volume: -1}, fault.OutOfRange, "volume"},
		{"volume that is no number", mix.Want{Profile: rigid(), Volume: math.NaN()}, fault.OutOfRange, "volume"},
		{"more than a tonne", mix.Want{Profile: rigid(), Mass: 1.1e6}, fault.OutOfRange, "mass"},
		{"waste on a mass", mix.Want{Profile: rigid(), Mass: 100, Waste: ptr(0.1)}, fault.TooManyOptions, "waste"},
		{"nothing left", mix.Want{Profile: rigid(), Volume: 100, Waste: ptr(-0.6)}, fault.OutOfRange, "waste"},
		{"waste that is no number", mix.Want{Profile: rigid(), Volume: 100, Waste: ptr(math.NaN())}, fault.OutOfRange, "waste"},
		{"no such scale", mix.Want{Profile: rigid(), Volume: 100, Step: 1e-6}, fault.OutOfRange, "scale_step"},
		{"negative cup", mix.Want{Profile: rigid(), Volume: 100, CupSize: -1}, fault.OutOfRange, "cup_size"},
		{"a thousand thimbles", mix.Want{Profile: rigid(), Volume: 5000, CupSize: 4}, fault.OutOfRange, "cup_size"},
		{"negative count", mix.Want{Profile: rigid(), Volume: 100, Fills: -1}, fault.OutOfRange, "count"},
		{"no basis", mix.Want{Profile: noBasis, Volume: 100}, fault.AmbiguousUnit, "ratio"},
		{"a volume without density", mix.Want{Profile: unknown(), Volume: 100}, fault.NotFound, "material"},
		{"cups without density", mix.Want{Profile: unknown(), Mass: 100, CupSize: 50}, fault.NotFound, "material"},
		{"a mass by volume without density", mix.Want{Profile: noDensity, Mass: 100}, fault.NotFound, "material"},
		{"filler without density", mix.Want{Profile: unknown(), Mass: 100, Filler: &mix.Filler{Name: "chalk", PHR: 10, Density: 2.7}}, fault.NotFound, "material"},
		{"filler to the brim", mix.Want{Profile: rigid(), Volume: 100, Filler: &mix.Filler{Name: "spheres", PHR: 60, Density: 0.15}}, fault.OutOfRange, "filler"},
		{"filler of nothing", mix.Want{Profile: rigid(), Volume: 100, Filler: &mix.Filler{Name: "air", PHR: 10}}, fault.OutOfRange, "filler"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := mix.New(c.want)
			wantFault(t, err, c.code, c.option)
		})
	}
}

// A mass of a weight ratio needs no density.
func TestBatchMassWithoutDensity(t *testing.T) {
	got, err := mix.New(mix.Want{Profile: unknown(), Mass: 90})
	if err != nil || got.MassA != 50 || got.MassB != 40 || got.VolumeTotal != 0 || got.VolumeA != 0 {
		t.Errorf("%+v, %v", got, err)
	}
}

func TestBatchFlags(t *testing.T) {
	p := epoxy()
	p.MaxMass = 500
	over, err := mix.New(mix.Want{Profile: p, Mass: 501})
	if err != nil || !over.OverMass {
		t.Errorf("501 g of 500: %v, %v", over.OverMass, err)
	}
	split, err := mix.New(mix.Want{Profile: p, Mass: 501, CupSize: 250})
	if err != nil || split.OverMass || len(split.Cups) != 2 {
		t.Errorf("in two cups: %v, %d cups, %v", split.OverMass, len(split.Cups), err)
	}
	small, err := mix.New(mix.Want{Profile: epoxy(), Mass: 50, Step: 1})
	if err != nil || !small.TooSmall {
		t.Errorf("50 g on a 1 g scale is below %v g: %v, %v", small.MinBatch, small.TooSmall, err)
	}
	fast := rigid()
	fast.PotLife = 20
	b, err := mix.New(mix.Want{Profile: fast, Volume: 100})
	if err != nil || !b.TooFast {
		t.Errorf("a pot life of 20 s: %v, %v", b.TooFast, err)
	}
}

func TestBatchFiller(t *testing.T) {
	f := mix.Filler{Name: "chalk", PHR: 50, Density: 2.71, Source: "test"}
	p := epoxy()
	p.DensityA, p.DensityB, p.DensityMixed = 0, 0, 1.1
	got, err := mix.New(mix.Want{Profile: p, Volume: 500, Waste: ptr(0), Filler: &f})
	if err != nil {
		t.Fatal(err)
	}
	// 500/(1/1.1 + 0.5/2.71) = 457.21 g of resin and 228.6 g of chalk.
	if !near(got.MassA+got.MassB, 457.21, 2.5) || !near(got.MassFiller, 228.6, 1.3) || !near(got.VolumeTotal, 500, 2.5) || got.VolumeTotal < 500-1e-6 {
		t.Errorf("resin %v g, filler %v g, %v mL", got.MassA+got.MassB, got.MassFiller, got.VolumeTotal)
	}
	if load := 100 * got.MassFiller / (got.MassA + got.MassB); !near(load, 50, 0.02) {
		t.Errorf("%v phr", load)
	}
	inCup, err := mix.New(mix.Want{Profile: p, Mass: 150, Filler: &f})
	if err != nil || !near(inCup.MassTotal, 150, 0.2) || !near(inCup.MassFiller, 50, 0.1) {
		t.Errorf("150 g in all: %v g, of it filler %v g, %v", inCup.MassTotal, inCup.MassFiller, err)
	}
	paste := mix.Filler{Name: "spheres", PHR: 10, Density: 0.15, Source: "test"}
	b, err := mix.New(mix.Want{Profile: p, Volume: 500, Filler: &paste})
	if err != nil || !strings.Contains(strings.Join(b.Notes, " "), "paste") {
		t.Errorf("42 %% filler: %v, %v", b.Notes, err)
	}
}

// The usual rule is tight for small batches, and says so unless the member
// chose.
func TestBatchTightWaste(t *testing.T) {
	for _, c := range []struct {
		name   string
		volume float64
		waste  *float64
		want   bool
	}{
		{"40 mL get 5 % where 15 % is usual", 40, nil, true},
		{"100 mL get 4 % where 10 % is usual", 100, nil, true},
		{"250 mL get 4 % where 7 % is usual", 250, nil, false},
		{"10 mL get 20 %", 10, nil, false},
		{"as asked", 40, ptr(0), false},
	} {
		b, err := mix.New(mix.Want{Profile: rigid(), Volume: c.volume, Waste: c.waste})
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(strings.Join(b.Notes, " "), "common practice"); got != c.want {
			t.Errorf("%s: %q", c.name, b.Notes)
		}
	}
}

// drawWant draws a batch of a weighable material.
func drawWant(t *rapid.T) mix.Want {
	p := material.Profile{Name: "drawn", Family: material.Urethane,
		Ratio:    byWeight(rapid.Float64Range(1, 100).Draw(t, "rA"), rapid.Float64Range(1, 100).Draw(t, "rB")),
		DensityA: rapid.Float64Range(0.8, 1.6).Draw(t, "rhoA"), DensityB: rapid.Float64Range(0.8, 1.6).Draw(t, "rhoB"),
		PotLife: rapid.Float64Range(60, 5000).Draw(t, "pot")}
	if rapid.Bool().Draw(t, "by volume") {
		p.Ratio.By = byVolume(1, 1).By
	}
	w := mix.Want{Profile: p, Volume: rapid.Float64Range(5, 3000).Draw(t, "volume"), Step: rapid.SampledFrom([]float64{0.01, 0.1, 1}).Draw(t, "step")}
	if rapid.Bool().Draw(t, "cups") {
		w.CupSize = rapid.Float64Range(50, 800).Draw(t, "cup")
	}
	if rapid.Bool().Draw(t, "fills") {
		w.Fills = rapid.IntRange(1, 40).Draw(t, "fills")
	}
	if rapid.Bool().Draw(t, "waste") {
		w.Waste = ptr(rapid.Float64Range(-0.2, 1).Draw(t, "waste"))
	}
	return w
}

func TestBatchProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWant(t)
		b, err := mix.New(w)
		if err != nil {
			t.Fatal(err)
		}
		need := w.Volume * (1 + b.Waste.Fraction)
		// Short by what no pouring shows, or because the scale put more of the
		// heavier part in.
		if b.VolumeTotal < need*(1-0.002-math.Abs(b.RatioError)) {
			t.Fatalf("%v mL of %v", b.VolumeTotal, need)
		}
		if most := need*1.05 + 4*float64(len(b.Cups))*w.Step/b.Density + 2*float64(len(b.Cups))*w.Step; b.VolumeTotal > most {
			t.Fatalf("%v mL of %v", b.VolumeTotal, need)
		}
		var a, bb, fills float64
		for _, c := range b.Cups {
			a += c.A
			bb += c.B
			fills += float64(c.Fills)
			if w.CupSize > 0 && (c.VolumeA+c.VolumeB) > w.CupSize*1.05+4*w.Step/min(w.Profile.DensityA, w.Profile.DensityB) {
				t.Fatalf("a cup of %v mL in %v", c.VolumeA+c.VolumeB, w.CupSize)
			}
		}
		if !near(a, b.MassA, 1e-6) || !near(bb, b.MassB, 1e-6) {
			t.Fatalf("cups hold A %v + B %v, the batch says A %v + B %v", a, bb, b.MassA, b.MassB)
		}
		if fills != 0 && fills != float64(w.Fills) {
			t.Fatalf("%v fillings of %d", fills, w.Fills)
		}
		r, _ := w.Profile.ByWeight()
		if off := mix.OffRatio(b.MassA, b.MassB, r); !near(off, b.RatioError, 1e-9*(1+math.Abs(off))) {
			t.Fatalf("off by %v, reported %v", off, b.RatioError)
		}
		if !b.TooSmall && math.Abs(b.RatioError) > 2*mix.TolLow {
			t.Fatalf("not too small and still off by %v", b.RatioError)
		}
	})
}

// Twice the part is twice the batch where waste is a share.
func TestBatchScales(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWant(t)
		w.CupSize, w.Fills, w.Step = 0, 0, 0.01
		one, err := mix.New(w)
		if err != nil {
			t.Fatal(err)
		}
		w.Waste, w.Volume = ptr(one.Waste.Fraction), 2*w.Volume
		two, err := mix.New(w)
		if err != nil {
			t.Fatal(err)
		}
		if !near(two.MassTotal, 2*one.MassTotal, 0.06*two.MassTotal+0.2) {
			t.Fatalf("%v g, and for twice the volume %v g", one.MassTotal, two.MassTotal)
		}
	})
}
