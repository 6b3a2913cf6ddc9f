package mix_test

import (
	"math"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
	"pgregory.net/rapid"
)

func byVolume(a, b float64) quantity.Ratio {
	return quantity.Ratio{A: a, B: b, By: quantity.ByVolume}
}

func TestConvert(t *testing.T) {
	for _, c := range []struct {
		name                 string
		r                    quantity.Ratio
		rhoA, rhoB           float64
		weight, volume, trap float64
	}{
		{"1:1 by volume", byVolume(1, 1), 1.10, 1.02, 1.02 / 1.10, 1, 1.10/1.02 - 1},
		{"2:1 by volume", byVolume(2, 1), 1.15, 0.97, 0.4217391304, 0.5, 0.1855670103},
		{"100:90 by weight", byWeight(100, 90), 1.12, 1.05, 0.9, 0.96, 1.05/1.12 - 1},
		{"equal densities", byWeight(100, 45), 1.1, 1.1, 0.45, 0.45, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := mix.Convert(c.r, c.rhoA, c.rhoB)
			if err != nil {
				t.Fatal(err)
			}
			if !near(got.Weight, c.weight, 1e-9) || !near(got.Volume, c.volume, 1e-9) || !near(got.Trap, c.trap, 1e-9) {
				t.Errorf("got %+v, want %v by weight, %v by volume, trap %v", got, c.weight, c.volume, c.trap)
			}
			if len(got.Steps) == 0 {
				t.Error("no working")
			}
		})
	}
}

func TestConvertRefuses(t *testing.T) {
	for _, c := range []struct {
		name       string
		r          quantity.Ratio
		rhoA, rhoB float64
		code       fault.Code
		option     string
	}{
		{"no basis", quantity.Ratio{A: 1, B: 1}, 1, 1, fault.AmbiguousUnit, "ratio"},
		{"a side of zero", byVolume(1, 0), 1, 1, fault.OutOfRange, "ratio"},
		{"a side that is no number", byVolume(math.NaN(), 1), 1, 1, fault.OutOfRange, "ratio"},
		{"an endless side", byVolume(math.Inf(1), 1), 1, 1, fault.OutOfRange, "ratio"},
		{"no density of A", byVolume(1, 1), 0, 1, fault.MissingOption, "density_a"},
		{"no density of B", byVolume(1, 1), 1, 0, fault.MissingOption, "density_b"},
		{"a negative density", byVolume(1, 1), 1, -1, fault.OutOfRange, "density_b"},
		{"denser than any metal", byVolume(1, 1), 26, 1, fault.OutOfRange, "density_a"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := mix.Convert(c.r, c.rhoA, c.rhoB)
			wantFault(t, err, c.code, c.option)
		})
	}
}

// Converting there and back gives the ratio again.
func TestConvertRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := byVolume(rapid.Float64Range(0.1, 100).Draw(t, "a"), rapid.Float64Range(0.1, 100).Draw(t, "b"))
		rhoA, rhoB := rapid.Float64Range(0.5, 3).Draw(t, "rhoA"), rapid.Float64Range(0.5, 3).Draw(t, "rhoB")
		there, err := mix.Convert(r, rhoA, rhoB)
		if err != nil {
			t.Fatal(err)
		}
		back, err := mix.Convert(byWeight(1, there.Weight), rhoA, rhoB)
		if err != nil {
			t.Fatal(err)
		}
		if !near(back.Volume, r.B/r.A, 1e-12*r.B/r.A) {
			t.Fatalf("%v by volume came back as %v", r.B/r.A, back.Volume)
		}
		// The trap is what judging the wrongly measured cup gives.
		if off := mix.OffRatio(r.A, r.B, byWeight(1, there.Weight)); !near(off, there.Trap, 1e-9) {
			t.Fatalf("weighed as it stands it is off by %v, the trap says %v", off, there.Trap)
		}
	})
}

func TestShares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		total := rapid.Float64Range(0, 1e6).Draw(t, "total")
		parts := rapid.SliceOfN(rapid.Float64Range(0.01, 100), 1, 6).Draw(t, "parts")
		var sum float64
		for i, s := range mix.Shares(total, parts...) {
			sum += s
			if i > 0 && !near(s*parts[0], mix.Shares(total, parts...)[0]*parts[i], 1e-9*(1+total*100)) {
				t.Fatalf("part %d of %v is %v", i, parts, s)
			}
		}
		if !near(sum, total, 1e-9*(1+total)) {
			t.Fatalf("%v in %v gives %v", total, parts, sum)
		}
	})
}

func near(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

// wantFault checks code and option, and that the member is told what to type.
func wantFault(t *testing.T, err error, code fault.Code, option string) {
	t.Helper()
	f := fault.As(err)
	if f == nil {
		t.Fatalf("got %v, want %s", err, code)
	}
	if f.Code != code || f.Option != option {
		t.Errorf("got %s in %q (%s), want %s in %q", f.Code, f.Option, f.Message, code, option)
	}
	if f.HintText() == "" {
		t.Errorf("%s: %s has no hint", f.Code, f.Message)
	}
}
