package library

import (
	"cmp"
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// sharing makes the subs of a kind.
func sharing[T, P any](b shop.Books, k kind[T], as func(T) thing[P]) Sharing[P] {
	return Sharing[P]{
		kind: shop.Kind(k.word), rights: b.Sharing, copies: b.Adopting, people: b.People,
		things: kind[thing[P]]{word: k.word, unknown: k.unknown, names: k.names,
			byID: func(ctx context.Context, v shop.Viewer, id int64, version int) (thing[P], error) {
				t, err := k.byID(ctx, v, id, version)
				return as(t), err
			}},
	}
}

// ShareMaterials is what members do about who sees materials.
func (l *Library) ShareMaterials(b shop.Books) Sharing[material.Profile] {
	s := sharing(b, l.materialKind(), func(m shop.Material) thing[material.Profile] {
		return thing[material.Profile]{m.Record, m.Name, m.Profile}
	})
	s.fields, s.like = MaterialFields(), "demo rigid white"
	s.check = func(p material.Profile) error { return material.Check(p).Err() }
	s.notes.adopted = "The numbers are another member's: hold them against the bulletin and the SDS of your own jugs before you pour."
	return s
}

// ShareMolds is what members do about who sees molds.
func (l *Library) ShareMolds(b shop.Books) Sharing[shop.MoldProfile] {
	s := sharing(b, l.moldKind(), func(m shop.Mold) thing[shop.MoldProfile] {
		return thing[shop.MoldProfile]{m.Record, m.Name, m.MoldProfile}
	})
	s.fields, s.like, s.check = MoldFields(), "harbor pawn", CheckMold
	s.notes.adopted = "It counts its own pulls, from none: those of the origin were not yours."
	s.notes.given = " Its log of pulls and coats goes with it."
	return s
}

// ShareTints is what members do about who sees tints.
func (l *Library) ShareTints(b shop.Books) Sharing[shop.TintProfile] {
	s := sharing(b, l.tintKind(), func(t shop.Tint) thing[shop.TintProfile] {
		return thing[shop.TintProfile]{t.Record, t.Name, t.TintProfile}
	})
	s.fields, s.like, s.check = tintLines(), "brick red", l.CheckTint
	s.notes.adopted = "Another bottle of the same name can be stronger or weaker: cast a swatch of your own before it matters."
	return s
}

// ShareFormulas is what members do about who sees formulas.
func (l *Library) ShareFormulas(b shop.Books) Sharing[shop.FormulaProfile] {
	s := sharing(b, l.formulaKind(), func(f shop.Formula) thing[shop.FormulaProfile] {
		return thing[shop.FormulaProfile]{f.Record, f.Name, f.FormulaProfile}
	})
	s.fields, s.like = formulaLines(), "block mold"
	s.notes.adopted = "Read what it computes before you rely on it: another member wrote it."
	return s
}

// wordLine is a text of a profile as a line to compare.
func wordLine[P any](name, label string, at func(*P) *string) Field[P] {
	return Field[P]{
		Option: chat.Option{Name: name},
		Show: func(p *P, _ quantity.System) (chat.Fact, bool) {
			return chat.Fact{Key: name, Label: label, Value: *at(p), Text: *at(p)}, *at(p) != ""
		},
		Copy: copying(at),
	}
}

// tintLines are what a tint's copies are compared by. A swatch means nothing
// without what it was cast in and how it was read, so all of that is one line.
func tintLines() []Field[shop.TintProfile] {
	type profile = shop.TintProfile
	swatch := Field[profile]{
		Option: chat.Option{Name: "swatch"},
		Show: func(p *profile, s quantity.System) (chat.Fact, bool) {
			text := cmp.Or(p.Swatch, "no color")
			if p.Dose > 0 {
				text += ", " + quantity.Percent(p.Dose)
			}
			text += " in " + cmp.Or(p.BaseName, "no base")
			if p.Wall > 0 {
				text += ", " + quantity.Text(p.Wall, quantity.Length, s) + " thick"
			}
			if p.Quality != "" {
				text += ", " + p.Quality
			}
			return chat.Fact{Key: "swatch", Label: "Swatch", Value: fmt.Sprintf("%s, base %s", text, p.BaseColor), Text: text}, true
		},
		Copy: func(to, from *profile) {
			to.Base, to.BaseVersion, to.BaseName, to.BaseColor = from.Base, from.BaseVersion, from.BaseName, from.BaseColor
			to.Dose, to.Swatch, to.Quality, to.Wall = from.Dose, from.Swatch, from.Quality, from.Wall
		},
	}
	drops := Field[profile]{
		Option: chat.Option{Name: "weight_of_20"},
		Show: func(p *profile, s quantity.System) (chat.Fact, bool) {
			return chat.Num("weight_of_20", "Twenty drops", p.WeightOf20, quantity.Mass, s), p.WeightOf20 > 0
		},
		Copy: copying(func(p *profile) *float64 { return &p.WeightOf20 }),
	}
	return []Field[profile]{
		wordLine("name", "Name", func(p *profile) *string { return &p.Name }),
		wordLine("family", "Family", func(p *profile) *string { return &p.Family }),
		swatch, drops,
	}
}

// formulaLines are what a formula's copies are compared by. A formula and the
// test that it has to pass are one line.
func formulaLines() []Field[shop.FormulaProfile] {
	all := FormulaFields()
	lines := all[:0]
	for _, f := range all {
		switch f.Name {
		case "text":
			f.Show = func(p *formulaProfile, _ quantity.System) (chat.Fact, bool) {
				text := p.Text
				if p.Test != "" {
					text += ", tested with " + p.Test
				}
				return chat.Fact{Key: "text", Label: "Formula", Value: text, Text: text}, true
			}
			f.Copy = func(to, from *formulaProfile) { to.Text, to.Test = from.Text, from.Test }
		case "test":
			continue
		}
		lines = append(lines, f)
	}
	return lines
}
