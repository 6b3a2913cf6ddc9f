package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

const containerColumns = "r.id, r.owner, o.name, r.shared, r.shop, r.created_at, coalesce(r.material, 0), r.plan, r.opened_on, coalesce(r.finished_at, 0), coalesce(r.due, 0)"

// drawColumns are those of what was drawn, beside them.
const drawColumns = "coalesce(w.what, ''), coalesce(w.a, 0), coalesce(w.b, 0), coalesce(w.created_at, 0)"

// Containers fills shop.Stock, as do the methods below and in draws.go.
func (s *Store) Containers(ctx context.Context, v shop.Viewer, of ...int64) ([]shop.Container, error) {
	rest, args := "AND (r.finished_at IS NULL OR r.owner = ?)", []any{int64(v.Member.ID)}
	if len(of) > 0 {
		rest += " AND r.material IN (" + marks(len(of)) + ")"
		for _, id := range of {
			args = append(args, id)
		}
	}
	return s.reading().containersSeen(ctx, v, rest, args...)
}

// containersSeen reads containers with what was drawn from them, by number.
func (q *session) containersSeen(ctx context.Context, v shop.Viewer, rest string, args ...any) (all []shop.Container, err error) {
	st := containers.seenWhole(v, draws, "container", containerColumns+", "+drawColumns, rest+" ORDER BY r.id, w.id", args...)
	err = q.each(ctx, st, func(scan func(...any) error) error {
		var c shop.Container
		var created, finished, at int64
		var opened *int64
		var plan string
		var e shop.StockEvent
		err := scan(&c.ID, &c.Owner, &c.OwnerOf, &c.Shared, &c.Shop, &created, &c.MaterialID, &plan, &opened, &finished, &c.Call, &e.What, &e.A, &e.B, &at)
		if err != nil {
			return fmt.Errorf("scan container: %w", err)
		}
		if len(all) == 0 || all[len(all)-1].ID != c.ID {
			c.Version, c.Created, c.Edited, c.Finished = 1, instant(created), instant(created), sometime(finished)
			if opened != nil {
				c.OpenedOn = instant(*opened)
			}
			if err := json.Unmarshal([]byte(plan), &c.ContainerPlan); err != nil {
				return fmt.Errorf("plan of container %d: %w", c.ID, err)
			}
			all = append(all, c)
		}
		if e.What != "" {
			count(&all[len(all)-1], e, instant(at))
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("list containers: %w", err)
	}
	return all, nil
}

// count adds an event to what is known of its container.
func count(c *shop.Container, e shop.StockEvent, at time.Time) {
	c.UsedA, c.UsedB, c.Edited = c.UsedA+e.A, c.UsedB+e.B, at
	switch e.What {
	case shop.StockWeighed:
		c.Reckoned, c.UsedAt = 0, at
	case shop.StockPoured:
		c.Reckoned, c.UsedAt = c.Reckoned+e.A+e.B, at
	case shop.StockUsed:
		c.UsedAt = at
	}
}

// container finds one in sight.
func (q *session) container(ctx context.Context, v shop.Viewer, id int64) (shop.Container, error) {
	all, err := q.containersSeen(ctx, v, "AND r.id = ?", id)
	switch {
	case err != nil:
		return shop.Container{}, err
	case len(all) == 0:
		return shop.Container{}, fault.New(fault.NotFound, "that container is not here").In("container").Hint("/stock list shows what there is")
	}
	return all[0], nil
}

// standing finds one in sight that is not finished.
func (t *txn) standing(ctx context.Context, v shop.Viewer, id int64) (shop.Container, error) {
	c, err := t.container(ctx, v, id)
	if err == nil && !c.Finished.IsZero() {
		err = fault.New(fault.NotAllowed, "%s, number #%d, is finished", c.Name(), id).In("container").
			Hint("/stock undo within ten minutes brings it back; /stock add keeps another")
	}
	return c, err
}

// ownContainer refuses who does not own it.
func ownContainer(v shop.Viewer, c shop.Container) error {
	if v.MayChange(c.Record) {
		return nil
	}
	return fault.New(fault.NotAllowed, "%s belongs to %s: others may open it and take from it, no more", c.Name(), c.OwnerOf).
		In("container").Hint("ask %s, or add one of your own with /stock add", c.OwnerOf)
}

// AddContainer keeps a new one.
func (s *Store) AddContainer(ctx context.Context, st shop.Stamp, c shop.Container) (added shop.Container, err error) {
	plan, err := containerPlan(c.ContainerPlan)
	if err != nil {
		return shop.Container{}, err
	}
	err = s.write(ctx, st, func(t *txn) error {
		if err := t.roomForContainer(ctx, st.By, s.cfg.Limits, c.Shared); err != nil {
			return err
		}
		if c.MaterialID != 0 {
			if _, err := materialShelf.get(ctx, &t.session, st.By, c.MaterialID, 0); err != nil {
				return err
			}
		}
		insert := containers.insert(st.By, "shared, material, plan, opened_on, finished_at, created_at",
			flag(c.Shared), known(c.MaterialID), plan, orNull(c.OpenedOn), orNull(c.Finished), millis(st.At))
		var id int64
		if _, err := t.one(ctx, insert, &id); err != nil {
			return fmt.Errorf("add container: %w", err)
		}
		added, err = t.container(ctx, st.By, id)
		return err
	})
	return kept(added, err)
}

// containerPlan checks a plan and gives it as it is stored.
func containerPlan(p shop.ContainerPlan) (string, error) {
	if err := errors.Join(fits("lot", "lot", p.Lot, maxLot), oneLine("lot", "lot", p.Lot)); err != nil {
		return "", err
	}
	for _, v := range []float64{p.A, p.B, p.Tare, p.Low} {
		if math.IsNaN(v) || v < 0 || v > 1e9 {
			return "", fmt.Errorf("a container with %v g", v)
		}
	}
	text, err := json.Marshal(p)
	if err != nil {
		return "", fmt.Errorf("encode container: %w", err)
	}
	if len(text) > maxPlan || keepable("", "plan", string(text)) != nil {
		return "", fmt.Errorf("a container's plan of %d bytes is not text of at most %d", len(text), maxPlan)
	}
	return string(text), nil
}

func (t *txn) roomForContainer(ctx context.Context, v shop.Viewer, most Limits, shared bool) error {
	var all int
	_, err := t.one(ctx, containers.heldBare(v, "count(*)", "AND r.removed_at IS NULL"), &all)
	switch {
	case err != nil:
		return fmt.Errorf("count containers: %w", err)
	case all >= most.Stock:
		return fault.New(fault.LimitReached, "you keep %d containers, which is the most", all).
			In("container").Hint("/stock remove old ones that are finished; /stock list shows them")
	case !shared:
		return nil
	}
	return containers.roomToShare(ctx, t, v, most)
}

// ChangeContainer carries out a change.
func (s *Store) ChangeContainer(ctx context.Context, st shop.Stamp, id int64, change shop.ContainerChange) (c shop.Container, err error) {
	err = s.write(ctx, st, func(t *txn) error {
		before, err := t.standing(ctx, st.By, id)
		if err != nil {
			return err
		}
		if change.Finished || change.Shared != nil || change.Tare != nil || change.Low != nil {
			if err := ownContainer(st.By, before); err != nil {
				return err
			}
		}
		if err := t.changeContainer(ctx, st, before, change, s.cfg.Limits); err != nil {
			return err
		}
		c, err = t.container(ctx, st.By, id)
		return err
	})
	return kept(c, err)
}

func (t *txn) changeContainer(ctx context.Context, st shop.Stamp, c shop.Container, change shop.ContainerChange, most Limits) error {
	set := func(column string, value any) error {
		if _, err := t.exec(ctx, containers.changeSeen(st.By, column+" = ?", []any{value}, c.ID)); err != nil {
			return fmt.Errorf("change container: %w", err)
		}
		return nil
	}
	if change.Opened != nil {
		if err := t.openContainer(ctx, st, c, *change.Opened, most); err != nil {
			return err
		}
	}
	if change.Call != nil {
		if err := set("due", known(*change.Call)); err != nil {
			return err
		}
	}
	if change.Shared != nil {
		if *change.Shared && !c.Shared {
			if err := containers.roomToShare(ctx, t, st.By, most); err != nil {
				return err
			}
		}
		if _, err := t.exec(ctx, containers.change(st.By, "shared = ?, shop = ?", []any{flag(*change.Shared), int64(st.By.Shop.ID)}, "AND id = ?", c.ID)); err != nil {
			return fmt.Errorf("share container: %w", err)
		}
	}
	if change.Tare != nil || change.Low != nil {
		plan := c.ContainerPlan
		if change.Tare != nil {
			plan.Tare = *change.Tare
		}
		if change.Low != nil {
			plan.Low = *change.Low
		}
		text, err := containerPlan(plan)
		if err != nil {
			return err
		}
		if err := set("plan", text); err != nil {
			return err
		}
	}
	if change.Finished {
		return t.finishContainer(ctx, st, c, most)
	}
	return nil
}

// RemoveContainer hides it and lets the oldest removed ones go for good.
func (s *Store) RemoveContainer(ctx context.Context, st shop.Stamp, id int64) error {
	return s.write(ctx, st, func(t *txn) error {
		c, err := t.container(ctx, st.By, id)
		if err != nil {
			return err
		}
		if err := ownContainer(st.By, c); err != nil {
			return err
		}
		if _, err := t.endCall(ctx, st, c); err != nil {
			return err
		}
		if _, err := t.exec(ctx, containers.change(st.By, "removed_at = ?", []any{millis(st.At)}, "AND id = ?", id)); err != nil {
			return fmt.Errorf("remove container: %w", err)
		}
		if _, err := t.exec(ctx, containers.forgetOldest(st.By, s.cfg.Limits.Removed)); err != nil {
			return fmt.Errorf("forget oldest removed containers: %w", err)
		}
		return nil
	})
}
