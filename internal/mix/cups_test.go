package mix_test

import (
	"slices"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mix"
	"pgregory.net/rapid"
)

func TestSpread(t *testing.T) {
	for _, c := range []struct {
		n, cups int
		want    []int
	}{
		{12, 3, []int{4, 4, 4}},
		{13, 3, []int{5, 4, 4}},
		{2, 3, []int{1, 1, 0}},
		{0, 1, []int{0}},
	} {
		if got := mix.Spread(c.n, c.cups); !slices.Equal(got, c.want) {
			t.Errorf("Spread(%d, %d) = %v, want %v", c.n, c.cups, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		n, cups := rapid.IntRange(0, 500).Draw(t, "n"), rapid.IntRange(1, 60).Draw(t, "cups")
		got := mix.Spread(n, cups)
		sum := 0
		for _, v := range got {
			sum += v
		}
		if sum != n || slices.Max(got)-slices.Min(got) > 1 || !slices.IsSortedFunc(got, func(a, b int) int { return b - a }) {
			t.Fatalf("Spread(%d, %d) = %v", n, cups, got)
		}
	})
}

func TestPace(t *testing.T) {
	for _, c := range []struct {
		name string
		m    material.Profile
		want mix.Pace
	}{
		{"3 min resin", rigid(), mix.Pace{Mix: 40, Pour: 20, Reserve: 27}},
		{"a minute: stirring is a third of it", material.Profile{Family: material.Urethane, PotLife: 60}, mix.Pace{Mix: 30, Pour: 20, Reserve: 9}},
		{"slow epoxy", epoxy(), mix.Pace{Mix: 40, Pour: 20, Reserve: 60}},
		{"silicone takes longer", material.Profile{Family: material.SiliconeAddition, PotLife: 2100}, mix.Pace{Mix: 160, Pour: 20, Reserve: 60}},
	} {
		if got := mix.PaceOf(c.m); got != c.want {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}
}

// With 3 min of pot life a cup serves (180 − 40 − 27)/20 = 5 fillings.
func TestPotLifeSplits(t *testing.T) {
	got, err := mix.New(mix.Want{Profile: rigid(), Volume: 12 * 40, Fills: 12})
	if err != nil {
		t.Fatal(err)
	}
	if !got.PotLifeSplit || len(got.Cups) != 3 {
		t.Fatalf("%d cups, split by pot life %v", len(got.Cups), got.PotLifeSplit)
	}
	for i, c := range got.Cups {
		// One pair of hands: 40 s of mixing and 4 fillings of 20 s each.
		if c.Fills != 4 || c.Start != float64(i)*120 {
			t.Errorf("cup %d: %d fillings at %v s", i, c.Fills, c.Start)
		}
	}
	uneven, err := mix.New(mix.Want{Profile: rigid(), Volume: 13 * 40, Fills: 13, Waste: ptr(0)})
	if err != nil {
		t.Fatal(err)
	}
	if a, b := uneven.Cups[0].Total(), uneven.Cups[1].Total(); !near(a/b, 5.0/4, 0.01) {
		t.Errorf("5 and 4 fillings weigh %v and %v g", a, b)
	}
	one, err := mix.New(mix.Want{Profile: rigid(), Volume: 5 * 40, Fills: 5})
	if err != nil || one.PotLifeSplit || len(one.Cups) != 1 {
		t.Errorf("5 fillings: %d cups, %v", len(one.Cups), err)
	}
}

// 40 parts out of a mold of six: six whole fillings and one of four. The first
// cup serves four whole ones and gets its part of the waste.
func TestLastFillIsSmaller(t *testing.T) {
	w := mix.Want{Profile: rigid(), Volume: 40 * 6.2, Fills: 7, FillVolume: 6 * 6.2}
	got, err := mix.New(w)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Cups) != 2 || got.Cups[0].Fills != 4 || got.Cups[1].Fills != 3 {
		t.Fatalf("cups %+v", got.Cups)
	}
	half := got.Waste.Volume / 2
	for i, need := range []float64{4 * 37.2, 2*37.2 + 4*6.2} {
		if have := got.Cups[i].VolumeA + got.Cups[i].VolumeB; have < need+half-1e-9 || have > need+half+1 {
			t.Errorf("cup %d holds %v mL for %v and %v of waste", i, have, need, half)
		}
	}
	w.FillVolume = 30
	_, err = mix.New(w)
	wantFault(t, err, fault.OutOfRange, "count")
	w.FillVolume = 50
	_, err = mix.New(w)
	wantFault(t, err, fault.OutOfRange, "count")
}

// Every cup can serve its own fillings.
func TestCupsServeTheirFills(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWant(t)
		w.Fills = rapid.IntRange(1, 60).Draw(t, "n")
		w.FillVolume = rapid.Float64Range(1, 80).Draw(t, "fill")
		w.Volume = w.FillVolume * (float64(w.Fills-1) + rapid.Float64Range(0.05, 1).Draw(t, "last"))
		if w.Waste != nil {
			w.Waste = ptr(max(*w.Waste, 0))
		}
		if w.CupSize > 0 {
			w.CupSize = max(w.CupSize, 60)
		}
		b, err := mix.New(w)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range b.Cups {
			need := float64(c.Fills) * w.FillVolume
			if i == len(b.Cups)-1 {
				need += w.Volume - float64(w.Fills)*w.FillVolume
			}
			if have := c.Total() / b.Density; c.Fills > 0 && have < need*0.998-1e-9 {
				t.Fatalf("cup %d holds %v mL for %v", i, have, need)
			}
		}
	})
}

// Where whole fillings do not fit the cup, the batch is split in equal parts.
func TestCupSizeWins(t *testing.T) {
	got, err := mix.New(mix.Want{Profile: rigid(), Volume: 260, Fills: 2, CupSize: 100, Waste: ptr(0)})
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Cups) != 3 || got.PotLifeSplit {
		t.Fatalf("%d cups", len(got.Cups))
	}
	for _, c := range got.Cups {
		if c.Fills != 0 || c.A != got.Cups[0].A || c.B != got.Cups[0].B {
			t.Errorf("uneven cup %+v", c)
		}
	}
}
