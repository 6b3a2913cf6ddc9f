package cure_test

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// A fast rigid resin, a part from 4 to 12 mm, a room of 21 °C.
func Example() {
	at := 23.0
	r, assumed, err := cure.FromProfile(material.Profile{
		Name: "rigid white", Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume},
		DensityA: 1.10, DensityB: 1.02, PotLife: 180, PotLifeMass: 100, PotLifeTemp: &at, Demold: 720, DemoldSection: 6,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	res, err := cure.Estimate(r, cure.Setup{Thickest: 12, Thinnest: 4, Room: 21}, cure.Learned{}, 2, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	show := func(r quantity.Range) string {
		return quantity.TextRange(cure.RoundOut(r), quantity.Time, quantity.Metric)
	}
	fmt.Println("pot life", show(res.PotLife))
	fmt.Println("demold", show(res.Demold))
	fmt.Println("asked:", assumed[0].Ask)
	// Output:
	// pot life 2–5 min
	// demold 15 min to 1 h
	// asked: How much heat does the cure give off, in joules a gram?
}
