package store

import (
	"context"

	"github.com/pourwright/pourwright/internal/shop"
)

var formulaShelf = shelf[shop.FormulaProfile]{
	kind:   formulas,
	name:   func(p *shop.FormulaProfile) *string { return &p.Name },
	family: func(*shop.FormulaProfile) string { return "" },
}

func asFormula(rec stored[shop.FormulaProfile]) shop.Formula {
	return shop.Formula{Record: rec.Record, FormulaProfile: rec.profile}
}

// Formulas fills shop.Formulas, as do the methods below.
func (s *Store) Formulas(ctx context.Context, v shop.Viewer) ([]shop.Formula, error) {
	all, err := formulaShelf.list(ctx, s.reading(), v)
	return each(all, asFormula), err
}

// FormulaNames lists the visible ones without their profiles.
func (s *Store) FormulaNames(ctx context.Context, v shop.Viewer) ([]shop.Entry, error) {
	return formulaShelf.entries(ctx, s.reading(), v)
}

// Formula gives one by id; version 0 is the newest.
func (s *Store) Formula(ctx context.Context, v shop.Viewer, id int64, version int) (shop.Formula, error) {
	rec, err := formulaShelf.get(ctx, s.reading(), v, id, version)
	return asFormula(rec), err
}

// FormulaHistory lists its versions, newest first.
func (s *Store) FormulaHistory(ctx context.Context, v shop.Viewer, id int64) ([]shop.Version, error) {
	return formulaShelf.history(ctx, s.reading(), v, id)
}

// AddFormula stores version 1.
func (s *Store) AddFormula(ctx context.Context, st shop.Stamp, p shop.FormulaProfile, shared bool) (t shop.Formula, err error) {
	err = s.write(ctx, st, func(x *txn) error {
		rec, err := formulaShelf.add(ctx, x, st, s.cfg.Limits, p, shared)
		t = asFormula(rec)
		return err
	})
	return kept(t, err)
}

// EditFormula stores a new version on top of version base.
func (s *Store) EditFormula(ctx context.Context, st shop.Stamp, id int64, base int, p shop.FormulaProfile) (t shop.Formula, err error) {
	err = s.write(ctx, st, func(x *txn) error {
		rec, err := formulaShelf.edit(ctx, x, st, s.cfg.Limits, id, base, p)
		t = asFormula(rec)
		return err
	})
	return kept(t, err)
}

// RemoveFormula hides it.
func (s *Store) RemoveFormula(ctx context.Context, st shop.Stamp, id int64) error {
	return s.write(ctx, st, func(x *txn) error {
		return formulaShelf.remove(ctx, x, st, s.cfg.Limits, id)
	})
}
