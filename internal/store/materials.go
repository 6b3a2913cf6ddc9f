package store

import (
	"context"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
)

var materialShelf = shelf[material.Profile]{
	kind:   materials,
	name:   func(p *material.Profile) *string { return &p.Name },
	family: func(p *material.Profile) string { return string(p.Family) },
}

func asMaterial(rec stored[material.Profile]) shop.Material {
	return shop.Material{Record: rec.Record, Profile: rec.profile}
}

// Materials fills shop.Materials, as do the methods below.
func (s *Store) Materials(ctx context.Context, v shop.Viewer) ([]shop.Material, error) {
	all, err := materialShelf.list(ctx, s.reading(), v)
	return each(all, asMaterial), err
}

// MaterialNames lists the visible ones without their profiles.
func (s *Store) MaterialNames(ctx context.Context, v shop.Viewer) ([]shop.Entry, error) {
	return materialShelf.entries(ctx, s.reading(), v)
}

// Material gives one by id; version 0 is the newest.
func (s *Store) Material(ctx context.Context, v shop.Viewer, id int64, version int) (shop.Material, error) {
	rec, err := materialShelf.get(ctx, s.reading(), v, id, version)
	return asMaterial(rec), err
}

// MaterialHistory lists its versions, newest first.
func (s *Store) MaterialHistory(ctx context.Context, v shop.Viewer, id int64) ([]shop.Version, error) {
	return materialShelf.history(ctx, s.reading(), v, id)
}

// AddMaterial stores version 1.
func (s *Store) AddMaterial(ctx context.Context, st shop.Stamp, p material.Profile, shared bool) (m shop.Material, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		rec, err := materialShelf.add(ctx, t, st, s.cfg.Limits, p, shared)
		m = asMaterial(rec)
		return err
	})
	return kept(m, err)
}

// EditMaterial stores a new version on top of version base.
func (s *Store) EditMaterial(ctx context.Context, st shop.Stamp, id int64, base int, p material.Profile) (m shop.Material, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		rec, err := materialShelf.edit(ctx, t, st, s.cfg.Limits, id, base, p)
		m = asMaterial(rec)
		return err
	})
	return kept(m, err)
}

// RemoveMaterial hides it.
func (s *Store) RemoveMaterial(ctx context.Context, st shop.Stamp, id int64) error {
	return s.write(ctx, st, func(t *txn) error {
		return materialShelf.remove(ctx, t, st, s.cfg.Limits, id)
	})
}

// each turns every element with as.
func each[A, B any](all []A, as func(A) B) []B {
	out := make([]B, len(all))
	for i, a := range all {
		out[i] = as(a)
	}
	return out
}

// kept gives v only where it was committed.
func kept[T any](v T, err error) (T, error) {
	if err != nil {
		var none T
		return none, err
	}
	return v, nil
}
