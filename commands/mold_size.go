package commands

import (
	"fmt"
	"slices"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fit"
	"github.com/pourwright/pourwright/internal/part"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// This file answers how large a cavity comes out, and how large the master must
// be for that.

// masterSize is the formula behind the button: two generations, to be changed to
// as many as there are.
const masterSize = "input part = 100 mm: the length that is wanted\n" +
	"input rubber (-2 % to 10 %): linear shrinkage of the mold's rubber, by its bulletin\n" +
	"input resin (-2 % to 10 %): linear shrinkage of the cast, by its bulletin\n" +
	"part * oversize(rubber, resin)"

// densityNoise is a shrinkage of length that two densities with two decimals
// can't tell from none: 0.005 g/mL of each, a third of it.
const densityNoise = 0.0035

// sizeAhead tells what the densities of a rubber's profile say about its
// shrinkage, where it has those of the parts and of the cured rubber.
func sizeAhead(c *chat.Call, r *chat.Reply, m shop.Material, found *part.Measured) error {
	liquid, ok := m.Mixed()
	if !ok || liquid.Stated || m.DensityMixed <= 0 {
		return nil
	}
	s, err := fit.Lengths(liquid.Value, m.DensityMixed)
	if err != nil || s.High <= densityNoise {
		return nil // lighter once cured, or too close to tell
	}
	long := 100.0
	if found != nil {
		long = slices.Max(found.Size[:])
	}
	least, err := fit.Size(long, s.High)
	if err != nil {
		return fmt.Errorf("size of the cavity: %w", err)
	}
	sys := c.By.System()
	cavity := quantity.Range{Low: least, Mid: (least + long) / 2, High: long}
	r.Facts = append(r.Facts, chat.Num("cavity_length", "Cavity of a length of "+lengthText(long, sys), cavity.Mid, quantity.Length, sys).
		Between(cavity.Low, cavity.High).Says(quantity.TextRange(cavity, quantity.Length, sys)))
	r.Notes = append(r.Notes, fmt.Sprintf("By the profile's densities, %s liquid and %s cured, the rubber shrinks by up to %s of its length: %s of the master leave a cavity of %s. What is fed while it is liquid leaves no mark, so it may be less; the bulletin's linear shrinkage comes first.",
		quantity.Text(liquid.Value, quantity.Density, sys), quantity.Text(m.DensityMixed, quantity.Density, sys), quantity.Percent(s.High), lengthText(long, sys), quantity.TextRange(cavity, quantity.Length, sys)))
	r.Working = working.Add(r.Working, "shrinkage of length, at most", "1 − ∛(ρ_liquid/ρ_cured)", "same mass before and after", "1 − ∛(%s/%s) = %s",
		working.Num(liquid.Value), working.Num(m.DensityMixed), working.Num(s.High))
	return nil
}

// masterNote and masterAction lead to the sum for the master.
const masterNote = "Rubber and casts shrink, and it adds up through every mold and cast: see how large the master must be before you make it."

func masterAction() chat.Action {
	return chat.Action{Label: "How large the master?", Do: chat.DoForm, Line: chat.FormatLine("formula run", map[string]string{"text": masterSize}, nil)}
}
