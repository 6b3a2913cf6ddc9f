package store

import (
	"context"
	"encoding/json"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// exportContainer is a jug or a pack, with what happened to it. Whose hand that
// was belongs to the other side.
type exportContainer struct {
	ID       int64           `json:"id"`
	Material int64           `json:"material,omitempty"` // zero once it is gone
	Shared   bool            `json:"shared"`
	Added    time.Time       `json:"added"`
	Opened   time.Time       `json:"opened,omitzero"`
	Finished time.Time       `json:"finished,omitzero"`
	Removed  time.Time       `json:"removed,omitzero"`
	Due      int64           `json:"due,omitempty"`
	Plan     json.RawMessage `json:"plan"`
	Log      []exportDraw    `json:"log"`
}

// exportDraw is something that happened to a container.
type exportDraw struct {
	Container int64           `json:"container,omitempty"` // of another member
	What      string          `json:"what"`
	A         float64         `json:"a,omitempty"` // g drawn
	B         float64         `json:"b,omitempty"`
	Pour      int64           `json:"pour,omitempty"`
	Mine      bool            `json:"mine"` // by the member's own hand
	At        time.Time       `json:"at"`
	TakenBack time.Time       `json:"taken_back,omitzero"`
	Detail    json.RawMessage `json:"detail"`
}

// stock gathers the member's containers, and what the member drew from others'.
func (e *export) stock(ctx context.Context, q *session, v shop.Viewer) error {
	place := map[int64]int{}
	err := q.each(ctx, containers.heldBare(v, "r.id, coalesce(r.material, 0), r.shared, r.created_at, coalesce(r.opened_on, 0), coalesce(r.finished_at, 0), coalesce(r.removed_at, 0), coalesce(r.due, 0), r.plan",
		"ORDER BY r.id"), func(scan func(...any) error) error {
		var c exportContainer
		var added, opened, finished, removed int64
		var plan string
		if err := scan(&c.ID, &c.Material, &c.Shared, &added, &opened, &finished, &removed, &c.Due, &plan); err != nil {
			return err
		}
		c.Added, c.Opened, c.Finished, c.Removed, c.Plan = instant(added), sometime(opened), sometime(finished), sometime(removed), json.RawMessage(plan)
		place[c.ID] = len(e.Containers)
		e.Containers = append(e.Containers, c)
		return nil
	})
	if err != nil {
		return err
	}
	const columns = "r.container, r.what, r.a, r.b, coalesce(r.pour, 0), coalesce(r.by_member, 0), r.created_at, coalesce(r.removed_at, 0), r.detail"
	read := func(scan func(...any) error) (d exportDraw, err error) {
		var by, at, back int64
		var detail string
		err = scan(&d.Container, &d.What, &d.A, &d.B, &d.Pour, &by, &at, &back, &detail)
		d.Mine, d.At, d.TakenBack, d.Detail = by == int64(v.Member.ID), instant(at), sometime(back), json.RawMessage(detail)
		return d, err
	}
	err = q.each(ctx, draws.heldBare(v, columns, "ORDER BY r.id"), func(scan func(...any) error) error {
		d, err := read(scan)
		if i, mine := place[d.Container]; mine {
			d.Container = 0
			e.Containers[i].Log = append(e.Containers[i].Log, d)
		}
		return err
	})
	if err != nil {
		return err
	}
	return q.each(ctx, draws.byHand(v, columns, "AND r.owner <> ? ORDER BY r.id", int64(v.Member.ID)), func(scan func(...any) error) error {
		d, err := read(scan)
		e.Drawn = append(e.Drawn, d)
		return err
	})
}
