package formula

import (
	"github.com/pourwright/pourwright/internal/fit"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// How large a part comes out, and how hard it is: package fit, and the Shore
// scales of package material.

const (
	sizeGroup = "size and hardness"
	measured  = "Take the shrinkages from the bulletins, or from a part that you measured: a thick or hot pour shrinks more than a bulletin's bar."
	otherTest = "The Shore scales are different tests without a conversion: the band helps to choose what to try, and promises nothing."
)

// rest are the values from argument i on.
func (c *call) rest(i int) []float64 {
	var all []float64
	for ; i < len(c.args); i++ {
		all = append(all, c.num(i))
	}
	return all
}

var shrinks = param{name: "shrink", kind: plain, many: true}

var sizes = []function{
	{name: "oversize", group: sizeGroup, help: "how many times the part the master must measure, after molds and casts that shrink by these fractions of length", example: "150 mm * oversize(0.4 %, 0.2 %)", source: "definition", note: measured,
		forms: []form{{params: []param{shrinks}, gives: plain, run: func(c *call) (any, error) {
			v, err := fit.Oversize(c.rest(0)...)
			return c.shown(v, err, "oversize of the master", "1/((1 − s1)(1 − s2)…)", working.Definition, "")
		}}}},
	{name: "cast_size", group: sizeGroup, help: "what a length of the master comes out as, after molds and casts that shrink by these fractions of length", example: "cast_size(150 mm, 0.4 %, 0.2 %)", source: "definition", note: measured,
		forms: []form{{params: []param{p("master", quantity.Length), shrinks}, gives: of(quantity.Length), run: func(c *call) (any, error) {
			v, err := fit.Size(c.num(0), c.rest(1)...)
			return c.shown(v, err, "length of the cast", "L·(1 − s1)(1 − s2)…", working.Definition, "mm")
		}}}},
	{name: "volume_shrink", group: sizeGroup, help: "the shrinkage of volume that goes with one of length", example: "volume_shrink(0.3 %)", source: "definition",
		forms: fraction("linear", "shrinkage of volume", "1 − (1 − s)³", fit.VolumeOf)},
	{name: "linear_shrink", group: sizeGroup, help: "the shrinkage of length that goes with one of volume", example: "linear_shrink(1 %)", source: "definition",
		forms: fraction("volume", "shrinkage of length", "1 − ∛(1 − v)", fit.LinearOf)},
	{name: "density_shrink", group: sizeGroup, help: "the shrinkage of volume by the densities of the liquid mix and of the cured solid", example: "density_shrink(1.05 g/ml, 1.10 g/ml)", source: "same mass before and after",
		forms: []form{{params: []param{p("liquid", quantity.Density), p("cured", quantity.Density)}, gives: plain, run: func(c *call) (any, error) {
			v, err := fit.FromDensities(c.num(0), c.num(1))
			return c.shown(v, err, "shrinkage of volume", "1 − ρ_liquid/ρ_cured", "same mass before and after", "")
		}}}},
	{name: "length_shrink", group: sizeGroup, help: "the shrinkage of length by these densities: what shrinks while it is liquid is fed and leaves no mark, so it is a range from nothing", example: "length_shrink(1.05 g/ml, 1.10 g/ml)", source: "same mass before and after", unsure: true, band: true,
		forms: []form{{params: []param{p("liquid", quantity.Density), p("cured", quantity.Density)}, gives: plain, run: func(c *call) (any, error) {
			r, err := fit.Lengths(c.num(0), c.num(1))
			if err != nil {
				return nil, c.run.inside(err)
			}
			return c.run.unsure(c.site, r, "shrinkage of length by the densities", quantity.Number), nil
		}}}},
	{name: "expansion", group: sizeGroup, help: "what a length gains when it warms; per kelvin silicone rubber gains about 3e-4, rigid resins 5e-5 to 10e-5 (from memory)", example: "expansion(200 mm, 7e-5, 30 dC)", source: "definition",
		forms: []form{{params: []param{p("length", quantity.Length), p("per_kelvin", quantity.Number), {name: "warmer", kind: degrees}}, gives: of(quantity.Length), run: func(c *call) (any, error) {
			v, err := fit.Expansion(c.num(0), c.num(1), c.num(2))
			return c.shown(v, err, "gain of length", "L·α·ΔT", working.Definition, "mm")
		}}}},
}

// fraction declares a sum of one fraction.
func fraction(name, what, sum string, f func(float64) (float64, error)) []form {
	return []form{{params: []param{p(name, quantity.Number)}, gives: plain, run: func(c *call) (any, error) {
		v, err := f(c.num(0))
		return c.shown(v, err, what, sum, working.Definition, "")
	}}}
}

var hardnesses = []function{
	{name: "shore_d", group: sizeGroup, help: "what a reading from A 80 to A 95 may be on the Shore D scale; a range", example: "shore_d(90)", source: working.CommonPractice, note: otherTest, unsure: true, band: true, forms: overlap("A", "D")},
	{name: "shore_a", group: sizeGroup, help: "what a reading from D 29 to D 46 may be on the Shore A scale; a range", example: "shore_a(40)", source: working.CommonPractice, note: otherTest, unsure: true, band: true, forms: overlap("D", "A")},
	{name: "shore_depth", group: sizeGroup, help: "how far the point of a Shore A or D gauge goes in at a reading; a sample thinner than 6 mm tells the table behind it", example: "shore_depth(74)", source: "ASTM D2240 (secondary text)",
		forms: []form{{params: []param{p("reading", quantity.Number)}, gives: of(quantity.Length), run: func(c *call) (any, error) {
			v, err := material.ShoreDepth(c.num(0))
			return c.shown(v, err, "depth of the point", "2.54 mm·(1 − H/100)", "ASTM D2240 (secondary text)", "mm")
		}}}},
	{name: "shore_a_force", group: sizeGroup, help: "what the spring of a Shore A gauge presses with at a reading", example: "shore_a_force(28)", source: "ASTM D2240 (from memory)", forms: spring("A", "0.550 + 0.075·H")},
	{name: "shore_d_force", group: sizeGroup, help: "what the spring of a Shore D gauge presses with at a reading", example: "shore_d_force(74)", source: "ASTM D2240 (from memory)", forms: spring("D", "0.4445·H")},
	{name: "rubber_stiffness", group: sizeGroup, help: "about Young's modulus of a rubber by its reading from A 20 to A 80; a range, 20 % to either side by judgement", example: "rubber_stiffness(28)", source: "Gent 1958 (from memory)", unsure: true, band: true,
		forms: []form{{params: []param{p("shore_a", quantity.Number)}, gives: of(quantity.Pressure), run: func(c *call) (any, error) {
			r, err := material.Modulus(c.num(0))
			if err != nil {
				return nil, c.run.inside(err)
			}
			return c.run.unsure(c.site, r, "stiffness of a rubber of Shore A "+working.Num(c.num(0)), quantity.Pressure), nil
		}}}},
}

// overlap declares the band of one scale on the other.
func overlap(from, to string) []form {
	return []form{{params: []param{p("reading", quantity.Number)}, gives: plain, run: func(c *call) (any, error) {
		h := material.Hardness{Shore: c.num(0), Scale: from}
		r, err := material.ShoreOverlap(h, to)
		if err != nil {
			return nil, c.run.inside(err)
		}
		return c.run.unsure(c.site, r, "Shore "+to+" of "+h.String(), quantity.Number), nil
	}}}
}

func spring(scale, sum string) []form {
	return []form{{params: []param{p("reading", quantity.Number)}, gives: force, run: func(c *call) (any, error) {
		v, err := material.ShoreForce(material.Hardness{Shore: c.num(0), Scale: scale})
		return c.shown(v, err, "force of the spring", sum, "ASTM D2240 (from memory)", "N")
	}}}
}
