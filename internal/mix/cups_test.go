package mix_test

import (
	"slices"
	"testing"

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
