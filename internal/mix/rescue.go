package mix

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// RescueWant is a cup that was measured wrong.
type RescueWant struct {
	Profile material.Profile
	A, B    quantity.Quantity // what is in the cup, weighed or measured
	// Since is the time in s since A met B; nil where it was not said, and 0
	// where they have not been stirred yet.
	Since *float64
	Step  float64 // g that the scale shows; zero is DefaultStep
}

// Rescued is what to add, rounded to the scale.
type Rescued struct {
	AddA, AddB     float64 // g, or mL where ByVolume; one of them is zero
	ByVolume       bool
	MassTotal      float64 // g in the cup afterwards; zero where unknown
	VolumeTotal    float64 // mL afterwards; zero where unknown
	Before, After  float64 // off ratio, excess of B as a fraction
	Fine           bool    // within 2 % already: nothing needs to be added
	OverMass       bool    // the cup then holds more than the bulletin allows
	UnstirredUnder float64 // s: a pot life so short that it only works unstirred; else zero
	Steps          []working.Step
}

// Rescue stops where hands are too slow.
const (
	fastPotLife = 300.0 // s: below it a stirred cup is past saving
	lateShare   = 0.5   // of the pot life
	// moreThanCup: adding more than the cup holds is a new batch, not a rescue.
	moreThanCup = 1.0
)

// Rescue works out what must be added to a cup that is off ratio, only before
// any thickening: add_B = mA·wB/wA − mB, or the like for A. Errors: too_late
// past half the pot life, or stirred with a pot life under 5 min; out_of_range
// where more would be added than is in the cup, or the cup would hold more than
// the bulletin allows in one; otherwise as Judge.
func Rescue(w RescueWant) (Rescued, error) {
	if w.Step == 0 {
		w.Step = DefaultStep
	}
	if err := CheckStep(w.Step); err != nil {
		return Rescued{}, err
	}
	p, err := pairOf(w.Profile, w.A, w.B, "a", "b")
	if err != nil {
		return Rescued{}, err
	}
	if p.a == 0 || p.b == 0 {
		return Rescued{}, fault.New(fault.OutOfRange, "one part is zero, so nothing has met and nothing needs rescue").In("a").
			Hint("ask /batch with mass for a fresh cup, or /ratio split for what your part is enough for")
	}
	if err := tooLate(w); err != nil {
		return Rescued{}, err
	}
	return w.add(p)
}

// tooLate refuses by the clock.
func tooLate(w RescueWant) error {
	pot := w.Profile.PotLife
	if w.Since == nil || pot <= 0 {
		return nil
	}
	since := *w.Since
	if math.IsNaN(since) || since < 0 {
		return fault.New(fault.OutOfRange, "the time since A met B cannot be negative").In("since").Hint("give it such as 1 min")
	}
	text := func(s float64) string { return quantity.Text(s, quantity.Time, quantity.Metric) }
	const hint = "let it set in the cup, out in the open if it warms, and mix a fresh batch"
	switch {
	case since > lateShare*pot:
		return fault.New(fault.TooLate, "Too late. Don't pour it into the mold. %s have passed of a pot life of %s, and past half of it new resin no longer joins what has begun to set", text(since), text(pot)).
			In("since").Hint(hint)
	case since > 0 && pot < fastPotLife:
		return fault.New(fault.TooLate, "Too late. Don't pour it into the mold. With a pot life of %s, stirred resin sets before more can be weighed and stirred in", text(pot)).
			In("since").Hint(hint)
	}
	return nil
}

func (w RescueWant) add(p pair) (Rescued, error) {
	r := Rescued{ByVolume: p.dim == quantity.Volume, Before: OffRatio(p.a, p.b, p.r)}
	needB := p.a*p.r.B/p.r.A - p.b
	needA := p.b*p.r.A/p.r.B - p.a
	switch {
	case math.Abs(r.Before) <= ratioNoise:
		needA, needB = 0, 0
	case needB > 0:
		needA = 0
		r.Steps = working.Add(nil, "B to add", "A·rB/rA − B", working.Definition, "%s × %s/%s − %s = %s %s", num(p.a), num(p.r.B), num(p.r.A), num(p.b), num(needB), p.unit())
	default:
		needB = 0
		r.Steps = working.Add(nil, "A to add", "B·rA/rB − A", working.Definition, "%s × %s/%s − %s = %s %s", num(p.b), num(p.r.A), num(p.r.B), num(p.a), num(needA), p.unit())
	}
	if err := fits(p, needA+needB); err != nil {
		return Rescued{}, err
	}
	r.AddA, r.AddB = needA, needB
	if !r.ByVolume {
		r.AddA, r.AddB = toStep(needA, w.Step), toStep(needB, w.Step)
	}
	a, b := p.a+r.AddA, p.b+r.AddB
	r.After = OffRatio(a, b, p.r)
	r.Fine = math.Abs(r.Before) <= TolLow
	w.totals(&r, a, b)
	if r.OverMass {
		return Rescued{}, fault.New(fault.OutOfRange, "with what is missing the cup would hold %s, more than the %s that the bulletin allows in one",
			quantity.Text(r.MassTotal, quantity.Mass, quantity.Metric), quantity.Text(w.Profile.MaxMass, quantity.Mass, quantity.Metric)).In("a").
			Hint("let it go: spread it thin in a tray while it is cool, and mix a fresh batch")
	}
	if w.Since == nil && w.Profile.PotLife > 0 && w.Profile.PotLife < fastPotLife {
		r.UnstirredUnder = w.Profile.PotLife
	}
	return r, nil
}

// totals fills in what the cup then holds.
func (w RescueWant) totals(r *Rescued, a, b float64) {
	p := w.Profile
	if r.ByVolume {
		r.VolumeTotal = a + b
		if p.DensityA > 0 && p.DensityB > 0 {
			r.MassTotal = a*p.DensityA + b*p.DensityB
		}
	} else {
		r.MassTotal = a + b
		if va, vb := volumes(p, a, b); va > 0 {
			r.VolumeTotal = va + vb
		}
	}
	r.OverMass = p.MaxMass > 0 && r.MassTotal > p.MaxMass && r.AddA+r.AddB > 0
}

// fits refuses what no cup and no common sense takes: a cup is seldom more
// than half empty.
func fits(p pair, add float64) error {
	const hint = "let it go: spread it thin in a tray while it is cool, and mix a fresh batch"
	if add > moreThanCup*(p.a+p.b) {
		return fault.New(fault.OutOfRange, "%s %s would have to be added to the %s %s in the cup: that is a new batch with a mistake in it, not a rescue",
			num(add), p.unit(), num(p.a+p.b), p.unit()).In("a").Hint(hint)
	}
	return nil
}
