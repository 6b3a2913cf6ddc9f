package material

import (
	"math"
	"slices"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Densities of anything poured: from resin full of hollow spheres to resin
// full of bronze powder. Outside it the number has another unit.
const (
	densityLeast = 0.3
	densityMost  = 6
)

// usualDensity is where the liquids of a family lie unfilled, in g/mL. Common
// practice, no source.
var usualDensity = map[Family][2]float64{
	Urethane:             {0.90, 1.30},
	UrethaneRubber:       {0.90, 1.25},
	Epoxy:                {0.90, 1.30},
	Polyester:            {0.95, 1.35},
	SiliconeCondensation: {0.90, 1.50},
	SiliconeAddition:     {0.95, 1.50},
	Plaster:              {0.70, 2.70},
}

// A cured sample is up to about a tenth denser than its liquids; a liquid mix
// lies between them. Slack for what bulletins round.
const (
	mixedBelow = 0.97
	mixedAbove = 1.12
	mixedOdd   = 0.05
)

func (c *checker) densities() {
	p := c.p
	ok := true
	for _, d := range []struct {
		option string
		v      float64
	}{{"density_a", p.DensityA}, {"density_b", p.DensityB}, {"density_mixed", p.DensityMixed}} {
		if d.v == 0 {
			continue
		}
		if !c.within(d.option, "a density", d.v, densityLeast, densityMost, quantity.Density, densityHint(d.v)) {
			ok = false
			continue
		}
		if b, known := usualDensity[p.Family]; known && (d.v < b[0] || d.v > b[1]) {
			c.warn(d.option, "A density of "+text(d.v, quantity.Density)+" is unusual for "+string(p.Family)+" ("+num(b[0])+" to "+num(b[1])+" g/mL); fine if it is filled.")
		}
	}
	if ok {
		c.mixedAgainstParts()
	}
}

// densityHint names the unit that the number seems to have.
func densityHint(v float64) string {
	switch {
	case v >= 300 && v <= 6000:
		return num(v) + " looks like kg/m³: that is " + num(v/1000) + " g/mL"
	case v >= 18 && v <= 35:
		return num(v) + " looks like a specific volume: type " + num(v) + " in3/lb"
	case v > densityMost && v < 18:
		return num(v) + " looks like lb/gal: type " + num(v) + " lb/gal"
	}
	return "give g/mL, such as 1.10"
}

func (c *checker) mixedAgainstParts() {
	p := c.p
	if p.DensityMixed == 0 || p.DensityA == 0 || p.DensityB == 0 || !(p.Ratio.A > 0) || !(p.Ratio.B > 0) || p.Ratio.By == quantity.NoBasis {
		return
	}
	lo, hi := mixedBelow*min(p.DensityA, p.DensityB), mixedAbove*max(p.DensityA, p.DensityB)
	if p.DensityMixed < lo || p.DensityMixed > hi {
		c.refuse(fault.OutOfRange, "density_mixed", "check all three in the bulletin, or leave density_mixed out",
			"a mix of %s cannot come from parts of %s and %s", text(p.DensityMixed, quantity.Density), text(p.DensityA, quantity.Density), text(p.DensityB, quantity.Density))
		return
	}
	mix, _ := p.Mixed()
	if off := p.DensityMixed/mix.Value - 1; math.Abs(off) > mixedOdd {
		c.warn("density_mixed", "The parts mix to "+text(mix.Value, quantity.Density)+", the profile says "+text(p.DensityMixed, quantity.Density)+": the cured figure may be meant. Batches use A and B.")
	}
}

func (c *checker) times() {
	p := c.p
	const second, minute, hour, day = 1.0, 60.0, 3600.0, 86400.0
	pot := c.within("pot_life", "a pot life", p.PotLife, 5*second, 3*day, quantity.Time, "give it as in the bulletin, such as 3 min")
	demold := c.within("demold", "a demold time", p.Demold, 10*second, 30*day, quantity.Time, "give it as in the bulletin, such as 12 min, 6 mm")
	full := c.within("full_cure", "a full cure", p.FullCure, minute, 180*day, quantity.Time, "give it as in the bulletin, such as 24 h")
	c.within("pot_life_mass", "a cup", p.PotLifeMass, 1, 1e5, quantity.Mass, "give the mass that the bulletin's pot life was measured on, such as 100 g")
	c.within("demold_section", "a section", p.DemoldSection, 0.3, 500, quantity.Length, "give the thickness of the bulletin's sample, such as 6 mm")
	c.ordered("demold", "demold time", p.Demold, demold, "pot life", p.PotLife, pot)
	c.ordered("full_cure", "full cure", p.FullCure, full, "demold time", p.Demold, demold)
	if p.Demold == 0 {
		c.ordered("full_cure", "full cure", p.FullCure, full, "pot life", p.PotLife, pot)
	}
	if p.PotLife > 0 && (p.PotLifeMass == 0 || p.PotLifeTemp == nil) {
		c.warn("pot_life", "A pot life holds for its mass and temperature; add them when you have the bulletin, such as 3 min, 100 g, 23 C.")
	}
	if demold && p.DemoldSection == 0 && !p.Family.Silicone() && p.Family != Plaster {
		c.warn("demold", "A demold time holds for its section: thin parts take longer. Add it when the bulletin says, such as 12 min, 6 mm.")
	}
}

// ordered refuses a later time that is not later.
func (c *checker) ordered(option, later string, l float64, lOK bool, earlier string, e float64, eOK bool) {
	if lOK && eOK && l <= e {
		c.refuse(fault.OutOfRange, option, "check both in the bulletin; the order is pot life, demold, full cure",
			"the %s of %s is not after the %s of %s", later, text(l, quantity.Time), earlier, text(e, quantity.Time))
	}
}

func (c *checker) temperatures() {
	p := c.p
	for _, t := range []struct {
		option string
		v      *float64
		lo, hi float64
	}{{"pot_life_temp", p.PotLifeTemp, 0, 60}, {"min_temp", p.MinTemp, -10, 60}, {"max_temp", p.MaxTemp, 5, 300}} {
		if t.v != nil && (math.IsNaN(*t.v) || *t.v < t.lo || *t.v > t.hi) {
			c.refuse(fault.OutOfRange, t.option, "give the temperature from the bulletin, such as 23 C", "%s of %s is outside %s to %s",
				t.option, text(*t.v, quantity.Temp), text(t.lo, quantity.Temp), text(t.hi, quantity.Temp))
		}
	}
	if p.MinTemp == nil || p.MaxTemp == nil {
		return
	}
	if *p.MinTemp >= *p.MaxTemp {
		c.refuse(fault.OutOfRange, "max_temp", "min_temp is the coldest room, max_temp the warmest", "the highest temperature %s is not above the lowest %s",
			text(*p.MaxTemp, quantity.Temp), text(*p.MinTemp, quantity.Temp))
	}
}

// usualScale is where a family's hardness is read. Common practice, no source.
var usualScale = map[Family][]string{
	Urethane: {"D", "A"}, Epoxy: {"D", "A"}, Polyester: {"D"},
	UrethaneRubber: {"A", "00", "D"}, SiliconeCondensation: {"A", "00"}, SiliconeAddition: {"A", "00"},
}

func (c *checker) hardness() {
	h := c.p.Hardness
	if h == nil {
		return
	}
	const hint = "give the number and its scale, such as 74 D"
	if h.Scale != "00" && h.Scale != "A" && h.Scale != "D" {
		c.refuse(fault.NotFound, "hardness", hint, "there is no Shore scale %q here", fault.Echo(h.Scale))
		return
	}
	if math.IsNaN(h.Shore) || h.Shore < 0 || h.Shore > 100 {
		c.refuse(fault.OutOfRange, "hardness", hint, "a Shore reading of %s is outside 0 to 100", num(h.Shore))
		return
	}
	if scales, known := usualScale[c.p.Family]; known && !slices.Contains(scales, h.Scale) {
		c.warn("hardness", "Shore "+h.Scale+" is unusual for "+string(c.p.Family)+": check the letter behind the number.")
	}
	// ASTM D2240 (secondary text): A reads well from 20 to 90.
	switch {
	case h.Scale == "A" && h.Shore > 90:
		c.warn("hardness", "Shore A above 90 reads poorly; the D scale takes over there.")
	case h.Scale == "A" && h.Shore < 20:
		c.warn("hardness", "Shore A below 20 reads poorly; the 00 scale takes over there.")
	}
}
