package reference

import (
	"fmt"
	"math"

	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// airForms are water in the air.
var airForms = map[string]computes{
	"dew point: temp_c": func(e entry) (any, error) {
		return e.pick(map[string]float64{"hPa": cure.SaturationPressure(e.num("temp_c"))})
	},
	"dew point: air_c rh_pct": func(e entry) (any, error) {
		air, humidity := e.num("air_c"), e.num("rh_pct")/100
		return e.pick(map[string]float64{"degC": cure.DewPoint(air, humidity), "g/m3": cure.WaterInAir(air, humidity)})
	},
	"dew point: air_f rh_pct": func(e entry) (any, error) {
		dew := cure.DewPoint(quantity.Fahrenheit.Base(e.num("air_f")), e.num("rh_pct")/100)
		return e.pick(map[string]float64{"degF": quantity.Fahrenheit.From(dew)})
	},
	"dew point: air_c jug_c rh_pct time_constant_h": func(e entry) (any, error) {
		return e.pick(map[string]float64{"h": cure.WarmPastDew(e.num("jug_c"), e.num("air_c"), e.num("rh_pct")/100, e.num("time_constant_h"))})
	},
}

// waterForms are what water does to an isocyanate.
var waterForms = map[string]computes{
	"moisture: pct_nco water_g": func(e entry) (any, error) {
		return e.pick(map[string]float64{"g isocyanate": cure.EatenByWater(e.num("water_g"), e.num("pct_nco"))})
	},
	"moisture: pressure_kpa temp_c water_g": func(e entry) (any, error) {
		return e.pick(map[string]float64{"mL CO2": cure.GasFromWater(e.num("water_g"), e.num("temp_c"), e.num("pressure_kpa"))})
	},
	"moisture: temp_c water_drop_ml": func(e entry) (any, error) {
		const seaLevel = 101.325                                                                                          // kPa
		return e.pick(map[string]float64{"mL CO2": cure.GasFromWater(e.num("water_drop_ml"), e.num("temp_c"), seaLevel)}) // 1 g/mL
	},
}

// heatForms are what temperature and mass do to a cure.
var heatForms = map[string]computes{
	"exotherm: alpha_m2_s both_faces_cooled thickness_mm": func(e entry) (any, error) {
		if e.Input["both_faces_cooled"] != true {
			return nil, fmt.Errorf("only a slab cooled on both faces is known")
		}
		return e.pick(map[string]float64{"s": cure.CoolingTime(e.num("thickness_mm"), e.num("alpha_m2_s"))})
	},
	"exotherm: thickness_factor": func(e entry) (any, error) {
		const mm, alpha = 10, 1.1e-7
		return e.pick(map[string]float64{"time factor": cure.CoolingTime(e.num("thickness_factor")*mm, alpha) / cure.CoolingTime(mm, alpha)})
	},
	"exotherm: amine_hew cp_j_gk eew heat_kj_per_eq": func(e entry) (any, error) {
		heat := cure.HeatOfMix(e.num("heat_kj_per_eq"), e.num("eew"), e.num("amine_hew"))
		return e.pick(map[string]float64{"K": cure.AdiabaticRise(heat, 1000*e.num("cp_j_gk"))})
	},
	"exotherm: cp_j_gk eqw_iso eqw_polyol heat_kj_per_eq": func(e entry) (any, error) {
		heat := cure.HeatOfMix(e.num("heat_kj_per_eq"), e.num("eqw_iso"), e.num("eqw_polyol"))
		return e.pick(map[string]float64{"K": cure.AdiabaticRise(heat, 1000*e.num("cp_j_gk"))})
	},
	"exotherm: rule": says("rule", map[string]computes{
		"same resin, 10x the mass in one cup": func(entry) (any, error) { return massFactor(10) },
	}),
	"temperature effect: ea_kj_mol from_c to_c": func(e entry) (any, error) {
		return e.pick(map[string]float64{"rate factor": 1 / cure.TimeFactor(1000*e.num("ea_kj_mol"), e.num("to_c"), e.num("from_c"))})
	},
	"temperature effect: factor from_c to_c": func(e entry) (any, error) {
		return e.pick(map[string]float64{"kJ/mol": cure.ActivationEnergy(e.num("factor"), e.num("from_c"), e.num("to_c")) / 1000})
	},
	"temperature effect: at_c demold_min ea_kj_mol to_c": func(e entry) (any, error) {
		return e.pick(map[string]float64{"min": e.num("demold_min") * cure.TimeFactor(1000*e.num("ea_kj_mol"), e.num("to_c"), e.num("at_c"))})
	},
	"temperature effect: at_c pot_life_min q10 to_c": func(e entry) (any, error) {
		return e.pick(map[string]float64{"min": cure.ScaledTime(e.num("pot_life_min"), e.num("q10"), e.num("at_c"), e.num("to_c"))})
	},
	"temperature effect: at_f pot_life_min q10 to_f": func(e entry) (any, error) {
		at, to := quantity.Fahrenheit.Base(e.num("at_f")), quantity.Fahrenheit.Base(e.num("to_f"))
		return e.pick(map[string]float64{"min": cure.ScaledTime(e.num("pot_life_min"), e.num("q10"), at, to)})
	},
}

// rigid is a resin of the usual kind, for what is common practice.
func rigid(potLife, demold float64) material.Profile {
	at := 23.0
	return material.Profile{Name: "reference", Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume},
		DensityA: 1.10, DensityB: 1.02, PotLife: potLife, PotLifeMass: 100, PotLifeTemp: &at, Demold: demold, DemoldSection: 6}
}

func modelOf(p material.Profile) (*cure.Model, error) {
	r, _, err := cure.FromProfile(p)
	if err != nil {
		return nil, err
	}
	return cure.Calibrate(r, 2, nil)
}

// massFactor is the pot life of a slow cup over that of one a factor lighter.
// A fast one has no time to lose heat, and its mass counts for little.
func massFactor(times float64) (any, error) {
	m, err := modelOf(rigid(25*60, 0))
	if err != nil {
		return nil, err
	}
	small, err := m.Cup(cure.Cup{Mass: 20, Room: 23}, 2, nil)
	if err != nil {
		return nil, err
	}
	large, err := m.Cup(cure.Cup{Mass: 20 * times, Room: 23}, 2, nil)
	if err != nil {
		return nil, err
	}
	return large.PotLife.Mid / small.PotLife.Mid, nil
}

// rigidDemold is the spread of demold times over the sections that the entry
// names, in min.
func rigidDemold(entry) (any, error) {
	m, err := modelOf(rigid(3*60, 12*60))
	if err != nil {
		return nil, err
	}
	low, high := math.Inf(1), 0.0
	for _, mm := range []float64{3, 6, 12, 25} {
		res, err := m.Estimate(cure.Setup{Thickest: mm, Room: 22}, cure.Learned{}, 2, nil)
		if err != nil {
			return nil, err
		}
		low, high = min(low, res.Demold.Mid/60), max(high, res.Demold.Mid/60)
	}
	return band{low, high}, nil
}
