package reference

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/color"
)

// colorKinds are the sections and kinds that internal/color checks.
var colorKinds = map[string]map[string]string{
	"color.json": inColor("chart24", "cie", "ciede2000", "constants", "demo", "finite_layer", "forward", "inverse", "km_closed_form",
		"library_comparison", "reflectance_from_hex", "saunderson", "self_checks_of_reference", "srgb_lab", "weighing"),
	"measured.json": inColor("drop_mass", "drop_mass_liquid", "drop_mass_tip", "error_floor"),
}

func inColor(forms ...string) map[string]string {
	known := map[string]string{}
	for _, form := range forms {
		known[form] = "internal/color"
	}
	return known
}

// tintForms are the shares, drops and ratio effect of a tint.
var tintForms = map[string]computes{
	"pigment: pigment_pct_of_b ratio_weight": func(e entry) (any, error) {
		r := ratioOf(e)
		return e.pick(map[string]float64{"% of total mix": 100 * color.DoseOfSide(e.num("pigment_pct_of_b")/100, r.B/(r.A+r.B))})
	},
	"pigment: a_g b_g pigment_g": func(e entry) (any, error) {
		return e.pick(map[string]float64{"% of total mix": 100 * color.DoseOf(e.num("pigment_g"), e.num("a_g")+e.num("b_g"))})
	},
	"pigment: a_g pigment_pct_of_b ratio_weight": func(e entry) (any, error) {
		r := ratioOf(e)
		return e.pick(map[string]float64{"g tinted B": color.PourTinted(e.num("a_g")*r.B/r.A, e.num("pigment_pct_of_b")/100)})
	},
	"pigment: a_g pigment_pct_of_b ratio_weight tinted_b_g": func(e entry) (any, error) {
		r := ratioOf(e)
		short := (1+color.TintedShort(e.num("pigment_pct_of_b")/100))*e.num("tinted_b_g")/(e.num("a_g")*r.B/r.A) - 1
		return e.pick(map[string]float64{"% B off ratio": 100 * short})
	},
	"pigment: mass_of_20_drops_g": func(e entry) (any, error) {
		drop, err := color.DropMass(e.num("mass_of_20_drops_g"))
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"g/drop": drop})
	},
	"pigment: dose_pct drop_g mix_g": func(e entry) (any, error) {
		n := color.Drops(e.num("mix_g"), e.num("dose_pct")/100, e.num("drop_g"))
		if !(n > 0) {
			return nil, fmt.Errorf("%v drops", n)
		}
		return e.pick(map[string]float64{"drops": n})
	},
}
