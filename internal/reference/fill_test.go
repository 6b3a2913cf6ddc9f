package reference

import (
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/shape"
)

// atof reads a number that a pattern has found; a bad one panics in its entry.
func atof(text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(err)
	}
	return v
}

// fillForms are what was filled in or weighed.
var fillForms = map[string]computes{
	"water density: temp_c": func(e entry) (any, error) {
		rho, err := shape.WaterDensity(e.num("temp_c"))
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"kg/m3": 1000 * rho})
	},
	"fill displacement: filler mass_g temp_c": func(e entry) (any, error) {
		f, err := shape.FillWant{With: e.text("filler"), Mass: e.num("mass_g"), Temp: e.num("temp_c")}.Measure()
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"mL": f.Volume.Mid})
	},
	"fill displacement: filler volume_ml": func(e entry) (any, error) {
		with, _, _ := strings.Cut(e.text("filler"), " ")
		f, err := shape.FillWant{With: with, Volume: e.num("volume_ml")}.Measure()
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"mL": f.Volume.Mid})
	},
	"fill displacement: air_kg_m3 filler mass_g temp_c weights_kg_m3": func(e entry) (any, error) {
		rho, err := shape.WaterDensity(e.num("temp_c"))
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"mL": shape.Buoyant(e.num("mass_g"), rho, e.num("air_kg_m3")/1000, e.num("weights_kg_m3")/1000)})
	},
	"fill displacement: assumed_density_g_ml temp_c": func(e entry) (any, error) {
		const grams = 100.0
		f, err := shape.FillWant{Mass: grams, Temp: e.num("temp_c")}.Measure()
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"%": 100 * (f.Volume.Mid*e.num("assumed_density_g_ml")/grams - 1)})
	},
	"fill displacement: apparent_mass_in_water_g mass_air_g temp_c": func(e entry) (any, error) {
		v, rho, err := shape.Immersed(e.num("mass_air_g"), e.num("apparent_mass_in_water_g"), e.num("temp_c"))
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"mL": v, "g/mL": rho})
	},
	"weight to volume: density_g_ml part_mass_g": func(e entry) (any, error) {
		return e.pick(map[string]float64{"mL": shape.Part(e.num("part_mass_g"), e.num("density_g_ml"))})
	},
	"weight to volume: master_density_g_ml master_mass_g resin_density_g_ml": func(e entry) (any, error) {
		return e.pick(map[string]float64{"g": shape.Swap(e.num("master_mass_g"), e.num("master_density_g_ml"), e.num("resin_density_g_ml"))})
	},
}
