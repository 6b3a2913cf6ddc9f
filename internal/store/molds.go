package store

import (
	"context"

	"github.com/pourwright/pourwright/internal/shop"
)

var moldShelf = shelf[shop.MoldProfile]{
	kind:   molds,
	name:   func(p *shop.MoldProfile) *string { return &p.Name },
	family: func(p *shop.MoldProfile) string { return p.Family },
}

func asMold(rec stored[shop.MoldProfile]) shop.Mold {
	return shop.Mold{Record: rec.Record, MoldProfile: rec.profile}
}

// Molds fills shop.Molds, as do the methods below.
func (s *Store) Molds(ctx context.Context, v shop.Viewer) ([]shop.Mold, error) {
	all, err := moldShelf.list(ctx, s.reading(), v)
	return each(all, asMold), err
}

// MoldNames lists the visible ones without their profiles.
func (s *Store) MoldNames(ctx context.Context, v shop.Viewer) ([]shop.Entry, error) {
	return moldShelf.entries(ctx, s.reading(), v)
}

// Mold gives one by id; version 0 is the newest.
func (s *Store) Mold(ctx context.Context, v shop.Viewer, id int64, version int) (shop.Mold, error) {
	rec, err := moldShelf.get(ctx, s.reading(), v, id, version)
	return asMold(rec), err
}

// AddMold stores version 1.
func (s *Store) AddMold(ctx context.Context, st shop.Stamp, p shop.MoldProfile, shared bool) (m shop.Mold, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		rec, err := moldShelf.add(ctx, t, st, s.cfg.Limits, p, shared)
		m = asMold(rec)
		return err
	})
	return kept(m, err)
}
