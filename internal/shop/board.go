package shop

import (
	"context"
	"time"
)

// Board is the read-only page of a shop that hangs on its wall. Whoever has
// its address may look, without a login.
type Board struct {
	By   string // who made the address, "" once that member is erased; untrusted text
	Made time.Time
}

// Boards keeps the addresses of boards, of each its hash alone: an address is
// told once, to who makes it.
type Boards interface {
	// MakeBoard draws a new address for the board of the viewer's shop; the one
	// before works no more. It is for managers; anyone else is
	// fault.NotAllowed. token is 32 letters and digits.
	MakeBoard(ctx context.Context, s Stamp) (token string, err error)
	// RevokeBoard takes the address back, for managers; fault.NotFound where
	// there is none.
	RevokeBoard(ctx context.Context, s Stamp) error
	// Board tells about the address of the viewer's shop, if it has one.
	Board(ctx context.Context, v Viewer) (b Board, ok bool, err error)
	// BoardShop gives the shop whose board has that address.
	BoardShop(ctx context.Context, token string) (s Shop, ok bool, err error)
}
