package store

import (
	"context"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// exportPull is a mark in the log of a mold.
type exportPull struct {
	Mold      int64     `json:"mold"`
	What      string    `json:"what"` // good, spoiled, coat
	Number    int       `json:"number"`
	Late      bool      `json:"late,omitempty"`
	Why       string    `json:"why,omitempty"`
	At        time.Time `json:"at"`
	TakenBack time.Time `json:"taken_back,omitzero"`
}

// pulls gathers the logs of the member's molds, also what was taken back.
func (e *export) pulls(ctx context.Context, q *session, v shop.Viewer) error {
	return q.each(ctx, pulls.heldBare(v, "r.mold, r.what, r.number, r.late, r.why, r.created_at, coalesce(r.removed_at, 0)", "ORDER BY r.id"),
		func(scan func(...any) error) error {
			var p exportPull
			var at, back int64
			if err := scan(&p.Mold, &p.What, &p.Number, &p.Late, &p.Why, &at, &back); err != nil {
				return err
			}
			p.At, p.TakenBack = instant(at), sometime(back)
			e.Pulls = append(e.Pulls, p)
			return nil
		})
}
