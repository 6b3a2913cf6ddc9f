package forecast_test

import (
	"context"
	"errors"
	"math"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
)

// white is an invented fast resin with figures of the order that such have.
func white() material.Profile {
	at := 23.0
	return material.Profile{Name: "white", Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume},
		DensityA: 1.10, DensityB: 1.02, PotLife: 180, PotLifeMass: 100, PotLifeTemp: &at, Demold: 720, DemoldSection: 6}
}

func desk() *forecast.Desk { return forecast.New(nil, nil, nil, nil, nil) }

// Whatever the batch: the cups are those that mix makes with the short end of
// the pot life of the largest, so that each is poured in time where one filling
// can be.
func TestBatchIsPouredInTime(t *testing.T) {
	d := desk()
	rapid.Check(t, func(rt *rapid.T) {
		w := mix.Want{Profile: white(), Fills: rapid.IntRange(1, 60).Draw(rt, "fills")}
		w.Volume = float64(w.Fills) * rapid.Float64Range(5, 60).Draw(rt, "each")
		w.Profile.PotLife = float64(rapid.SampledFrom([]int{120, 180, 480, 900}).Draw(rt, "pot life"))
		room := float64(rapid.IntRange(18, 30).Draw(rt, "room"))
		got, err := d.Batch(t.Context(), w, room, quantity.Metric)
		if fault.Is(err, fault.OutOfRange) {
			return // more cups than anyone mixes
		}
		if err != nil || !got.Known {
			rt.Fatalf("%v, known %v: %s", err, got.Known, got.Why)
		}
		if got.TooFast {
			return
		}
		w.Profile.PotLife = got.Cup.PotLife.Low
		pace := mix.PaceOf(w.Profile)
		for i, c := range got.Cups {
			took := pace.Mix + pace.Pour*float64(c.Fills) + pace.Reserve
			// The mass is answered for to a hundredth.
			if took > 1.01*got.Cup.PotLife.Low+pace.Pour*0.01 {
				rt.Errorf("cup %d of %d with %d fillings takes %v s, and its pot life begins at %v s", i+1, len(got.Cups), c.Fills, took, got.Cup.PotLife.Low)
			}
		}
	})
}

// A warm room needs more cups, and never fewer.
func TestBatchInAWarmRoom(t *testing.T) {
	d := desk()
	w := mix.Want{Profile: white(), Volume: 800, Fills: 20}
	w.Profile.PotLife = 300
	cool, err := d.Batch(t.Context(), w, 18, quantity.Metric)
	if err != nil {
		t.Fatal(err)
	}
	warm, err := d.Batch(t.Context(), w, 30, quantity.Metric)
	if err != nil {
		t.Fatal(err)
	}
	if len(warm.Cups) <= len(cool.Cups) || warm.Cup.PotLife.Mid >= cool.Cup.PotLife.Mid {
		t.Errorf("%d cups at 30 °C (pot life %v), %d at 18 °C (%v)", len(warm.Cups), warm.Cup.PotLife, len(cool.Cups), cool.Cup.PotLife)
	}
}

// Where no pot life can be told the bulletin's counts, as mix alone has it.
func TestBatchWithoutModel(t *testing.T) {
	plaster := material.Profile{Name: "gypsum", Family: material.Plaster, Ratio: quantity.Ratio{A: 100, B: 40, By: quantity.ByWeight}, DensityMixed: 1.7, PotLife: 480}
	for name, c := range map[string]struct {
		w    mix.Want
		room float64
		why  bool
	}{
		"no model":       {mix.Want{Profile: plaster, Volume: 100}, 21, false},
		"too much":       {mix.Want{Profile: white(), Mass: 60000}, 21, true},
		"next to naught": {mix.Want{Profile: white(), Mass: 0.6}, 21, true},
		"too cold":       {mix.Want{Profile: white(), Mass: 60}, -10, true},
	} {
		got, err := desk().Batch(t.Context(), c.w, c.room, quantity.Metric)
		if err != nil || got.Known || (got.Why != "") != c.why {
			t.Errorf("%s: %v, known %v, why %q", name, err, got.Known, got.Why)
		}
		plain, err := mix.New(c.w)
		if err != nil || plain.MassTotal != got.MassTotal || len(plain.Cups) != len(got.Cups) {
			t.Errorf("%s: %v g, by mix alone %v g (%v)", name, got.MassTotal, plain.MassTotal, err)
		}
	}
}

// The same question has the same answer from several goroutines, kept or not.
func TestCupTogether(t *testing.T) {
	d := desk()
	want, err := desk().Cup(t.Context(), white(), 150, 21, quantity.Metric)
	if err != nil {
		t.Fatal(err)
	}
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			for _, mass := range []float64{150, 150.4, 149.7} {
				got, err := d.Cup(t.Context(), white(), mass, 21.04, quantity.Metric)
				if err != nil || got.PotLife != want.PotLife || got.Calm != want.Calm {
					t.Errorf("%v g: %v (%v), want %v", mass, got.PotLife, err, want.PotLife)
				}
			}
		})
	}
	wait.Wait()
	more, err := d.Cup(t.Context(), white(), 300, 21, quantity.Metric)
	if err != nil || more.PotLife.Mid >= want.PotLife.Mid || math.IsNaN(more.Calm) {
		t.Errorf("300 g: %+v (%v); 150 g: %+v", more, err, want)
	}
}

func TestCupStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := desk().Cup(ctx, white(), 150, 21, quantity.Metric); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}
