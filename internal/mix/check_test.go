package mix_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
)

func TestJudge(t *testing.T) {
	for _, c := range []struct {
		name    string
		p       material.Profile
		a, b    quantity.Quantity
		off     float64
		verdict mix.Verdict
		short   material.Side
		trap    bool
	}{
		{"on ratio", rigid(), g(110), g(102), 0, mix.OnRatio, material.NoSide, false},
		{"a tenth short of B", rigid(), g(110), g(91.8), -0.1, mix.TooFar, material.SideB, false},
		{"11.1 % too much B", epoxy(), g(100), g(50), 1.0 / 9, mix.TooFar, material.SideA, false},
		{"2 % is within", epoxy(), g(100), g(45.9), 0.02, mix.OnRatio, material.SideA, false},
		{"5 % is at the edge", epoxy(), g(100), g(47.25), 0.05, mix.Doubtful, material.SideA, false},
		{"1:1 by volume, weighed 1:1", rigid(), g(100), g(100), 0.0784313725, mix.TooFar, material.SideA, true},
		{"100:45 by weight, poured 100:45", epoxy(), mL(100), mL(45), 0.98/1.15 - 1, mix.TooFar, material.SideB, true},
		{"measured right", rigid(), mL(100), mL(100), 0, mix.OnRatio, material.NoSide, false},
		{"one weighed, one measured", rigid(), mL(100), g(102), 0, mix.OnRatio, material.NoSide, false},
		{"by volume without densities", bare(), mL(60), mL(33), 0.1, mix.TooFar, material.SideA, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := mix.Judge(c.p, c.a, c.b)
			if err != nil {
				t.Fatal(err)
			}
			if !near(got.Off, c.off, 1e-9) || got.Verdict != c.verdict || got.Short != c.short || got.Trap != c.trap {
				t.Errorf("got %+v, want off %v, %s, short of %q, trap %v", got, c.off, c.verdict, c.short, c.trap)
			}
		})
	}
}

func TestJudgeRefuses(t *testing.T) {
	length := quantity.Quantity{Value: 1, Dim: quantity.Length}
	for _, c := range []struct {
		name   string
		p      material.Profile
		a, b   quantity.Quantity
		code   fault.Code
		option string
	}{
		{"a length", rigid(), length, g(1), fault.BadQuantity, "a"},
		{"nothing of B", rigid(), g(100), g(0), fault.OutOfRange, "a"},
		{"less than nothing", rigid(), g(100), g(-1), fault.OutOfRange, "b"},
		{"a tonne and more", rigid(), g(1.1e6), g(1), fault.OutOfRange, "a"},
		{"weighed without densities", bare(), g(100), g(50), fault.NotFound, "material"},
		{"measured without densities", unknown(), mL(100), mL(80), fault.NotFound, "material"},
		{"both ways without densities", unknown(), g(100), mL(80), fault.NotFound, "material"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := mix.Judge(c.p, c.a, c.b)
			wantFault(t, err, c.code, c.option)
		})
	}
}
