package mix

import (
	"testing"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// A pot life of one's own takes the place of the bulletin's in all that rests
// on it: how many fillings a cup serves, and the pace.
func TestOwnPotLife(t *testing.T) {
	p := material.Profile{Name: "white", Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume},
		DensityA: 1.1, DensityB: 1.02, PotLife: 600, PotLifeMass: 100}
	w := Want{Profile: p, Volume: 400, Fills: 20}
	long, err := New(w)
	if err != nil {
		t.Fatal(err)
	}
	w.PotLife = 150
	short, err := New(w)
	if err != nil {
		t.Fatal(err)
	}
	// floor((600 − 40 − 60)/20) = 25 fillings a cup; floor((150 − 40 − 22.5)/20) = 4.
	if len(long.Cups) != 1 || len(short.Cups) != 5 || !short.PotLifeSplit {
		t.Errorf("%d cups by the bulletin, %d by 150 s; want 1 and 5", len(long.Cups), len(short.Cups))
	}
	w.PotLife = 45
	if hasty, err := New(w); err != nil || !hasty.TooFast || hasty.Pace.Mix != 15+scrape {
		t.Errorf("45 s: too fast %v, pace %+v (%v)", hasty.TooFast, hasty.Pace, err)
	}
	p.PotLife = 150
	same, err := New(Want{Profile: p, Volume: 400, Fills: 20})
	if err != nil || len(same.Cups) != len(short.Cups) || same.MassA != short.MassA {
		t.Errorf("a bulletin of 150 s: %d cups, want %d (%v)", len(same.Cups), len(short.Cups), err)
	}
}
