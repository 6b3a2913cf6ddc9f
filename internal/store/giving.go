package store

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file is how a record changes hands: its owner offers it (sharing.go),
// and the one member it is offered to takes it over.

// takeOver makes the stamp's member the owner of what is offered to them.
func (k shelf[P]) takeOver(ctx context.Context, t *txn, st shop.Stamp, most Limits, code, name string) (int64, error) {
	src, err := k.find(ctx, &t.session, st.By, shop.Source{Code: code})
	switch {
	case err != nil:
		return 0, err
	case src.taker == 0:
		return 0, fault.New(fault.NotAllowed, "%s can be copied with that code, not taken over", *k.name(&src.profile)).In("code").
			Hint("/%s adopt with the code makes a copy of your own", k.noun)
	}
	if err := k.roomToTake(ctx, t, st.By, most, src.Version); err != nil {
		return 0, err
	}
	if err := k.moveParts(ctx, t, st.By, src.ID, most); err != nil {
		return 0, err
	}
	if err := k.moveRecord(ctx, t, st, most, src, name); err != nil {
		return 0, err
	}
	me := int64(st.By.Member.ID)
	if _, err := t.exec(ctx, plain("DELETE FROM share WHERE kind = ? AND record = ? AND taker IS NOT NULL", k.table, src.ID)); err != nil {
		return 0, fmt.Errorf("end an offer: %w", err)
	}
	if _, err := t.exec(ctx, plain("UPDATE share SET owner = ? WHERE kind = ? AND record = ?", me, k.table, src.ID)); err != nil {
		return 0, fmt.Errorf("hand a code over: %w", err)
	}
	return src.ID, nil
}

// moveParts hands over what belongs to a record: its versions, and a mold's
// log.
func (k shelf[P]) moveParts(ctx context.Context, t *txn, v shop.Viewer, id int64, most Limits) error {
	if _, err := t.exec(ctx, k.handOverParts(v, id, k.versions(), "record", "")); err != nil {
		return fmt.Errorf("hand over versions of %s: %w", k.table, err)
	}
	if k.table != molds.table {
		return nil
	}
	if _, err := t.exec(ctx, k.handOverParts(v, id, pulls.table, "mold", ", shop = ?", int64(v.Shop.ID))); err != nil {
		return fmt.Errorf("hand over the log of a mold: %w", err)
	}
	var marks int
	if _, err := t.one(ctx, pulls.heldBare(v, "count(*)", ""), &marks); err != nil {
		return fmt.Errorf("count marks: %w", err)
	}
	if marks > most.Pulls {
		return fault.New(fault.LimitReached, "with this mold your molds would have %d pulls and coats in their logs, and %d is the most", marks, most.Pulls).
			In("mold").Hint("/mold remove old molds: their logs go with them in time")
	}
	return nil
}

// moveRecord hands over the record itself. A new name is a version of its new
// owner's.
func (k shelf[P]) moveRecord(ctx context.Context, t *txn, st shop.Stamp, most Limits, src source[P], name string) error {
	p := src.profile
	old := *k.name(&p)
	if name == "" {
		name = old
	}
	*k.name(&p) = name
	name, profile, err := k.encode(&p)
	if err != nil {
		return err
	}
	set, values, version := "", []any{}, src.Version
	if !src.Shared { // nothing ties it to the shop of who made it any more
		set, values = ", shop = ?", []any{int64(st.By.Shop.ID)}
	}
	if name != old {
		if err := k.roomForVersion(ctx, t, st.By, most, ours{src.ID, old, version}); err != nil {
			return err
		}
		version++
		set += ", name = ?, name_key = ?, version = ?, edited_at = ?"
		values = append(values, name, shop.NameKey(name), version, millis(st.At))
	}
	switch n, err := t.exec(ctx, k.handOver(st.By, src.ID, set, values...)); {
	case err != nil:
		return fmt.Errorf("hand over %s: %w", k.table, k.taken(name, err))
	case n == 0:
		return k.deadCode()
	case version == src.Version:
		return nil
	}
	if _, err := t.exec(ctx, k.insertVersion(st.By, src.ID, version, millis(st.At), profile)); err != nil {
		return fmt.Errorf("add version of %s: %w", k.table, err)
	}
	return nil
}

// TakeOver makes the stamp's member the owner of what a code offers.
func (s *Store) TakeOver(ctx context.Context, st shop.Stamp, word shop.Kind, code, name string) (id int64, err error) {
	return s.onShelf(ctx, st, word, func(t *txn, k shelving) (int64, error) {
		return k.takeOver(ctx, t, st, s.cfg.Limits, code, name)
	})
}

// offersMost is how many offers are shown of one kind.
const offersMost = 20

// Offers lists what may be taken over, oldest first.
func (s *Store) Offers(ctx context.Context, v shop.Viewer, word shop.Kind) ([]shop.Sight, error) {
	k, err := kindNamed(word)
	if err != nil {
		return nil, err
	}
	var all []shop.Sight
	st := k.coded(v, "r.id, r.name, r.family, o.name, w.code, r.version", "AND w.taker = ? ORDER BY w.id LIMIT ?", int64(v.Member.ID), offersMost)
	err = s.reading().each(ctx, st, func(scan func(...any) error) error {
		seen := shop.Sight{Offer: true}
		err := scan(&seen.ID, &seen.Name, &seen.Family, &seen.OwnerOf, &seen.Code, &seen.Version)
		all = append(all, seen)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list offers: %w", err)
	}
	return all, nil
}
