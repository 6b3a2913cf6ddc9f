package store

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// The rows that are over and old. Each text has one value, the time, but for
// oldMarks, which has it twice. They are looked for by the readers, and asked
// again when they go: what was taken up meanwhile stays.
const (
	oldPours = `removed_at IS NULL AND state IN ('done', 'failed', 'canceled') AND coalesce(ended_at, created_at) < ?
		AND NOT EXISTS (SELECT 1 FROM due d WHERE d.of_pour = pour.id AND (d.next_at IS NOT NULL OR d.missed_at IS NOT NULL AND d.told_at IS NULL))`
	// A pour teaches where an answer stands, its material does, and its forecast
	// had figures to go by; a quote in a text is written \", so the word is the
	// key of the plan.
	teaches = `state = 'done' AND material IS NOT NULL AND plan LIKE '%"physics":%' AND EXISTS (SELECT 1 FROM cure_log c WHERE c.pour = pour.id AND c.removed_at IS NULL)`

	oldDues         = "next_at IS NULL AND (missed_at IS NULL OR told_at IS NOT NULL) AND at < ? AND edited_at < ?"
	oldDeliveries   = "state <> 'sending' AND began_at < ?"
	oldLines        = "saved_at < ?"
	oldInteractions = "at < ?"
	oldMarks        = "(removed_at < ? OR why <> '' AND created_at < ?)"
)

// TidyUp fills shop.Tidying, as do the methods below.
func (s *Store) TidyUp(ctx context.Context, before, now time.Time, most int) (n shop.Tidied, err error) {
	find, err := s.reading().findOld(ctx, before, now, most)
	if err != nil || find.none() {
		return shop.Tidied{}, err
	}
	err = s.within(ctx, func(t *txn) error {
		n = shop.Tidied{}
		for _, p := range find.pours {
			if err := t.letPourGo(ctx, p, before, now, &n); err != nil {
				return err
			}
		}
		return t.letRestGo(ctx, find, before, now, &n)
	})
	return kept(n, err)
}

// oldPour is a finished pour that is to go, or to be reduced to its plan.
type oldPour struct {
	id   int64
	plan string // what stays of it, "" for nothing
}

// inShop is the key of a line.
type inShop struct {
	shop int64
	id   string
}

// found are the keys of rows that are to go.
type found struct {
	pours                   []oldPour
	dues, deliveries, marks []int64
	interactions            []int64 // members
	lines                   []inShop
}

func (f found) none() bool {
	return len(f.pours)+len(f.dues)+len(f.deliveries)+len(f.marks)+len(f.interactions)+len(f.lines) == 0
}

// findOld looks for rows of each kind, the oldest first.
func (q *session) findOld(ctx context.Context, before, now time.Time, most int) (f found, err error) {
	if f.pours, err = q.findPours(ctx, before, most); err != nil {
		return f, err
	}
	old := millis(before)
	ids := func(to *[]int64, text string, args ...any) {
		if err != nil {
			return
		}
		err = q.each(ctx, aging(text+" LIMIT ?", append(args, most)...), func(scan func(...any) error) error {
			var id int64
			err := scan(&id)
			*to = append(*to, id)
			return err
		})
	}
	ids(&f.dues, "SELECT id FROM due WHERE "+oldDues+" ORDER BY id", old, old)
	ids(&f.deliveries, "SELECT id FROM delivery WHERE "+oldDeliveries+" ORDER BY id", old)
	ids(&f.marks, "SELECT id FROM pull WHERE "+oldMarks+" ORDER BY id", old, old)
	ids(&f.interactions, "SELECT DISTINCT member FROM seen_interaction WHERE "+oldInteractions, millis(now.Add(-keepMarks)))
	if err != nil {
		return f, fmt.Errorf("look for what is old: %w", err)
	}
	err = q.each(ctx, aging("SELECT shop, id FROM line WHERE "+oldLines+" LIMIT ?", old, most), func(scan func(...any) error) error {
		var l inShop
		err := scan(&l.shop, &l.id)
		f.lines = append(f.lines, l)
		return err
	})
	if err != nil {
		return f, fmt.Errorf("look for old lines: %w", err)
	}
	return f, nil
}

func (q *session) findPours(ctx context.Context, before time.Time, most int) (all []oldPour, err error) {
	st := aging("SELECT id, plan, CASE WHEN "+teaches+" THEN 1 ELSE 0 END FROM pour WHERE "+oldPours+" ORDER BY id LIMIT ?", millis(before), most)
	err = q.each(ctx, st, func(scan func(...any) error) error {
		var p oldPour
		var text string
		var taught bool
		if err := scan(&p.id, &text, &taught); err != nil {
			return err
		}
		plan, err := readPlan(p.id, text)
		if err != nil {
			return err
		}
		if taught {
			p.plan, err = lesson(plan)
		}
		all = append(all, p)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("look for old pours: %w", err)
	}
	return all, nil
}

// lesson is what stays of a plan whose pour taught: what the answers are held
// against, and no word of anyone's.
func lesson(plan shop.PourPlan) (string, error) {
	text, err := json.Marshal(shop.PourPlan{Foreseen: shop.Foreseen{Physics: plan.Foreseen.Physics}})
	if err != nil {
		return "", fmt.Errorf("encode what a pour taught: %w", err)
	}
	return string(text), nil
}

// letPourGo drops a pour with all that hangs on it, or reduces it.
func (t *txn) letPourGo(ctx context.Context, p oldPour, before, now time.Time, n *shop.Tidied) error {
	if p.plan == "" {
		calls, err := t.exec(ctx, aging("DELETE FROM due WHERE of_pour = ? AND EXISTS (SELECT 1 FROM pour WHERE id = ? AND "+oldPours+")", p.id, p.id, millis(before)))
		if err != nil {
			return fmt.Errorf("let the calls of a pour go: %w", err)
		}
		n.Reminders += int(calls)
		gone, err := t.exec(ctx, aging("DELETE FROM pour WHERE id = ? AND "+oldPours+" AND NOT ("+teaches+")", p.id, millis(before)))
		if err != nil {
			return fmt.Errorf("let a pour go: %w", err)
		}
		n.Pours += int(gone)
		return nil
	}
	less, err := t.exec(ctx, aging("UPDATE pour SET plan = ?, mold = NULL, shared = 0, good = 0, spoiled = 0, removed_at = ? WHERE id = ? AND "+oldPours,
		p.plan, millis(now), p.id, millis(before)))
	if err != nil || less == 0 {
		return wrapped("reduce a pour", err)
	}
	n.Reduced++
	var within int // what is told as part of the pour
	for text, count := range map[string]*int{
		"DELETE FROM due WHERE of_pour = ?": &n.Reminders, "DELETE FROM pour_event WHERE pour = ?": &within, "DELETE FROM card WHERE of_pour = ?": &within,
		"DELETE FROM cure_log WHERE pour = ? AND removed_at IS NOT NULL": &within,
	} {
		gone, err := t.exec(ctx, aging(text, p.id))
		if err != nil {
			return fmt.Errorf("reduce a pour: %w", err)
		}
		*count += int(gone)
	}
	return nil
}

// letRestGo drops what was found but for the pours.
func (t *txn) letRestGo(ctx context.Context, f found, before, now time.Time, n *shop.Tidied) error {
	old := millis(before)
	var failed error
	drop := func(count *int, text string, args ...any) {
		if failed != nil {
			return
		}
		gone, err := t.exec(ctx, aging(text, args...))
		failed = wrapped("let old rows go", err)
		*count += int(gone)
	}
	for _, id := range f.dues {
		drop(&n.Reminders, "DELETE FROM due WHERE id = ? AND "+oldDues, id, old, old)
	}
	for _, id := range f.deliveries {
		drop(&n.Messages, "DELETE FROM delivery WHERE id = ? AND "+oldDeliveries, id, old)
	}
	for _, id := range f.marks {
		drop(&n.Marks, "DELETE FROM pull WHERE id = ? AND removed_at < ?", id, old)
		drop(&n.Marks, "UPDATE pull SET why = '' WHERE id = ? AND "+oldMarks, id, old, old)
	}
	for _, member := range f.interactions {
		drop(&n.Messages, "DELETE FROM seen_interaction WHERE member = ? AND "+oldInteractions, member, millis(now.Add(-keepMarks)))
	}
	for _, l := range f.lines {
		drop(&n.Messages, "DELETE FROM line WHERE shop = ? AND id = ? AND "+oldLines, l.shop, l.id, old)
	}
	return failed
}

// WouldTidy counts.
func (s *Store) WouldTidy(ctx context.Context, before, now time.Time) (n shop.Tidied, err error) {
	old := millis(before)
	err = s.snapshot(ctx, func(q *session) error {
		var failed error
		count := func(to *int, text string, args ...any) {
			var got int
			if failed == nil {
				_, failed = q.one(ctx, aging("SELECT count(*) FROM "+text, args...), &got)
			}
			*to += got
		}
		count(&n.Pours, "pour WHERE "+oldPours+" AND NOT ("+teaches+")", old)
		count(&n.Reduced, "pour WHERE "+oldPours+" AND "+teaches, old)
		count(&n.Reminders, "due WHERE "+oldDues, old, old)
		count(&n.Marks, "pull WHERE "+oldMarks, old, old)
		count(&n.Messages, "delivery WHERE "+oldDeliveries, old)
		count(&n.Messages, "seen_interaction WHERE "+oldInteractions, millis(now.Add(-keepMarks)))
		count(&n.Messages, "line WHERE "+oldLines, old)
		return failed
	})
	if err != nil {
		return shop.Tidied{}, fmt.Errorf("count what is old: %w", err)
	}
	return n, nil
}

// Scrub takes what is gone out of the files too.
func (s *Store) Scrub(ctx context.Context) error {
	if s.eng.Scrub == nil {
		return nil
	}
	return s.eng.Scrub(ctx)
}
