package caution_test

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

func TestFirstSteps(t *testing.T) {
	first := func(p material.Profile) string {
		return strings.Join(caution.First{Profile: p, People: 1, A: "10.4 g", B: "9.6 g", System: quantity.Metric}.Steps(), "\n")
	}
	for _, c := range []struct {
		name      string
		p         material.Profile
		says, not []string
	}{
		{"fast urethane", material.Profile{Name: "rigid", Family: material.Urethane, PotLife: 60, Demold: 720},
			[]string{"Stir 20 s to 20 s", "10.4 g of A", "9.6 g of B", "12 min", "20 °C to 25 °C", "foam", "second, clean cup", "SDS"}, nil},
		{"slow epoxy", material.Profile{Name: "epoxy", Family: material.Epoxy, PotLife: 2400},
			[]string{"Stir 20 s to 30 s", "Wait as long as the bulletin says"}, []string{"foam"}},
		{"silicone", material.Profile{Name: "rubber", Family: material.SiliconeCondensation, PotLife: 2400},
			[]string{"Stir 2 min to 3 min", "16 to 24 h"}, []string{"No color", "foam"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := first(c.p)
			for _, s := range c.says {
				if !strings.Contains(got, s) {
					t.Errorf("does not say %q:\n%s", s, got)
				}
			}
			for _, s := range c.not {
				if strings.Contains(got, s) {
					t.Errorf("says %q:\n%s", s, got)
				}
			}
		})
	}
	us := caution.First{Profile: material.Profile{Name: "rigid", Family: material.Urethane}, A: "1 oz", B: "1 oz", System: quantity.US}.Steps()
	if got := strings.Join(us, "\n"); !strings.Contains(got, "68 °F") || strings.Contains(got, "°C") {
		t.Errorf("US units:\n%s", got)
	}
}

func TestShopping(t *testing.T) {
	for people, want := range map[int]int{1: 5, 2: 7, 8: 22, 20: 52} {
		if got := caution.GlovePairs(people); got != want {
			t.Errorf("%d people: %d pairs of gloves, want %d", people, got, want)
		}
	}
	small := caution.First{Profile: material.Profile{Family: material.Urethane}, People: 1}.Shopping()
	large := caution.First{Profile: material.Profile{Family: material.Urethane}, People: 12}.Shopping()
	if len(small) != len(large) {
		t.Fatalf("%d and %d items", len(small), len(large))
	}
	for i := range small {
		if small[i].What == "" || small[i].Count < 1 || large[i].Count < small[i].Count || large[i].What != small[i].What {
			t.Errorf("item %d: %+v for one, %+v for twelve", i, small[i], large[i])
		}
	}
}

func TestFirstCautions(t *testing.T) {
	f := caution.First{Profile: material.Profile{Family: material.Polyester, Notes: "for masks"}, People: 3}
	if got := ids(f.Cautions()); got != "peroxide styrene food skin health children label" {
		t.Errorf("got %q", got)
	}
}
