package store

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// StartPour fills shop.Pours, as do the methods below and in curelogs.go;
// pourlog.go fills shop.PourLog.
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
		for _, f := range p.InMolds() {
			if f.Mold == 0 {
				continue
			}
			if _, err := moldShelf.get(ctx, &t.session, st.By, f.Mold, 0); err != nil {
				return err
			}
		}
		insert := pours.insert(st.By, "shared, material, material_version, mold, state, plan, coats_on, created_at",
			flag(p.Shared), p.MaterialID, p.MaterialVersion, known(p.MoldID), string(shop.PourRunning), string(plan), min(p.Coats, 1), millis(st.At))
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
			In("pour").Hint("say /pour done or /pour cancel of old ones; /pour list shows them")
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
	"coalesce(r.material, 0), r.material_version, coalesce(r.mold, 0), r.state, r.coats_on, coalesce(r.coat_at, 0), r.good, r.spoiled, r.plan"

// readPour scans pourColumns.
func readPour(scan func(...any) error) (p shop.Pour, err error) {
	var created, ended, coat int64
	var plan string
	err = scan(&p.ID, &p.Owner, &p.OwnerOf, &p.Shared, &p.Shop, &created, &ended,
		&p.MaterialID, &p.MaterialVersion, &p.MoldID, &p.State, &p.CoatsOn, &coat, &p.Good, &p.Spoiled, &plan)
	if err != nil {
		return p, fmt.Errorf("scan pour: %w", err)
	}
	p.Version, p.Created, p.Edited, p.Started = 1, instant(created), instant(created), instant(created)
	p.Ended, p.CoatAt = sometime(ended), sometime(coat)
	if ended != 0 {
		p.Edited = p.Ended
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

// Running lists what is in a mold. The states are in the text for the sake of
// the indexes over them.
func (s *Store) Running(ctx context.Context, v shop.Viewer, most int) (all []shop.Pour, err error) {
	st := pours.seen(v, pourColumns, "AND r.state IN ('running', 'ready') ORDER BY r.created_at DESC, r.id DESC LIMIT ?", most)
	err = s.reading().each(ctx, st, func(scan func(...any) error) error {
		p, err := readPour(scan)
		all = append(all, p)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list running pours: %w", err)
	}
	slices.Reverse(all)
	return all, nil
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
	if p.Answers, err = q.answersTo(ctx, v, id); err != nil {
		return p, err
	}
	p.Log, err = q.logOf(ctx, v, id)
	return p, err
}

// ownPour finds a pour that is the viewer's to change.
func (t *txn) ownPour(ctx context.Context, v shop.Viewer, id int64) (shop.Pour, error) {
	p, err := t.pour(ctx, v, id)
	if err == nil && !v.MayChange(p.Record) {
		err = fault.New(fault.NotAllowed, "that pour belongs to %s, and only its owner can change it", p.OwnerOf).
			In("pour").Hint("/pour list shows yours")
	}
	return p, err
}

// myPour finds an own pour that was not canceled.
func (t *txn) myPour(ctx context.Context, v shop.Viewer, id int64) (shop.Pour, error) {
	p, err := t.ownPour(ctx, v, id)
	if err == nil && p.State == shop.PourCanceled {
		err = fault.New(fault.NotAllowed, "that pour was canceled").In("pour").
			Hint("/pour undo within ten minutes brings it back; /pour start begins another")
	}
	return p, err
}
