package store

import (
	"context"
	"encoding/json"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// exportEvent is an entry in the log of a pour.
type exportEvent struct {
	What      string          `json:"what"`
	At        time.Time       `json:"at"`
	Detail    json.RawMessage `json:"detail"`
	TakenBack time.Time       `json:"taken_back,omitzero"`
}

// pours gathers the member's pours with what was found and what happened at
// them, also what was taken back.
func (e *export) pours(ctx context.Context, q *session, v shop.Viewer) error {
	place := map[int64]int{}
	err := q.each(ctx, pours.heldBare(v, "r.id, coalesce(r.material, 0), r.material_version, coalesce(r.mold, 0), r.state, r.shared, "+
		"r.coats_on, coalesce(r.coat_at, 0), r.good, r.spoiled, r.created_at, coalesce(r.ended_at, 0), r.plan", "ORDER BY r.id"), func(scan func(...any) error) error {
		var p exportPour
		var started, ended, coat int64
		var plan string
		if err := scan(&p.ID, &p.Material, &p.Version, &p.Mold, &p.State, &p.Shared, &p.CoatsOn, &coat, &p.Good, &p.Spoiled, &started, &ended, &plan); err != nil {
			return err
		}
		p.Started, p.Ended, p.CoatAt, p.Plan = instant(started), sometime(ended), sometime(coat), json.RawMessage(plan)
		place[p.ID] = len(e.Pours)
		e.Pours = append(e.Pours, p)
		return nil
	})
	if err != nil {
		return err
	}
	err = q.each(ctx, answers.heldBare(v, "r.pour, coalesce(r.ready_by, 0), coalesce(r.soft_at, 0), r.shared, r.created_at, coalesce(r.removed_at, 0)",
		"ORDER BY r.id"), func(scan func(...any) error) error {
		var f exportFound
		var pour, at, back int64
		if err := scan(&pour, &f.ReadyBy, &f.SoftAt, &f.Shared, &at, &back); err != nil {
			return err
		}
		f.At, f.TakenBack = instant(at), sometime(back)
		if i, mine := place[pour]; mine {
			e.Pours[i].Found = append(e.Pours[i].Found, f)
		}
		return nil
	})
	if err != nil {
		return err
	}
	return q.each(ctx, events.heldBare(v, "r.pour, r.what, r.detail, r.created_at, coalesce(r.removed_at, 0)", "ORDER BY r.id"), func(scan func(...any) error) error {
		var x exportEvent
		var pour, at, back int64
		var text string
		if err := scan(&pour, &x.What, &text, &at, &back); err != nil {
			return err
		}
		x.At, x.TakenBack, x.Detail = instant(at), sometime(back), json.RawMessage(text)
		if i, mine := place[pour]; mine {
			e.Pours[i].Log = append(e.Pours[i].Log, x)
		}
		return nil
	})
}
