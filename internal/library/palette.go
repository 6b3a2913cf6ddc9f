package library

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Base is a material as light meets it once cured, with a note where a usual
// color was taken for a word. Errors, in that option: missing_option where the
// profile does not say what it cures to, bad_color for a word without a color.
func (l *Library) Base(m shop.Material, option string) (*color.Base, []string, error) {
	if m.CuredColor == "" {
		return nil, nil, fault.New(fault.MissingOption, "what color %s cures to is not in its profile", m.Name).In(option).
			Hint(`read it off a cured, untinted piece: /material edit material:%q cured_color:"#F2EFE6"; clear and amber are words for it too`, m.Name)
	}
	base, notes, err := l.base(m.Name, m.CuredColor)
	return base, notes, inOption(err, option)
}

func (l *Library) base(name, cured string) (*color.Base, []string, error) {
	spec, assumed, err := color.ReadCured(cured)
	if err != nil {
		return nil, nil, err
	}
	spec.Name = name
	var notes []string
	if assumed {
		notes = append(notes, fmt.Sprintf("%s: a usual %s was taken for its color. A code read off a cured piece makes this surer (/material edit, cured_color).", name, cured))
	}
	base, err := color.NewBase(spec, l.curves)
	return base, notes, err
}

// Color works out what a tint does from its swatch. Errors, in that option:
// unsupported_colorant, and those of a swatch that says too little.
func (l *Library) Color(t shop.Tint, option string) (*color.Tint, error) {
	spec, err := l.swatch(t.TintProfile)
	if err != nil {
		return nil, inOption(err, option)
	}
	tint, err := color.NewTint(spec, l.curves)
	return tint, inOption(err, option)
}

// swatch turns what is kept of a tint into what package color asks for.
func (l *Library) swatch(p shop.TintProfile) (color.TintSpec, error) {
	spec := color.TintSpec{
		Name: p.Name, Family: color.Family(p.Family), Dose: p.Dose, Quality: color.Quality(p.Quality),
		Wall: color.Wall{MM: p.Wall, Backing: color.WhiteBacking},
	}
	if p.Wall == 0 {
		spec.Wall.Backing = color.NoBacking
	}
	if p.Swatch != "" {
		code, err := color.ParseHex(p.Swatch)
		if err != nil {
			return spec, err
		}
		spec.Swatch = color.Hex(code)
	}
	if p.BaseColor == "" {
		return spec, nil
	}
	base, _, err := l.base(p.BaseName, p.BaseColor)
	spec.Base = base
	return spec, err
}

// CheckTint works a tint out before it is kept, so that what can't be
// understood is refused while its owner is there to mend it; one of a family
// that is not computed with passes. Errors: those of Color, in the options of
// /tint add.
func (l *Library) CheckTint(p shop.TintProfile) error {
	if color.Family(p.Family).Refuse() != nil {
		return nil
	}
	_, err := l.Color(shop.Tint{TintProfile: p}, "")
	return err
}

// Mix looks up the base and each tint and gives the recipe that they make.
// notes tell what was assumed. Errors: those of Base and Color in those options.
func (l *Library) Mix(m shop.Material, asks []TintAsk, doses []float64, wall color.Wall, baseOption, tintOption string) (color.Recipe, []string, error) {
	base, notes, err := l.Base(m, baseOption)
	if err != nil {
		return color.Recipe{}, nil, err
	}
	r := color.Recipe{Base: base, Wall: wall, MaxLoad: m.MaxTint}
	for i, a := range asks {
		tint, err := l.Color(a.Tint, tintOption)
		if err != nil {
			return color.Recipe{}, nil, err
		}
		r.Doses = append(r.Doses, color.Dose{Tint: tint, Part: doses[i]})
		notes = append(notes, otherBase(a.Tint, m, base.Kind)...)
	}
	return r, notes, nil
}

// otherBase warns of a swatch that was cast in another material, where package
// color does not already: that sees the kind of base only.
func otherBase(t shop.Tint, m shop.Material, kind color.BaseKind) []string {
	if t.BaseName == "" || t.Base == m.ID || t.BaseColor == m.CuredColor {
		return nil
	}
	if cast, _, err := color.ReadCured(t.BaseColor); err != nil || cast.Kind != kind {
		return nil
	}
	return []string{fmt.Sprintf("%s was read in %s, not in %s: cast a test before the real part.", Capital(t.Name), t.BaseName, m.Name)}
}
