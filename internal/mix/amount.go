package mix

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// pair is two amounts on one basis with the ratio that they should have.
type pair struct {
	a, b float64 // g or mL
	r    quantity.Ratio
	dim  quantity.Dim // quantity.Mass or quantity.Volume
}

// unit is the base unit of the pair's amounts.
func (p pair) unit() string { return quantity.BaseUnit(p.dim) }

// pairOf brings two amounts, weighed or measured, onto one basis that the
// profile can judge. optA and optB name the options in errors. Weighed
// amounts of a volume ratio need both densities, and so do a weighed and a
// measured one together. Errors: bad_quantity, out_of_range, not_found.
func pairOf(m material.Profile, a, b quantity.Quantity, optA, optB string) (pair, error) {
	if err := sane(m.Ratio); err != nil {
		return pair{}, err
	}
	for _, q := range []struct {
		option string
		quantity.Quantity
	}{{optA, a}, {optB, b}} {
		if q.Dim != quantity.Mass && q.Dim != quantity.Volume {
			return pair{}, fault.New(fault.BadQuantity, "%s is neither a weight nor a volume", q.option).In(q.option).Hint("give grams, such as 110 g")
		}
		if math.IsNaN(q.Value) || q.Value < 0 || q.Value > maxMass {
			return pair{}, fault.New(fault.OutOfRange, "%s of %s %s is outside 0 to %s", q.option, num(q.Value), quantity.BaseUnit(q.Dim), num(maxMass)).
				In(q.option).Hint("give what the scale showed, such as 110 g")
		}
	}
	wt, okW := m.ByWeight()
	vol, okV := m.ByVolume()
	switch {
	case a.Dim == quantity.Mass && b.Dim == quantity.Mass && okW:
		return pair{a.Value, b.Value, wt, quantity.Mass}, nil
	case a.Dim == quantity.Volume && b.Dim == quantity.Volume && okV:
		return pair{a.Value, b.Value, vol, quantity.Volume}, nil
	case a.Dim != b.Dim && okW && okV:
		return pair{grams(a, m.DensityA), grams(b, m.DensityB), wt, quantity.Mass}, nil
	}
	return pair{}, fault.New(fault.NotFound, "%s has its ratio %s and no density of both parts, so %s cannot be judged by %s",
		m.Name, m.Ratio.Text(), optA+" and "+optB, basisOf(a, b)).In("material").
		Hint("give %s, or add density_a and density_b with /material edit", otherBasis(m.Ratio))
}

func grams(q quantity.Quantity, density float64) float64 {
	if q.Dim == quantity.Mass {
		return q.Value
	}
	return q.Value * density
}

func basisOf(a, b quantity.Quantity) string {
	switch {
	case a.Dim != b.Dim:
		return "weight and volume together"
	case a.Dim == quantity.Mass:
		return "weight"
	}
	return "volume"
}

func otherBasis(r quantity.Ratio) string {
	if r.By == quantity.ByVolume {
		return "both in mL"
	}
	return "both in grams"
}
