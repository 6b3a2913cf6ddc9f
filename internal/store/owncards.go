package store

import (
	"context"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// exportCard is a message that follows a pour.
type exportCard struct {
	Pour    int64     `json:"pour"`
	Place   string    `json:"place"`
	Message string    `json:"message"`
	State   string    `json:"state"`
	At      time.Time `json:"at"`
}

// cards gathers the messages by which the member shows pours.
func (e *export) cards(ctx context.Context, q *session, v shop.Viewer) error {
	return q.each(ctx, clockwork("SELECT of_pour, place, message, state, posted_at FROM card WHERE owner = ? ORDER BY id", int64(v.Member.ID)),
		func(scan func(...any) error) error {
			var c exportCard
			var at int64
			err := scan(&c.Pour, &c.Place, &c.Message, &c.State, &at)
			c.At = instant(at)
			e.Cards = append(e.Cards, c)
			return err
		})
}

// exportDelivery is a message in which calls went out.
type exportDelivery struct {
	Place string    `json:"place"`
	State string    `json:"state"` // sending, sent, failed
	Began time.Time `json:"began"`
	Ended time.Time `json:"ended,omitzero"`
}

// deliveries gathers the messages that called the member.
func (e *export) deliveries(ctx context.Context, q *session, v shop.Viewer) error {
	return q.each(ctx, plain("SELECT place, state, began_at, coalesce(ended_at, 0) FROM delivery WHERE owner = ? ORDER BY id", int64(v.Member.ID)),
		func(scan func(...any) error) error {
			var d exportDelivery
			var began, ended int64
			err := scan(&d.Place, &d.State, &began, &ended)
			d.Began, d.Ended = instant(began), sometime(ended)
			e.Deliveries = append(e.Deliveries, d)
			return err
		})
}
