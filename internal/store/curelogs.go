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
		case before.State == shop.PourRunning:
			err = t.answered(ctx, st, before, ready, s.cfg.Limits)
		case before.State != shop.PourReady || !ready || !shared:
			err = notRunning(before)
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

// notRunning refuses what only a running pour takes.
func notRunning(p shop.Pour) error {
	said := map[shop.PourState]string{shop.PourReady: "found ready already", shop.PourDone: "done before", shop.PourFailed: "given up before"}[p.State]
	return fault.New(fault.NotAllowed, "that pour was %s", said).In("pour").
		Hint("/pour undo takes the last answer back within ten minutes; /pour start begins the next pour")
}

// answered keeps an answer to a running pour and what comes of it.
func (t *txn) answered(ctx context.Context, st shop.Stamp, p shop.Pour, ready bool, most Limits) (err error) {
	if len(p.Answers) >= most.Answers {
		return fault.New(fault.LimitReached, "that pour has %d answers, which is the most", len(p.Answers)).
			In("pour").Hint("say /pour done once it is out, or /pour cancel")
	}
	d := detail{Was: p.State}
	if d.Answer, err = t.answer(ctx, st, p, ready); err != nil {
		return err
	}
	if !ready {
		return t.log(ctx, st, p.ID, shop.EventSoft, d, most)
	}
	if d.Held, err = t.move(ctx, st, p, shop.PourReady, 0, 0); err != nil {
		return err
	}
	return t.log(ctx, st, p.ID, shop.EventReady, d, most)
}

// answer adds one to a pour and gives its number.
func (t *txn) answer(ctx context.Context, st shop.Stamp, p shop.Pour, ready bool) (id int64, err error) {
	after := st.At.Sub(p.CoatedAt()).Seconds()
	if after < 1 {
		return 0, fault.New(fault.BadTime, "that pour has only just begun").In("pour").Hint("answer once you have looked at it")
	}
	var readyBy, softAt any = nil, after
	if ready {
		readyBy, softAt = after, nil
	}
	insert := answers.insert(st.By, "shared, pour, ready_by, soft_at, created_at", 0, p.ID, readyBy, softAt, millis(st.At))
	if _, err := t.one(ctx, insert, &id); err != nil {
		return 0, fmt.Errorf("keep answer: %w", err)
	}
	return id, nil
}

// CureLogs gives what teaches about a material.
func (s *Store) CureLogs(ctx context.Context, v shop.Viewer, material int64) (all []shop.CureLog, err error) {
	st := answers.seenWith(v, pours, "pour", "w.id, w.owner, w.material_version, w.plan, coalesce(r.ready_by, 0), coalesce(r.soft_at, 0)",
		"AND w.material = ? AND w.state NOT IN (?, ?) ORDER BY r.created_at, r.id", material, string(shop.PourCanceled), string(shop.PourFailed))
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
