package transfer

import (
	"net/url"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// materialColumns are those of a material, in the order of a bulletin.
func materialColumns() []column[material.Profile] {
	type p = material.Profile
	return []column[p]{
		words("name", material.MaxName, false, "what you call it", func(m *p) *string { return &m.Name }),
		parsed("family", "its chemistry, such as urethane or silicone addition",
			func(m *p) string { return string(m.Family) },
			func(m *p, text string) (err error) { m.Family, err = material.ParseFamily(text); return err }),
		parsed("ratio", "A:B with vol or wt, such as 100:45 wt", func(m *p) string { return ratioText(m.Ratio) },
			func(m *p, text string) (err error) {
				m.Ratio, err = quantity.ParseRatio(text, quantity.RatioWant{})
				return err
			}),
		amount("density_a", quantity.GramPerMilliliter, "density of part A", func(m *p) *float64 { return &m.DensityA }),
		amount("density_b", quantity.GramPerMilliliter, "density of part B", func(m *p) *float64 { return &m.DensityB }),
		amount("density_mixed", quantity.GramPerMilliliter, "density mixed or cured", func(m *p) *float64 { return &m.DensityMixed }),
		amount("pot_life", quantity.Second, "how long it stays pourable", func(m *p) *float64 { return &m.PotLife }),
		amount("pot_life_mass", quantity.Gram, "mass in the cup that it was measured with", func(m *p) *float64 { return &m.PotLifeMass }),
		degrees("pot_life_temp", "temperature that it was measured at", func(m *p) **float64 { return &m.PotLifeTemp }),
		amount("demold", quantity.Second, "earliest safe demold", func(m *p) *float64 { return &m.Demold }),
		amount("demold_section", quantity.Millimeter, "thickness of the demold sample", func(m *p) *float64 { return &m.DemoldSection }),
		amount("full_cure", quantity.Second, "when it has its final properties", func(m *p) *float64 { return &m.FullCure }),
		parsed("hardness", "Shore reading with its scale, such as 74 D", hardnessText, func(m *p, text string) error {
			h, err := material.ParseHardness(text)
			m.Hardness = &h
			return err
		}),
		words("cured_color", 40, false, "hex, clear, or a word", func(m *p) *string { return &m.CuredColor }),
		parsed("tint_side", "A or B: the part that takes colorant", func(m *p) string { return string(m.TintSide) },
			func(m *p, text string) (err error) { m.TintSide, err = material.ParseSide(text); return err }),
		amount("max_tint", quantity.One, "most colorant, as a fraction of the mix: 0.02 is 2 %", func(m *p) *float64 { return &m.MaxTint }).named("max_tint_fraction"),
		degrees("min_temp", "coldest room", func(m *p) **float64 { return &m.MinTemp }),
		degrees("max_temp", "warmest room", func(m *p) **float64 { return &m.MaxTemp }),
		amount("max_depth", quantity.Millimeter, "deepest pour at once", func(m *p) *float64 { return &m.MaxDepth }),
		amount("max_mass", quantity.Gram, "most in one cup", func(m *p) *float64 { return &m.MaxMass }),
		span("shelf_life", "sealed shelf life, such as 12 months", func(m *p) *material.Span { return &m.ShelfLife }),
		span("shelf_opened", "shelf life once opened", func(m *p) *material.Span { return &m.ShelfOpened }),
		amount("price", quantity.One, "price of one pack, in the shop's currency", func(m *p) *float64 { return &m.Price }),
		amount("pack", quantity.Gram, "A and B of one pack together", func(m *p) *float64 { return &m.Pack }),
		amount("pack_a", quantity.Gram, "part A in one pack", func(m *p) *float64 { return &m.PackA }),
		amount("pack_b", quantity.Gram, "part B in one pack", func(m *p) *float64 { return &m.PackB }),
		amount("heat", quantity.One, "heat of reaction in J per g of mix", func(m *p) *float64 { return &m.Heat }).named("heat_j_g"),
		words("notes", material.MaxNotes, true, "anything to remember", func(m *p) *string { return &m.Notes }),
		parsed("link", "where the bulletin is kept", func(m *p) string { return m.Link }, func(m *p, text string) error {
			u, err := url.Parse(text)
			if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" {
				return fault.New(fault.BadQuantity, "%s is no web address", shown(text)).Hint("write it with https://")
			}
			m.Link = text
			return nil
		}),
	}
}

// ratioText writes a ratio as it is typed, with every digit of its sides.
func ratioText(r quantity.Ratio) string {
	if r == (quantity.Ratio{}) {
		return ""
	}
	return numberText(r.A) + ":" + numberText(r.B) + map[quantity.Basis]string{quantity.ByVolume: " vol", quantity.ByWeight: " wt"}[r.By]
}

func hardnessText(m *material.Profile) string {
	if m.Hardness == nil {
		return ""
	}
	return m.Hardness.String()
}

func span(name, doc string, at func(*material.Profile) *material.Span) column[material.Profile] {
	return parsed(name, doc, func(m *material.Profile) string { return at(m).String() },
		func(m *material.Profile, text string) (err error) { *at(m), err = material.ParseSpan(text); return err })
}

// checkMaterial gives what keeps a profile from being kept.
func checkMaterial(p *material.Profile) []error {
	var all []error
	for _, f := range material.Check(*p).Errors {
		all = append(all, f)
	}
	return all
}
