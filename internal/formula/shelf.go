package formula

import (
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/gas"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shape"
)

// ThingKind is what a name in quotes names.
type ThingKind uint8

// The things that a formula can name.
const (
	AMaterial ThingKind = iota + 1
	AMold
)

// Thing is a kept thing that a formula names.
type Thing struct {
	Kind     ThingKind
	Name     string // as typed in the formula
	Material material.Profile
	Mold     MoldFacts
	// Life is true where the formula asks how long the mold lasts, which takes
	// an estimate.
	Life bool
	at   int
}

// MoldFacts are what a formula can ask of a mold. A zero life is not known.
type MoldFacts struct {
	Name     string
	Volume   float64 // mL, one cavity
	Cavities int
	Pulls    int
	Life     quantity.Range // pulls until half of its kind are gone
}

func nameOf(name string, t ThingKind) param { return param{name: name, kind: aName, thing: t} }

// figure declares a figure of a material; ok is false where the profile does
// not have it.
func figure(d quantity.Dim, lacks string, what func(material.Profile) (float64, bool)) []form {
	return []form{{params: []param{nameOf("material", AMaterial)}, gives: of(d), run: func(c *call) (any, error) {
		v, ok := what(c.material(0))
		if !ok {
			return nil, c.run.wrong(lacks+" of "+c.material(0).Name+" is not known", "add it with /material edit")
		}
		return v, nil
	}}}
}

func moldFigure(d quantity.Dim, what func(MoldFacts) float64) []form {
	return []form{{params: []param{nameOf("mold", AMold)}, gives: of(d), run: func(c *call) (any, error) { return what(c.mold(0)), nil }}}
}

func stated(v float64) (float64, bool) { return v, v > 0 }

var shelf = []function{
	{name: "density_a", group: "materials and molds", help: "the density of part A", example: `density_a("demo rigid white")`,
		forms: figure(quantity.Density, "the density of A", func(m material.Profile) (float64, bool) { return stated(m.DensityA) })},
	{name: "density_b", group: "materials and molds", help: "the density of part B", example: `density_b("demo rigid white")`,
		forms: figure(quantity.Density, "the density of B", func(m material.Profile) (float64, bool) { return stated(m.DensityB) })},
	{name: "density", group: "materials and molds", help: "the density of the liquid mix", example: `250 ml * density("demo rigid white")`,
		forms: figure(quantity.Density, "the density", func(m material.Profile) (float64, bool) { d, ok := m.Mixed(); return d.Value, ok })},
	{name: "density_cured", group: "materials and molds", help: "the density of a cured part", example: `80 g / density_cured("demo rigid white")`,
		forms: figure(quantity.Density, "the density", func(m material.Profile) (float64, bool) { d, ok := m.Cured(); return d.Value, ok })},
	{name: "b_for_a_weight", group: "materials and molds", help: "grams of B for 1 g of A", example: `100 g * b_for_a_weight("demo rigid clear")`,
		forms: figure(quantity.Number, "the ratio by weight", func(m material.Profile) (float64, bool) {
			r, ok := m.ByWeight()
			return r.B / r.A, ok && r.A > 0
		})},
	{name: "b_for_a_volume", group: "materials and molds", help: "milliliters of B for 1 mL of A", example: `100 ml * b_for_a_volume("demo rigid clear")`,
		forms: figure(quantity.Number, "the ratio by volume", func(m material.Profile) (float64, bool) {
			r, ok := m.ByVolume()
			return r.B / r.A, ok && r.A > 0
		})},
	{name: "pot_life", group: "materials and molds", help: "how long a cup of that mass stays pourable in a room, the shop's where none is given; a range",
		example: `pot_life("demo rigid white", 200 g)`, slow: true, unsure: true, source: "/cure",
		forms: []form{{params: []param{nameOf("material", AMaterial), p("mass", quantity.Mass), p("temp", quantity.Temp)}, least: 2, gives: of(quantity.Time), run: potLife}}},
	{name: "mold_volume", group: "materials and molds", help: "what one cavity of a mold holds", example: `mold_volume("harbor pawn")`,
		forms: moldFigure(quantity.Volume, func(m MoldFacts) float64 { return m.Volume })},
	{name: "mold_cavities", group: "materials and molds", help: "the cavities of a mold", example: `mold_volume("harbor pawn") * mold_cavities("harbor pawn")`,
		forms: moldFigure(quantity.Number, func(m MoldFacts) float64 { return float64(m.Cavities) })},
	{name: "mold_pulls", group: "materials and molds", help: "the pulls that a mold has had", example: `mold_pulls("harbor pawn")`,
		forms: moldFigure(quantity.Number, func(m MoldFacts) float64 { return float64(m.Pulls) })},
	{name: "mold_life", group: "materials and molds", help: "the pulls by which half of such molds are gone; a range", example: `18 GBP / mold_life("harbor pawn")`,
		unsure: true, source: "/mold life",
		forms: []form{{params: []param{nameOf("mold", AMold)}, gives: plain, run: func(c *call) (any, error) {
			m := c.mold(0)
			if m.Life.Mid <= 0 {
				return nil, c.run.wrong("how long "+m.Name+" lasts is not known", "see /mold life")
			}
			return c.run.unsure(c.site, m.Life, "pulls that "+m.Name+" lasts", quantity.Number), nil
		}}}},
}

func potLife(c *call) (any, error) {
	m, mass, room := c.material(0), c.num(1), c.run.set.Temp
	if c.has(2) {
		room = c.num(2)
	}
	if !(mass > 0) {
		return nil, c.run.wrong("the mass must be above zero", "give what is in one cup, such as 200 g")
	}
	if c.run.set.PotLife == nil {
		return nil, c.run.wrong("pot lives are not told here", "leave pot_life out")
	}
	r, err := c.run.set.PotLife(m, mass, room)
	if err != nil {
		return nil, c.run.inside(err)
	}
	return c.run.unsure(c.site, r, "pot life of "+quantity.Text(mass, quantity.Mass, c.run.set.System)+" of "+m.Name, quantity.Time), nil
}

var surroundings = []function{
	{name: "dew_point", group: "room and air", help: "the temperature at which air of that humidity begins to sweat", example: "dew_point(temp, humidity)", source: "Magnus form, WMO-No. 8",
		forms: []form{{params: []param{p("temp", quantity.Temp), p("humidity", quantity.Number)}, gives: of(quantity.Temp), run: func(c *call) (any, error) {
			t, h := c.num(0), c.num(1)
			if !(h > 0 && h <= 1 && t >= -45 && t <= 60) {
				return nil, c.run.wrong("there is no dew point for that", "give a temperature from -45 to 60 C and a humidity above 0 and up to 100 %")
			}
			return cure.DewPoint(t, h), nil
		}}}},
	{name: "air_pressure", group: "room and air", help: "the usual pressure of the air at a height above the sea", example: "air_pressure(altitude)", source: "US Standard Atmosphere 1976",
		forms: []form{{params: []param{p("altitude", quantity.Length)}, gives: of(quantity.Pressure), run: airPressure}}},
	{name: "water_density", group: "room and air", help: "the density of water of a temperature from 0 to 40 C", example: "250 g / water_density(21 C)", source: "Tanaka et al. 2001, doi:10.1088/0026-1394/38/4/3",
		forms: []form{{params: []param{p("temp", quantity.Temp)}, gives: of(quantity.Density), run: func(c *call) (any, error) {
			d, err := shape.WaterDensity(c.num(0))
			if err != nil {
				return nil, c.run.inside(err)
			}
			return d, nil
		}}}},
}

func airPressure(c *call) (any, error) {
	h := c.num(0) / 1000
	v, err := gas.AirPressure(h)
	if err != nil {
		return nil, c.run.inside(err)
	}
	c.run.work(gas.AirSteps(h, v))
	return v, nil
}
