package fit_test

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/fit"
)

// exactVolume is 1 − (1 − s)³ with fractions of any size, the slow twin of
// VolumeOf.
func exactVolume(s float64) float64 {
	left := new(big.Rat).Sub(big.NewRat(1, 1), new(big.Rat).SetFloat64(s))
	cube := new(big.Rat).Mul(left, new(big.Rat).Mul(left, left))
	v, _ := new(big.Rat).Sub(big.NewRat(1, 1), cube).Float64()
	return v
}

// TestShrink: volume and length there and back, about three times for small
// ones, generations in any order, and a master of the oversize gives the part.
func TestShrink(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(-0.49, 0.49).Draw(t, "s")
		v, err := fit.VolumeOf(s)
		if want := exactVolume(s); err != nil || math.Abs(v-want) > 1e-14*math.Max(math.Abs(want), math.Abs(s)) {
			t.Fatalf("volume of %v: %v, %v, want %v", s, v, err, want)
		}
		back, err := fit.LinearOf(v)
		if err != nil || math.Abs(back-s) > 1e-14 {
			t.Fatalf("%v back is %v, %v", s, back, err)
		}
		all := rapid.SliceOfN(rapid.Float64Range(-0.4, 0.4), 1, 8).Draw(t, "all")
		k, err := fit.Oversize(all...)
		if err != nil {
			t.Fatal(err)
		}
		mm := rapid.Float64Range(0.1, 900).Draw(t, "mm")
		size, err := fit.Size(mm*k, all...)
		if err != nil || math.Abs(size-mm) > 1e-9*mm {
			t.Fatalf("a master of %v gives %v, %v, want %v", mm*k, size, err, mm)
		}
		turned := append([]float64{}, all...)
		for i, j := 0, len(turned)-1; i < j; i, j = i+1, j-1 {
			turned[i], turned[j] = turned[j], turned[i]
		}
		if other, _ := fit.Oversize(turned...); math.Abs(other-k) > 1e-12*k {
			t.Fatalf("in another order %v, want %v", other, k)
		}
		liquid := rapid.Float64Range(0.8, 2).Draw(t, "liquid")
		cured := liquid * rapid.Float64Range(1, 1.2).Draw(t, "denser")
		r, err := fit.Lengths(liquid, cured)
		most, _ := fit.FromDensities(liquid, cured)
		high, _ := fit.VolumeOf(r.High)
		if err != nil || r.Low != 0 || r.Mid != r.High/2 || math.Abs(high-most) > 1e-12 {
			t.Fatalf("%v to %v g/mL: %+v, %v, want up to %v of volume", liquid, cured, r, err, most)
		}
		warmer := rapid.Float64Range(-100, 100).Draw(t, "warmer")
		a, err := fit.Expansion(mm, 3e-4, warmer)
		b, _ := fit.Expansion(mm, 3e-4, 2*warmer)
		if err != nil || math.Abs(b-2*a) > 1e-9 {
			t.Fatalf("twice as warm gives %v, want 2 × %v", b, a)
		}
	})
	tiny, _ := fit.VolumeOf(1e-9)
	if math.Abs(tiny/3e-9-1) > 1e-8 {
		t.Errorf("a tiny one: %v", tiny)
	}
}

func TestRefusals(t *testing.T) {
	nan := math.NaN()
	for name, f := range map[string]func() (float64, error){
		"none":            func() (float64, error) { return fit.Oversize() },
		"nine":            func() (float64, error) { return fit.Oversize(make([]float64, 9)...) },
		"half gone":       func() (float64, error) { return fit.Oversize(0.5) },
		"no number":       func() (float64, error) { return fit.Oversize(0.1, nan) },
		"no master":       func() (float64, error) { return fit.Size(0, 0.1) },
		"no shrinkage":    func() (float64, error) { return fit.Size(10, nan) },
		"a doubling":      func() (float64, error) { return fit.VolumeOf(-1) },
		"all gone":        func() (float64, error) { return fit.LinearOf(1) },
		"no volume":       func() (float64, error) { return fit.LinearOf(nan) },
		"no liquid":       func() (float64, error) { return fit.FromDensities(0, 1.1) },
		"a cured nothing": func() (float64, error) { return fit.FromDensities(1.1, nan) },
		"tenfold":         func() (float64, error) { return fit.FromDensities(1, 10) },
		"lighter":         func() (float64, error) { r, err := fit.Lengths(1.1, 1.05); return r.High, err },
		"no length":       func() (float64, error) { return fit.Expansion(0, 3e-4, 10) },
		"a spring":        func() (float64, error) { return fit.Expansion(10, 1, 10) },
		"a furnace":       func() (float64, error) { return fit.Expansion(10, 3e-4, 1000) },
	} {
		v, err := f()
		if e := fault.As(err); e == nil || e.Code != fault.OutOfRange || e.Option == "" || e.HintText() == "" || v != 0 {
			t.Errorf("%s: %v, %v, want out_of_range with option and hint", name, v, err)
		}
	}
}
