package library

import (
	"context"
	"net/url"
	"strconv"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// MaterialField is a line of a material's profile.
type MaterialField = Field[material.Profile]

type profile = material.Profile

// MaterialFields lists every option of a profile in the order of a bulletin.
func MaterialFields() []MaterialField {
	min30 := 30 * 24 * 3600.0
	return []MaterialField{
		words("name", "what you call it, and its family after a comma", "bench white, urethane", material.MaxName, func(p *profile) *string { return &p.Name }).spread("family").must(),
		familyField(),
		ratioField(),
		measure("pot_life", "how long it stays pourable; with the cup's mass and the temperature after commas", "3 min, 100 g, 23 C",
			quantity.Time, "min", 0, 30*24*3600, func(p *profile) *float64 { return &p.PotLife }).spread("pot_life_mass", "pot_life_temp").must(),
		measure("density_a", "density of part A, g/mL; B after a comma", "1.10, 1.02",
			quantity.Density, "", 0.05, 10, func(p *profile) *float64 { return &p.DensityA }).spread("density_b"),
		measure("density_b", "density of part B, g/mL", "1.02", quantity.Density, "", 0.05, 10, func(p *profile) *float64 { return &p.DensityB }),
		measure("density_mixed", "density mixed or cured, where A and B are not stated", "1.05",
			quantity.Density, "", 0.05, 10, func(p *profile) *float64 { return &p.DensityMixed }),
		measure("pot_life_mass", "mass in the cup the pot life was measured with", "100 g",
			quantity.Mass, "", 1, 1e5, func(p *profile) *float64 { return &p.PotLifeMass }).folded(),
		temperature("pot_life_temp", "temperature the pot life was measured at", "23 C", func(p *profile) **float64 { return &p.PotLifeTemp }).folded(),
		measure("demold", "earliest safe demold; with the thickness of the sample after a comma", "12 min, 6 mm",
			quantity.Time, "min", 1, min30, func(p *profile) *float64 { return &p.Demold }).spread("demold_section"),
		measure("demold_section", "thickness of the bulletin's demold sample", "6 mm",
			quantity.Length, "", 0.1, 500, func(p *profile) *float64 { return &p.DemoldSection }).folded(),
		measure("full_cure", "when it has its final properties", "24 h",
			quantity.Time, "h", 1, 2*min30, func(p *profile) *float64 { return &p.FullCure }),
		hardnessField(),
		words("cured_color", "hex, clear, or a word", "#F2EFE6", 40, func(p *profile) *string { return &p.CuredColor }),
		tintSideField(),
		share("max_tint", "most colorant the bulletin allows, of the whole mix", "2%", 0.2, func(p *profile) *float64 { return &p.MaxTint }),
		temperature("min_temp", "coldest room the bulletin allows", "18 C", func(p *profile) **float64 { return &p.MinTemp }),
		temperature("max_temp", "warmest room the bulletin allows", "30 C", func(p *profile) **float64 { return &p.MaxTemp }),
		measure("max_depth", "deepest pour the bulletin allows at once", "25 mm",
			quantity.Length, "", 0.5, 2000, func(p *profile) *float64 { return &p.MaxDepth }),
		measure("max_mass", "most the bulletin allows in one cup", "500 g",
			quantity.Mass, "", 1, 1e6, func(p *profile) *float64 { return &p.MaxMass }),
		spanField("shelf_life", "sealed shelf life", "12 months", func(p *profile) *material.Span { return &p.ShelfLife }),
		spanField("shelf_opened", "shelf life once opened", "4 months", func(p *profile) *material.Span { return &p.ShelfOpened }),
		plain("price", "price of one pack, in the shop's currency", "42.00", 1e6, func(p *profile) *float64 { return &p.Price }),
		measure("pack", "A and B of one pack together; A and B apart after commas", "1.8 kg",
			quantity.Mass, "", 1, 1e6, func(p *profile) *float64 { return &p.Pack }).spread("pack_a", "pack_b"),
		measure("pack_a", "part A in one pack, where the bulletin splits it", "935 g",
			quantity.Mass, "", 1, 1e6, func(p *profile) *float64 { return &p.PackA }).folded(),
		measure("pack_b", "part B in one pack", "865 g",
			quantity.Mass, "", 1, 1e6, func(p *profile) *float64 { return &p.PackB }).folded(),
		plain("heat", "heat of reaction in J per g of mix, if a data sheet gives it", "180", 2000, func(p *profile) *float64 { return &p.Heat }),
		words("notes", "anything to remember", "settles: stir B first", material.MaxNotes, func(p *profile) *string { return &p.Notes }).long(),
		linkField(),
	}
}

func (f Field[P]) spread(options ...string) Field[P] { f.Spread = options; return f }
func (f Field[P]) folded() Field[P]                  { f.Folded = true; return f }
func (f Field[P]) long() Field[P]                    { f.Long = true; return f }

// must marks what a profile can't be without.
func (f Field[P]) must() Field[P] { f.Required, f.Clear = true, nil; return f }

func measure(name, help, like string, d quantity.Dim, bare string, low, high float64, at func(*profile) *float64) MaterialField {
	return MaterialField{
		Option: chat.Option{Name: name, Help: help, Like: like, Kind: chat.Measure, Dims: []quantity.Dim{d}, Bare: bare, Min: low, Max: high},
		Set:    func(c *chat.Call, p *profile) error { *at(p) = c.Measure(name).Value; return nil },
		Show: func(p *profile, s quantity.System) (chat.Fact, bool) {
			return chat.Num(name, label(name), *at(p), d, s), *at(p) != 0
		},
		Clear: func(p *profile) { *at(p) = 0 },
		Copy:  copying(at),
	}
}

func plain(name, help, like string, high float64, at func(*profile) *float64) MaterialField {
	f := measure(name, help, like, quantity.Number, "", 0, high, at)
	return f
}

func share(name, help, like string, high float64, at func(*profile) *float64) MaterialField {
	f := measure(name, help, like, quantity.Number, "", 0, high, at)
	f.Percent = true
	f.Show = func(p *profile, _ quantity.System) (chat.Fact, bool) {
		return chat.Share(name, label(name), *at(p)), *at(p) != 0
	}
	return f
}

func temperature(name, help, like string, at func(*profile) **float64) MaterialField {
	return MaterialField{
		Option: chat.Option{Name: name, Help: help, Like: like, Kind: chat.Measure, Dims: []quantity.Dim{quantity.Temp}, Min: -50, Max: 250, Negative: true, Zero: true},
		Set:    func(c *chat.Call, p *profile) error { v := c.Measure(name).Value; *at(p) = &v; return nil },
		Show: func(p *profile, s quantity.System) (chat.Fact, bool) {
			if *at(p) == nil {
				return chat.Fact{Key: name, Label: label(name)}, false
			}
			return chat.Num(name, label(name), **at(p), quantity.Temp, s), true
		},
		Clear: func(p *profile) { *at(p) = nil },
		Copy:  copying(at),
	}
}

func words(name, help, like string, length int, at func(*profile) *string) MaterialField {
	return MaterialField{
		Option: chat.Option{Name: name, Help: help, Like: like, Length: length},
		Set:    func(c *chat.Call, p *profile) error { *at(p) = c.Text(name); return nil },
		Show: func(p *profile, _ quantity.System) (chat.Fact, bool) {
			return chat.Fact{Key: name, Label: label(name), Value: *at(p), Text: *at(p)}, *at(p) != ""
		},
		Clear: func(p *profile) { *at(p) = "" },
		Copy:  copying(at),
	}
}

// parsed is a text that is read by read and shown as typed.
func parsed[V any](name, help, like string, at func(*profile) *V, read func(text string, p *profile) error, show func(*profile) string, reset func(*profile)) MaterialField {
	return MaterialField{
		Option: chat.Option{Name: name, Help: help, Like: like},
		Set:    func(c *chat.Call, p *profile) error { return read(c.Text(name), p) },
		Show: func(p *profile, _ quantity.System) (chat.Fact, bool) {
			text := show(p)
			return chat.Fact{Key: name, Label: label(name), Value: text, Text: text}, text != ""
		},
		Clear: reset,
		Copy:  copying(at),
	}
}

func familyField() MaterialField {
	f := parsed("family", "its chemistry, which decides cautions and what may touch what", "urethane",
		func(p *profile) *material.Family { return &p.Family },
		func(text string, p *profile) (err error) { p.Family, err = material.ParseFamily(text); return err },
		func(p *profile) string { return string(p.Family) }, nil).must()
	f.Suggest = func(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
		var names []string
		for _, fam := range material.Families() {
			names = append(names, string(fam))
		}
		return chat.Narrow(typed, names), nil
	}
	return f
}

func ratioField() MaterialField {
	return MaterialField{
		Option: chat.Option{Name: "ratio", Help: "A:B with vol or wt, as the bulletin says", Like: "1:1 vol", Kind: chat.Parts, Required: true},
		Set:    func(c *chat.Call, p *profile) error { p.Ratio = c.Ratio("ratio"); return nil },
		Show: func(p *profile, _ quantity.System) (chat.Fact, bool) {
			return chat.Fact{Key: "ratio", Label: "Ratio A:B", Value: p.Ratio.Text(), Text: p.Ratio.Text()}, true
		},
		Copy: copying(func(p *profile) *quantity.Ratio { return &p.Ratio }),
	}
}

func hardnessField() MaterialField {
	return parsed("hardness", "Shore reading with its scale", "74 D",
		func(p *profile) **material.Hardness { return &p.Hardness },
		func(text string, p *profile) error {
			h, err := material.ParseHardness(text)
			p.Hardness = &h
			return err
		},
		func(p *profile) string {
			if p.Hardness == nil {
				return ""
			}
			return p.Hardness.String()
		},
		func(p *profile) { p.Hardness = nil })
}

func tintSideField() MaterialField {
	f := parsed("tint_side", "which part colorant goes into: the one without isocyanate", "B",
		func(p *profile) *material.Side { return &p.TintSide },
		func(text string, p *profile) (err error) { p.TintSide, err = material.ParseSide(text); return err },
		func(p *profile) string { return string(p.TintSide) },
		func(p *profile) { p.TintSide = material.NoSide })
	f.Kind = chat.OneWord
	f.Choices = []chat.Choice{{Value: "A", Label: "part A"}, {Value: "B", Label: "part B"}}
	return f
}

func spanField(name, help, like string, at func(*profile) *material.Span) MaterialField {
	return parsed(name, help, like, at,
		func(text string, p *profile) (err error) { *at(p), err = material.ParseSpan(text); return err },
		func(p *profile) string { return at(p).String() },
		func(p *profile) { *at(p) = material.Span{} })
}

func linkField() MaterialField {
	f := parsed("link", "where the bulletin is kept", "https://example.org/bulletin.pdf",
		func(p *profile) *string { return &p.Link },
		func(text string, p *profile) error {
			u, err := url.Parse(text)
			if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" {
				return fault.New(fault.BadQuantity, "%q is no web address", text).Hint("give it with https://")
			}
			p.Link = u.String()
			return nil
		},
		func(p *profile) string { return p.Link },
		func(p *profile) { p.Link = "" })
	f.Length = material.MaxLink
	return f
}

var labels = map[string]string{
	"density_a": "Density A", "density_b": "Density B", "density_mixed": "Density, mixed",
	"pot_life": "Pot life", "pot_life_mass": "Pot life measured with", "pot_life_temp": "Pot life measured at",
	"demold_section": "Demold measured at", "full_cure": "Full cure", "cured_color": "Cures",
	"tint_side": "Tint goes into part", "max_tint": "Most colorant", "min_temp": "Coldest room", "max_temp": "Warmest room",
	"max_depth": "Deepest pour", "max_mass": "Most in one cup", "shelf_life": "Shelf life sealed", "shelf_opened": "Shelf life opened",
	"price": "Price of a pack", "pack": "Pack", "pack_a": "Pack, part A", "pack_b": "Pack, part B", "heat": "Heat of reaction, J/g",
	"family": "Family", "hardness": "Hardness", "demold": "Demold", "notes": "Notes", "link": "Bulletin", "name": "Name",
}

func label(name string) string { return labels[name] }

// Typed gives the profile's values as they would be typed, lists joined, to
// fill a form for editing.
func Typed(p material.Profile, s quantity.System) map[string]string {
	out := map[string]string{}
	for _, f := range MaterialFields() {
		if fact, ok := f.Show(&p, s); ok {
			out[f.Name] = typedText(f, fact, p)
		}
	}
	for _, f := range MaterialFields() {
		for _, more := range f.Spread {
			if out[f.Name] != "" && out[more] != "" {
				out[f.Name] += ", " + out[more]
				delete(out, more)
			}
		}
	}
	return out
}

// typedText is a value in full, where the shown text is rounded.
func typedText(f MaterialField, fact chat.Fact, p material.Profile) string {
	v, isNumber := fact.Value.(float64)
	switch {
	case f.Kind == chat.Parts:
		basis := " vol"
		if p.Ratio.By == quantity.ByWeight {
			basis = " wt"
		}
		return number(p.Ratio.A) + ":" + number(p.Ratio.B) + basis
	case !isNumber:
		return fact.Text
	case f.Percent:
		return number(100*v) + " %"
	case f.Dims[0] == quantity.Number:
		return number(v)
	}
	// The shown text is what people would type, unless it was rounded.
	if q, _, err := quantity.Parse(fact.Text, quantity.Want{Dims: f.Dims, Negative: f.Negative, Zero: f.Zero}); err == nil && q.Value == v {
		return fact.Text
	}
	return number(v) + " " + fact.Unit
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', 12, 64) }
