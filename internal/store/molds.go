package store

import (
	"context"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

var moldShelf = shelf[shop.MoldProfile]{
	kind:   molds,
	name:   func(p *shop.MoldProfile) *string { return &p.Name },
	family: func(p *shop.MoldProfile) string { return p.Family },
	// A mold of the same making, which has yet to be made: its pulls are its own.
	fresh: func(p *shop.MoldProfile) {
		p.Pulls, p.LastCoat, p.MadeOn, p.Retired, p.RetiredNote = 0, 0, time.Time{}, "", ""
	},
}

func asMold(rec stored[shop.MoldProfile]) shop.Mold {
	return shop.Mold{Record: rec.Record, MoldProfile: rec.profile}
}

// Molds fills shop.Molds, as do the methods below.
func (s *Store) Molds(ctx context.Context, v shop.Viewer) (list []shop.Mold, err error) {
	err = s.snapshot(ctx, func(q *session) error {
		all, err := moldShelf.list(ctx, q, v)
		if err != nil {
			return err
		}
		tallies, err := q.tallies(ctx, v, 0)
		list = each(all, asMold)
		for i := range list {
			list[i].Tally = tallies[list[i].ID]
		}
		return err
	})
	return kept(list, err)
}

// MoldNames lists the visible ones without their profiles.
func (s *Store) MoldNames(ctx context.Context, v shop.Viewer) ([]shop.Entry, error) {
	return moldShelf.entries(ctx, s.reading(), v)
}

// Mold gives one by id; version 0 is the newest.
func (s *Store) Mold(ctx context.Context, v shop.Viewer, id int64, version int) (m shop.Mold, err error) {
	err = s.snapshot(ctx, func(q *session) error {
		m, err = q.mold(ctx, v, id, version)
		return err
	})
	return kept(m, err)
}

// mold gives one with its tally.
func (q *session) mold(ctx context.Context, v shop.Viewer, id int64, version int) (shop.Mold, error) {
	rec, err := moldShelf.get(ctx, q, v, id, version)
	if err != nil {
		return shop.Mold{}, err
	}
	tallies, err := q.tallies(ctx, v, id)
	m := asMold(rec)
	m.Tally = tallies[id]
	return m, err
}

// MoldHistory lists its versions, newest first.
func (s *Store) MoldHistory(ctx context.Context, v shop.Viewer, id int64) ([]shop.Version, error) {
	return moldShelf.history(ctx, s.reading(), v, id)
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

// EditMold stores a new version on top of version base.
func (s *Store) EditMold(ctx context.Context, st shop.Stamp, id int64, base int, p shop.MoldProfile) (m shop.Mold, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		if _, err := moldShelf.edit(ctx, t, st, s.cfg.Limits, id, base, p); err != nil {
			return err
		}
		m, err = t.mold(ctx, st.By, id, 0)
		return err
	})
	return kept(m, err)
}

// RemoveMold hides it, with its log.
func (s *Store) RemoveMold(ctx context.Context, st shop.Stamp, id int64) error {
	return s.write(ctx, st, func(t *txn) error {
		return moldShelf.remove(ctx, t, st, s.cfg.Limits, id)
	})
}
