package mix

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Verdict is how far off a ratio may be trusted.
type Verdict string

// The verdicts.
const (
	OnRatio  Verdict = "within tolerance"      // to TolLow
	Doubtful Verdict = "at the edge"           // to TolHigh
	TooFar   Verdict = "outside any usual one" // beyond
)

// Check is what was poured against what should have been.
type Check struct {
	Off     float64 // excess of B as a fraction, 0.111 is 11.1 % too much B
	Verdict Verdict
	Short   material.Side // the part there is too little of; none within 0.01 %
	// Trap is true where the error is just what measuring on the wrong basis
	// gives: the volume ratio was weighed, or the weight ratio poured.
	Trap  bool
	Steps []working.Step
}

// ratioNoise is an error that no shop scale shows.
const ratioNoise = 1e-4

// Judge compares poured amounts of A and B with the profile's ratio. The
// tolerance of 2 to 5 % is common practice; the bulletin wins. Errors:
// bad_quantity, out_of_range (A is zero), not_found (densities are missing).
func Judge(m material.Profile, a, b quantity.Quantity) (Check, error) {
	p, err := pairOf(m, a, b, "a", "b")
	if err != nil {
		return Check{}, err
	}
	if p.a == 0 || p.b == 0 {
		return Check{}, fault.New(fault.OutOfRange, "one part is zero: there is no mix to judge").In("a").Hint("give what was poured of both, such as a:\"110 g\" b:\"92 g\"")
	}
	return judge(m, p), nil
}

func judge(m material.Profile, p pair) Check {
	c := Check{Off: OffRatio(p.a, p.b, p.r)}
	switch off := math.Abs(c.Off); {
	case off <= TolLow+1e-12:
		c.Verdict = OnRatio
	case off <= TolHigh+1e-12:
		c.Verdict = Doubtful
	default:
		c.Verdict = TooFar
	}
	switch {
	case c.Off > ratioNoise:
		c.Short = material.SideA
	case c.Off < -ratioNoise:
		c.Short = material.SideB
	}
	c.Trap = c.Verdict != OnRatio && looksLikeTrap(m, p, c.Off)
	c.Steps = working.Add(nil, "off ratio", "(B/A)/(rB/rA) − 1", working.Definition,
		"(%s/%s)/(%s/%s) − 1 = %s %% B", num(p.b), num(p.a), num(p.r.B), num(p.r.A), num(100*c.Off))
	c.Steps = working.Add(c.Steps, "tolerance", "2 to 5 % of either part", working.CommonPractice, "the bulletin's own figure wins")
	return c
}

// looksLikeTrap allows a hundredth for pouring by hand.
func looksLikeTrap(m material.Profile, p pair, off float64) bool {
	t := Trap(m.Ratio, m.DensityA, m.DensityB)
	wrongBasis := (p.dim == quantity.Mass) == (m.Ratio.By == quantity.ByVolume)
	return wrongBasis && math.Abs(t) > TolLow && math.Abs(off-t) < 0.01
}
