package formula

import (
	"github.com/pourwright/pourwright/internal/gas"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Pressures and vacuum: package gas, from within a formula.

const (
	underPressure = "pressure and vacuum"
	squeezed      = "Pressure shrinks bubbles and takes none away: it has to hold until the cast has set."
	noLicense     = "It does not say that a vessel or a lid bears that: its plate and its maker do."
	idealFoam     = "Of ideal bubbles that stay in: real foam rises three to five times, so the cup must hold that (common practice)."
)

// air is the last parameter of those that measure against the air around.
var air = p("air", quantity.Pressure)

// around is the air of argument i, that of the shop's altitude where it is left
// out.
func (c *call) around(i int) (float64, error) {
	if c.has(i) {
		return c.num(i), nil
	}
	h := c.run.set.Altitude
	v, err := gas.AirPressure(h)
	if err == nil {
		c.run.work(gas.AirSteps(h, v))
	}
	return v, err
}

// shown is a result with its step of working; the step may name it by %s.
func (c *call) shown(v float64, err error, what, sum, source, unit string) (any, error) {
	if err != nil {
		return nil, c.run.inside(err)
	}
	if unit != "" {
		unit = " " + unit
	}
	c.run.work(working.Add(nil, what, sum, source, "%s%s", working.Num(v), unit))
	return v, nil
}

// against declares a sum of one pressure and the air around.
func against(name string, d quantity.Dim, what, sum, source string, f func(p, air float64) (float64, error)) []form {
	unit := quantity.BaseUnit(d)
	if d == quantity.Number {
		unit = ""
	}
	return []form{{params: []param{p(name, quantity.Pressure), air}, least: 1, gives: of(d), run: func(c *call) (any, error) {
		around, err := c.around(1)
		if err != nil {
			return nil, c.run.inside(err)
		}
		v, err := f(c.num(0), around)
		return c.shown(v, err, what, sum, source, unit)
	}}}
}

var pressures = []function{
	{name: "absolute", group: underPressure, help: "what a pot's gauge shows, as absolute pressure; the air is that of the shop's altitude where it is left out",
		example: "absolute(60 psi)", source: "definition", reads: "altitude", caution: "pressure",
		forms: against("gauge", quantity.Pressure, "absolute pressure", "P = P_gauge + P_air", working.Definition, gas.Absolute)},
	{name: "gauge", group: underPressure, help: "what a pot's gauge shows at an absolute pressure", example: "gauge(500 kPa)", source: "definition", reads: "altitude", caution: "pressure",
		forms: against("absolute", quantity.Pressure, "on the gauge", "P_gauge = P − P_air", working.Definition, gas.Gauge)},
	{name: "vacuum_left", group: underPressure, help: "the absolute pressure left in a chamber by what its vacuum gauge shows", example: "vacuum_left(25 inHg)", source: "definition", reads: "altitude", caution: "vacuum",
		forms: against("vacuum", quantity.Pressure, "absolute pressure left", "P = P_air − P_vacuum", working.Definition, gas.Under)},
	{name: "vacuum_gauge", group: underPressure, help: "what a vacuum gauge shows at an absolute pressure; at 0 kPa it is the most that any gauge can show there", example: "vacuum_gauge(3.1 kPa)",
		source: "definition", reads: "altitude", caution: "vacuum",
		forms: against("absolute", quantity.Pressure, "on the vacuum gauge", "P_vacuum = P_air − P", working.Definition, gas.VacuumGauge)},
	{name: "bubble_volume", group: underPressure, help: "the share of a bubble's volume left under what a pot's gauge shows", example: "bubble_volume(60 psi)", source: gas.Boyle, reads: "altitude", note: squeezed, caution: "pressure",
		forms: against("gauge", quantity.Number, "volume left", "P_air/(P_air + P_gauge)", gas.Boyle, gas.BubbleVolume)},
	{name: "bubble_size", group: underPressure, help: "the share of a bubble's width left under what a pot's gauge shows", example: "0.5 mm * bubble_size(60 psi)", source: gas.Boyle, reads: "altitude", note: squeezed, caution: "pressure",
		forms: against("gauge", quantity.Number, "width left", "∛(P_air/(P_air + P_gauge))", gas.Boyle, gas.BubbleSize)},
	{name: "bubble_under_vacuum", group: underPressure, help: "the width that a bubble grows to at an absolute pressure", example: "bubble_under_vacuum(1 mm, 3.1 kPa)", source: gas.Boyle, reads: "altitude", note: idealFoam, caution: "vacuum",
		forms: []form{{params: []param{p("width", quantity.Length), p("absolute", quantity.Pressure), air}, least: 2, gives: of(quantity.Length), run: func(c *call) (any, error) {
			around, err := c.around(2)
			if err != nil {
				return nil, c.run.inside(err)
			}
			v, err := gas.BubbleUnder(c.num(0), c.num(1), around)
			return c.shown(v, err, "width of the bubble", "d·∛(P_air/P)", gas.Boyle, "mm")
		}}}},
	{name: "foam_rise", group: underPressure, help: "how many times its volume a mix takes up with that share of air in it, at an absolute pressure", example: "250 ml * foam_rise(3 %, 5 kPa)", source: gas.Boyle, reads: "altitude", note: idealFoam, caution: "vacuum",
		forms: []form{{params: []param{p("share", quantity.Number), p("absolute", quantity.Pressure), air}, least: 2, gives: plain, run: func(c *call) (any, error) {
			around, err := c.around(2)
			if err != nil {
				return nil, c.run.inside(err)
			}
			v, err := gas.FoamRise(c.num(0), c.num(1), around)
			return c.shown(v, err, "times its volume", "1 − a + a·P_air/P", gas.Boyle, "")
		}}}},
	{name: "degas_cup", group: underPressure, help: "the cup that a mix of that volume needs for degassing, three to five times of it; a range", example: "degas_cup(250 ml)", source: working.CommonPractice, caution: "vacuum", unsure: true, band: true,
		forms: []form{{params: []param{p("volume", quantity.Volume)}, gives: of(quantity.Volume), run: func(c *call) (any, error) {
			v := c.num(0)
			if !(v > 0) {
				return nil, c.run.wrong("the volume must be above zero", "give what is mixed, such as 250 ml")
			}
			r := quantity.Range{Low: v * gas.CupLeast, Mid: v * (gas.CupLeast + gas.CupMost) / 2, High: v * gas.CupMost}
			return c.run.unsure(c.site, r, "cup for degassing "+quantity.Text(v, quantity.Volume, c.run.set.System), quantity.Volume), nil
		}}}},
	{name: "lid_force", group: underPressure, help: "what a pot's pressure pushes a round lid of that width up with", example: "lid_force(60 psi, 230 mm)", source: "pressure times area", note: noLicense, caution: "pressure",
		forms: []form{{params: []param{p("gauge", quantity.Pressure), p("width", quantity.Length)}, gives: force, run: func(c *call) (any, error) {
			v, err := gas.LidForce(c.num(0), c.num(1))
			return c.shown(v, err, "force on the lid", "P·πd²/4", "pressure times area", "N")
		}}}},
	{name: "vacuum_lid_force", group: underPressure, help: "what the air at sea level presses on a round lid of that width with, over a vacuum; over the best there is where absolute is left out", example: "vacuum_lid_force(300 mm)",
		source: "pressure times area", note: noLicense, caution: "vacuum",
		forms: []form{{params: []param{p("width", quantity.Length), p("absolute", quantity.Pressure)}, least: 1, gives: force, run: func(c *call) (any, error) {
			left := 0.0
			if c.has(1) {
				left = c.num(1)
			}
			v, err := gas.VacuumLidForce(left, c.num(0))
			return c.shown(v, err, "force on the lid", "(101.325 kPa − P)·πd²/4", "pressure times area", "N")
		}}}},
	{name: "stored_energy", group: underPressure, help: "the energy that the air in a vessel can set free at what its gauge shows", example: "stored_energy(60 psi, 10 l)", source: "Brode 1959 (from memory)", note: noLicense, caution: "pressure",
		forms: []form{{params: []param{p("gauge", quantity.Pressure), p("volume", quantity.Volume)}, gives: energy, run: func(c *call) (any, error) {
			v, err := gas.Stored(c.num(0), c.num(1), gas.Air)
			return c.shown(v, err, "stored energy", "P_gauge·V/(1.4 − 1)", "Brode 1959, J. Appl. Phys. 26:766 (from memory)", "J")
		}}}},
	{name: "water_boils", group: underPressure, help: "the absolute pressure below which water of a temperature from 0 to 60 C boils: bubbles that never end there may be water", example: "water_boils(21 C)", source: "Magnus form, WMO-No. 8", caution: "vacuum",
		forms: []form{{params: []param{p("temp", quantity.Temp)}, gives: of(quantity.Pressure), run: func(c *call) (any, error) {
			v, err := gas.WaterBoils(c.num(0))
			return c.shown(v, err, "water boils below", "0.6112·e^(17.62T/(243.12 + T)) kPa", "Magnus form, WMO-No. 8", "kPa")
		}}}},
	{name: "water_boils_at", group: underPressure, help: "the temperature at which water boils under an absolute pressure", example: "water_boils_at(3.1 kPa)", source: "Magnus form, WMO-No. 8", caution: "vacuum",
		forms: []form{{params: []param{p("absolute", quantity.Pressure)}, gives: of(quantity.Temp), run: func(c *call) (any, error) {
			v, err := gas.WaterBoilsAt(c.num(0))
			return c.shown(v, err, "water boils at", "P = 0.6112·e^(17.62T/(243.12 + T)) kPa, turned round", "Magnus form, WMO-No. 8", "°C")
		}}}},
}
