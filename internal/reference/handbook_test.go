package reference

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/fit"
	"github.com/pourwright/pourwright/internal/gas"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
)

// handbookForms are the other sums of the trade: pressure and vacuum, shrinkage,
// hardness, equivalents, and what a published limit is in another unit.
var handbookForms = join(pressureForms, vacuumForms, shrinkForms, hardnessForms, chemistryForms)

func join(parts ...map[string]computes) map[string]computes {
	all := map[string]computes{}
	for _, part := range parts {
		for form, f := range part {
			if all[form] != nil {
				panic("form known twice: " + form)
			}
			all[form] = f
		}
	}
	return all
}

// in gives one number in the unit that is expected, times a factor.
func in(unit string, times float64, f func(entry) (float64, error)) computes {
	return func(e entry) (any, error) {
		v, err := f(e)
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{unit: v * times})
	}
}

// bubble gives what is left of a bubble, in volume and in width.
func bubble(gauge, air func(entry) float64) computes {
	return func(e entry) (any, error) {
		v, err := gas.BubbleVolume(gauge(e), air(e))
		if err != nil {
			return nil, err
		}
		d, err := gas.BubbleSize(gauge(e), air(e))
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"% of bubble volume left": 100 * v, "diameter factor": d})
	}
}

func psi(e entry) float64 { return quantity.PSI.Base(e.num("gauge_psi")) }

func bar(e entry) float64 { return quantity.Bar.Base(e.num("gauge_bar")) }

func given(name string) func(entry) float64 {
	return func(e entry) float64 { return e.num(name) }
}

// aloft is the air at the altitude of an entry; one past what is reckoned with
// shows as a pressure that is none.
func aloft(e entry) float64 {
	p, err := gas.AirPressure(e.num("altitude_m"))
	if err != nil {
		return 0
	}
	return p
}

var pressureForms = map[string]computes{
	"altitude pressure: altitude_m": in("kPa", 1, func(e entry) (float64, error) { return gas.AirPressure(e.num("altitude_m")) }),
	"altitude pressure: geopotential_altitude_m": in("Pa", 1000, func(e entry) (float64, error) {
		return gas.AirPressure(e.num("geopotential_altitude_m"))
	}),
	"pressure casting: altitude_m gauge_psi": bubble(psi, aloft),
	"pressure casting: atm_kpa gauge_bar":    bubble(bar, given("atm_kpa")),
	"pressure casting: atm_kpa gauge_psi":    bubble(psi, given("atm_kpa")),
	"pressure casting: gamma gauge_psi volume_l": in("kJ", 0.001, func(e entry) (float64, error) {
		return gas.Stored(psi(e), 1000*e.num("volume_l"), e.num("gamma"))
	}),
	"pressure casting: gauge_psi pot_d_mm": in("kN", 0.001, func(e entry) (float64, error) {
		return gas.LidForce(psi(e), e.num("pot_d_mm"))
	}),
	// Who takes the gauge for absolute sees the bubble of a pressure that is
	// lower by the air's.
	"pressure casting: gauge_psi mistake": func(e entry) (any, error) {
		if m := e.text("mistake"); m != "gauge used as absolute" {
			return nil, errUnsaid
		}
		right, err := gas.BubbleVolume(psi(e), gas.SeaLevel)
		if err != nil {
			return nil, err
		}
		gauge, err := gas.Gauge(psi(e), gas.SeaLevel)
		if err != nil {
			return nil, err
		}
		wrong, err := gas.BubbleVolume(gauge, gas.SeaLevel)
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"volume overestimate factor": wrong / right})
	},
}

var vacuumForms = map[string]computes{
	"vacuum: abs_kpa d_mm": in("mm", 1, func(e entry) (float64, error) {
		return gas.BubbleUnder(e.num("d_mm"), e.num("abs_kpa"), gas.SeaLevel)
	}),
	"vacuum: abs_kpa entrained_air_pct": in("volume factor", 1, func(e entry) (float64, error) {
		return gas.FoamRise(e.num("entrained_air_pct")/100, e.num("abs_kpa"), gas.SeaLevel)
	}),
	"vacuum: abs_kpa lid_d_mm": in("kN", 0.001, func(e entry) (float64, error) {
		return gas.VacuumLidForce(e.num("abs_kpa"), e.num("lid_d_mm"))
	}),
	// The best a gauge can show is that nothing is left.
	"vacuum: altitude_m": func(e entry) (any, error) {
		v, err := gas.VacuumGauge(0, aloft(e))
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"inHg": quantity.InchOfMercury.From(v)})
	},
	"vacuum: atm_inhg vacuum_gauge_inhg": in("kPa absolute", 1, func(e entry) (float64, error) {
		return gas.Under(quantity.InchOfMercury.Base(e.num("vacuum_gauge_inhg")), quantity.InchOfMercury.Base(e.num("atm_inhg")))
	}),
	"vacuum: material": ours(gas.CupLeast, gas.CupMost),
	"vacuum: temp_c": func(e entry) (any, error) {
		p, err := gas.WaterBoils(e.num("temp_c"))
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"inHg absolute": quantity.InchOfMercury.From(p), "kPa absolute": p})
	},
}

var shrinkForms = map[string]computes{
	"shrinkage: linear_shrink_pct": func(e entry) (any, error) {
		s := e.num("linear_shrink_pct") / 100
		v, err := fit.VolumeOf(s)
		if err != nil {
			return nil, err
		}
		k, err := fit.Oversize(s)
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"%": 100 * v, "factor": k})
	},
	"shrinkage: volume_shrink_pct": in("%", 100, func(e entry) (float64, error) { return fit.LinearOf(e.num("volume_shrink_pct") / 100) }),
	"shrinkage: mold_linear_pct resin_linear_pct": in("factor", 1, func(e entry) (float64, error) {
		return fit.Oversize(e.num("mold_linear_pct")/100, e.num("resin_linear_pct")/100)
	}),
	"shrinkage: master_mm mold_linear_pct resin_linear_pct": in("mm", 1, func(e entry) (float64, error) {
		return fit.Size(e.num("master_mm"), e.num("mold_linear_pct")/100, e.num("resin_linear_pct")/100)
	}),
	"shrinkage: cured_g_ml liquid_g_ml": in("% by volume", 100, func(e entry) (float64, error) {
		return fit.FromDensities(e.num("liquid_g_ml"), e.num("cured_g_ml"))
	}),
	"shrinkage: cte_per_k delta_t_k": in("% linear", 100, func(e entry) (float64, error) {
		return fit.Expansion(1, e.num("cte_per_k"), e.num("delta_t_k"))
	}),
	"shrinkage: cte_per_k delta_t_k length_mm": in("mm", 1, func(e entry) (float64, error) {
		return fit.Expansion(e.num("length_mm"), e.num("cte_per_k"), e.num("delta_t_k"))
	}),
}

var hardnessForms = map[string]computes{
	// There is no conversion where what is told is a band, and none at all away
	// from where the scales meet.
	"hardness: from to": func(e entry) (any, error) {
		var from, to string
		if _, err := fmt.Sscanf(e.text("from")+" "+e.text("to"), "Shore %s Shore %s", &from, &to); err != nil {
			return nil, fmt.Errorf("read the scales: %w", err)
		}
		if from+to != "AD" {
			return nil, errUnsaid
		}
		r, err := material.ShoreOverlap(material.Hardness{Shore: 90, Scale: from}, to)
		if err != nil {
			return nil, err
		}
		if _, err := material.ShoreOverlap(material.Hardness{Shore: 50, Scale: from}, to); err == nil || r.High-r.Low < 5 {
			return nil, fmt.Errorf("a conversion is told: %v", r)
		}
		return "no exact conversion; show both only as an overlap band", nil
	},
	"hardness: scale use": says("scale", map[string]computes{"Shore A": ours(material.ShoreUsual.Low, material.ShoreUsual.High)}),
	"hardness: shore_a": func(e entry) (any, error) {
		a := material.Hardness{Shore: e.num("shore_a"), Scale: "A"}
		switch e.Expect.Unit {
		case "Shore D":
			r, err := material.ShoreOverlap(a, "D")
			return band{r.Low, r.High}, err
		case "N":
			return asNumber(material.ShoreForce(a))
		case "MPa Young's modulus":
			r, err := material.Modulus(a.Shore)
			return r.Mid / 1000, err
		}
		return nil, fmt.Errorf("no result in %q", e.Expect.Unit)
	},
	"hardness: shore_d": in("N", 1, func(e entry) (float64, error) {
		return material.ShoreForce(material.Hardness{Shore: e.num("shore_d"), Scale: "D"})
	}),
	"hardness: shore_reading": in("mm penetration", 1, func(e entry) (float64, error) { return material.ShoreDepth(e.num("shore_reading")) }),
	"hardness: test":          says("test", map[string]computes{"Shore A or D": ours(material.ShoreLeast, material.ShoreLeast)}),
}

func asNumber(v float64, err error) (any, error) { return v, err }

var chemistryForms = map[string]computes{
	"stoichiometry: oh_number": in("g/eq", 1, func(e entry) (float64, error) { return mix.PolyolEquivalent(e.num("oh_number")) }),
	"stoichiometry: pct_nco":   in("g/eq", 1, func(e entry) (float64, error) { return mix.IsocyanateEquivalent(e.num("pct_nco") / 100) }),
	"stoichiometry: index oh_number pct_nco polyol_g": in("g isocyanate", 1, func(e entry) (float64, error) {
		return mix.IsocyanateFor(e.num("polyol_g"), e.num("oh_number"), e.num("pct_nco")/100, e.num("index"))
	}),
	"stoichiometry: amine_hew eew": in("phr", 1, func(e entry) (float64, error) { return mix.AminePHR(e.num("amine_hew"), e.num("eew")) }),
	"public limit: molar_mass_g molar_volume_l ppm": in("mg/m3", 1, func(e entry) (float64, error) {
		return gas.MilligramsPerCubicMeter(e.num("ppm"), e.num("molar_mass_g"), e.num("molar_volume_l"))
	}),
}
