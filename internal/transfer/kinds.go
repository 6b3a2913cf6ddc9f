package transfer

import (
	"context"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
)

// headsOfKind are a kind's columns in their order.
func headsOfKind(k Kind) []head {
	switch k {
	case Materials:
		return headsOf(materialColumns())
	case Molds:
		return headsOf(moldColumns())
	case Tints:
		return headsOf(tintColumns())
	case Formulas:
		return headsOf(formulaColumns())
	case Pulls:
		return headsOf(pullColumns())
	case Containers:
		return headsOf(containerColumns())
	}
	return headsOf(pourColumns())
}

func (d *Desk) materials() shelf[material.Profile] {
	b := d.books
	return shelf[material.Profile]{
		kind: Materials, most: material.MaxName, columns: materialColumns(),
		fresh: func() (p material.Profile) { return p },
		name:  func(p *material.Profile) *string { return &p.Name },
		check: checkMaterial,
		list: func(ctx context.Context, v shop.Viewer) ([]kept[material.Profile], error) {
			all, err := b.Materials.Materials(ctx, v)
			return each(all, func(m shop.Material) kept[material.Profile] { return kept[material.Profile]{m.Record, m.Profile} }), err
		},
		add: b.Bulk.AddMaterials,
		edit: func(ctx context.Context, st shop.Stamp, id int64, version int, p material.Profile) error {
			_, err := b.Materials.EditMaterial(ctx, st, id, version, p)
			return err
		},
	}
}

func (d *Desk) molds() shelf[shop.MoldProfile] {
	b := d.books
	return shelf[shop.MoldProfile]{
		kind: Molds, most: maxName, columns: moldColumns(), fresh: newMold,
		name:  func(p *shop.MoldProfile) *string { return &p.Name },
		check: checkMold,
		list: func(ctx context.Context, v shop.Viewer) ([]kept[shop.MoldProfile], error) {
			all, err := b.Molds.Molds(ctx, v)
			return each(all, func(m shop.Mold) kept[shop.MoldProfile] { return kept[shop.MoldProfile]{m.Record, m.MoldProfile} }), err
		},
		add: b.Bulk.AddMolds,
		edit: func(ctx context.Context, st shop.Stamp, id int64, version int, p shop.MoldProfile) error {
			_, err := b.Molds.EditMold(ctx, st, id, version, p)
			return err
		},
	}
}

// tints needs the materials in sight by their folded names, for their bases.
func (d *Desk) tints(bases map[string]shop.Material) shelf[shop.TintProfile] {
	b := d.books
	return shelf[shop.TintProfile]{
		kind: Tints, most: maxName, columns: tintColumns(),
		fresh: func() (p shop.TintProfile) { return p },
		name:  func(p *shop.TintProfile) *string { return &p.Name },
		check: d.checkTint,
		settle: func(p, was *shop.TintProfile) []string {
			return settleTint(p, was, bases)
		},
		list: func(ctx context.Context, v shop.Viewer) ([]kept[shop.TintProfile], error) {
			all, err := b.Tints.Tints(ctx, v)
			return each(all, func(t shop.Tint) kept[shop.TintProfile] { return kept[shop.TintProfile]{t.Record, t.TintProfile} }), err
		},
		add: b.Bulk.AddTints,
		edit: func(ctx context.Context, st shop.Stamp, id int64, version int, p shop.TintProfile) error {
			_, err := b.Tints.EditTint(ctx, st, id, version, p)
			return err
		},
	}
}

// settleTint finds the base of a tint by its name. A tint keeps the one it has
// where the name is the same.
func settleTint(p, was *shop.TintProfile, bases map[string]shop.Material) []string {
	if p.BaseName == "" {
		return nil
	}
	if was != nil && was.BaseName == p.BaseName {
		p.Base, p.BaseVersion = was.Base, was.BaseVersion
		return nil
	}
	m, ok := bases[shop.NameKey(p.BaseName)]
	if !ok {
		return []string{"Its base " + shown(p.BaseName) + " is not on your shelf: the tint keeps that name and color, and no link to a profile."}
	}
	p.Base, p.BaseVersion = m.ID, m.Version
	return nil
}

func (d *Desk) formulas() shelf[shop.FormulaProfile] {
	b := d.books
	return shelf[shop.FormulaProfile]{
		kind: Formulas, most: maxName, columns: formulaColumns(),
		fresh: func() (p shop.FormulaProfile) { return p },
		name:  func(p *shop.FormulaProfile) *string { return &p.Name },
		check: d.checkFormula,
		list: func(ctx context.Context, v shop.Viewer) ([]kept[shop.FormulaProfile], error) {
			all, err := b.Formulas.Formulas(ctx, v)
			return each(all, func(f shop.Formula) kept[shop.FormulaProfile] {
				return kept[shop.FormulaProfile]{f.Record, f.FormulaProfile}
			}), err
		},
		add: b.Bulk.AddFormulas,
		edit: func(ctx context.Context, st shop.Stamp, id int64, version int, p shop.FormulaProfile) error {
			_, err := b.Formulas.EditFormula(ctx, st, id, version, p)
			return err
		},
	}
}

// each turns every element with as.
func each[A, B any](all []A, as func(A) B) []B {
	out := make([]B, len(all))
	for i, a := range all {
		out[i] = as(a)
	}
	return out
}
