package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// AddDue fills shop.Dues, as do the methods below.
func (s *Store) AddDue(ctx context.Context, st shop.Stamp, d shop.Due) (added shop.Due, err error) {
	if err := fits("about", "text", d.About, maxAbout); err != nil {
		return shop.Due{}, err
	}
	plan, err := json.Marshal(d.DuePlan)
	switch {
	case err != nil:
		return shop.Due{}, fmt.Errorf("encode a due's plan: %w", err)
	case len(plan) > maxPlan:
		return shop.Due{}, fmt.Errorf("a due's plan of %d bytes, at most %d", len(plan), maxPlan)
	}
	space, _, ok := strings.Cut(st.By.Member.Key, ":")
	if !ok {
		return shop.Due{}, fmt.Errorf("member %d has the key %.80q, without a name space", st.By.Member.ID, st.By.Member.Key)
	}
	err = s.write(ctx, st, func(t *txn) error {
		if err := t.roomForDue(ctx, st.By, s.cfg.Limits); err != nil {
			return err
		}
		if d.Pour != 0 {
			if _, err := t.myPour(ctx, st.By, d.Pour); err != nil {
				return err
			}
		}
		insert := dues.insert(st.By, "shared, space, of_pour, state, at, next_at, calls, plan, created_at, edited_at",
			0, space, known(d.Pour), string(shop.DuePending), millis(d.At), millis(d.At), 0, string(plan), millis(st.At), millis(st.At))
		var id int64
		if _, err := t.one(ctx, insert, &id); err != nil {
			return fmt.Errorf("add due: %w", err)
		}
		t.rings = true
		added, err = t.due(ctx, st.By, id)
		return err
	})
	return kept(added, err)
}

// roomForDue refuses one more to come past the limit and lets the oldest ended
// ones go.
func (t *txn) roomForDue(ctx context.Context, v shop.Viewer, most Limits) error {
	var coming int
	_, err := t.one(ctx, dues.heldBare(v, "count(*)", "AND r.next_at IS NOT NULL"), &coming)
	switch {
	case err != nil:
		return fmt.Errorf("count dues: %w", err)
	case coming >= most.Dues:
		return fault.New(fault.LimitReached, "you have %d reminders to come, which is the most", coming).
			In("about").Hint("cancel those you no longer need; /due list shows them")
	}
	_, err = t.exec(ctx, dues.forget(v, "AND next_at IS NULL AND id NOT IN (SELECT id FROM "+dues.table+
		" WHERE owner = ? AND next_at IS NULL ORDER BY id DESC LIMIT ?)", int64(v.Member.ID), most.PastDues))
	if err != nil {
		return fmt.Errorf("forget old dues: %w", err)
	}
	return nil
}

const dueColumns = "r.id, r.owner, o.name, r.shop, r.created_at, r.edited_at, coalesce(r.of_pour, 0), r.state, r.at, r.calls, coalesce(r.missed_at, 0), r.plan"

// readDue scans dueColumns, and more behind them.
func readDue(scan func(...any) error, more ...any) (d shop.Due, err error) {
	var created, edited, at, missed int64
	var plan string
	into := append([]any{&d.ID, &d.Owner, &d.OwnerOf, &d.Shop, &created, &edited, &d.Pour, &d.State, &at, &d.Count, &missed, &plan}, more...)
	if err := scan(into...); err != nil {
		return d, fmt.Errorf("scan due: %w", err)
	}
	d.Version, d.Created, d.Edited, d.At, d.Missed = 1, instant(created), instant(edited), instant(at), sometime(missed)
	if err := json.Unmarshal([]byte(plan), &d.DuePlan); err != nil {
		return d, fmt.Errorf("plan of due %d: %w", d.ID, err)
	}
	return d, nil
}

// Dues lists the viewer's own.
func (s *Store) Dues(ctx context.Context, v shop.Viewer, most int) (all []shop.Due, err error) {
	st := dues.seen(v, dueColumns, "AND r.owner = ? AND (r.next_at IS NOT NULL OR r.missed_at IS NOT NULL) ORDER BY r.at, r.id LIMIT ?",
		int64(v.Member.ID), most)
	err = s.reading().each(ctx, st, func(scan func(...any) error) error {
		d, err := readDue(scan)
		all = append(all, d)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list dues: %w", err)
	}
	return all, nil
}

// Due gives one by id.
func (s *Store) Due(ctx context.Context, v shop.Viewer, id int64) (shop.Due, error) {
	return s.reading().due(ctx, v, id)
}

func (q *session) due(ctx context.Context, v shop.Viewer, id int64) (d shop.Due, err error) {
	found := false
	err = q.each(ctx, dues.seen(v, dueColumns, "AND r.id = ?", id), func(scan func(...any) error) (err error) {
		d, err = readDue(scan)
		found = true
		return err
	})
	switch {
	case err != nil:
		return d, fmt.Errorf("get due: %w", err)
	case !found:
		return d, fault.New(fault.NotFound, "that reminder is not here").In("due").Hint("/due list shows yours")
	}
	return d, nil
}

// changeDue carries out a change of an own one and gives what became of it.
func (s *Store) changeDue(ctx context.Context, st shop.Stamp, id int64, set func(shop.Due) (dueChange, error)) (d shop.Due, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		before, err := t.due(ctx, st.By, id)
		if err != nil {
			return err
		}
		to, err := set(before)
		if err != nil {
			return err
		}
		var next, missed any
		if to.state == shop.DuePending {
			next = millis(to.at)
		}
		if !to.missed.IsZero() {
			missed = millis(to.missed)
		}
		// Whoever holds a claim loses it: what was changed is not as claimed.
		n, err := t.exec(ctx, dues.change(st.By, "state = ?, at = ?, next_at = ?, missed_at = ?, token = NULL, delivery = NULL, edited_at = ?",
			[]any{string(to.state), millis(to.at), next, missed, millis(st.At)}, "AND id = ?", id))
		switch {
		case err != nil:
			return fmt.Errorf("change due: %w", err)
		case n != 1:
			return errors.New("a due went away while it was changed")
		}
		t.rings = true
		d, err = t.due(ctx, st.By, id)
		return err
	})
	return kept(d, err)
}

// dueChange is where a change takes a due.
type dueChange struct {
	state  shop.DueState
	at     time.Time
	missed time.Time
}

// SnoozeDue puts the next call off.
func (s *Store) SnoozeDue(ctx context.Context, st shop.Stamp, id int64, until time.Time) (shop.Due, error) {
	return s.changeDue(ctx, st, id, func(d shop.Due) (dueChange, error) {
		if d.State == shop.DueCanceled {
			return dueChange{}, fault.New(fault.NotAllowed, "that reminder was canceled").In("due").Hint("/due add makes another")
		}
		return dueChange{state: shop.DuePending, at: until}, nil
	})
}

// CancelDue ends it.
func (s *Store) CancelDue(ctx context.Context, st shop.Stamp, id int64) (shop.Due, error) {
	return s.changeDue(ctx, st, id, func(d shop.Due) (dueChange, error) {
		if d.State == shop.DueCanceled {
			return dueChange{}, fault.New(fault.NotAllowed, "that reminder was canceled before").In("due").Hint("/due list shows yours")
		}
		return dueChange{state: shop.DueCanceled, at: d.At}, nil
	})
}

// DoneDue takes note of it.
func (s *Store) DoneDue(ctx context.Context, st shop.Stamp, id int64) (shop.Due, error) {
	return s.changeDue(ctx, st, id, func(d shop.Due) (dueChange, error) {
		to := dueChange{state: d.State, at: d.At}
		switch coming := d.State == shop.DuePending || d.State == shop.DueClaimed; {
		case coming && d.Every != (shop.Every{}):
			to.state, to.at = shop.DuePending, d.At
			if next := d.Every.Next(d.First, st.At, shop.ZoneNamed(d.Zone)); d.Count > 0 && d.At.Before(next) {
				to.at = next // a snoozed call is taken care of
			}
		case coming && d.Count == 0:
			to.state = shop.DueCanceled
		case coming, d.State == shop.DueFailed:
			to.state = shop.DueSent
		}
		return to, nil
	})
}

// TellMissed gives what was missed and not told in an answer yet, and counts it
// as told. Nearly always there is none, so a reader looks first.
func (s *Store) TellMissed(ctx context.Context, st shop.Stamp, most int) (missed []shop.Due, err error) {
	const untold = "AND r.owner = ? AND r.missed_at IS NOT NULL AND r.told_at IS NULL"
	me := int64(st.By.Member.ID)
	some, err := s.reading().one(ctx, dues.seen(st.By, "r.id", untold+" LIMIT 1", me), new(int64))
	if err != nil || !some {
		return nil, err
	}
	// The stamp's interaction may have written already: telling is no answer in
	// itself.
	err = s.within(ctx, func(t *txn) error {
		err := t.each(ctx, dues.seen(st.By, dueColumns, untold+" ORDER BY r.missed_at, r.id LIMIT ?", me, most), func(scan func(...any) error) error {
			d, err := readDue(scan)
			missed = append(missed, d)
			return err
		})
		if err != nil {
			return err
		}
		for _, d := range missed {
			if _, err := t.exec(ctx, dues.change(st.By, "told_at = ?", []any{millis(st.At)}, "AND id = ?", d.ID)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("tell what was missed: %w", err)
	}
	return missed, nil
}
