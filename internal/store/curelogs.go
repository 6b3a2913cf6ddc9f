package store

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// answersTo lists what a viewer may see of what was found at a pour.
func (q *session) answersTo(ctx context.Context, v shop.Viewer, pour int64) (all []shop.Answer, err error) {
	st := answers.seen(v, "coalesce(r.ready_by, 0), coalesce(r.soft_at, 0), r.created_at, r.shared",
		"AND r.pour = ? ORDER BY r.created_at, r.id", pour)
	err = q.each(ctx, st, func(scan func(...any) error) error {
		var a shop.Answer
		var at int64
		err := scan(&a.ReadyBy, &a.SoftAt, &at, &a.Shared)
		a.At = instant(at)
		all = append(all, a)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list answers to a pour: %w", err)
	}
	return all, nil
}

// AnswerPour keeps what was found at a pour.
func (s *Store) AnswerPour(ctx context.Context, st shop.Stamp, id int64, ready, shared bool) (p shop.Pour, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		before, err := t.myPour(ctx, st.By, id)
		if err != nil {
			return err
		}
		switch {
		case before.State != shop.PourReady:
			err = t.answer(ctx, st, before, ready, s.cfg.Limits.Answers)
		case !ready || !shared:
			err = fault.New(fault.NotAllowed, "that pour was found ready already").In("pour").
				Hint("/pour undo takes the last answer back within ten minutes; /pour start begins the next pour")
		}
		if err != nil {
			return err
		}
		if shared {
			if _, err := t.exec(ctx, answers.change(st.By, "shared = 1", nil, "AND pour = ?", id)); err != nil {
				return fmt.Errorf("share answers: %w", err)
			}
		}
		p, err = t.pour(ctx, st.By, id)
		return err
	})
	return kept(p, err)
}

// answer adds one to a running pour.
func (t *txn) answer(ctx context.Context, st shop.Stamp, p shop.Pour, ready bool, most int) error {
	after := st.At.Sub(p.Started).Seconds()
	switch {
	case after < 1:
		return fault.New(fault.BadTime, "that pour has only just begun").In("pour").Hint("answer once you have looked at it")
	case len(p.Answers) >= most:
		return fault.New(fault.LimitReached, "that pour has %d answers, which is the most", len(p.Answers)).
			In("pour").Hint("say /pour ready once it is, or /pour cancel")
	}
	var readyBy, softAt any = nil, after
	if ready {
		readyBy, softAt = after, nil
	}
	insert := answers.insert(st.By, "shared, pour, ready_by, soft_at, created_at", 0, p.ID, readyBy, softAt, millis(st.At))
	var id int64
	if _, err := t.one(ctx, insert, &id); err != nil {
		return fmt.Errorf("keep answer: %w", err)
	}
	if !ready {
		return nil
	}
	return t.setState(ctx, st, p.ID, shop.PourReady)
}

// TakeBack removes the member's last answer.
func (s *Store) TakeBack(ctx context.Context, st shop.Stamp, id int64) (p shop.Pour, a shop.Answer, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		which, args := "", []any{int64(st.By.Member.ID), millis(st.At.Add(-shop.TakeBackTime))}
		if id != 0 {
			which, args = "AND r.pour = ? ", append(args, id)
		}
		var log, pour, at int64
		found, err := t.one(ctx, answers.seen(st.By, "r.id, r.pour, coalesce(r.ready_by, 0), coalesce(r.soft_at, 0), r.created_at, r.shared",
			"AND r.owner = ? AND r.created_at >= ? "+which+"ORDER BY r.created_at DESC, r.id DESC LIMIT 1", args...),
			&log, &pour, &a.ReadyBy, &a.SoftAt, &at, &a.Shared)
		switch {
		case err != nil:
			return fmt.Errorf("find the last answer: %w", err)
		case !found:
			return fault.New(fault.NotFound, "there is no answer of the last ten minutes to take back").In("pour").
				Hint("/pour cancel takes a whole pour back, with all its answers")
		}
		a.At = instant(at)
		if _, err := t.exec(ctx, answers.change(st.By, "removed_at = ?", []any{millis(st.At)}, "AND id = ?", log)); err != nil {
			return fmt.Errorf("take answer back: %w", err)
		}
		if a.ReadyBy > 0 {
			if err := t.setState(ctx, st, pour, shop.PourRunning); err != nil {
				return err
			}
		}
		p, err = t.pour(ctx, st.By, pour)
		return err
	})
	if err != nil {
		return shop.Pour{}, shop.Answer{}, err
	}
	return p, a, nil
}

// CureLogs gives what teaches about a material.
func (s *Store) CureLogs(ctx context.Context, v shop.Viewer, material int64) (all []shop.CureLog, err error) {
	st := answers.seenWith(v, pours, "pour", "w.id, w.owner, w.material_version, w.plan, coalesce(r.ready_by, 0), coalesce(r.soft_at, 0)",
		"AND w.material = ? AND w.state <> ? ORDER BY r.created_at, r.id", material, string(shop.PourCanceled))
	err = s.reading().each(ctx, st, func(scan func(...any) error) error {
		var l shop.CureLog
		var plan string
		if err := scan(&l.Pour, &l.Owner, &l.MaterialVersion, &plan, &l.ReadyBy, &l.SoftAt); err != nil {
			return err
		}
		p, err := readPlan(l.Pour, plan)
		l.Physics = p.Foreseen.Physics
		all = append(all, l)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list what was learned: %w", err)
	}
	return all, nil
}
