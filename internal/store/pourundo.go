package store

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// TakeBack undoes the member's last entry in the log of a pour.
func (s *Store) TakeBack(ctx context.Context, st shop.Stamp, id int64) (p shop.Pour, e shop.PourEvent, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		which, args := "", []any{millis(st.At.Add(-shop.TakeBackTime))}
		if id != 0 {
			which, args = "AND r.pour = ? ", append(args, id)
		}
		var event, pour int64
		var d detail
		err := t.eachEvent(ctx, st.By, "AND r.created_at >= ? "+which+"ORDER BY r.id DESC LIMIT 1", args, func(of, at int64, was shop.PourEvent, what detail) {
			event, pour, e, d = of, at, was, what
		})
		switch {
		case err != nil:
			return err
		case event == 0:
			return fault.New(fault.NotFound, "there is nothing of the last ten minutes to take back").In("pour").
				Hint("/pour cancel takes a whole pour back, with all its answers; /mold edit with pulls sets a count right")
		}
		if err := t.undo(ctx, st, pour, e.What, d); err != nil {
			return err
		}
		if _, err := t.exec(ctx, events.change(st.By, "removed_at = ?", []any{millis(st.At)}, "AND id = ?", event)); err != nil {
			return fmt.Errorf("take an event back: %w", err)
		}
		if err := t.pourChanged(ctx, pour, st.At); err != nil {
			return err
		}
		p, err = t.pour(ctx, st.By, pour)
		return err
	})
	if err != nil {
		return shop.Pour{}, shop.PourEvent{}, err
	}
	return p, e, nil
}

// undo puts everything back as it was before an event.
func (t *txn) undo(ctx context.Context, st shop.Stamp, pour int64, what string, d detail) error {
	if err := t.undoAnswers(ctx, st, d); err != nil {
		return err
	}
	for i := len(d.Pulls) - 1; i >= 0; i-- {
		if err := t.unmark(ctx, st, d.Pulls[i]); err != nil {
			return err
		}
	}
	if err := t.undoCalls(ctx, st, d); err != nil {
		return err
	}
	if err := t.drawAgain(ctx, st, d.Returned); err != nil {
		return err
	}
	switch what {
	case shop.EventCoat:
		return t.setPour(ctx, st, pour, "coats_on = coats_on - 1, coat_at = ?", known(d.CoatAt))
	case shop.EventCanceled: // it may have been done before
		return t.setPour(ctx, st, pour, "state = ?, ended_at = ?, good = ?, spoiled = ?", string(d.Was), known(d.Ended), d.Good, d.Spoiled)
	case shop.EventReady, shop.EventDone, shop.EventFailed:
		return t.setPour(ctx, st, pour, "state = ?, ended_at = ?, good = 0, spoiled = 0", string(d.Was), known(d.Ended))
	}
	return nil
}

func (t *txn) undoAnswers(ctx context.Context, st shop.Stamp, d detail) error {
	if d.Answer != 0 {
		if _, err := t.exec(ctx, answers.change(st.By, "removed_at = ?", []any{millis(st.At)}, "AND id = ?", d.Answer)); err != nil {
			return fmt.Errorf("take an answer back: %w", err)
		}
	}
	for _, id := range d.Answers {
		if _, err := t.exec(ctx, answers.restore(st.By, "AND id = ?", id)); err != nil {
			return fmt.Errorf("bring an answer back: %w", err)
		}
	}
	return nil
}

// undoCalls lets the calls come that an event ended, and withdraws those that
// it made. One that was withdrawn by the member in between stays so.
func (t *txn) undoCalls(ctx context.Context, st shop.Stamp, d detail) error {
	t.rings = true
	for _, id := range d.Called {
		_, err := t.exec(ctx, dues.change(st.By, "state = 'canceled', next_at = NULL, token = NULL, delivery = NULL, edited_at = ?",
			[]any{millis(st.At)}, "AND id = ? AND next_at IS NOT NULL", id))
		if err != nil {
			return fmt.Errorf("withdraw a call: %w", err)
		}
	}
	for _, id := range d.Held {
		_, err := t.exec(ctx, dues.change(st.By, "state = 'pending', next_at = at, edited_at = ?", []any{millis(st.At)},
			"AND id = ? AND state = 'canceled'", id))
		if err != nil {
			return fmt.Errorf("bring a call back: %w", err)
		}
	}
	return nil
}
