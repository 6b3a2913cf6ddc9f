package library

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// TintSide is the part that tint is stirred into. Error, in that option:
// not_found where the profile does not say and the family has no habit. A
// urethane has none: its maker decides which part is free of isocyanate.
func TintSide(m shop.Material, option string) (side material.Side, note string, err error) {
	if m.TintSide != material.NoSide {
		return m.TintSide, "", nil
	}
	if side, ok := material.TintSideDefault(m.Family); ok {
		return side, fmt.Sprintf("Tint goes into part %s, as usual for %s; the profile does not say.", side, m.Family), nil
	}
	why := "its bulletin names the part"
	if m.Family.Isocyanate() {
		why = "it must be the part without isocyanate, which differs by maker"
	}
	return "", "", fault.New(fault.NotFound, "which part of %s takes the tint is not known, and %s", m.Name, why).In(option).
		Hint("look in section 3 of both SDS, then save it: /material edit material:%q tint_side:B (or A)", m.Name)
}

// SideShare is the tint side's part of A and B by weight. Error, in that
// option: not_found for a ratio by volume without densities.
func SideShare(m shop.Material, side material.Side, option string) (float64, error) {
	r, ok := m.ByWeight()
	if !ok {
		return 0, fault.New(fault.NotFound, "the ratio of %s is by volume and its profile has no density of each part, so nothing can be weighed", m.Name).In(option).
			Hint("add them: /material edit material:%q density_a:\"1.10, 1.02\"", m.Name)
	}
	if side == material.SideA {
		return r.A / (r.A + r.B), nil
	}
	return r.B / (r.A + r.B), nil
}

// DosesOf turns amounts into fractions of the whole mix, beside resin g of A,
// B and filler. Errors, in that option: out_of_range, not_found for a drop
// that was never weighed.
func DosesOf(asks []TintAsk, resin float64, option string) ([]float64, error) {
	grams, share := 0.0, 0.0
	for _, a := range asks {
		g, err := a.weight(option)
		if err != nil {
			return nil, err
		}
		grams += g
		share += a.Share
	}
	total := (resin + grams) / (1 - share)
	doses := make([]float64, len(asks))
	load := 0.0
	for i, a := range asks {
		doses[i] = a.Share
		if a.Share == 0 {
			g, _ := a.weight(option)
			doses[i] = g / total
		}
		load += doses[i]
	}
	return doses, inOption(color.CheckDose(option, load), option)
}

// ResinOf is what is left for A, B and filler of a cup that holds mass g in
// all, tints included.
func ResinOf(asks []TintAsk, mass float64, option string) (float64, error) {
	left := mass
	for _, a := range asks {
		g, err := a.weight(option)
		if err != nil {
			return 0, err
		}
		left -= g + a.Share*mass
	}
	if left <= 0 {
		return 0, fault.New(fault.OutOfRange, "the tint alone is more than the %s in the cup", quantity.Text(mass, quantity.Mass, quantity.Metric)).
			In(option).Hint("most mixes take up to 2 %% of tint")
	}
	return left, nil
}

// Counted reports amounts that only a batch of known size gives a meaning.
func Counted(asks []TintAsk) bool {
	for _, a := range asks {
		if a.Share == 0 {
			return true
		}
	}
	return false
}

// dropsWeighed are how many drops a member weighs to know one.
const dropsWeighed = 20

// Drop is g a drop, 0 where none was weighed.
func Drop(t shop.Tint) float64 { return t.WeightOf20 / dropsWeighed }

// weight is g of an ask in grams or drops, 0 for a share.
func (a TintAsk) weight(option string) (float64, error) {
	if a.Drops == 0 {
		return a.Grams, nil
	}
	if a.WeightOf20 == 0 {
		return 0, fault.New(fault.NotFound, "nobody has weighed a drop of %s", a.Name).In(option).
			Hint(`drop twenty into a cup on the scale, then /tint drops tint:%q weight_of_20:"0.9 g"; or give percent`, a.Name)
	}
	return a.Drops * Drop(a.Tint), nil
}
