package store

import (
	"context"
	"fmt"
	"time"

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
func (s *Store) AnswerPour(ctx context.Context, st shop.Stamp, id int64, look shop.Look) (p shop.Pour, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		before, err := t.myPour(ctx, st.By, id)
		if err != nil {
			return err
		}
		earlier := before.State == shop.PourReady && look.Ready && !look.At.IsZero()
		switch {
		case before.State == shop.PourRunning || earlier:
			err = t.answered(ctx, st, before, look, s.cfg.Limits)
		case before.State != shop.PourReady || !look.Ready || !look.Shared:
			err = notRunning(before)
		}
		if err != nil {
			return err
		}
		if look.Shared {
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

// answered keeps an answer to a pour and what comes of it.
func (t *txn) answered(ctx context.Context, st shop.Stamp, p shop.Pour, look shop.Look, most Limits) (err error) {
	if len(p.Answers) >= most.Answers && p.State == shop.PourRunning {
		return fault.New(fault.LimitReached, "that pour has %d answers, which is the most", len(p.Answers)).
			In("pour").Hint("say /pour done once it is out, or /pour cancel")
	}
	d := before(p)
	seen := seenAt(st, look.At)
	if d.Answer, err = t.answer(ctx, st, p, look.Ready, seen); err != nil {
		return err
	}
	switch {
	case !look.Ready:
		return t.log(ctx, st, p.ID, shop.EventSoft, d, most)
	case p.State == shop.PourReady:
		if d.Answers, err = t.readier(ctx, st, p, d.Answer); err != nil {
			return err
		}
	}
	if d.Held, err = t.move(ctx, st, p, shop.PourReady, 0, 0, seen); err != nil {
		return err
	}
	return t.log(ctx, st, p.ID, shop.EventReady, d, most)
}

// readier puts an earlier "ready" in the place of the one that a pour has, and
// gives the number of that.
func (t *txn) readier(ctx context.Context, st shop.Stamp, p shop.Pour, earlier int64) (was []int64, err error) {
	shared := false
	me := int64(st.By.Member.ID)
	err = t.each(ctx, answers.seen(st.By, "r.id, r.shared", "AND r.owner = ? AND r.pour = ? AND r.ready_by IS NOT NULL AND r.id <> ? ORDER BY r.id", me, p.ID, earlier),
		func(scan func(...any) error) error {
			var id int64
			var told bool
			err := scan(&id, &told)
			was, shared = append(was, id), shared || told
			return err
		})
	for _, id := range was {
		if err == nil {
			_, err = t.exec(ctx, answers.change(st.By, "removed_at = ?", []any{millis(st.At)}, "AND id = ?", id))
		}
	}
	if err == nil && shared {
		_, err = t.exec(ctx, answers.change(st.By, "shared = 1", nil, "AND id = ?", earlier))
	}
	if err != nil {
		return nil, fmt.Errorf("put an earlier answer in the place of one: %w", err)
	}
	return was, nil
}

// seenAt is when something was seen that may be told later.
func seenAt(st shop.Stamp, at time.Time) time.Time {
	if at.IsZero() {
		return st.At
	}
	return at
}

// answer adds one to a pour and gives its number.
func (t *txn) answer(ctx context.Context, st shop.Stamp, p shop.Pour, ready bool, seen time.Time) (id int64, err error) {
	if err := canBeSeen(st, p, ready, seen); err != nil {
		return 0, err
	}
	after := seen.Sub(p.CoatedAt()).Seconds()
	var readyBy, softAt any = nil, after
	if ready {
		readyBy, softAt = after, nil
	}
	insert := answers.insert(st.By, "shared, pour, ready_by, soft_at, created_at", 0, p.ID, readyBy, softAt, millis(seen))
	if _, err := t.one(ctx, insert, &id); err != nil {
		return 0, fmt.Errorf("keep answer: %w", err)
	}
	return id, nil
}

// canBeSeen refuses what can't have been found then, by what else is known.
func canBeSeen(st shop.Stamp, p shop.Pour, ready bool, seen time.Time) error {
	after := seen.Sub(p.CoatedAt())
	switch {
	case after < time.Second && seen.Equal(st.At):
		return fault.New(fault.BadTime, "that pour has only just begun").In("pour").Hint("answer once you have looked at it")
	case after < time.Second:
		return fault.New(fault.BadTime, "that is before it was poured").In("at").Hint("/pour show says when it began")
	case seen.After(st.At):
		return fault.New(fault.BadTime, "that is still to come").In("at").Hint("say what you saw, and when")
	case !ready:
		return nil
	}
	for _, a := range p.Answers {
		switch {
		case a.SoftAt > 0 && a.SoftAt >= after.Seconds():
			return fault.New(fault.BadTime, "it was still soft then, by what you said before").In("at").
				Hint("give a later time; /pour undo takes the last answer back within ten minutes")
		case a.ReadyBy > 0 && a.ReadyBy <= after.Seconds():
			return fault.New(fault.BadTime, "it was found ready before that").In("at").
				Hint("only an earlier time tells more; /pour show says what is known")
		}
	}
	return nil
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
