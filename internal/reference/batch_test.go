package reference

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
)

// batchForms are the scale, the cup and the price of a batch.
var batchForms = map[string]computes{
	"scale resolution: part_b_g scale_step_g": func(e entry) (any, error) {
		return e.pick(map[string]float64{"%": 100 * mix.ScaleError(e.num("part_b_g"), e.num("scale_step_g"))})
	},
	"scale resolution: ratio_weight scale_step_g tolerance_pct": func(e entry) (any, error) {
		return e.pick(map[string]float64{"g total": mix.MinBatch(ratioOf(e), e.num("scale_step_g"), e.num("tolerance_pct")/100)})
	},
	"waste: batch_ml_from batch_ml_to": func(e entry) (any, error) {
		from, to := e.num("batch_ml_from"), e.num("batch_ml_to")
		at := mix.WasteBand((from + to) / 2)
		if at != mix.WasteBand(from+1e-6) {
			return nil, fmt.Errorf("the band changes between %v and %v mL", from, to)
		}
		return band{100 * at.Low, 100 * at.High}, nil
	},
	"waste: cavity_ml cup_loss_ml": func(e entry) (any, error) {
		w := e.num("cup_loss_ml") / e.num("cavity_ml")
		b, err := mix.New(mix.Want{
			Profile: material.Profile{Name: "reference", Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume}},
			Volume:  e.num("cavity_ml"), Waste: &w,
		})
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"factor": b.VolumeTotal / e.num("cavity_ml")})
	},
	"waste: cup_d_mm film_mm wet_height_mm": func(e entry) (any, error) {
		return e.pick(map[string]float64{"mL": mix.CupFilm(e.num("cup_d_mm"), e.num("wet_height_mm"), e.num("film_mm"))})
	},
	"planning: mix_s pot_life_s pour_s_per_mold reserve_s": func(e entry) (any, error) {
		n := mix.FillsPerCup(e.num("pot_life_s"), mix.Pace{Mix: e.num("mix_s"), Pour: e.num("pour_s_per_mold"), Reserve: e.num("reserve_s")})
		return e.pick(map[string]float64{"molds per cup": float64(n)})
	},
}

// fillerForms are fillers; the grain's density takes the room.
var fillerForms = map[string]computes{
	"filler: filler_density filler_phr resin_density resin_g": func(e entry) (any, error) {
		f, rho, g := fillerOf(e), e.num("resin_density"), e.num("resin_g")
		return e.pick(map[string]float64{"mL": g * (1 + f.PHR/100) / f.Mixed(rho), "g/mL": f.Mixed(rho)})
	},
	"filler: cavity_ml filler_density filler_phr resin_density": func(e entry) (any, error) {
		return e.pick(map[string]float64{"g resin": fillerOf(e).Resin(e.num("cavity_ml"), e.num("resin_density"))})
	},
	"filler: filler_density filler_phr resin_density": func(e entry) (any, error) {
		return e.pick(map[string]float64{"vol-%": 100 * fillerOf(e).Share(e.num("resin_density"))})
	},
	"filler: bulk_powder_density ratio_volume resin_density": func(e entry) (any, error) {
		r := e.list("ratio_volume")
		return e.pick(map[string]float64{"phr": mix.PHRByVolume(r[0], r[1], e.num("bulk_powder_density"), e.num("resin_density"))})
	},
	"filler: packing": func(e entry) (any, error) {
		// What is refused must lie below what packs at all.
		if mix.PackingLimit > *e.Expect.Max || mix.PourableLimit >= mix.PackingLimit {
			return nil, fmt.Errorf("loads up to %v are taken", mix.PackingLimit)
		}
		return band{*e.Expect.Min, *e.Expect.Max}, nil
	},
}

func fillerOf(e entry) mix.Filler {
	return mix.Filler{Name: "reference", PHR: e.num("filler_phr"), Density: e.num("filler_density")}
}

// rubberMass is the rubber for a volume, waste included, as a batch of two
// equal parts of the density that the entry gives.
func rubberMass(e entry, volume float64) (any, error) {
	w := e.num("waste")
	b, err := mix.New(mix.Want{
		Profile: material.Profile{Name: "reference", Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByWeight}, DensityMixed: e.num("density_g_ml")},
		Volume:  volume, Waste: &w, Step: fine,
	})
	if err != nil {
		return nil, err
	}
	return e.pick(map[string]float64{"g": b.MassTotal})
}
