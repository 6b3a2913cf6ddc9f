package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file is what members do with what others share: adopt a copy and follow
// its origin. giving.go is how a record changes hands.

// shelving is a shelf whatever stands on it.
type shelving interface {
	adopt(ctx context.Context, t *txn, st shop.Stamp, most Limits, from shop.Source, name string) (int64, error)
	takeOver(ctx context.Context, t *txn, st shop.Stamp, most Limits, code, name string) (int64, error)
	follow(ctx context.Context, t *txn, st shop.Stamp, most Limits, id int64, base, version int, profile []byte) error
	look(ctx context.Context, q *session, v shop.Viewer, from shop.Source) (shop.Sight, error)
	origin(ctx context.Context, q *session, v shop.Viewer, id int64, version int) (shop.Change, error)
}

// shelves is each kind's.
var shelves = map[shop.Kind]shelving{
	shop.KindMaterial: materialShelf, shop.KindMold: moldShelf, shop.KindTint: tintShelf, shop.KindFormula: formulaShelf,
}

func shelfNamed(word shop.Kind) (shelving, error) {
	k, ok := shelves[word]
	if !ok {
		return nil, fmt.Errorf("no kind of record is called %.40q", word)
	}
	return k, nil
}

// source is what is adopted or taken over.
type source[P any] struct {
	stored[P]
	share, taker   int64 // the code and whom it names, or 0
	first, firstBy int64 // where its own line began
}

// find gives what a source leads to.
func (k shelf[P]) find(ctx context.Context, q *session, v shop.Viewer, from shop.Source) (src source[P], err error) {
	const line = ", coalesce(r.first, 0), coalesce(r.first_by, 0)"
	st := k.seenVersions(v, recordColumns+line+", 0, 0", "AND n.number = r.version AND r.id = ?", from.ID)
	if from.Code != "" {
		code := tidyCode(from.Code)
		if err := k.checkCode(ctx, q, v, code); err != nil {
			return src, err
		}
		st = k.coded(v, recordColumns+line+", w.id, coalesce(w.taker, 0)", "AND w.code = ?", code)
	}
	found := false
	err = q.each(ctx, st, func(scan func(...any) error) (err error) {
		src.stored, err = read[P](scan, &src.first, &src.firstBy, &src.share, &src.taker)
		found = true
		return err
	})
	switch {
	case err != nil:
		return src, fmt.Errorf("find a %s to adopt: %w", k.table, err)
	case !found && from.Code != "":
		return src, k.deadCode()
	case !found:
		return src, k.missing()
	}
	return src, nil
}

func (k kind) deadCode() error {
	return fault.New(fault.NotFound, "that code leads nowhere: it is mistyped, or was revoked").In("code").
		Hint("ask for it again, and paste it whole; it is six groups of three, such as 4kd-w7m-…")
}

// checkCode refuses a code that was meant for something else or someone else.
// Whoever has a code learns no more from that than the code itself tells.
func (k kind) checkCode(ctx context.Context, q *session, v shop.Viewer, code string) error {
	var of string
	var taker int64
	found, err := q.one(ctx, plain("SELECT kind, coalesce(taker, 0) FROM share WHERE code = ?", code), &of, &taker)
	switch {
	case err != nil:
		return fmt.Errorf("look for a code: %w", err)
	case !found || code == "":
		return k.deadCode()
	case taker != 0 && taker != int64(v.Member.ID):
		return fault.New(fault.NotAllowed, "that code hands something over to another member").In("code").
			Hint("ask its owner to offer it to you")
	case of != k.table:
		return fault.New(fault.NotFound, "that code is for a %s, not for a %s", of, k.noun).In("code").Hint("use /%s adopt with it", of)
	}
	return nil
}

// adopt makes a private copy that remembers its origin.
func (k shelf[P]) adopt(ctx context.Context, t *txn, st shop.Stamp, most Limits, from shop.Source, name string) (int64, error) {
	src, err := k.find(ctx, &t.session, st.By, from)
	if err != nil {
		return 0, err
	}
	p := src.profile
	switch {
	case src.Owner == st.By.Member.ID:
		return 0, fault.New(fault.NotAllowed, "%s is yours already", *k.name(&p)).In(k.noun).Hint("adopt what others share; /%s list shows whose is whose", k.noun)
	case src.taker != 0:
		return 0, fault.New(fault.NotAllowed, "%s is offered to be taken over, not to be copied", *k.name(&p)).In("code").Hint("take it over, or leave it")
	}
	if k.fresh != nil {
		k.fresh(&p)
	}
	if name != "" {
		*k.name(&p) = name
	}
	name, profile, err := k.encode(&p)
	if err != nil {
		return 0, err
	}
	if err := k.room(ctx, t, st.By, most, false); err != nil {
		return 0, err
	}
	if src.first == 0 {
		src.first, src.firstBy = src.ID, int64(src.Owner)
	}
	id, err := k.put(ctx, t, st, name, k.family(&p), profile, false)
	if err != nil {
		return 0, err
	}
	_, err = t.exec(ctx, k.change(st.By, "origin = ?, origin_version = ?, origin_by = ?, origin_share = ?, first = ?, first_by = ?",
		[]any{src.ID, src.Version, int64(src.Owner), known(src.share), src.first, known(src.firstBy)}, "AND id = ?", id))
	if err != nil {
		return 0, fmt.Errorf("note the origin of a %s: %w", k.table, err)
	}
	return id, nil
}

// look gives what a source leads to.
func (k shelf[P]) look(ctx context.Context, q *session, v shop.Viewer, from shop.Source) (shop.Sight, error) {
	src, err := k.find(ctx, q, v, from)
	if err != nil {
		return shop.Sight{}, err
	}
	return shop.Sight{
		ID: src.ID, Name: *k.name(&src.profile), Family: k.family(&src.profile), OwnerOf: src.OwnerOf,
		Code: tidyCode(from.Code), Offer: src.taker != 0, Version: src.Version,
	}, nil
}

// origin gives what became of the origin of an own copy.
func (k shelf[P]) origin(ctx context.Context, q *session, v shop.Viewer, id int64, version int) (c shop.Change, err error) {
	rec, err := k.get(ctx, q, v, id, 0)
	switch {
	case err != nil:
		return c, err
	case !v.MayChange(rec.Record) || rec.Origin.ID == 0:
		return c, fault.New(fault.NotFound, "%s is no copy of yours", *k.name(&rec.profile)).In(k.noun).Hint("/%s adopt makes one of what others share", k.noun)
	}
	st := k.origins(v, "g.version, n.number, n.profile", "AND r.id = ? AND n.number IN (CASE WHEN ? = 0 THEN g.version ELSE ? END, r.origin_version)", id, version, version)
	err = q.each(ctx, st, func(scan func(...any) error) error {
		var number int
		var profile string
		if err := scan(&c.Newest, &number, &profile); err != nil {
			return err
		}
		c.Reach = true
		if number == rec.Origin.Version {
			c.Was = []byte(profile)
		}
		if number == version || version == 0 && number == c.Newest {
			c.Version, c.Now = number, []byte(profile)
		}
		return nil
	})
	switch {
	case err != nil:
		return c, fmt.Errorf("read the origin of a %s: %w", k.table, err)
	case c.Reach && (c.Now == nil || c.Was == nil):
		return c, k.missing()
	}
	return c, nil
}

// follow takes note that a copy knows a version of its origin.
func (k shelf[P]) follow(ctx context.Context, t *txn, st shop.Stamp, most Limits, id int64, base, version int, profile []byte) error {
	rec, err := k.get(ctx, &t.session, st.By, id, 0)
	if err != nil {
		return err
	}
	c, err := k.origin(ctx, &t.session, st.By, id, version)
	switch {
	case err != nil:
		return err
	case !c.Reach || version <= rec.Origin.Version:
		return fault.New(fault.NotFound, "there is no change of the origin of %s to take any more", *k.name(&rec.profile)).
			In(k.noun).Hint("/%s show tells how it stands", k.noun)
	}
	set := "origin_left = ?"
	if profile != nil {
		var p P
		if err := json.Unmarshal(profile, &p); err != nil {
			return fmt.Errorf("profile of what a %s takes over: %w", k.table, err)
		}
		if _, err := k.edit(ctx, t, st, most, id, base, p); err != nil {
			return err
		}
		set = "origin_version = ?"
	}
	if _, err := t.exec(ctx, k.change(st.By, set, []any{version}, "AND id = ?", id)); err != nil {
		return fmt.Errorf("note the origin's version: %w", err)
	}
	return nil
}

// Adopt fills shop.Adopting, as do the methods below.
func (s *Store) Adopt(ctx context.Context, st shop.Stamp, word shop.Kind, from shop.Source, name string) (id int64, err error) {
	return s.onShelf(ctx, st, word, func(t *txn, k shelving) (int64, error) {
		return k.adopt(ctx, t, st, s.cfg.Limits, from, name)
	})
}

// Follow takes note that a copy knows a version of its origin.
func (s *Store) Follow(ctx context.Context, st shop.Stamp, word shop.Kind, id int64, base, version int, profile []byte) error {
	if version < 1 {
		return errors.New("an origin without its version")
	}
	_, err := s.onShelf(ctx, st, word, func(t *txn, k shelving) (int64, error) {
		return id, k.follow(ctx, t, st, s.cfg.Limits, id, base, version, profile)
	})
	return err
}

func (s *Store) onShelf(ctx context.Context, st shop.Stamp, word shop.Kind, do func(*txn, shelving) (int64, error)) (id int64, err error) {
	k, err := shelfNamed(word)
	if err != nil {
		return 0, err
	}
	err = s.write(ctx, st, func(t *txn) error {
		id, err = do(t, k)
		return err
	})
	return kept(id, err)
}

// Look gives what a source leads to.
func (s *Store) Look(ctx context.Context, v shop.Viewer, word shop.Kind, from shop.Source) (seen shop.Sight, err error) {
	k, err := shelfNamed(word)
	if err != nil {
		return shop.Sight{}, err
	}
	err = s.snapshot(ctx, func(q *session) error {
		seen, err = k.look(ctx, q, v, from)
		return err
	})
	return kept(seen, err)
}

// Changed gives the viewer's copies whose origin has moved on.
func (s *Store) Changed(ctx context.Context, v shop.Viewer, word shop.Kind) (map[int64]int, error) {
	k, err := kindNamed(word)
	if err != nil {
		return nil, err
	}
	all := map[int64]int{}
	st := k.origins(v, "r.id, g.version", "AND n.number = g.version AND g.version > r.origin_version AND g.version > r.origin_left")
	err = s.reading().each(ctx, st, func(scan func(...any) error) error {
		var id int64
		var version int
		err := scan(&id, &version)
		all[id] = version
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list changed origins: %w", err)
	}
	return all, nil
}

// Change gives the origin of an own copy at two versions.
func (s *Store) Change(ctx context.Context, v shop.Viewer, word shop.Kind, id int64, version int) (c shop.Change, err error) {
	k, err := shelfNamed(word)
	if err != nil {
		return shop.Change{}, err
	}
	err = s.snapshot(ctx, func(q *session) error {
		c, err = k.origin(ctx, q, v, id, version)
		return err
	})
	return kept(c, err)
}
