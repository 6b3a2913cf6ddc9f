package store

import (
	"context"

	"github.com/pourwright/pourwright/internal/shop"
)

var tintShelf = shelf[shop.TintProfile]{
	kind:   tints,
	name:   func(p *shop.TintProfile) *string { return &p.Name },
	family: func(p *shop.TintProfile) string { return p.Family },
}

func asTint(rec stored[shop.TintProfile]) shop.Tint {
	return shop.Tint{Record: rec.Record, TintProfile: rec.profile}
}

// Tints fills shop.Tints, as do the methods below.
func (s *Store) Tints(ctx context.Context, v shop.Viewer) ([]shop.Tint, error) {
	all, err := tintShelf.list(ctx, s.reading(), v)
	return each(all, asTint), err
}

// TintNames lists the visible ones without their profiles.
func (s *Store) TintNames(ctx context.Context, v shop.Viewer) ([]shop.Entry, error) {
	return tintShelf.entries(ctx, s.reading(), v)
}

// Tint gives one by id; version 0 is the newest.
func (s *Store) Tint(ctx context.Context, v shop.Viewer, id int64, version int) (shop.Tint, error) {
	rec, err := tintShelf.get(ctx, s.reading(), v, id, version)
	return asTint(rec), err
}

// TintHistory lists its versions, newest first.
func (s *Store) TintHistory(ctx context.Context, v shop.Viewer, id int64) ([]shop.Version, error) {
	return tintShelf.history(ctx, s.reading(), v, id)
}

// AddTint stores version 1.
func (s *Store) AddTint(ctx context.Context, st shop.Stamp, p shop.TintProfile, shared bool) (t shop.Tint, err error) {
	err = s.write(ctx, st, func(x *txn) error {
		rec, err := tintShelf.add(ctx, x, st, s.cfg.Limits, p, shared)
		t = asTint(rec)
		return err
	})
	return kept(t, err)
}

// EditTint stores a new version on top of version base.
func (s *Store) EditTint(ctx context.Context, st shop.Stamp, id int64, base int, p shop.TintProfile) (t shop.Tint, err error) {
	err = s.write(ctx, st, func(x *txn) error {
		rec, err := tintShelf.edit(ctx, x, st, s.cfg.Limits, id, base, p)
		t = asTint(rec)
		return err
	})
	return kept(t, err)
}

// RemoveTint hides it.
func (s *Store) RemoveTint(ctx context.Context, st shop.Stamp, id int64) error {
	return s.write(ctx, st, func(x *txn) error {
		return tintShelf.remove(ctx, x, st, s.cfg.Limits, id)
	})
}
