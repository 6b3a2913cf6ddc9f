package mix

import (
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// This file is knowledge and sets no ratio: a bulletin's ratio holds for the
// whole formulation, with what else is in the jugs, and it rules.

// Equivalents names the source of the sums here.
const Equivalents = "stoichiometry of urethanes and epoxies as data sheets have it"

// The masses behind the two figures of a urethane: an OH number counts mg of
// potassium hydroxide (56.1 g/mol) for a g of polyol, an NCO content the share of
// groups of 42.02 g/mol.
const (
	hydroxide = 56100.0 // mg/mol
	nco       = 42.02   // g/mol
)

func bounded(option string, v, least, most float64, hint string) error {
	if !(v >= least && v <= most) {
		return fault.New(fault.OutOfRange, "%s of %s is outside %s to %s", option, num(v), num(least), num(most)).In(option).Hint("%s", hint)
	}
	return nil
}

// PolyolEquivalent is the grams of polyol that hold a mole of OH groups, of an
// OH number in mg KOH/g from 1 to 2000: 56100/number. Error: out_of_range.
func PolyolEquivalent(ohNumber float64) (float64, error) {
	if err := bounded("oh_number", ohNumber, 1, 2000, "the polyol's data sheet has it in mg KOH/g, such as 400"); err != nil {
		return 0, err
	}
	return hydroxide / ohNumber, nil
}

// IsocyanateEquivalent is the grams of isocyanate that hold a mole of NCO groups,
// of an NCO content as a fraction from 0.01 to 0.6: 42.02/fraction, 4202/%NCO.
// Error: out_of_range.
func IsocyanateEquivalent(fraction float64) (float64, error) {
	if !(fraction >= 0.01 && fraction <= 0.6) {
		return 0, fault.New(fault.OutOfRange, "an NCO content of %s is none of an isocyanate", quantity.Percent(fraction)).In("nco").
			Hint("the data sheet has it, such as 31.5 %%")
	}
	return nco / fraction, nil
}

// IsocyanateFor is the isocyanate in g for a mass of polyol in g, at an index
// NCO/OH (1 is one group for each): m·index·E_NCO/E_OH. Water, fillers and other
// hydroxyls are not in it. Errors: out_of_range.
func IsocyanateFor(polyol, ohNumber, ncoFraction, index float64) (float64, error) {
	oh, err := PolyolEquivalent(ohNumber)
	if err != nil {
		return 0, err
	}
	iso, err := IsocyanateEquivalent(ncoFraction)
	if err != nil {
		return 0, err
	}
	if err := bounded("index", index, 0.5, 3, "1 is a group of NCO for each OH, casting systems are near it"); err != nil {
		return 0, err
	}
	if !(polyol > 0 && polyol <= 1e9) {
		return 0, fault.New(fault.OutOfRange, "%s g of polyol is no amount", num(polyol)).In("polyol").Hint("give its weight, such as 100 g")
	}
	return polyol * index * iso / oh, nil
}

// AminePHR is the amine hardener in parts for a hundred parts of epoxy resin by
// weight, so that each epoxy group meets a hydrogen: 100·AHEW/EEW, both in grams
// for a mole of them. Errors: out_of_range.
func AminePHR(ahew, eew float64) (float64, error) {
	if err := bounded("ahew", ahew, 10, 2000, "the hardener's amine hydrogen equivalent weight is on its data sheet, such as 24.4"); err != nil {
		return 0, err
	}
	if err := bounded("eew", eew, 50, 10000, "the resin's epoxy equivalent weight is on its data sheet, such as 190"); err != nil {
		return 0, err
	}
	return 100 * ahew / eew, nil
}
