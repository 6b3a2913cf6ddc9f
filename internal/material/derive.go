package material

import (
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Num is short for what every worked step needs.
var num = working.Num

// ByWeight gives the ratio by weight: as typed, or from a volume ratio and
// both densities, wB/wA = (vB/vA)·(ρB/ρA). ok is false where the densities to
// turn it are missing.
func (p Profile) ByWeight() (r quantity.Ratio, ok bool) {
	switch {
	case p.Ratio.By == quantity.ByWeight:
		return p.Ratio, true
	case p.Ratio.By == quantity.ByVolume && p.DensityA > 0 && p.DensityB > 0:
		return quantity.Ratio{A: p.Ratio.A * p.DensityA, B: p.Ratio.B * p.DensityB, By: quantity.ByWeight}, true
	}
	return quantity.Ratio{}, false
}

// ByVolume gives the ratio by volume, under the same rules.
func (p Profile) ByVolume() (r quantity.Ratio, ok bool) {
	switch {
	case p.Ratio.By == quantity.ByVolume:
		return p.Ratio, true
	case p.Ratio.By == quantity.ByWeight && p.DensityA > 0 && p.DensityB > 0:
		return quantity.Ratio{A: p.Ratio.A / p.DensityA, B: p.Ratio.B / p.DensityB, By: quantity.ByVolume}, true
	}
	return quantity.Ratio{}, false
}

// Density is a density with what it rests on.
type Density struct {
	Value  float64 // g/mL
	Basis  string  // for the member: "densities of A and B", "stated mixed density"
	Stated bool    // read from the bulletin, not computed
	Step   working.Step
}

// Mixed gives the density of the liquid mix: from A and B where both are
// known, ρ = Σm/Σ(m/ρ), which takes ideal mixing, no shrinkage and no air;
// else the stated mixed density. ok is false where neither is known.
func (p Profile) Mixed() (d Density, ok bool) {
	if p.DensityA > 0 && p.DensityB > 0 && p.Ratio.By != quantity.NoBasis {
		if p.Ratio.By == quantity.ByVolume {
			return p.mixedByVolume(), true
		}
		return p.mixedByWeight(), true
	}
	return p.stated()
}

// Cured gives the density of the solid for weighing a part: the stated density
// where there is one, as bulletins measure it on a cured sample, else that of
// the liquid mix, which is a few percent low. ok is false where neither is
// known.
func (p Profile) Cured() (d Density, ok bool) {
	if d, ok := p.stated(); ok {
		return d, true
	}
	return p.Mixed()
}

func (p Profile) stated() (Density, bool) {
	if p.DensityMixed <= 0 {
		return Density{}, false
	}
	return Density{Value: p.DensityMixed, Basis: "stated mixed density", Stated: true, Step: working.Step{
		What: "density of the mix", Formula: "ρ", Value: num(p.DensityMixed) + " g/mL", Source: "the material's profile",
	}}, true
}

func (p Profile) mixedByVolume() Density {
	a, b := p.Ratio.A, p.Ratio.B
	v := (a*p.DensityA + b*p.DensityB) / (a + b)
	return Density{Value: v, Basis: "densities of A and B", Step: working.Step{
		What: "density of the mix", Formula: "ρ = (vA·ρA + vB·ρB)/(vA + vB)", Source: "sum of mass over sum of volume, ideal mixing",
		Value: "(" + num(a) + " × " + num(p.DensityA) + " + " + num(b) + " × " + num(p.DensityB) + ")/" + num(a+b) + " = " + num(v) + " g/mL",
	}}
}

func (p Profile) mixedByWeight() Density {
	a, b := p.Ratio.A, p.Ratio.B
	v := (a + b) / (a/p.DensityA + b/p.DensityB)
	return Density{Value: v, Basis: "densities of A and B", Step: working.Step{
		What: "density of the mix", Formula: "ρ = (wA + wB)/(wA/ρA + wB/ρB)", Source: "sum of mass over sum of volume, ideal mixing",
		Value: num(a+b) + "/(" + num(a) + "/" + num(p.DensityA) + " + " + num(b) + "/" + num(p.DensityB) + ") = " + num(v) + " g/mL",
	}}
}

// Packs gives the grams of A and B in one pack: those stated, or the pack
// split by the ratio. ok is false where they cannot be told.
func (p Profile) Packs() (a, b float64, ok bool) {
	switch {
	case p.PackA > 0 && p.PackB > 0:
		return p.PackA, p.PackB, true
	case p.Pack > 0 && p.PackA > 0 && p.PackA < p.Pack:
		return p.PackA, p.Pack - p.PackA, true
	case p.Pack > 0 && p.PackB > 0 && p.PackB < p.Pack:
		return p.Pack - p.PackB, p.PackB, true
	case p.Pack > 0:
		r, ok := p.ByWeight()
		if !ok {
			return 0, 0, false
		}
		return p.Pack * r.A / (r.A + r.B), p.Pack * r.B / (r.A + r.B), true
	}
	return 0, 0, false
}

// PackAll is what one pack holds, A and B together, in g; zero where it is not
// said.
func (p Profile) PackAll() float64 {
	if a, b, ok := p.Packs(); ok {
		return a + b
	}
	return p.Pack
}

// PricePerGram is the price of a gram of mix: the pack's price over the
// largest batch the pack makes, so that what must be left of one part is paid
// for too; over the whole pack where the ratio by weight is unknown. ok is
// false where the price or the pack is missing.
func (p Profile) PricePerGram() (v float64, ok bool) {
	if p.Price <= 0 {
		return 0, false
	}
	r, okR := p.ByWeight()
	a, b, okP := p.Packs()
	switch {
	case okR && okP:
		return p.Price / (min(a/r.A, b/r.B) * (r.A + r.B)), true
	case p.Pack > 0:
		return p.Price / p.Pack, true
	}
	return 0, false
}
