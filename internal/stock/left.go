package stock

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Part is what a container holds.
type Part string

// The parts. A kit is A and B together, in bottles of their own.
const (
	PartA Part = "A"
	PartB Part = "B"
	Kit   Part = "kit"
)

// Split turns an amount of a part, weighed or measured, into grams. A kit is
// split as its pack is, else by the ratio. Errors: missing_option where the
// profile lacks what that needs.
func Split(p material.Profile, part Part, amount quantity.Quantity) (Amount, error) {
	if amount.Dim == quantity.Mass {
		return splitMass(p, part, amount.Value)
	}
	density := func(of float64, side string) (Amount, error) {
		if of <= 0 {
			return Amount{}, fault.New(fault.MissingOption, "a volume of %s needs its density, which the profile of %s does not say", side, p.Name).
				In("amount").Hint("weigh it and give grams, or add the density with /material edit")
		}
		if side == "A" {
			return Amount{A: amount.Value * of}, nil
		}
		return Amount{B: amount.Value * of}, nil
	}
	switch part {
	case PartA:
		return density(p.DensityA, "A")
	case PartB:
		return density(p.DensityB, "B")
	}
	rho, ok := p.Mixed()
	if !ok {
		return density(0, "both parts")
	}
	return splitMass(p, part, amount.Value*rho.Value)
}

func splitMass(p material.Profile, part Part, grams float64) (Amount, error) {
	switch part {
	case PartA:
		return Amount{A: grams}, nil
	case PartB:
		return Amount{B: grams}, nil
	}
	if a, b, ok := p.Packs(); ok {
		return Amount{grams * a / (a + b), grams * b / (a + b)}, nil
	}
	return Mixed(p, grams)
}

// Mixed is what grams of the mix take of both. Errors: missing_option.
func Mixed(p material.Profile, grams float64) (Amount, error) {
	r, ok := p.ByWeight()
	if !ok {
		return Amount{}, fault.New(fault.MissingOption, "%s has a ratio by volume and no densities, so grams can't be split into A and B", p.Name).
			In("part").Hint("keep A and B apart, with part:A and part:B, or add the densities with /material edit")
	}
	return Amount{grams * r.A / (r.A + r.B), grams * r.B / (r.A + r.B)}, nil
}

// Unweighed is how far off what was taken by calculation may be: the tolerance
// of a mix, common practice, no source.
const Unweighed = 0.05

// LeftRange is what is left, with what pours took since the last weighing as
// uncertain as it is.
func LeftRange(left, reckoned float64) quantity.Range {
	off := Unweighed * reckoned
	return quantity.Range{Low: math.Max(left-off, 0), Mid: left, High: left + off}
}

// Weighed is what has gone from a container of which left grams were thought to
// be there, when the scale shows gross with the empty container's weight in it:
// in the shares that its parts have. More than was thought is negative. Errors:
// out_of_range where the scale shows less than the empty container.
func Weighed(left Amount, start Amount, gross, tare float64) (Amount, error) {
	now := gross - tare
	if now < -Slack {
		return Amount{}, fault.New(fault.OutOfRange, "the scale shows less than the empty container weighs").In("left").
			Hint("give what the scale shows with the container on it; tare is its empty weight")
	}
	now = math.Max(now, 0)
	share := left
	if share.Nothing() {
		share = start
	}
	if share.Nothing() {
		return Amount{}, fault.New(fault.OutOfRange, "that container never held anything").In("left").Hint("add it anew with /stock add")
	}
	total := share.Total()
	return Amount{left.A - now*share.A/total, left.B - now*share.B/total}, nil
}
