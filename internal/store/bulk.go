package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
)

// addAll stores version 1 of many new records: one look at the room for all of
// them, and nothing read back. Adding one by one counts what is there each
// time, which for thousands takes minutes.
func (k shelf[P]) addAll(ctx context.Context, s *Store, st shop.Stamp, all []P) error {
	if len(all) == 0 {
		return nil
	}
	return s.write(ctx, st, func(t *txn) error {
		if err := k.roomFor(ctx, t, st.By, s.cfg.Limits, len(all)); err != nil {
			return err
		}
		b := batch{kind: k.kind, t: t, st: st}
		for i := range all {
			name, profile, err := k.encode(&all[i])
			if err != nil {
				return b.after(ctx, err)
			}
			if err := b.add(ctx, fresh{name, shop.NameKey(name), k.family(&all[i]), profile}); err != nil {
				return err
			}
		}
		return b.flush(ctx)
	})
}

// AddMaterials fills shop.Bulk, as do the methods below.
func (s *Store) AddMaterials(ctx context.Context, st shop.Stamp, all []material.Profile) error {
	return materialShelf.addAll(ctx, s, st, all)
}

// AddMolds stores many new molds.
func (s *Store) AddMolds(ctx context.Context, st shop.Stamp, all []shop.MoldProfile) error {
	return moldShelf.addAll(ctx, s, st, all)
}

// AddTints stores many new tints.
func (s *Store) AddTints(ctx context.Context, st shop.Stamp, all []shop.TintProfile) error {
	return tintShelf.addAll(ctx, s, st, all)
}

// AddFormulas stores many new formulas.
func (s *Store) AddFormulas(ctx context.Context, st shop.Stamp, all []shop.FormulaProfile) error {
	return formulaShelf.addAll(ctx, s, st, all)
}

// KeepMarks adds to the end of an own mold's log.
func (s *Store) KeepMarks(ctx context.Context, st shop.Stamp, id int64, marks []shop.MoldMark) error {
	for _, m := range marks {
		if err := fits("why", "reason", m.Why, maxReason); err != nil {
			return err
		}
		if m.At.IsZero() || m.Number < 0 {
			return fmt.Errorf("a mark at %v with the number %d", m.At, m.Number)
		}
	}
	return s.write(ctx, st, func(t *txn) error {
		if _, err := t.myMold(ctx, st.By, id); err != nil {
			return err
		}
		if err := t.roomForMarks(ctx, st.By, s.cfg.Limits, len(marks)); err != nil {
			return err
		}
		for _, m := range marks {
			if _, err := t.insertMark(ctx, st.By, id, m); err != nil {
				return err
			}
		}
		return nil
	})
}

// roomForMarks refuses so many more marks in the viewer's logs past the limit.
func (t *txn) roomForMarks(ctx context.Context, v shop.Viewer, most Limits, more int) error {
	var marks int
	if _, err := t.one(ctx, pulls.heldBare(v, "count(*)", ""), &marks); err != nil {
		return fmt.Errorf("count marks: %w", err)
	}
	switch {
	case marks >= most.Pulls:
		return fault.New(fault.LimitReached, "your molds have %d pulls and coats in their logs, which is the most", marks).
			In("mold").Hint("/mold remove old molds: their logs go with them in time")
	case marks+more > most.Pulls:
		return fault.New(fault.LimitReached, "your molds have %d pulls and coats in their logs, and %d more are over the %d that they may have", marks, more, most.Pulls).
			In("mold").Hint("bring fewer: there is room for %d", most.Pulls-marks)
	}
	return nil
}

// KeepPours keeps pours of the past.
func (s *Store) KeepPours(ctx context.Context, st shop.Stamp, all []shop.Pour) error {
	return s.write(ctx, st, func(t *txn) error {
		if err := t.roomForPours(ctx, st.By, s.cfg.Limits, all); err != nil {
			return err
		}
		for _, p := range all {
			if err := t.keepPour(ctx, st, p, s.cfg.Limits); err != nil {
				return err
			}
		}
		return nil
	})
}

// roomForPours refuses pours past the limits. Ended ones are refused too where
// the oldest would otherwise give way: what was just brought along must not
// push out what was there.
func (t *txn) roomForPours(ctx context.Context, v shop.Viewer, most Limits, more []shop.Pour) error {
	var running, all int
	_, err := t.one(ctx, pours.heldBare(v, "count(*) FILTER (WHERE r.state = '"+string(shop.PourRunning)+"'), count(*)", ""), &running, &all)
	if err != nil {
		return fmt.Errorf("count pours: %w", err)
	}
	past := all - running
	for _, p := range more {
		if p.State == shop.PourRunning {
			running++
		} else {
			past++
		}
	}
	if running > most.Pours {
		return fault.New(fault.LimitReached, "%d pours would be under way, and the most is %d", running, most.Pours).
			In("pour").Hint("say /pour ready or /pour cancel of old ones; /pour list shows them")
	}
	if past > most.PastPours {
		return fault.New(fault.LimitReached, "you would keep %d pours of the past, and the most is %d", past, most.PastPours).
			In("pour").Hint("bring the newest ones only")
	}
	return nil
}

// keepPour writes one pour with its answers and its log.
func (t *txn) keepPour(ctx context.Context, st shop.Stamp, p shop.Pour, most Limits) error {
	if p.Started.IsZero() || len(p.Answers) > most.Answers || len(p.Log) > most.Events+most.Notes {
		return fmt.Errorf("a pour that began at %v, with %d answers and %d events", p.Started, len(p.Answers), len(p.Log))
	}
	id, err := t.insertPour(ctx, st.By, p)
	if err != nil {
		return err
	}
	var ready int64
	for _, a := range p.Answers {
		log, err := t.keepAnswer(ctx, st.By, id, a)
		if err != nil {
			return err
		}
		if a.ReadyBy > 0 {
			ready = log
		}
	}
	for _, e := range p.Log {
		if err := t.keepEvent(ctx, st.By, id, e, ready); err != nil {
			return err
		}
	}
	return nil
}

// keepAnswer writes what was found at a pour of the past.
func (t *txn) keepAnswer(ctx context.Context, v shop.Viewer, pour int64, a shop.Answer) (id int64, err error) {
	if (a.ReadyBy > 0) == (a.SoftAt > 0) {
		return 0, errors.New("an answer that says both, or nothing")
	}
	var readyBy, softAt any
	if a.ReadyBy > 0 {
		readyBy = a.ReadyBy
	} else {
		softAt = a.SoftAt
	}
	insert := answers.insert(v, "shared, pour, ready_by, soft_at, created_at", 0, pour, readyBy, softAt, millis(a.At))
	if _, err := t.one(ctx, insert, &id); err != nil {
		return 0, fmt.Errorf("keep answer: %w", err)
	}
	return id, nil
}

// keepEvent writes an entry of the log of a pour of the past. It did nothing
// elsewhere here, so it holds nothing to undo but the answer that an end was.
func (t *txn) keepEvent(ctx context.Context, v shop.Viewer, pour int64, e shop.PourEvent, ready int64) error {
	d := detail{Good: e.Good, Spoiled: e.Spoiled, Pulled: e.Pulls, Why: e.Why, Text: e.Text, Photo: e.Photo}
	if e.Readied {
		d.Answer = ready
	}
	text, err := json.Marshal(d)
	switch {
	case err != nil:
		return fmt.Errorf("encode event: %w", err)
	case len(text) > maxEvent || keepable("", "event", string(text)) != nil:
		return fault.New(fault.OutOfRange, "the texts of a pour's log are too long to keep").In("pour").Hint("shorten them")
	}
	var id int64
	if _, err := t.one(ctx, events.insert(v, "shared, pour, what, detail, created_at", 0, pour, e.What, string(text), millis(e.At)), &id); err != nil {
		return fmt.Errorf("keep event: %w", err)
	}
	return nil
}

// insertPour writes a pour of the past. Its material and its mold must be in
// sight; it may have neither.
func (t *txn) insertPour(ctx context.Context, v shop.Viewer, p shop.Pour) (id int64, err error) {
	plan, err := json.Marshal(p.PourPlan)
	if err != nil {
		return 0, fmt.Errorf("encode pour: %w", err)
	}
	if len(plan) > maxPlan || keepable("", "plan", string(plan)) != nil {
		return 0, fault.New(fault.OutOfRange, "the texts of a pour are too long to keep together").In("pour").Hint("shorten its names")
	}
	version := 1
	if p.MaterialID != 0 {
		if _, err := materialShelf.get(ctx, &t.session, v, p.MaterialID, p.MaterialVersion); err != nil {
			return 0, err
		}
		version = p.MaterialVersion
	}
	if p.MoldID != 0 {
		if _, err := moldShelf.get(ctx, &t.session, v, p.MoldID, 0); err != nil {
			return 0, err
		}
	}
	insert := pours.insert(v, "shared, material, material_version, mold, state, plan, coats_on, coat_at, good, spoiled, created_at, ended_at",
		0, known(p.MaterialID), version, known(p.MoldID), string(p.State), string(plan), p.CoatsOn, orNull(p.CoatAt), p.Good, p.Spoiled, millis(p.Started), orNull(p.Ended))
	if _, err := t.one(ctx, insert, &id); err != nil {
		return 0, fmt.Errorf("keep pour: %w", err)
	}
	return id, nil
}
