package store

import (
	"context"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// exportCode is a code that leads others to a record of the member's, or an
// offer made to the member. Who the other side is belongs to the other side.
type exportCode struct {
	Kind    string    `json:"kind"`
	Record  int64     `json:"record"`
	Code    string    `json:"code"`
	Offer   bool      `json:"offer"`   // to be taken over, not copied
	Offered bool      `json:"offered"` // to the member, by its owner
	Since   time.Time `json:"since"`
}

// exportOrigin is what a copy that was adopted remembers.
type exportOrigin struct {
	Record  int64 `json:"record"`
	Version int   `json:"version"`
	Left    int   `json:"left,omitempty"` // changes declined up to that version
	First   int64 `json:"first"`          // where the line began
}

// codes gathers the codes that the member gave out and was given.
func (e *export) codes(ctx context.Context, q *session, v shop.Viewer) error {
	me := int64(v.Member.ID)
	return q.each(ctx, plain("SELECT kind, record, code, taker IS NOT NULL, owner <> ?, created_at FROM share WHERE owner = ? OR taker = ? ORDER BY id", me, me, me), func(scan func(...any) error) error {
		var c exportCode
		var at int64
		err := scan(&c.Kind, &c.Record, &c.Code, &c.Offer, &c.Offered, &at)
		c.Since = instant(at)
		e.Codes = append(e.Codes, c)
		return err
	})
}
