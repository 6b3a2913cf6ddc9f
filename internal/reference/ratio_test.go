package reference

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
)

// ratioOf reads ratio_weight or ratio_volume.
func ratioOf(e entry) quantity.Ratio {
	if _, ok := e.Input["ratio_volume"]; ok {
		r := e.list("ratio_volume")
		return quantity.Ratio{A: r[0], B: r[1], By: quantity.ByVolume}
	}
	r := e.list("ratio_weight")
	return quantity.Ratio{A: r[0], B: r[1], By: quantity.ByWeight}
}

// profileOf is the material of an entry, with the densities it gives.
func profileOf(e entry) material.Profile {
	p := material.Profile{Name: "reference", Family: material.Other, Ratio: ratioOf(e), PotLife: 3600}
	if v, ok := e.Input["density_a_g_ml"]; ok {
		p.DensityA, p.DensityB = v.(float64), e.num("density_b_g_ml")
	}
	return p
}

func gram(v float64) quantity.Quantity {
	return quantity.Quantity{Value: v, Dim: quantity.Mass, Unit: quantity.Gram}
}

// fine is a scale step that rounding does not show at.
const fine = 0.001

// ratioForms are ratios, what was poured, and what is left.
var ratioForms = map[string]computes{
	"ratio conversion: density_a_g_ml density_b_g_ml ratio_volume": convert,
	"ratio conversion: density_a_g_ml density_b_g_ml ratio_weight": convert,
	"ratio error: density_a_g_ml density_b_g_ml ratio_volume weighed_as": func(e entry) (any, error) {
		p, as := profileOf(e), e.list("weighed_as")
		got, err := mix.Judge(p, gram(as[0]), gram(as[1]))
		if err != nil {
			return nil, err
		}
		if !got.Trap {
			return nil, fmt.Errorf("the wrong basis was not noticed: %+v", got)
		}
		return e.pick(map[string]float64{"% B excess": 100 * got.Off, "% hardener excess": 100 * got.Off})
	},
	"off ratio: poured_a_g poured_b_g ratio_weight": func(e entry) (any, error) {
		got, err := mix.Judge(profileOf(e), gram(e.num("poured_a_g")), gram(e.num("poured_b_g")))
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"% B excess": 100 * got.Off, "% A excess": 100 * (1/(1+got.Off) - 1)})
	},
	"ratio rescue: poured_a_g poured_b_g ratio_weight": func(e entry) (any, error) {
		got, err := mix.Rescue(mix.RescueWant{Profile: profileOf(e), A: gram(e.num("poured_a_g")), B: gram(e.num("poured_b_g")), Step: fine})
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"g B": got.AddB, "g A": got.AddA})
	},
	"ratio split: a_left_g b_left_g ratio_weight": func(e entry) (any, error) {
		got, err := mix.LargestBatch(profileOf(e), gram(e.num("a_left_g")), gram(e.num("b_left_g")), fine)
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"g total": got.MassTotal, "g A": got.A, "g B": got.B, "g A left": got.LeftA, "g B left": got.LeftB})
	},
	"ratio split: density_a_g_ml density_b_g_ml ratio_volume total_ml": func(e entry) (any, error) {
		none := 0.0
		return batchGrams(e, mix.Want{Profile: profileOf(e), Volume: e.num("total_ml"), Waste: &none, Step: fine})
	},
	"ratio split: ratio_weight total_g": func(e entry) (any, error) {
		if parts := e.list("ratio_weight"); len(parts) != 2 {
			s := mix.Shares(e.num("total_g"), parts...)
			by := map[string]float64{}
			for i, v := range s {
				by["g "+string(rune('A'+i))] = v
			}
			return e.pick(by)
		}
		// The scale rounds; the tolerance of these values does not.
		p := profileOf(e)
		if _, err := mix.New(mix.Want{Profile: p, Mass: e.num("total_g"), Step: fine}); err != nil {
			return nil, err
		}
		s := mix.Shares(e.num("total_g"), p.Ratio.A, p.Ratio.B)
		return e.pick(map[string]float64{"g A": s[0], "g B": s[1]})
	},
	"mixed density: density_a_g_ml density_b_g_ml ratio_volume": mixedDensity,
	"mixed density: density_a_g_ml density_b_g_ml ratio_weight": mixedDensity,
	// A catalyst is a ratio by weight; what a weighed base takes is the
	// largest batch that it makes with catalyst to spare.
	"catalyst: base_g catalyst_pct": func(e entry) (any, error) {
		return catalyst(e, quantity.Ratio{A: 100, B: e.num("catalyst_pct"), By: quantity.ByWeight})
	},
	"catalyst: base_g ratio_weight": func(e entry) (any, error) { return catalyst(e, ratioOf(e)) },
}

func convert(e entry) (any, error) {
	c, err := mix.Convert(ratioOf(e), e.num("density_a_g_ml"), e.num("density_b_g_ml"))
	if err != nil {
		return nil, err
	}
	return e.pick(map[string]float64{"g B per 100 g A": 100 * c.Weight, "mL B per 100 mL A": 100 * c.Volume})
}

func mixedDensity(e entry) (any, error) {
	d, ok := profileOf(e).Mixed()
	if !ok {
		return nil, fmt.Errorf("no density")
	}
	return e.pick(map[string]float64{"g/mL": d.Value})
}

func catalyst(e entry, r quantity.Ratio) (any, error) {
	p := material.Profile{Name: "reference", Ratio: r}
	got, err := mix.LargestBatch(p, gram(e.num("base_g")), gram(1e5), fine)
	if err != nil {
		return nil, err
	}
	return e.pick(map[string]float64{"g catalyst": got.B})
}

func batchGrams(e entry, w mix.Want) (any, error) {
	b, err := mix.New(w)
	if err != nil {
		return nil, err
	}
	return e.pick(map[string]float64{"g A": b.MassA, "g B": b.MassB, "g total": b.MassTotal})
}
