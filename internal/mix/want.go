package mix

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Want is what a batch is asked for. Exactly one of Volume and Mass is set.
type Want struct {
	Profile material.Profile
	Volume  float64 // mL that must reach the mold; waste is added
	Mass    float64 // g in the cup, all in all; nothing is added
	// Fills is the number of fillings that Volume is poured into; zero where
	// unknown. It lets the pot life decide how many cups are needed.
	Fills int
	// FillVolume is the mL of a whole filling where the last one is smaller;
	// zero where all are alike.
	FillVolume float64
	Waste      *float64 // fraction of Volume in place of the usual rule; it may be negative
	CupSize    float64  // mL of mix in one cup at most; zero is one cup
	Step       float64  // g that the scale shows; zero is DefaultStep
	// PotLife is that of one cup of this batch, in s, in place of the
	// bulletin's, which holds for the bulletin's mass and temperature; zero
	// takes the bulletin's.
	PotLife float64
	Filler  *Filler
}

// Bounds of a typed waste: a cast on a core may need less than its mold holds,
// and nobody throws away three times the part.
const (
	minWaste = -0.5
	maxWaste = 3.0
)

func (w Want) check() error {
	if err := sane(w.Profile.Ratio); err != nil {
		return err
	}
	if err := w.checkAmount(); err != nil {
		return err
	}
	if err := CheckStep(w.Step); err != nil {
		return err
	}
	if w.CupSize < 0 || math.IsNaN(w.CupSize) || w.CupSize > maxVolume {
		return fault.New(fault.OutOfRange, "a cup of %s mL is not possible", num(w.CupSize)).In("cup_size").Hint("give the mix that one cup takes, such as 250 ml")
	}
	if w.Waste != nil && !(*w.Waste >= minWaste && *w.Waste <= maxWaste) {
		return fault.New(fault.OutOfRange, "a waste of %s is outside %s to %s", quantity.Percent(*w.Waste), quantity.Percent(minWaste), quantity.Percent(maxWaste)).
			In("waste").Hint("give a share of the volume, such as 10 %%")
	}
	if w.Waste != nil && w.Mass > 0 {
		return fault.New(fault.TooManyOptions, "mass is everything in the cup, so no waste is added to it").In("waste").
			Hint("leave waste out, or give volume in place of mass")
	}
	if w.Filler != nil {
		return w.Filler.check()
	}
	return nil
}

func (w Want) checkAmount() error {
	const hint = "give volume: what the mold holds, or mass: what should be in the cup"
	switch {
	case w.Volume != 0 && w.Mass != 0:
		return fault.New(fault.TooManyOptions, "both a volume and a mass are given").In("mass").Hint(hint)
	case w.Volume == 0 && w.Mass == 0:
		return fault.New(fault.MissingOption, "there is no volume and no mass to mix for").In("volume").Hint(hint)
	case w.Volume != 0 && !(w.Volume > 0 && w.Volume <= maxVolume):
		return fault.New(fault.OutOfRange, "a volume of %s mL is outside 0 to %s mL", num(w.Volume), num(maxVolume)).In("volume").Hint("give what must reach the mold, such as 250 ml")
	case w.Mass != 0 && !(w.Mass > 0 && w.Mass <= maxMass):
		return fault.New(fault.OutOfRange, "a mass of %s g is outside 0 to %s g", num(w.Mass), num(maxMass)).In("mass").Hint("give what should be in the cup, such as 250 g")
	case w.Fills < 0 || w.Fills > 100000:
		return fault.New(fault.OutOfRange, "%d fillings are outside 0 to 100000", w.Fills).In("count").Hint("give the number of parts wanted, such as 12")
	case w.FillVolume != 0 && !(w.lastFill() > 0 && w.lastFill() <= w.FillVolume*(1+1e-9)):
		return fault.New(fault.OutOfRange, "%d fillings of %s mL do not make %s mL", w.Fills, num(w.FillVolume), num(w.Volume)).In("count").Hint("give the number of parts wanted, such as 12")
	}
	return nil
}

// fill is the mL of a whole filling.
func (w Want) fill() float64 {
	if w.FillVolume > 0 {
		return w.FillVolume
	}
	return w.Volume / float64(w.Fills)
}

// lastFill is what is left for the last one.
func (w Want) lastFill() float64 { return w.Volume - float64(w.Fills-1)*w.fill() }
