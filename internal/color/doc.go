// Package color answers what color a tinted resin will cure to, and how much
// of which tint a wanted color takes.
//
//	cache := color.NewCache(0)
//	base, err := color.NewBase(color.BaseSpec{Kind: color.WhiteBase, Seen: color.Hex(warmWhite)}, cache)
//	red, err := color.NewTint(color.TintSpec{Name: "brick red", Family: color.Colored,
//		Base: base, Swatch: color.Hex(cured), Dose: 0.005, Quality: color.Careful}, cache)
//	p, err := color.Predict(color.Recipe{Base: base, Doses: []color.Dose{{Tint: red, Part: 0.002}}})
//	// p.Hex is what the part is expected to look like
//
// A color that was read off a cured swatch becomes a smooth reflectance curve
// of 36 bands; behind its gloss (Saunderson) it is a layer that absorbs K and
// scatters S per millimeter (Kubelka and Munk). A tint is what a dose of it
// added to its base's K and S, so that any dose in any base can be put together
// again and looked at.
//
// Doses are mass fractions of the whole mix, A, B, filler and tints: 0.01 is
// 1 %. K and S are in 1/mm, walls in mm, reflectances 0 to 1, wavelengths 380 to
// 730 nm in steps of 10. Colors are those under daylight D65 for the CIE 1931 2°
// observer, gloss left out.
//
// The model has no word for flakes, interference, fluorescence or afterglow,
// and such tints are refused. It knows one curve per color read, which is a
// guess (other light may disagree), takes colored tints as not scattering, and
// leaves out matte skins, settling and yellowing. Who owns a tint (package
// shop), pictures (package plot) and how A and B are weighed (package mix) are
// left to others.
package color
