package transfer

import (
	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// tintColumns are those of a tint. Its base is a material's name: ids mean
// nothing elsewhere.
func tintColumns() []column[shop.TintProfile] {
	type p = shop.TintProfile
	return []column[p]{
		words("name", maxName, false, "what you call it", func(t *p) *string { return &t.Name }),
		parsed("family", "colored, white, masstone, metallic, pearl, fluorescent or glow", func(t *p) string { return t.Family },
			func(t *p, text string) error {
				f, err := color.ParseFamily(text)
				t.Family = string(f)
				return err
			}),
		words("base", maxName, false, "name of the material that the swatch was cast in", func(t *p) *string { return &t.BaseName }),
		words("base_color", 40, false, "what that cured to: hex, clear or amber", func(t *p) *string { return &t.BaseColor }),
		amount("dose", quantity.One, "tint in the swatch, as a fraction of the mix: 0.005 is 0.5 %", func(t *p) *float64 { return &t.Dose }).named("dose_fraction"),
		parsed("swatch", "color of the cured swatch, such as #C9837F", func(t *p) string { return t.Swatch },
			func(t *p, text string) error {
				code, err := color.ParseHex(text)
				if err == nil {
					t.Swatch = code.String()
				}
				return err
			}),
		parsed("quality", "how it was read: instrument, careful, phone or poor", func(t *p) string { return t.Quality },
			func(t *p, text string) error {
				q, err := color.ParseQuality(text)
				t.Quality = string(q)
				return err
			}),
		amount("wall", quantity.Millimeter, "thickness of the swatch, if light passes it", func(t *p) *float64 { return &t.Wall }),
		amount("weight_of_20", quantity.Gram, "what twenty drops weigh", func(t *p) *float64 { return &t.WeightOf20 }),
	}
}

// checkTint gives what keeps a tint from being kept; more is for who knows the
// shelf.
func (d *Desk) checkTint(t *shop.TintProfile) []error {
	c := checker{}
	c.must("name", t.Name, "give the name that you call it by")
	c.must("family", t.Family, "give colored for most")
	c.within("wall", t.Wall, 0.05, 500, false, "give it in mm, such as 6")
	if t.Dose != 0 {
		c.also("dose", color.CheckDose("dose", t.Dose))
	}
	if t.WeightOf20 != 0 {
		_, err := color.DropMass(t.WeightOf20)
		c.also("weight_of_20", err)
	}
	if t.Swatch != "" && t.Quality == "" {
		c.refuse(fault.MissingOption, "quality", "write instrument, careful, phone or poor", "it does not say how the swatch was read")
	}
	if len(c.found) == 0 && d.checks.Tint != nil {
		c.also("swatch", d.checks.Tint(*t))
	}
	return c.found
}
