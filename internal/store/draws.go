package store

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/stock"
)

// stockDetail is how a container was before an event, so that it can be taken
// back.
type stockDetail struct {
	Opens bool  `json:"opens,omitempty"` // it opened the container, or set another day
	Day   int64 `json:"day,omitempty"`   // ms, since when it is open now
	Was   int64 `json:"was,omitempty"`   // ms, since when it was open before; with Had
	Had   bool  `json:"had,omitempty"`
	Held  bool  `json:"held,omitempty"` // it ended the call of the container
}

// logStock adds an event at a container in sight.
func (t *txn) logStock(ctx context.Context, st shop.Stamp, c shop.Container, what string, a, b float64, pour int64, d stockDetail, most Limits) error {
	var had int
	if _, err := t.one(ctx, containers.seenParts(st.By, draws, "container", "count(*)", "AND r.id = ?", c.ID), &had); err != nil {
		return fmt.Errorf("count what happened to a container: %w", err)
	}
	if had >= most.Draws {
		return fault.New(fault.LimitReached, "%s, number #%d, has a log of %d entries, which is the most", c.Name(), c.ID, had).
			In("container").Hint("/stock finish it and add what is left of it anew")
	}
	text, err := json.Marshal(d)
	if err != nil {
		return fmt.Errorf("encode what happened to a container: %w", err)
	}
	insert := containers.insertPart(st.By, draws, "container", c.ID, "shared, what, a, b, pour, detail, created_at",
		0, what, a, b, known(pour), string(text), millis(st.At))
	var id int64
	if _, err := t.one(ctx, insert, &id); err != nil {
		return fmt.Errorf("log what happened to a container: %w", err)
	}
	return nil
}

// opening is the detail of an event that opens a container on a day.
func opening(c shop.Container, day time.Time) stockDetail {
	d := stockDetail{Opens: true, Day: millis(day)}
	if !c.OpenedOn.IsZero() {
		d.Was, d.Had = millis(c.OpenedOn), true
	}
	return d
}

func (t *txn) openContainer(ctx context.Context, st shop.Stamp, c shop.Container, day time.Time, most Limits) error {
	d := opening(c, day)
	var err error
	if d.Held, err = t.endCall(ctx, st, c); err != nil { // another day has another call
		return err
	}
	if err := t.setOpened(ctx, st, c.ID, millis(day)); err != nil {
		return err
	}
	return t.logStock(ctx, st, c, shop.StockOpened, 0, 0, 0, d, most)
}

// setOpened keeps since when a container is open, in ms; nil is sealed.
func (t *txn) setOpened(ctx context.Context, st shop.Stamp, id int64, day any) error {
	if _, err := t.exec(ctx, containers.changeSeen(st.By, "opened_on = ?", []any{day}, id)); err != nil {
		return fmt.Errorf("open container: %w", err)
	}
	return nil
}

func (t *txn) finishContainer(ctx context.Context, st shop.Stamp, c shop.Container, most Limits) (err error) {
	var d stockDetail
	if d.Held, err = t.endCall(ctx, st, c); err != nil {
		return err
	}
	if _, err := t.exec(ctx, containers.changeSeen(st.By, "finished_at = ?", []any{millis(st.At)}, c.ID)); err != nil {
		return fmt.Errorf("finish container: %w", err)
	}
	return t.logStock(ctx, st, c, shop.StockFinished, 0, 0, 0, d, most)
}

// endCall withdraws the call of a container, if it is still to come.
func (t *txn) endCall(ctx context.Context, st shop.Stamp, c shop.Container) (held bool, err error) {
	if c.Call == 0 {
		return false, nil
	}
	n, err := t.exec(ctx, containers.changeNamed(st.By, dues, "due", "state = 'canceled', next_at = NULL, token = NULL, delivery = NULL, edited_at = ?",
		[]any{millis(st.At)}, c.ID, "AND next_at IS NOT NULL"))
	if err != nil {
		return false, fmt.Errorf("withdraw the call of a container: %w", err)
	}
	t.rings = true
	return n > 0, nil
}

// bringCall lets the call of a container come again.
func (t *txn) bringCall(ctx context.Context, st shop.Stamp, id int64) error {
	t.rings = true
	_, err := t.exec(ctx, containers.changeNamed(st.By, dues, "due", "state = 'pending', next_at = at, edited_at = ?",
		[]any{millis(st.At)}, id, "AND state = 'canceled'"))
	if err != nil {
		return fmt.Errorf("bring the call of a container back: %w", err)
	}
	return nil
}

// DrawStock takes amounts out of containers.
func (s *Store) DrawStock(ctx context.Context, st shop.Stamp, all []shop.StockDraw) (after []shop.Container, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		after = nil
		for _, d := range all {
			if err := t.draw(ctx, st, d, s.cfg.Limits); err != nil {
				return err
			}
			c, err := t.container(ctx, st.By, d.Container)
			if err != nil {
				return err
			}
			after = append(after, c)
		}
		return nil
	})
	return kept(after, err)
}

func (t *txn) draw(ctx context.Context, st shop.Stamp, d shop.StockDraw, most Limits) error {
	c, err := t.standing(ctx, st.By, d.Container)
	if err != nil {
		return err
	}
	if d.What != shop.StockWeighed && (d.A < 0 || d.B < 0) || d.What != shop.StockPoured && d.Pour != 0 {
		return fmt.Errorf("a draw of %g and %g g, %s, of pour %d", d.A, d.B, d.What, d.Pour)
	}
	if d.Pour != 0 {
		if _, err := t.ownPour(ctx, st.By, d.Pour); err != nil {
			return err
		}
	}
	if err := enough(c, d.A, d.B); err != nil {
		return err
	}
	var detail stockDetail
	if c.OpenedOn.IsZero() && !d.Opened.IsZero() {
		detail = opening(c, d.Opened)
		if err := t.setOpened(ctx, st, c.ID, detail.Day); err != nil {
			return err
		}
	}
	return t.logStock(ctx, st, c, d.What, d.A, d.B, d.Pour, detail, most)
}

// enough refuses to take more than is there.
func enough(c shop.Container, a, b float64) error {
	leftA, leftB := c.Left()
	if a <= leftA+stock.Slack && b <= leftB+stock.Slack {
		return nil
	}
	return fault.New(fault.NotEnoughStock, "%s, number #%d, has not enough left", c.Name(), c.ID).In("amount").
		Hint("/stock list shows what is left; weigh it and say so with /stock use container:#%d left:", c.ID)
}

// ContainerLog lists what happened to one, newest first.
func (s *Store) ContainerLog(ctx context.Context, v shop.Viewer, id int64, most int) (all []shop.StockEvent, err error) {
	err = s.snapshot(ctx, func(q *session) error {
		if _, err := q.container(ctx, v, id); err != nil {
			return err
		}
		st := containers.seenParts(v, draws, "container", "w.what, w.a, w.b, coalesce(w.pour, 0), w.created_at, coalesce((SELECT name FROM member WHERE id = w.by_member), '')",
			"AND r.id = ? ORDER BY w.id DESC LIMIT ?", id, most)
		return q.each(ctx, st, func(scan func(...any) error) error {
			var e shop.StockEvent
			var at int64
			err := scan(&e.What, &e.A, &e.B, &e.Pour, &at, &e.By)
			e.At = instant(at)
			all = append(all, e)
			return err
		})
	})
	return kept(all, err)
}

// UndoStock takes the last event of a container back.
func (s *Store) UndoStock(ctx context.Context, st shop.Stamp, id int64) (c shop.Container, last shop.StockEvent, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		before, err := t.container(ctx, st.By, id)
		if err != nil {
			return err
		}
		var event, at, by int64
		var detail string
		_, err = t.one(ctx, containers.seenParts(st.By, draws, "container", "w.id, w.what, w.a, w.b, coalesce(w.pour, 0), w.created_at, coalesce(w.by_member, 0), w.detail",
			"AND r.id = ? ORDER BY w.id DESC LIMIT 1", id), &event, &last.What, &last.A, &last.B, &last.Pour, &at, &by, &detail)
		switch {
		case err != nil:
			return fmt.Errorf("find what happened last to a container: %w", err)
		case event != 0 && by != int64(st.By.Member.ID):
			return fault.New(fault.NotAllowed, "what happened last to %s was somebody else's doing", before.Name()).In("container").
				Hint("who did it takes it back; /stock use with left sets the amount right")
		case event == 0 || instant(at).Before(st.At.Add(-shop.TakeBackTime)):
			return fault.New(fault.NotFound, "nothing happened to that container in the last ten minutes").In("container").
				Hint("/stock use with left sets the amount right, /stock open the day")
		case last.Pour != 0:
			return fault.New(fault.NotAllowed, "pour #%d drew that, so it goes back with the pour", last.Pour).In("container").
				Hint("/pour cancel pour:#%d gives it back, if it was never mixed", last.Pour)
		}
		last.At, last.By = instant(at), st.By.Member.Name
		if err := t.unlog(ctx, st, id, event, last.What, detail); err != nil {
			return err
		}
		c, err = t.container(ctx, st.By, id)
		return err
	})
	if err != nil {
		return shop.Container{}, shop.StockEvent{}, err
	}
	return c, last, nil
}

// unlog takes an event by the viewer's hand back, with what it did to its
// container.
func (t *txn) unlog(ctx context.Context, st shop.Stamp, container, event int64, what, detail string) error {
	var d stockDetail
	if err := json.Unmarshal([]byte(detail), &d); err != nil {
		return fmt.Errorf("event %d of a container: %w", event, err)
	}
	if _, err := t.exec(ctx, draws.changeByHand(st.By, "removed_at = ?", []any{millis(st.At)}, "AND id = ?", event)); err != nil {
		return fmt.Errorf("take back what happened to a container: %w", err)
	}
	if what == shop.StockFinished {
		if _, err := t.exec(ctx, containers.changeSeen(st.By, "finished_at = NULL", nil, container)); err != nil {
			return fmt.Errorf("bring a container back: %w", err)
		}
	}
	if d.Opens {
		return t.reseal(ctx, st, container, event, d)
	}
	if d.Held {
		return t.bringCall(ctx, st, container)
	}
	return nil
}

// reseal undoes an opening, unless something was taken or said since.
func (t *txn) reseal(ctx context.Context, st shop.Stamp, container, event int64, d stockDetail) error {
	var later int
	_, err := t.one(ctx, containers.seenParts(st.By, draws, "container", "count(*)", "AND r.id = ? AND w.id > ?", container, event), &later)
	if err != nil || later > 0 {
		return err
	}
	c, err := t.container(ctx, st.By, container)
	if err != nil {
		return err
	}
	if _, err := t.endCall(ctx, st, c); err != nil {
		return err
	}
	if d.Had {
		return t.setOpened(ctx, st, container, d.Was)
	}
	return t.setOpened(ctx, st, container, nil)
}

// giveBack takes back what the viewer's pour drew, and gives the events.
func (t *txn) giveBack(ctx context.Context, st shop.Stamp, pour int64) (events []int64, err error) {
	type row struct {
		id, container int64
		what, detail  string
	}
	var all []row
	err = t.each(ctx, draws.byHand(st.By, "r.id, r.container, r.what, r.detail", "AND r.pour = ? AND r.removed_at IS NULL ORDER BY r.id DESC", pour), func(scan func(...any) error) error {
		var r row
		err := scan(&r.id, &r.container, &r.what, &r.detail)
		all = append(all, r)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("find what a pour drew: %w", err)
	}
	for _, r := range all {
		if _, err := t.container(ctx, st.By, r.container); fault.Is(err, fault.NotFound) {
			continue // it was removed, or is not shared any more
		}
		if err := t.unlog(ctx, st, r.container, r.id, r.what, r.detail); err != nil {
			return nil, err
		}
		events = append(events, r.id)
	}
	return events, nil
}

// drawAgain is giveBack undone. What was used up meanwhile can't be drawn again.
func (t *txn) drawAgain(ctx context.Context, st shop.Stamp, events []int64) error {
	for i := len(events) - 1; i >= 0; i-- {
		var of int64
		var a, b float64
		var detail string
		found, err := t.one(ctx, draws.byHand(st.By, "r.container, r.a, r.b, r.detail", "AND r.id = ? AND r.removed_at IS NOT NULL", events[i]), &of, &a, &b, &detail)
		if err != nil || !found {
			return err
		}
		c, err := t.container(ctx, st.By, of)
		if fault.Is(err, fault.NotFound) {
			continue
		}
		if err != nil {
			return err
		}
		if err := enough(c, a, b); err != nil {
			return err
		}
		var d stockDetail
		if err := json.Unmarshal([]byte(detail), &d); err != nil {
			return fmt.Errorf("event %d of a container: %w", events[i], err)
		}
		if _, err := t.exec(ctx, draws.changeByHand(st.By, "removed_at = NULL", nil, "AND id = ?", events[i])); err != nil {
			return fmt.Errorf("draw again: %w", err)
		}
		if d.Opens && c.OpenedOn.IsZero() {
			if err := t.setOpened(ctx, st, of, d.Day); err != nil {
				return err
			}
			if err := t.bringCall(ctx, st, of); err != nil {
				return err
			}
		}
	}
	return nil
}
