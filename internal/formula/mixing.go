package formula

import (
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Batch is what to weigh or measure of A and B, and of which material.
type Batch struct {
	mix.Batch
	Material material.Profile
	Step     float64 // g, of the scale it was rounded to
}

// waste is the part of a volume that is lost, in place of the usual rule.
var waste = p("waste", quantity.Number)

// the number of the parameter waste in each of the forms of batch.
const (
	wasteOfMaterial = 2
	wasteOfRatio    = 4
)

var mixing = []function{
	{name: "batch", group: "batches", help: "A and B for a volume that must reach the mold, with the usual waste, or for a mass in the cup; as a result it gives what to weigh",
		example: `batch(250 ml, "demo rigid white")`, source: "/batch",
		forms: []form{
			{params: []param{p("volume", quantity.Volume), nameOf("material", AMaterial), waste}, least: 2, gives: aBatch, run: func(c *call) (any, error) {
				return c.batched(c.material(1), mix.Want{Volume: c.num(0)}, wasteOfMaterial)
			}},
			{params: []param{p("mass", quantity.Mass), nameOf("material", AMaterial)}, gives: aBatch, run: func(c *call) (any, error) {
				return c.batched(c.material(1), mix.Want{Mass: c.num(0)}, wasteOfMaterial)
			}},
			{params: []param{p("volume", quantity.Volume), ratioOf("ratio"), p("density_a", quantity.Density), p("density_b", quantity.Density), waste}, least: 4, gives: aBatch, run: func(c *call) (any, error) {
				return c.batched(c.unnamed(), mix.Want{Volume: c.num(0)}, wasteOfRatio)
			}},
			{params: []param{p("mass", quantity.Mass), ratioOf("ratio"), p("density_a", quantity.Density), p("density_b", quantity.Density)}, gives: aBatch, run: func(c *call) (any, error) {
				return c.batched(c.unnamed(), mix.Want{Mass: c.num(0)}, wasteOfRatio)
			}},
		}},
	{name: "mass_a", group: "batches", help: "part A of a batch, as the scale shows it", example: `mass_a(batch(250 ml, "demo rigid white"))`,
		forms: ofBatch(quantity.Mass, func(b *Batch) (float64, string) { return b.MassA, b.NoWeights })},
	{name: "mass_b", group: "batches", help: "part B of a batch, as the scale shows it", example: `mass_b(batch(250 ml, "demo rigid white"))`,
		forms: ofBatch(quantity.Mass, func(b *Batch) (float64, string) { return b.MassB, b.NoWeights })},
	{name: "mass_total", group: "batches", help: "everything in the cups of a batch", example: `mass_total(batch(250 ml, "demo rigid white"))`,
		forms: ofBatch(quantity.Mass, func(b *Batch) (float64, string) { return b.MassTotal, b.NoWeights })},
	{name: "volume_total", group: "batches", help: "the volume of a batch", example: `volume_total(batch(250 g, "demo rigid white"))`,
		forms: ofBatch(quantity.Volume, func(b *Batch) (float64, string) {
			return b.VolumeTotal, absent(b.VolumeTotal, "the density of "+b.Material.Name+" is not known")
		})},
	{name: "cost", group: "batches", help: "what a batch costs, or an amount of a material", example: `cost(250 ml, "demo rigid white")`,
		forms: []form{
			{params: []param{{name: "batch", kind: aBatch}}, gives: money, run: func(c *call) (any, error) {
				b := c.batch(0)
				if b.Cost <= 0 {
					return nil, c.run.wrong("the price of "+b.Material.Name+" is not known", "add price and pack with /material edit")
				}
				return b.Cost, nil
			}},
			{params: []param{p("mass", quantity.Mass), nameOf("material", AMaterial)}, gives: money, run: func(c *call) (any, error) {
				return c.price(c.material(1), c.num(0))
			}},
			{params: []param{p("volume", quantity.Volume), nameOf("material", AMaterial)}, gives: money, run: func(c *call) (any, error) {
				d, err := c.density(c.material(1))
				if err != nil {
					return nil, err
				}
				return c.price(c.material(1), c.num(0)*d)
			}},
		}},
	{name: "weight_ratio", group: "batches", help: "grams of B for 1 g of A, from milliliters of B for 1 mL of A", example: "weight_ratio(1, 1.10 g/ml, 1.02 g/ml)",
		source: "wB/wA = (vB/vA)(ρB/ρA)", forms: converting(func(v, a, b float64) float64 { return v * b / a })},
	{name: "volume_ratio", group: "batches", help: "milliliters of B for 1 mL of A, from grams of B for 1 g of A", example: "volume_ratio(0.45, 1.15 g/ml, 0.98 g/ml)",
		source: "vB/vA = (wB/wA)(ρA/ρB)", forms: converting(func(v, a, b float64) float64 { return v * a / b })},
	{name: "mixed_density", group: "batches", help: "the density of a mix, from grams of B for 1 g of A", example: "mixed_density(0.45, 1.15 g/ml, 0.98 g/ml)",
		source: "sum of mass over sum of volume, ideal mixing", forms: []form{{
			params: []param{p("b_for_a", quantity.Number), p("density_a", quantity.Density), p("density_b", quantity.Density)}, gives: of(quantity.Density),
			run: func(c *call) (any, error) {
				if err := c.positive(); err != nil {
					return nil, err
				}
				return (1 + c.num(0)) / (1/c.num(1) + c.num(0)/c.num(2)), nil
			}}}},
}

func ratioOf(name string) param { return param{name: name, kind: aName, ratio: true} }

// ofBatch declares a figure of a batch; the second word of what says why it
// can't be told, or "".
func ofBatch(d quantity.Dim, what func(*Batch) (float64, string)) []form {
	return []form{{params: []param{{name: "batch", kind: aBatch}}, gives: of(d), run: func(c *call) (any, error) {
		v, why := what(c.batch(0))
		if why != "" {
			return nil, c.run.wrong(why, "add the densities of A and B with /material edit")
		}
		return v, nil
	}}}
}

func absent(v float64, why string) string {
	if v > 0 {
		return ""
	}
	return why
}

func converting(f func(v, a, b float64) float64) []form {
	return []form{{params: []param{p("ratio", quantity.Number), p("density_a", quantity.Density), p("density_b", quantity.Density)}, gives: plain,
		run: func(c *call) (any, error) {
			if err := c.positive(); err != nil {
				return nil, err
			}
			return f(c.num(0), c.num(1), c.num(2)), nil
		}}}
}

// positive refuses an argument that is not above zero.
func (c *call) positive() error {
	for i := range c.args {
		if !(c.num(i) > 0) {
			return c.run.wrong(c.params[i].name+" must be above zero", "give a value above zero")
		}
	}
	return nil
}

// unnamed is a material that nobody keeps: a ratio with its densities.
func (c *call) unnamed() material.Profile {
	return material.Profile{Name: "this mix", Ratio: c.ratio(1), DensityA: c.num(2), DensityB: c.num(3)}
}

// batched works a batch out and rounds it to the shop's scale.
func (c *call) batched(m material.Profile, w mix.Want, wasteAt int) (any, error) {
	w.Profile, w.Step = m, c.run.set.ScaleStep
	if c.has(wasteAt) {
		share := c.num(wasteAt)
		w.Waste = &share
	}
	b, err := mix.New(w)
	if err != nil {
		return nil, c.run.inside(err)
	}
	c.run.work(b.Steps)
	return &Batch{Batch: b, Material: m, Step: w.Step}, nil
}

// price is what grams of a material cost.
func (c *call) price(m material.Profile, grams float64) (any, error) {
	each, ok := m.PricePerGram()
	if !ok {
		return nil, c.run.wrong("the price of "+m.Name+" is not known", "add price and pack with /material edit")
	}
	return each * grams, nil
}

// density is that of the liquid mix, in g/mL.
func (c *call) density(m material.Profile) (float64, error) {
	d, ok := m.Mixed()
	if !ok {
		return 0, c.run.wrong("the density of "+m.Name+" is not known", "add density_a and density_b with /material edit")
	}
	return d.Value, nil
}
