package store

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file keeps records of any kind; materials.go and molds.go give it their
// profiles. A profile is P: a plain struct whose JSON form is what is stored.

// stored is a record with its profile.
type stored[P any] struct {
	shop.Record
	profile P
}

// shelf is a kind of record with the profiles that stand on it, and what the
// store itself reads of one.
type shelf[P any] struct {
	kind
	name   func(*P) *string
	family func(*P) string
	// fresh makes a profile that was adopted the adopter's own: what happened
	// to the origin did not happen to the copy. It may be nil.
	fresh func(*P)
}

const recordColumns = "r.id, r.owner, o.name, r.shared, r.shop, r.created_at, r.edited_at, n.number, n.profile, " +
	"r.shared = 1 AND coalesce(r.hidden_in, 0) = r.shop, r.hidden_why, r.shared = 1 AND coalesce(r.pinned_in, 0) = r.shop, " +
	"coalesce(r.origin, 0), r.origin_version, r.origin_left, coalesce((SELECT name FROM member WHERE id = r.origin_by), ''), " +
	"coalesce(r.first, 0), coalesce((SELECT name FROM member WHERE id = r.first_by), '')"

// read scans recordColumns, and what columns follow them into more.
func read[P any](scan func(...any) error, more ...any) (rec stored[P], err error) {
	var created, edited int64
	var profile string
	from := &rec.Origin
	err = scan(append([]any{&rec.ID, &rec.Owner, &rec.OwnerOf, &rec.Shared, &rec.Shop, &created, &edited, &rec.Version, &profile,
		&rec.Hidden, &rec.Why, &rec.Pinned, &from.ID, &from.Version, &from.Left, &from.By, &from.First, &from.FirstBy}, more...)...)
	if err != nil {
		return rec, fmt.Errorf("scan record: %w", err)
	}
	rec.Created, rec.Edited = instant(created), instant(edited)
	if !rec.Hidden {
		rec.Why = "" // it is kept for when the record comes back, but says nothing now
	}
	if err := json.Unmarshal([]byte(profile), &rec.profile); err != nil {
		return rec, fmt.Errorf("profile of record %d version %d: %w", rec.ID, rec.Version, err)
	}
	return rec, nil
}

// ordered puts first what is pinned in the viewer's shop, then the viewer's
// own, then goes by name without case. The id makes the order of equal names
// the same each time.
func ordered(v shop.Viewer) (text string, args []any) {
	return "ORDER BY CASE WHEN r.shared = 1 AND r.shop = ? AND coalesce(r.pinned_in, 0) = r.shop THEN 0 WHEN r.owner = ? THEN 1 ELSE 2 END, r.name_key, r.id",
		[]any{int64(v.Shop.ID), int64(v.Member.ID)}
}

// list gives the newest version of all that the viewer may see.
func (k shelf[P]) list(ctx context.Context, q *session, v shop.Viewer) ([]stored[P], error) {
	var all []stored[P]
	order, by := ordered(v)
	st := k.seenVersions(v, recordColumns, "AND n.number = r.version "+order, by...)
	err := q.each(ctx, st, func(scan func(...any) error) error {
		rec, err := read[P](scan)
		all = append(all, rec)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list %s: %w", k.table, err)
	}
	return all, nil
}

// entries gives the same without the profiles.
func (k kind) entries(ctx context.Context, q *session, v shop.Viewer) ([]shop.Entry, error) {
	var all []shop.Entry
	order, by := ordered(v)
	st := k.seen(v, "r.id, r.name, r.family, r.owner, o.name", order, by...)
	err := q.each(ctx, st, func(scan func(...any) error) error {
		var e shop.Entry
		err := scan(&e.ID, &e.Name, &e.Family, &e.Owner, &e.OwnerOf)
		all = append(all, e)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list names of %s: %w", k.table, err)
	}
	return all, nil
}

// get gives one version of a record in sight; 0 is the newest.
func (k shelf[P]) get(ctx context.Context, q *session, v shop.Viewer, id int64, version int) (rec stored[P], err error) {
	which, args := "AND r.id = ? AND n.number = r.version", []any{id}
	if version != 0 {
		which, args = "AND r.id = ? AND n.number = ?", []any{id, version}
	}
	found := false
	err = q.each(ctx, k.seenVersions(v, recordColumns, which, args...), func(scan func(...any) error) (err error) {
		rec, err = read[P](scan)
		found = true
		return err
	})
	switch {
	case err != nil:
		return stored[P]{}, fmt.Errorf("get %s: %w", k.table, err)
	case !found:
		return stored[P]{}, k.missing()
	}
	return rec, nil
}

// missing is said of what is gone and of what is out of sight alike: nobody
// learns what others keep for themselves.
func (k kind) missing() error {
	return fault.New(fault.NotFound, "that %s, or that version of it, is not here", k.noun).
		In(k.noun).Hint("see what there is with %s", k.offering)
}

// add stores version 1 of a new record.
func (k shelf[P]) add(ctx context.Context, t *txn, st shop.Stamp, most Limits, p P, shared bool) (rec stored[P], err error) {
	name, profile, err := k.encode(&p)
	if err != nil {
		return rec, err
	}
	if err := k.room(ctx, t, st.By, most, shared); err != nil {
		return rec, err
	}
	id, err := k.put(ctx, t, st, name, k.family(&p), profile, shared)
	if err != nil {
		return rec, err
	}
	return k.get(ctx, &t.session, st.By, id, 0)
}

// put inserts a new record and its version 1, for which there is room.
func (k kind) put(ctx context.Context, t *txn, st shop.Stamp, name, family, profile string, shared bool) (id int64, err error) {
	if err := k.distinct(ctx, t, st.By, name, 0); err != nil {
		return 0, err
	}
	at := millis(st.At)
	insert := k.insert(st.By, "shared, version, name, name_key, family, created_at, edited_at",
		flag(shared), 1, name, shop.NameKey(name), family, at, at)
	if _, err := t.one(ctx, insert, &id); err != nil {
		return 0, fmt.Errorf("add %s: %w", k.table, k.taken(name, err))
	}
	if _, err := t.exec(ctx, k.insertVersion(st.By, id, 1, at, profile)); err != nil {
		return 0, fmt.Errorf("add version of %s: %w", k.table, err)
	}
	return id, nil
}

// edit stores a new version of an own record.
func (k shelf[P]) edit(ctx context.Context, t *txn, st shop.Stamp, most Limits, id int64, base int, p P) (rec stored[P], err error) {
	name, profile, err := k.encode(&p)
	if err != nil {
		return rec, err
	}
	old, err := k.mine(ctx, t, st.By, id)
	if err != nil {
		return rec, err
	}
	if old.version != base {
		return rec, k.stale(old.name)
	}
	if err := k.roomForVersion(ctx, t, st.By, most, old); err != nil {
		return rec, err
	}
	if err := k.distinct(ctx, t, st.By, name, id); err != nil {
		return rec, err
	}
	at := millis(st.At)
	change := k.change(st.By, "version = ?, name = ?, name_key = ?, family = ?, edited_at = ?",
		[]any{base + 1, name, shop.NameKey(name), k.family(&p), at}, "AND id = ? AND version = ?", id, base)
	switch n, err := t.exec(ctx, change); {
	case err != nil:
		return rec, fmt.Errorf("edit %s: %w", k.table, k.taken(name, err))
	case n == 0: // another edit came between, where the database lets it
		return rec, k.stale(old.name)
	}
	if _, err := t.exec(ctx, k.insertVersion(st.By, id, base+1, at, profile)); err != nil {
		return rec, fmt.Errorf("add version of %s: %w", k.table, err)
	}
	return k.get(ctx, &t.session, st.By, id, 0)
}

// stale is said to who edits an older version than the newest.
func (k kind) stale(name string) error {
	return fault.New(fault.NotAllowed, "%s was changed while you worked on it", name).
		In(k.noun).Hint("look at it as it is now and make your change again")
}

// remove hides an own record and lets the oldest removed ones go for good.
func (k kind) remove(ctx context.Context, t *txn, st shop.Stamp, most Limits, id int64) error {
	if _, err := k.mine(ctx, t, st.By, id); err != nil {
		return err
	}
	_, err := t.exec(ctx, k.change(st.By, "removed_at = ?", []any{millis(st.At)}, "AND id = ?", id))
	if err != nil {
		return fmt.Errorf("remove %s: %w", k.table, err)
	}
	if err := t.revoke(ctx, k, st.By, id, "TRUE"); err != nil {
		return err
	}
	_, err = t.exec(ctx, k.forgetOldest(st.By, most.Removed))
	if err != nil {
		return fmt.Errorf("forget oldest removed %s: %w", k.table, err)
	}
	return nil
}

// history lists the versions of a record in sight, newest first.
func (k kind) history(ctx context.Context, q *session, v shop.Viewer, id int64) ([]shop.Version, error) {
	var all []shop.Version
	st := k.seenVersions(v, "n.number, n.at, o.name", "AND r.id = ? ORDER BY n.number DESC", id)
	err := q.each(ctx, st, func(scan func(...any) error) error {
		var ver shop.Version
		var at int64
		err := scan(&ver.Number, &at, &ver.By)
		ver.At = instant(at)
		all = append(all, ver)
		return err
	})
	switch {
	case err != nil:
		return nil, fmt.Errorf("history of %s: %w", k.table, err)
	case len(all) == 0:
		return nil, k.missing()
	}
	return all, nil
}

// encode tidies a profile's name and gives the profile as it is stored.
func (k shelf[P]) encode(p *P) (name, profile string, err error) {
	at := k.name(p)
	if *at, err = tidyName("name", k.noun, *at); err != nil {
		return "", "", err
	}
	text, err := json.Marshal(p)
	if err != nil {
		return "", "", fmt.Errorf("encode %s: %w", k.noun, err)
	}
	if len(text) > maxProfile {
		return "", "", fault.New(fault.OutOfRange, "the texts of this %s are too long to keep together", k.noun).
			In("notes").Hint("shorten the notes to about 2000 characters")
	}
	return *at, string(text), nil
}

// flag is a truth as it is stored.
func flag(b bool) int {
	if b {
		return 1
	}
	return 0
}
