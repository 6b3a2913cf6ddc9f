package formula

import (
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/gas"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
)

const (
	chemistryGroup = "chemistry"
	ratioRules     = "For understanding only: the ratio of the bulletin rules, as it counts in all that is in the jugs."
	noExposure     = "It turns a published figure into another unit and says nothing of a room: no sum of size and air changes proves a level. Ask an industrial hygienist, and see the SDS."
)

var chemistry = []function{
	{name: "oh_equivalent", group: chemistryGroup, help: "the grams of a polyol with a mole of OH groups, by its OH number in mg KOH/g", example: "oh_equivalent(400)", source: mix.Equivalents, note: ratioRules,
		forms: []form{{params: []param{p("oh_number", quantity.Number)}, gives: of(quantity.Mass), run: func(c *call) (any, error) {
			v, err := mix.PolyolEquivalent(c.num(0))
			return c.shown(v, err, "equivalent weight of the polyol", "56100/OH number", mix.Equivalents, "g")
		}}}},
	{name: "nco_equivalent", group: chemistryGroup, help: "the grams of an isocyanate with a mole of NCO groups, by its NCO content", example: "nco_equivalent(31.5 %)", source: mix.Equivalents, note: ratioRules, caution: "isocyanate",
		forms: []form{{params: []param{p("nco", quantity.Number)}, gives: of(quantity.Mass), run: func(c *call) (any, error) {
			v, err := mix.IsocyanateEquivalent(c.num(0))
			return c.shown(v, err, "equivalent weight of the isocyanate", "4202/%NCO", mix.Equivalents, "g")
		}}}},
	{name: "isocyanate_for", group: chemistryGroup, help: "the isocyanate that meets each OH group of a polyol, times the index, 1 where it is left out", example: "isocyanate_for(100 g, 400, 31.5 %)", source: mix.Equivalents, note: ratioRules, caution: "isocyanate",
		forms: []form{{params: []param{p("polyol", quantity.Mass), p("oh_number", quantity.Number), p("nco", quantity.Number), p("index", quantity.Number)}, least: 3, gives: of(quantity.Mass), run: func(c *call) (any, error) {
			index := 1.0
			if c.has(3) {
				index = c.num(3)
			}
			v, err := mix.IsocyanateFor(c.num(0), c.num(1), c.num(2), index)
			return c.shown(v, err, "isocyanate", "m·index·(4202/%NCO)/(56100/OH number)", mix.Equivalents, "g")
		}}}},
	{name: "amine_phr", group: chemistryGroup, help: "amine hardener for a hundred parts of epoxy resin by weight, by their equivalent weights AHEW and EEW", example: "amine_phr(24.4 g, 190 g)", source: mix.Equivalents, note: ratioRules, caution: "amine",
		forms: []form{{params: []param{p("ahew", quantity.Mass), p("eew", quantity.Mass)}, gives: plain, run: func(c *call) (any, error) {
			v, err := mix.AminePHR(c.num(0), c.num(1))
			return c.shown(v, err, "hardener, parts per hundred of resin", "100·AHEW/EEW", mix.Equivalents, "")
		}}}},
	{name: "gas_from_water", group: chemistryGroup, help: "the carbon dioxide that water makes of an isocyanate, in a room and at the air of the shop's altitude where that is left out", example: "gas_from_water(0.05 g, 21 C)", source: "a mole of gas a mole of water, ideal gas", reads: "altitude", caution: "isocyanate",
		forms: []form{{params: []param{p("water", quantity.Mass), p("temp", quantity.Temp), air}, least: 2, gives: of(quantity.Volume), run: gasFromWater}}},
	{name: "mg_per_m3", group: chemistryGroup, help: "a published content of air in ppm as mg/m³, by the molar mass of the substance; at 25 C and 760 torr where they are left out", example: "mg_per_m3(0.02, 250.26 g)", source: gas.MolarSource, note: noExposure, caution: "isocyanate",
		forms: trace("ppm", "mg/m³", "ppm·M/V", gas.MilligramsPerCubicMeter)},
	{name: "ppm", group: chemistryGroup, help: "a published content of air in mg/m³ as ppm, by the molar mass of the substance; at 25 C and 760 torr where they are left out", example: "ppm(0.2, 250.26 g)", source: gas.MolarSource, note: noExposure, caution: "isocyanate",
		forms: trace("mg_per_m3", "ppm", "mg·V/M", gas.PartsPerMillion)},
}

func gasFromWater(c *call) (any, error) {
	around, err := c.around(2)
	if err != nil {
		return nil, c.run.inside(err)
	}
	if water, temp := c.num(0), c.num(1); !(water >= 0 && water <= 1000 && temp >= 0 && temp <= 100) {
		return nil, c.run.wrong("there is no telling what that water makes", "give up to 1 kg of water, such as 0.05 g for a drop, and a room from 0 to 100 C")
	}
	if _, err := gas.MolarVolume(c.num(1), around); err != nil {
		return nil, c.run.inside(err)
	}
	return c.shown(cure.GasFromWater(c.num(0), c.num(1), around), nil, "gas from the water", "m/18.015·R·T/P", "a mole of gas a mole of water, ideal gas", "mL")
}

// trace declares a content of air in another unit, at the usual 25 °C and 760
// torr, or at those that are given.
func trace(name, what, sum string, f func(v, molar, volume float64) (float64, error)) []form {
	usual := []param{p(name, quantity.Number), p("molar_mass", quantity.Mass)}
	return []form{
		{params: usual, gives: plain, run: func(c *call) (any, error) {
			v, err := f(c.num(0), c.num(1), gas.Molar)
			return c.shown(v, err, what, sum, gas.MolarSource, "")
		}},
		{params: append(usual[:2:2], p("temp", quantity.Temp), air), gives: plain, run: func(c *call) (any, error) {
			volume, err := gas.MolarVolume(c.num(2), c.num(3))
			if err != nil {
				return nil, c.run.inside(err)
			}
			v, err := f(c.num(0), c.num(1), volume)
			return c.shown(v, err, what, sum, "V = R·T/P, ideal gas", "")
		}},
	}
}
