package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// detail is what an event keeps: what was said, how it was before, and the
// numbers of what it did elsewhere, so that pourundo.go can undo just that.
type detail struct {
	Good    int    `json:"good,omitempty"`
	Spoiled int    `json:"spoiled,omitempty"`
	Why     string `json:"why,omitempty"`
	Text    string `json:"text,omitempty"`
	Photo   string `json:"photo,omitempty"`

	Was    shop.PourState `json:"was,omitempty"`
	Ended  int64          `json:"ended,omitempty"`   // ms, how it was
	CoatAt int64          `json:"coat_at,omitempty"` // ms, how it was

	Answer   int64   `json:"answer,omitempty"`   // kept
	Answers  []int64 `json:"answers,omitempty"`  // taken back
	Pulls    []int64 `json:"pulls,omitempty"`    // counted
	Pulled   int     `json:"pulled,omitempty"`   // how many those were, of a log that came from elsewhere
	Held     []int64 `json:"held,omitempty"`     // calls that ended with it
	Called   []int64 `json:"called,omitempty"`   // calls that it made
	Returned []int64 `json:"returned,omitempty"` // draws from stock that were given back
}

// log adds an event to a pour and lets the oldest go. Cards of the pour follow.
func (t *txn) log(ctx context.Context, st shop.Stamp, pour int64, what string, d detail, most Limits) error {
	text, err := json.Marshal(d)
	switch {
	case err != nil:
		return fmt.Errorf("encode an event: %w", err)
	case len(text) > maxEvent:
		return fmt.Errorf("an event of %d bytes, at most %d", len(text), maxEvent)
	}
	var id int64
	if _, err := t.one(ctx, events.insert(st.By, "shared, pour, what, detail, created_at", 0, pour, what, string(text), millis(st.At)), &id); err != nil {
		return fmt.Errorf("log an event: %w", err)
	}
	_, err = t.exec(ctx, events.forget(st.By, "AND pour = ? AND (what <> 'note' OR removed_at IS NOT NULL) AND id NOT IN (SELECT id FROM "+events.table+
		" WHERE owner = ? AND pour = ? ORDER BY id DESC LIMIT ?)", pour, int64(st.By.Member.ID), pour, most.Events))
	if err != nil {
		return fmt.Errorf("forget old events: %w", err)
	}
	return t.pourChanged(ctx, pour, st.At)
}

// eachEvent goes through the owner's log of pours, without what was taken back.
func (q *session) eachEvent(ctx context.Context, v shop.Viewer, rest string, args []any, row func(id, pour int64, e shop.PourEvent, d detail)) error {
	st := events.seen(v, "r.id, r.pour, r.what, r.detail, r.created_at", "AND r.owner = ? "+rest, append([]any{int64(v.Member.ID)}, args...)...)
	err := q.each(ctx, st, func(scan func(...any) error) error {
		var id, pour, at int64
		var text string
		var e shop.PourEvent
		var d detail
		if err := scan(&id, &pour, &e.What, &text, &at); err != nil {
			return err
		}
		if err := json.Unmarshal([]byte(text), &d); err != nil {
			return fmt.Errorf("event %d: %w", id, err)
		}
		e.At, e.Good, e.Spoiled, e.Why, e.Text, e.Photo = instant(at), d.Good, d.Spoiled, d.Why, d.Text, d.Photo
		e.Pulls = max(len(d.Pulls), d.Pulled)
		e.Readied = e.What == shop.EventDone && d.Answer != 0
		row(id, pour, e, d)
		return nil
	})
	if err != nil {
		return fmt.Errorf("read the log of pours: %w", err)
	}
	return nil
}

func (q *session) logOf(ctx context.Context, v shop.Viewer, pour int64) (all []shop.PourEvent, err error) {
	err = q.eachEvent(ctx, v, "AND r.pour = ? ORDER BY r.id", []any{pour}, func(_, _ int64, e shop.PourEvent, _ detail) {
		all = append(all, e)
	})
	return all, err
}

// move takes an own pour to another state as of then and ends its calls to come,
// whose numbers it gives.
func (t *txn) move(ctx context.Context, st shop.Stamp, p shop.Pour, to shop.PourState, good, spoiled int, then time.Time) (held []int64, err error) {
	if held, err = t.holdCalls(ctx, st, p.ID); err != nil {
		return nil, err
	}
	return held, t.setPour(ctx, st, p.ID, "state = ?, ended_at = ?, good = ?, spoiled = ?", string(to), millis(then), good, spoiled)
}

// setPour changes columns of an own pour.
func (t *txn) setPour(ctx context.Context, st shop.Stamp, id int64, set string, values ...any) error {
	n, err := t.exec(ctx, pours.change(st.By, set, values, "AND id = ?", id))
	switch {
	case err != nil:
		return fmt.Errorf("change pour: %w", err)
	case n != 1:
		return errors.New("a pour went away while it was changed")
	}
	return nil
}

// holdCalls ends the calls to come for a pour and gives their numbers.
func (t *txn) holdCalls(ctx context.Context, st shop.Stamp, pour int64) (held []int64, err error) {
	me := int64(st.By.Member.ID)
	err = t.each(ctx, dues.seen(st.By, "r.id", "AND r.owner = ? AND r.of_pour = ? AND r.next_at IS NOT NULL ORDER BY r.id", me, pour), func(scan func(...any) error) error {
		var id int64
		err := scan(&id)
		held = append(held, id)
		return err
	})
	if err == nil && len(held) > 0 {
		_, err = t.exec(ctx, dues.change(st.By, "state = 'canceled', next_at = NULL, token = NULL, delivery = NULL, edited_at = ?",
			[]any{millis(st.At)}, "AND of_pour = ? AND next_at IS NOT NULL", pour))
	}
	if err != nil {
		return nil, fmt.Errorf("end the calls of a pour: %w", err)
	}
	t.rings = true
	return held, nil
}

// EndPour fills shop.PourLog, as do the methods below, in curelogs.go and in
// pourundo.go.
func (s *Store) EndPour(ctx context.Context, st shop.Stamp, id int64, end shop.PourEnd) (p shop.Pour, err error) {
	if err := fits("why", "reason", end.Why, maxReason); err != nil {
		return shop.Pour{}, err
	}
	finish := map[shop.PourState]func(context.Context, *txn, shop.Stamp, shop.Pour, shop.PourEnd, Limits) error{
		shop.PourDone: done, shop.PourFailed: failed, shop.PourCanceled: canceled,
	}[end.State]
	if finish == nil {
		return shop.Pour{}, fmt.Errorf("%q is no end of a pour", end.State)
	}
	err = s.write(ctx, st, func(t *txn) error {
		before, err := t.myPour(ctx, st.By, id)
		switch {
		case err != nil:
			return err
		case before.State.Ended() && end.State != shop.PourCanceled:
			return notRunning(before)
		}
		if err := finish(ctx, t, st, before, end, s.cfg.Limits); err != nil {
			return err
		}
		p, err = t.pour(ctx, st.By, id)
		return err
	})
	return kept(p, err)
}

// before is how a pour was, for taking an end back.
func before(p shop.Pour) detail {
	d := detail{Was: p.State}
	if !p.Ended.IsZero() {
		d.Ended = millis(p.Ended)
	}
	return d
}

func done(ctx context.Context, t *txn, st shop.Stamp, p shop.Pour, end shop.PourEnd, most Limits) (err error) {
	d := before(p)
	d.Good, d.Spoiled, d.Why = end.Good, end.Spoiled, end.Why
	out := seenAt(st, end.At)
	switch {
	case p.State == shop.PourReady && out.Before(p.Ended):
		return fault.New(fault.BadTime, "it was found ready only after that").In("at").
			Hint("first say /pour ready with that time, then done")
	case p.State == shop.PourReady && out.After(st.At):
		return fault.New(fault.BadTime, "that is still to come").In("at").Hint("say done once it is out")
	case p.State == shop.PourRunning && len(p.Answers) < most.Answers:
		if d.Answer, err = t.answer(ctx, st, p, true, out); err != nil {
			return err
		}
	}
	for _, pull := range end.Pulls {
		why := end.Why
		if pull.Good {
			why = ""
		}
		mark, err := t.pull(ctx, st, pull.Mold, pull.Good, why, most)
		if err != nil {
			return err
		}
		d.Pulls = append(d.Pulls, mark)
	}
	if d.Held, err = t.move(ctx, st, p, shop.PourDone, end.Good, end.Spoiled, out); err != nil {
		return err
	}
	return t.log(ctx, st, p.ID, shop.EventDone, d, most)
}

func failed(ctx context.Context, t *txn, st shop.Stamp, p shop.Pour, end shop.PourEnd, most Limits) (err error) {
	d := before(p)
	d.Why = end.Why
	if d.Held, err = t.move(ctx, st, p, shop.PourFailed, 0, 0, st.At); err != nil {
		return err
	}
	return t.log(ctx, st, p.ID, shop.EventFailed, d, most)
}

// canceled takes the answers of a pour back as well, and gives back what it drew
// from stock, unless it was done or failed: then that was mixed. Pulls that it
// counted stay: they were made.
func canceled(ctx context.Context, t *txn, st shop.Stamp, p shop.Pour, _ shop.PourEnd, most Limits) (err error) {
	d := before(p)
	d.Good, d.Spoiled = p.Good, p.Spoiled
	me := int64(st.By.Member.ID)
	err = t.each(ctx, answers.seen(st.By, "r.id", "AND r.owner = ? AND r.pour = ? ORDER BY r.id", me, p.ID), func(scan func(...any) error) error {
		var id int64
		err := scan(&id)
		d.Answers = append(d.Answers, id)
		return err
	})
	if err == nil {
		_, err = t.exec(ctx, answers.change(st.By, "removed_at = ?", []any{millis(st.At)}, "AND pour = ?", p.ID))
	}
	if err != nil {
		return fmt.Errorf("take answers back: %w", err)
	}
	if d.Held, err = t.move(ctx, st, p, shop.PourCanceled, 0, 0, st.At); err != nil {
		return err
	}
	if p.State == shop.PourRunning || p.State == shop.PourReady {
		if d.Returned, err = t.giveBack(ctx, st, p.ID); err != nil {
			return err
		}
	}
	return t.log(ctx, st, p.ID, shop.EventCanceled, d, most)
}

// CoatPour keeps that the next coat is on.
func (s *Store) CoatPour(ctx context.Context, st shop.Stamp, id int64) (p shop.Pour, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		p, err = t.myPour(ctx, st.By, id)
		switch {
		case err != nil:
			return err
		case p.State != shop.PourRunning:
			return notRunning(p)
		case p.Coats == 0:
			return fault.New(fault.NotAllowed, "that pour was poured at once, not in coats").In("pour").
				Hint("/pour start with coats:3 begins one that is brushed or slushed")
		case p.CoatsOn >= p.Coats:
			return fault.New(fault.NotAllowed, "all %d coats are on", p.Coats).In("pour").
				Hint("say /pour ready once it is; /pour undo takes the last coat back within ten minutes")
		}
		d := before(p)
		if !p.CoatAt.IsZero() {
			d.CoatAt = millis(p.CoatAt)
		}
		if d.Held, err = t.holdCalls(ctx, st, id); err != nil {
			return err
		}
		if err := t.setPour(ctx, st, id, "coats_on = coats_on + 1, coat_at = ?", millis(st.At)); err != nil {
			return err
		}
		if err := t.log(ctx, st, id, shop.EventCoat, d, s.cfg.Limits); err != nil {
			return err
		}
		p, err = t.pour(ctx, st.By, id)
		return err
	})
	return kept(p, err)
}

// NotePour keeps a note at a pour.
func (s *Store) NotePour(ctx context.Context, st shop.Stamp, id int64, text, photo string) (p shop.Pour, err error) {
	if err := errors.Join(fits("text", "note", text, maxNote), fits("photo", "link", photo, maxLink)); err != nil {
		return shop.Pour{}, err
	}
	err = s.write(ctx, st, func(t *txn) error {
		p, err = t.myPour(ctx, st.By, id)
		if err != nil {
			return err
		}
		notes := 0
		for _, e := range p.Log {
			if e.What == shop.EventNote {
				notes++
			}
		}
		if notes >= s.cfg.Limits.Notes {
			return fault.New(fault.LimitReached, "that pour has %d notes, which is the most", notes).
				In("pour").Hint("/pour undo takes a new note back; /pour show shows them all")
		}
		d := before(p)
		d.Text, d.Photo = text, photo
		if err := t.log(ctx, st, id, shop.EventNote, d, s.cfg.Limits); err != nil {
			return err
		}
		p, err = t.pour(ctx, st.By, id)
		return err
	})
	return kept(p, err)
}

// FollowUp adds a call to the last entry of a log.
func (s *Store) FollowUp(ctx context.Context, st shop.Stamp, id int64, d shop.Due) (added shop.Due, err error) {
	err = s.within(ctx, func(t *txn) error {
		var last int64
		var what detail
		err := t.eachEvent(ctx, st.By, "AND r.pour = ? ORDER BY r.id DESC LIMIT 1", []any{id}, func(event, _ int64, _ shop.PourEvent, d detail) {
			last, what = event, d
		})
		switch {
		case err != nil:
			return err
		case last == 0:
			return fmt.Errorf("pour %d has no entry that a call could follow", id)
		}
		d.Pour = id
		within := &Store{eng: s.eng, cfg: s.cfg, batch: t}
		if added, err = within.AddDue(ctx, st, d); err != nil {
			return err
		}
		what.Called = append(what.Called, added.ID)
		text, err := json.Marshal(what)
		if err == nil {
			_, err = t.exec(ctx, events.change(st.By, "detail = ?", []any{string(text)}, "AND id = ?", last))
		}
		if err != nil {
			return fmt.Errorf("keep a call with its event: %w", err)
		}
		return nil
	})
	return kept(added, err)
}

// ShowPour lets others see a pour, or not, whatever became of it.
func (s *Store) ShowPour(ctx context.Context, st shop.Stamp, id int64, shared bool) (p shop.Pour, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		if p, err = t.ownPour(ctx, st.By, id); err != nil {
			return err
		}
		if err := t.setPour(ctx, st, id, "shared = ?", flag(shared)); err != nil {
			return err
		}
		if err := t.pourChanged(ctx, id, st.At); err != nil {
			return err
		}
		p, err = t.pour(ctx, st.By, id)
		return err
	})
	return kept(p, err)
}
