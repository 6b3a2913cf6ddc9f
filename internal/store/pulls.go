package store

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/shop"
)

// pulls are the marks in the logs of molds.
var pulls = kind{table: "pull", noun: "mark", offering: "/mold show"}

const markColumns = "r.id, w.id, w.what, w.number, w.late, w.why, w.created_at"

// eachMark goes through the log of one mold in sight, or of all with mold 0.
func (q *session) eachMark(ctx context.Context, v shop.Viewer, mold int64, rest string, args []any, row func(mold, id int64, m shop.MoldMark)) error {
	if mold != 0 {
		rest, args = "AND r.id = ? "+rest, append([]any{mold}, args...)
	}
	err := q.each(ctx, molds.seenParts(v, pulls, "mold", markColumns, rest, args...), func(scan func(...any) error) error {
		var of, id, at int64
		var m shop.MoldMark
		if err := scan(&of, &id, &m.What, &m.Number, &m.Late, &m.Why, &at); err != nil {
			return err
		}
		m.At = instant(at)
		row(of, id, m)
		return nil
	})
	if err != nil {
		return fmt.Errorf("read the log of molds: %w", err)
	}
	return nil
}

// tallies adds up the log of one mold in sight, or of all with mold 0.
func (q *session) tallies(ctx context.Context, v shop.Viewer, mold int64) (map[int64]shop.MoldTally, error) {
	all := map[int64]shop.MoldTally{}
	err := q.eachMark(ctx, v, mold, "ORDER BY w.id", nil, func(of, _ int64, m shop.MoldMark) {
		t := all[of]
		switch m.What {
		case shop.MarkCoat:
			t.Coats++
			t.SinceCoat, t.CoatAt = 0, m.At
			all[of] = t
			return
		case shop.MarkGood:
			t.Good++
		default:
			t.Spoiled++
		}
		if m.Late {
			t.Late++
		}
		t.SinceCoat++
		t.LastLate = m.Late
		all[of] = t
	})
	return all, err
}

// PullMold fills shop.Pulls, as do the methods below.
func (s *Store) PullMold(ctx context.Context, st shop.Stamp, id int64, good bool, why string) (m shop.Mold, err error) {
	if err := fits("why", "reason", why, maxReason); err != nil {
		return shop.Mold{}, err
	}
	err = s.write(ctx, st, func(t *txn) error {
		if _, err := t.pull(ctx, st, id, good, why, s.cfg.Limits); err != nil {
			return err
		}
		m, err = t.mold(ctx, st.By, id, 0)
		return err
	})
	return kept(m, err)
}

// pull counts one and gives the number of its mark.
func (t *txn) pull(ctx context.Context, st shop.Stamp, id int64, good bool, why string, most Limits) (int64, error) {
	m, err := t.workingMold(ctx, st.By, id, most)
	if err != nil {
		return 0, err
	}
	mark := shop.MoldMark{What: shop.MarkSpoiled, Number: m.PullsSoFar() + 1, Why: why}
	if good {
		mark.What = shop.MarkGood
	}
	care := moldcare.Care{Pulls: m.PullsSoFar(), LastCoat: m.CoatedAt(), Every: m.ReleaseEvery}
	mark.Late = care.Late()
	return t.mark(ctx, st, id, mark)
}

// CoatMold keeps that a release coat was put on.
func (s *Store) CoatMold(ctx context.Context, st shop.Stamp, id int64) (m shop.Mold, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		m, err = t.workingMold(ctx, st.By, id, s.cfg.Limits)
		if err != nil {
			return err
		}
		if _, err := t.mark(ctx, st, id, shop.MoldMark{What: shop.MarkCoat, Number: m.PullsSoFar()}); err != nil {
			return err
		}
		m, err = t.mold(ctx, st.By, id, 0)
		return err
	})
	return kept(m, err)
}

// myMold finds a mold for a change.
func (t *txn) myMold(ctx context.Context, v shop.Viewer, id int64) (shop.Mold, error) {
	m, err := t.mold(ctx, v, id, 0)
	if err == nil && !v.MayChange(m.Record) {
		err = fault.New(fault.NotAllowed, "%s belongs to %s, and only its owner counts what is pulled from it", m.Name, m.OwnerOf).
			In("mold").Hint("tell %s, or add a mold of your own with /mold add", m.OwnerOf)
	}
	return m, err
}

// workingMold finds an own mold in use that has room in its owner's logs.
func (t *txn) workingMold(ctx context.Context, v shop.Viewer, id int64, most Limits) (shop.Mold, error) {
	m, err := t.myMold(ctx, v, id)
	if err != nil {
		return m, err
	}
	if m.Retired != "" {
		return m, fault.New(fault.NotAllowed, "%s is retired: %s", m.Name, m.Retired).In("mold").
			Hint("/mold edit with clear:retired puts it back in use")
	}
	if err := t.roomForMarks(ctx, v, most, 1); err != nil {
		return m, err
	}
	return m, nil
}

// mark adds to a log at the stamp's time and gives its number.
func (t *txn) mark(ctx context.Context, st shop.Stamp, mold int64, m shop.MoldMark) (id int64, err error) {
	m.At = st.At
	return t.insertMark(ctx, st.By, mold, m)
}

// insertMark writes one mark of an own mold and gives its number.
func (t *txn) insertMark(ctx context.Context, v shop.Viewer, mold int64, m shop.MoldMark) (id int64, err error) {
	insert := pulls.insert(v, "shared, mold, what, number, late, why, created_at",
		0, mold, m.What, m.Number, flag(m.Late), m.Why, millis(m.At))
	if _, err := t.one(ctx, insert, &id); err != nil {
		return 0, fmt.Errorf("keep a mark: %w", err)
	}
	return id, nil
}

// unmark takes a mark back that need not be the last: those after it move up.
// One that was taken back before stays so.
func (t *txn) unmark(ctx context.Context, st shop.Stamp, id int64) error {
	var mold int64
	found, err := t.one(ctx, pulls.seen(st.By, "r.mold", "AND r.owner = ? AND r.id = ?", int64(st.By.Member.ID), id), &mold)
	if err != nil || !found {
		return err
	}
	if _, err := t.exec(ctx, pulls.change(st.By, "removed_at = ?", []any{millis(st.At)}, "AND id = ?", id)); err != nil {
		return fmt.Errorf("take a mark back: %w", err)
	}
	_, err = t.exec(ctx, pulls.change(st.By, "number = number - 1", nil, "AND mold = ? AND id > ?", mold, id))
	if err != nil {
		return fmt.Errorf("move marks up: %w", err)
	}
	return nil
}

// UndoMark takes the last mark back.
func (s *Store) UndoMark(ctx context.Context, st shop.Stamp, id int64) (m shop.Mold, last shop.MoldMark, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		if _, err := t.myMold(ctx, st.By, id); err != nil {
			return err
		}
		var which int64
		err := t.eachMark(ctx, st.By, id, "ORDER BY w.id DESC LIMIT 1", nil, func(_, mark int64, m shop.MoldMark) {
			which, last = mark, m
		})
		switch {
		case err != nil:
			return err
		case which == 0 || last.At.Before(st.At.Add(-shop.TakeBackTime)):
			return fault.New(fault.NotFound, "nothing was counted at that mold in the last ten minutes").In("mold").
				Hint("/mold edit with pulls sets the count right")
		}
		if _, err := t.exec(ctx, pulls.change(st.By, "removed_at = ?", []any{millis(st.At)}, "AND id = ?", which)); err != nil {
			return fmt.Errorf("take a mark back: %w", err)
		}
		m, err = t.mold(ctx, st.By, id, 0)
		return err
	})
	if err != nil {
		return shop.Mold{}, shop.MoldMark{}, err
	}
	return m, last, nil
}

// MoldMarks lists a log, newest first.
func (s *Store) MoldMarks(ctx context.Context, v shop.Viewer, id int64, most int) (all []shop.MoldMark, err error) {
	err = s.snapshot(ctx, func(q *session) error {
		if _, err := moldShelf.get(ctx, q, v, id, 0); err != nil {
			return err
		}
		return q.eachMark(ctx, v, id, "ORDER BY w.id DESC LIMIT ?", []any{most}, func(_, _ int64, m shop.MoldMark) {
			all = append(all, m)
		})
	})
	return kept(all, err)
}
