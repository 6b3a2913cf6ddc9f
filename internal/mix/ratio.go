package mix

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Conversion is one ratio on both bases.
type Conversion struct {
	Weight float64 // g of B per 1 g of A
	Volume float64 // mL of B per 1 mL of A
	// Trap is the share of B too much (+) or too little (−) when the figures
	// are measured on the wrong basis: a volume ratio weighed, or a weight
	// ratio poured by volume.
	Trap  float64
	Steps []working.Step
}

// Convert turns a ratio into the other basis, wB/wA = (vB/vA)(ρB/ρA).
// Densities are in g/mL. Errors: ambiguous_unit (no basis), out_of_range (a
// side or density that is not positive), missing_option (a density of zero).
func Convert(r quantity.Ratio, densityA, densityB float64) (Conversion, error) {
	if err := sane(r); err != nil {
		return Conversion{}, err
	}
	for _, d := range []struct {
		option string
		v      float64
	}{{"density_a", densityA}, {"density_b", densityB}} {
		if d.v == 0 {
			return Conversion{}, fault.New(fault.MissingOption, "weight and volume differ by the density of each part, and %s is missing", d.option).
				In(d.option).Hint("copy it from the bulletin, such as 1.10 g/ml")
		}
		if !(d.v > 0) || d.v > 25 {
			return Conversion{}, fault.New(fault.OutOfRange, "a density of %s g/mL is not possible", num(d.v)).In(d.option).Hint("give g/mL, such as 1.10")
		}
	}
	c := Conversion{Trap: trap(r, densityA, densityB)}
	stated := r.B / r.A
	if r.By == quantity.ByVolume {
		c.Volume, c.Weight = stated, stated*densityB/densityA
		c.Steps = working.Add(nil, "ratio by weight", "wB/wA = (vB/vA)·(ρB/ρA)", working.Definition,
			"(%s/%s) × (%s/%s) = %s g of B per g of A", num(r.B), num(r.A), num(densityB), num(densityA), num(c.Weight))
		c.Steps = working.Add(c.Steps, "error if the volume ratio is weighed", "ρA/ρB − 1", working.Definition,
			"%s/%s − 1 = %s %% B", num(densityA), num(densityB), num(100*c.Trap))
		return c, nil
	}
	c.Weight, c.Volume = stated, stated*densityA/densityB
	c.Steps = working.Add(nil, "ratio by volume", "vB/vA = (wB/ρB)/(wA/ρA)", working.Definition,
		"(%s/%s)/(%s/%s) = %s mL of B per mL of A", num(r.B), num(densityB), num(r.A), num(densityA), num(c.Volume))
	c.Steps = working.Add(c.Steps, "error if the weight ratio is poured by volume", "ρB/ρA − 1", working.Definition,
		"%s/%s − 1 = %s %% B", num(densityB), num(densityA), num(100*c.Trap))
	return c, nil
}

// Trap is what goes wrong when a ratio is measured on the wrong basis: the
// excess of B as a fraction. It is zero where a density is unknown.
func Trap(r quantity.Ratio, densityA, densityB float64) float64 {
	if !(densityA > 0) || !(densityB > 0) || r.By == quantity.NoBasis {
		return 0
	}
	return trap(r, densityA, densityB)
}

func trap(r quantity.Ratio, densityA, densityB float64) float64 {
	if r.By == quantity.ByVolume {
		return densityA/densityB - 1
	}
	return densityB/densityA - 1
}

// OffRatio is (b/a)/(B/A) − 1, the excess of B as a fraction: 0.111 is 11.1 %
// too much B. a and b are amounts on the basis of r; a > 0.
func OffRatio(a, b float64, r quantity.Ratio) float64 { return b/a/(r.B/r.A) - 1 }

// Shares divides a total by parts, such as 480 g over 100:80:60. The parts
// must be positive.
func Shares(total float64, parts ...float64) []float64 {
	var sum float64
	for _, p := range parts {
		sum += p
	}
	out := make([]float64, len(parts))
	for i, p := range parts {
		out[i] = total * p / sum
	}
	return out
}

func sane(r quantity.Ratio) error {
	const hint = "give A:B with its basis, such as 1:1 vol or 100:45 wt"
	if !(r.A > 0) || !(r.B > 0) || math.IsInf(r.A, 0) || math.IsInf(r.B, 0) {
		return fault.New(fault.OutOfRange, "both sides of the ratio %s:%s must be more than zero", num(r.A), num(r.B)).In("ratio").Hint(hint)
	}
	if r.By == quantity.NoBasis {
		return fault.New(fault.AmbiguousUnit, "the ratio %s:%s does not say whether by volume or by weight", num(r.A), num(r.B)).In("ratio").Hint(hint)
	}
	return nil
}
