package forecast

import (
	"errors"
	"testing"

	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/recent"
)

func TestModelsAreFittedOnce(t *testing.T) {
	at := 23.0
	r, _, err := cure.FromProfile(material.Profile{Name: "white", Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume},
		DensityA: 1.10, DensityB: 1.02, PotLife: 180, PotLifeMass: 100, PotLifeTemp: &at, Demold: 720, DemoldSection: 6})
	if err != nil {
		t.Fatal(err)
	}
	models := kept[cure.Resin, *cure.Model]{known: recent.Map[cure.Resin, *cure.Model]{Most: 2}}
	fit := func(r cure.Resin, done <-chan struct{}) (*cure.Model, error) {
		return models.get(t.Context(), r, func() (*cure.Model, error) { return cure.Calibrate(r, 2, done) })
	}
	stopped := make(chan struct{})
	close(stopped)
	if _, err := fit(r, stopped); !errors.Is(err, cure.ErrStopped) {
		t.Errorf("stopped, it gives %v, want %v", err, cure.ErrStopped)
	}
	a, err := fit(r, nil)
	if err != nil {
		t.Fatal(err)
	}
	if b, _ := fit(r, nil); a != b {
		t.Error("the same resin was fitted twice")
	}
	other := r
	other.PotLife++
	if b, _ := fit(other, nil); a == b {
		t.Error("another pot life got the old model")
	}
	other.PotLife++
	if _, err := fit(other, nil); err != nil {
		t.Fatal(err)
	}
	if b, _ := fit(r, nil); a == b {
		t.Error("the oldest of three was kept where two are")
	}
}
