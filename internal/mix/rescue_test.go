package mix_test

import (
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
	"pgregory.net/rapid"
)

// slow has 8 min of pot life, so that minutes are left to act.
func slow() material.Profile {
	p := rigid()
	p.PotLife = 480
	return p
}

func TestRescue(t *testing.T) {
	for _, c := range []struct {
		name       string
		w          mix.RescueWant
		addA, addB float64
		total      float64
	}{
		{"short of B", mix.RescueWant{Profile: slow(), A: g(110), B: g(92), Since: ptr(60)}, 0, 10, 212},
		{"short of A", mix.RescueWant{Profile: slow(), A: g(100), B: g(102), Since: ptr(60)}, 10, 0, 212},
		{"on ratio already", mix.RescueWant{Profile: slow(), A: g(110), B: g(102)}, 0, 0, 212},
		{"rounded to the scale", mix.RescueWant{Profile: epoxy(), A: g(100), B: g(40.04), Step: 1}, 0, 5, 145.04},
		{"by volume", mix.RescueWant{Profile: bare(), A: mL(60), B: mL(25)}, 0, 5, 0},
		{"half the pot life is still in time", mix.RescueWant{Profile: slow(), A: g(110), B: g(92), Since: ptr(240)}, 0, 10, 212},
		{"fast but not stirred", mix.RescueWant{Profile: rigid(), A: g(110), B: g(92), Since: ptr(0)}, 0, 10, 212},
		{"five minutes may be stirred", mix.RescueWant{Profile: potLife(300), A: g(110), B: g(92), Since: ptr(30)}, 0, 10, 212},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := mix.Rescue(c.w)
			if err != nil {
				t.Fatal(err)
			}
			if !near(got.AddA, c.addA, 1e-9) || !near(got.AddB, c.addB, 1e-9) || !near(got.MassTotal, c.total, 1e-9) {
				t.Errorf("add A %v, B %v to %v g; want A %v, B %v to %v", got.AddA, got.AddB, got.MassTotal, c.addA, c.addB, c.total)
			}
		})
	}
}

func potLife(s float64) material.Profile {
	p := rigid()
	p.PotLife = s
	return p
}

func TestRescueRefuses(t *testing.T) {
	limited := slow()
	limited.MaxMass = 205
	for _, c := range []struct {
		name   string
		w      mix.RescueWant
		code   fault.Code
		option string
	}{
		{"past half the pot life", mix.RescueWant{Profile: slow(), A: g(110), B: g(92), Since: ptr(241)}, fault.TooLate, "since"},
		{"stirred, under five minutes", mix.RescueWant{Profile: rigid(), A: g(110), B: g(92), Since: ptr(20)}, fault.TooLate, "since"},
		{"stirred, just under five minutes", mix.RescueWant{Profile: potLife(299), A: g(110), B: g(92), Since: ptr(1)}, fault.TooLate, "since"},
		{"too late beats a cup that is fine", mix.RescueWant{Profile: slow(), A: g(110), B: g(102), Since: ptr(400)}, fault.TooLate, "since"},
		{"before they met", mix.RescueWant{Profile: slow(), A: g(110), B: g(92), Since: ptr(-1)}, fault.OutOfRange, "since"},
		{"no time at all", mix.RescueWant{Profile: slow(), A: g(110), B: g(92), Since: ptr(math.NaN())}, fault.OutOfRange, "since"},
		{"nothing has met", mix.RescueWant{Profile: slow(), A: g(110), B: g(0)}, fault.OutOfRange, "a"},
		{"more to add than is there", mix.RescueWant{Profile: epoxy(), A: g(10), B: g(30)}, fault.OutOfRange, "a"},
		{"more than the bulletin's cup", mix.RescueWant{Profile: limited, A: g(110), B: g(92)}, fault.OutOfRange, "a"},
		{"no such scale", mix.RescueWant{Profile: slow(), A: g(110), B: g(92), Step: -1}, fault.OutOfRange, "scale_step"},
		{"weighed without densities", mix.RescueWant{Profile: bare(), A: g(110), B: g(92)}, fault.NotFound, "material"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := mix.Rescue(c.w)
			wantFault(t, err, c.code, c.option)
			if c.code == fault.TooLate && !strings.HasPrefix(fault.As(err).Message, "Too late. Don't pour it into the mold.") {
				t.Errorf("message %q", fault.As(err).Message)
			}
		})
	}
}

// Without the time a fast resin is answered, with the warning that it only
// works unstirred.
func TestRescueWarnsOfFastOnes(t *testing.T) {
	got, err := mix.Rescue(mix.RescueWant{Profile: rigid(), A: g(110), B: g(92)})
	if err != nil || got.UnstirredUnder != 180 {
		t.Errorf("%v, %v", got.UnstirredUnder, err)
	}
	if got, _ := mix.Rescue(mix.RescueWant{Profile: slow(), A: g(110), B: g(92)}); got.UnstirredUnder != 0 {
		t.Errorf("8 min warned: %v", got.UnstirredUnder)
	}
}

// A rescued cup is on ratio to what the scale can show, and only one part is
// ever added.
func TestRescueThenJudge(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := slow()
		p.Ratio = byWeight(rapid.Float64Range(1, 100).Draw(t, "rA"), rapid.Float64Range(1, 100).Draw(t, "rB"))
		a, b := rapid.Float64Range(5, 500).Draw(t, "a"), rapid.Float64Range(5, 500).Draw(t, "b")
		step := rapid.SampledFrom([]float64{0.01, 0.1}).Draw(t, "step")
		got, err := mix.Rescue(mix.RescueWant{Profile: p, A: g(a), B: g(b), Step: step})
		if err != nil {
			if fault.Is(err, fault.OutOfRange) {
				t.Skip("too much to add")
			}
			t.Fatal(err)
		}
		if got.AddA < 0 || got.AddB < 0 || got.AddA > 0 && got.AddB > 0 {
			t.Fatalf("add A %v and B %v", got.AddA, got.AddB)
		}
		after, err := mix.Judge(p, g(a+got.AddA), g(b+got.AddB))
		if err != nil {
			t.Fatal(err)
		}
		if worst := mix.ScaleError(min(a, b), step) + 2e-4; math.Abs(after.Off) > worst {
			t.Fatalf("%v + %v, add %v + %v: still off by %v", a, b, got.AddA, got.AddB, after.Off)
		}
		if !near(after.Off, got.After, 1e-9) {
			t.Fatalf("off by %v, promised %v", after.Off, got.After)
		}
	})
}

func TestLargestBatch(t *testing.T) {
	for _, c := range []struct {
		name         string
		p            material.Profile
		a, b         quantity.Quantity
		useA, useB   float64
		leftA, leftB float64
		limit        material.Side
	}{
		// 480 g of B go with 480·110/102 = 517.65 g of A.
		{"B runs out", rigid(), g(610), g(480), 517.6, 480, 92.4, 0, material.SideB},
		{"A runs out", epoxy(), g(100), g(100), 100, 45, 0, 55, material.SideA},
		{"both run out", epoxy(), g(200), g(90), 200, 90, 0, 0, material.NoSide},
		{"by volume", bare(), mL(100), mL(40), 80, 40, 20, 0, material.SideB},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := mix.LargestBatch(c.p, c.a, c.b, 0)
			if err != nil {
				t.Fatal(err)
			}
			if got.A != c.useA || got.B != c.useB || got.LeftA != c.leftA || got.LeftB != c.leftB || got.Limit != c.limit {
				t.Errorf("use A %v, B %v, left A %v, B %v, limit %q; want %v, %v, %v, %v, %q",
					got.A, got.B, got.LeftA, got.LeftB, got.Limit, c.useA, c.useB, c.leftA, c.leftB, c.limit)
			}
		})
	}
	for _, c := range []struct {
		name   string
		a, b   quantity.Quantity
		step   float64
		option string
	}{
		{"an empty jug", g(0), g(100), 0, "a_left"},
		{"less than a step", g(0.04), g(100), 0.1, "a_left"},
		{"no such scale", g(10), g(100), 1e9, "scale_step"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := mix.LargestBatch(rigid(), c.a, c.b, c.step)
			wantFault(t, err, fault.OutOfRange, c.option)
		})
	}
	_, err := mix.LargestBatch(bare(), mL(0), mL(40), 0)
	wantFault(t, err, fault.OutOfRange, "a_left")
}

func TestLargestBatchKeepsStock(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(1, 5000).Draw(t, "a"), rapid.Float64Range(1, 5000).Draw(t, "b")
		got, err := mix.LargestBatch(rigid(), g(a), g(b), rapid.SampledFrom([]float64{0.01, 0.1, 1}).Draw(t, "step"))
		if fault.Is(err, fault.OutOfRange) {
			t.Skip("too little")
		}
		if err != nil {
			t.Fatal(err)
		}
		if got.LeftA < -1e-6 || got.LeftB < -1e-6 || !near(got.A+got.LeftA, a, 1e-5) || !near(got.B+got.LeftB, b, 1e-5) {
			t.Fatalf("of A %v use %v and keep %v; of B %v use %v and keep %v", a, got.A, got.LeftA, b, got.B, got.LeftB)
		}
	})
}
