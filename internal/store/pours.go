package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// StartPour fills shop.Pours, as do the methods below and in curelogs.go.
func (s *Store) StartPour(ctx context.Context, st shop.Stamp, p shop.Pour) (started shop.Pour, err error) {
	plan, err := json.Marshal(p.PourPlan)
	if err != nil {
		return shop.Pour{}, fmt.Errorf("encode pour: %w", err)
	}
	if len(plan) > maxPlan || keepable("", "plan", string(plan)) != nil {
		return shop.Pour{}, fmt.Errorf("a plan of %d bytes is not text of at most %d", len(plan), maxPlan)
	}
	err = s.write(ctx, st, func(t *txn) error {
		if err := t.roomForPour(ctx, st.By, s.cfg.Limits); err != nil {
			return err
		}
		if _, err := materialShelf.get(ctx, &t.session, st.By, p.MaterialID, p.MaterialVersion); err != nil {
			return err
		}
		var mold any
		if p.MoldID != 0 {
			if _, err := moldShelf.get(ctx, &t.session, st.By, p.MoldID, 0); err != nil {
				return err
			}
			mold = p.MoldID
		}
		insert := pours.insert(st.By, "shared, material, material_version, mold, state, plan, created_at",
			0, p.MaterialID, p.MaterialVersion, mold, string(shop.PourRunning), string(plan), millis(st.At))
		var id int64
		if _, err := t.one(ctx, insert, &id); err != nil {
			return fmt.Errorf("start pour: %w", err)
		}
		started, err = t.pour(ctx, st.By, id)
		return err
	})
	return kept(started, err)
}

// roomForPour refuses one more under way past the limit and lets the oldest
// ended ones go.
func (t *txn) roomForPour(ctx context.Context, v shop.Viewer, most Limits) error {
	var running int
	_, err := t.one(ctx, pours.heldBare(v, "count(*)", "AND r.state = ?", string(shop.PourRunning)), &running)
	switch {
	case err != nil:
		return fmt.Errorf("count pours: %w", err)
	case running >= most.Pours:
		return fault.New(fault.LimitReached, "you have %d pours under way, which is the most", running).
			In("pour").Hint("say /pour ready or /pour cancel of old ones; /pour list shows them")
	}
	_, err = t.exec(ctx, pours.forget(v, "AND state <> ? AND id NOT IN (SELECT id FROM "+pours.table+
		" WHERE owner = ? AND state <> ? ORDER BY created_at DESC, id DESC LIMIT ?)",
		string(shop.PourRunning), int64(v.Member.ID), string(shop.PourRunning), most.PastPours))
	if err != nil {
		return fmt.Errorf("forget old pours: %w", err)
	}
	return nil
}

const pourColumns = "r.id, r.owner, o.name, r.shared, r.shop, r.created_at, coalesce(r.ended_at, 0), " +
	"coalesce(r.material, 0), r.material_version, coalesce(r.mold, 0), r.state, r.plan"

// readPour scans pourColumns.
func readPour(scan func(...any) error) (p shop.Pour, err error) {
	var created, ended int64
	var plan string
	err = scan(&p.ID, &p.Owner, &p.OwnerOf, &p.Shared, &p.Shop, &created, &ended,
		&p.MaterialID, &p.MaterialVersion, &p.MoldID, &p.State, &plan)
	if err != nil {
		return p, fmt.Errorf("scan pour: %w", err)
	}
	p.Version, p.Created, p.Edited, p.Started = 1, instant(created), instant(created), instant(created)
	if ended != 0 {
		p.Ended, p.Edited = instant(ended), instant(ended)
	}
	p.PourPlan, err = readPlan(p.ID, plan)
	return p, err
}

func readPlan(pour int64, text string) (plan shop.PourPlan, err error) {
	if err := json.Unmarshal([]byte(text), &plan); err != nil {
		return plan, fmt.Errorf("plan of pour %d: %w", pour, err)
	}
	return plan, nil
}

// Pours lists the viewer's own.
func (s *Store) Pours(ctx context.Context, v shop.Viewer, most int) (all []shop.Pour, err error) {
	err = s.snapshot(ctx, func(q *session) error {
		st := pours.seen(v, pourColumns, "AND r.owner = ? ORDER BY CASE WHEN r.state = ? THEN 0 ELSE 1 END, r.created_at DESC, r.id DESC LIMIT ?",
			int64(v.Member.ID), string(shop.PourRunning), most)
		err := q.each(ctx, st, func(scan func(...any) error) error {
			p, err := readPour(scan)
			all = append(all, p)
			return err
		})
		if err != nil {
			return fmt.Errorf("list pours: %w", err)
		}
		for i := range all {
			if all[i].Answers, err = q.answersTo(ctx, v, all[i].ID); err != nil {
				return err
			}
		}
		return nil
	})
	return kept(all, err)
}

// Pour gives one by id.
func (s *Store) Pour(ctx context.Context, v shop.Viewer, id int64) (p shop.Pour, err error) {
	err = s.snapshot(ctx, func(q *session) error {
		p, err = q.pour(ctx, v, id)
		return err
	})
	return kept(p, err)
}

func (q *session) pour(ctx context.Context, v shop.Viewer, id int64) (p shop.Pour, err error) {
	found := false
	err = q.each(ctx, pours.seen(v, pourColumns, "AND r.id = ?", id), func(scan func(...any) error) (err error) {
		p, err = readPour(scan)
		found = true
		return err
	})
	switch {
	case err != nil:
		return p, fmt.Errorf("get pour: %w", err)
	case !found:
		return p, fault.New(fault.UnknownPour, "that pour is not here").In("pour").Hint("/pour list shows yours")
	}
	p.Answers, err = q.answersTo(ctx, v, id)
	return p, err
}

// myPour finds a pour for a change.
func (t *txn) myPour(ctx context.Context, v shop.Viewer, id int64) (shop.Pour, error) {
	p, err := t.pour(ctx, v, id)
	switch {
	case err != nil:
		return p, err
	case !v.MayChange(p.Record):
		return p, fault.New(fault.NotAllowed, "that pour belongs to %s, and only its owner can change it", p.OwnerOf).
			In("pour").Hint("/pour list shows yours")
	case p.State == shop.PourCanceled:
		return p, fault.New(fault.NotAllowed, "that pour was canceled").In("pour").Hint("/pour start begins another")
	}
	return p, nil
}

// CancelPour ends a pour that never happened.
func (s *Store) CancelPour(ctx context.Context, st shop.Stamp, id int64) (p shop.Pour, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		if _, err := t.myPour(ctx, st.By, id); err != nil {
			return err
		}
		if err := t.setState(ctx, st, id, shop.PourCanceled); err != nil {
			return err
		}
		_, err := t.exec(ctx, answers.change(st.By, "removed_at = ?", []any{millis(st.At)}, "AND pour = ?", id))
		if err != nil {
			return fmt.Errorf("take answers back: %w", err)
		}
		p, err = t.pour(ctx, st.By, id)
		return err
	})
	return kept(p, err)
}

// setState moves an own pour to another state.
func (t *txn) setState(ctx context.Context, st shop.Stamp, id int64, to shop.PourState) error {
	var ended any
	if to != shop.PourRunning {
		ended = millis(st.At)
	}
	if err := t.followPour(ctx, st, id, to); err != nil {
		return err
	}
	n, err := t.exec(ctx, pours.change(st.By, "state = ?, ended_at = ?", []any{string(to), ended}, "AND id = ?", id))
	switch {
	case err != nil:
		return fmt.Errorf("set state of pour: %w", err)
	case n != 1:
		return errors.New("a pour went away while it was changed")
	}
	return nil
}
