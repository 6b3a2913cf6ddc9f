package mix_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mix"
)

func TestFirstPour(t *testing.T) {
	catalyzed := unknown()
	catalyzed.Ratio = byWeight(100, 8)
	limited := epoxy()
	limited.MaxMass = 15
	none := bare()
	none.DensityMixed = 0
	for _, c := range []struct {
		name     string
		run      func() (mix.Trial, error)
		cup      float64 // g in each
		byVolume bool
		raised   bool
		tooSmall bool
	}{
		{"fine scale", func() (mix.Trial, error) { return mix.FirstPour(rigid(), 1, 0.1) }, 20, false, false, false},
		{"coarse scale", func() (mix.Trial, error) { return mix.FirstPour(rigid(), 1, 1) }, 60, false, false, false},
		// 0.1 g is 2 % of 2.5 g, and 2.5·108/8 = 33.75 g.
		{"a small part raises the cup", func() (mix.Trial, error) { return mix.FirstPour(catalyzed, 1, 0.1) }, 35, false, true, false},
		{"but not without end", func() (mix.Trial, error) { return mix.FirstPour(catalyzed, 1, 1) }, 250, false, true, true},
		{"the bulletin's cup wins", func() (mix.Trial, error) { return mix.FirstPour(limited, 1, 0.1) }, 15, false, false, false},
		{"by volume", func() (mix.Trial, error) { return mix.FirstPour(bare(), 1, 0.1) }, 20, true, false, false},
		{"by volume, no density", func() (mix.Trial, error) { return mix.FirstPour(none, 1, 0.1) }, 0, true, false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := c.run()
			if err != nil {
				t.Fatal(err)
			}
			if got.ByVolume != c.byVolume || got.Raised != c.raised || got.TooSmall != c.tooSmall {
				t.Errorf("got %+v", got)
			}
			if !c.byVolume && !near(got.Cup.Total(), c.cup, 1.5) {
				t.Errorf("a cup of %v g, want %v", got.Cup.Total(), c.cup)
			}
			if c.byVolume && (got.Cup.VolumeA <= 0 || got.NoWeights == "") {
				t.Errorf("by volume: %+v", got)
			}
		})
	}
}

func TestClass(t *testing.T) {
	got, err := mix.FirstPour(rigid(), 8, 0.1)
	if err != nil {
		t.Fatal(err)
	}
	if !near(got.A, 8*got.Cup.A, 1e-9) || !near(got.B, 8*got.Cup.B, 1e-9) || got.People != 8 {
		t.Errorf("eight cups of %+v need A %v and B %v", got.Cup, got.A, got.B)
	}
	for _, n := range []int{0, -1, 61} {
		_, err := mix.FirstPour(rigid(), n, 0.1)
		wantFault(t, err, fault.OutOfRange, "people")
	}
	_, err = mix.FirstPour(rigid(), 1, 1e9)
	wantFault(t, err, fault.OutOfRange, "scale_step")
}
