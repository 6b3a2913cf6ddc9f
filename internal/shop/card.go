package shop

import (
	"context"
	"time"
)

// Card is a message in a place of the transport that shows a pour and follows
// it. It shows what its owner, who posted it, may see of the pour.
type Card struct {
	ID      int64
	Owner   MemberID
	Pour    int64
	Place   string // a channel of the chat service, or the page of the bench
	Message string // the message's id there
	Posted  time.Time
}

// CardClaim is one card taken on for showing it anew.
type CardClaim struct {
	Card
	Token   string // proves the lease
	Member  Member
	Shop    Shop
	Changes int // of the pour, when it was taken on
	Tries   int // that failed since it was last shown
}

// Cards keeps the messages that follow a pour. A card is due when the pour's
// next phase begins, and as soon as the pour is changed. Every time given is now
// by the caller's clock.
type Cards interface {
	// PostCard keeps a message that shows a pour, to be shown anew at next; the
	// zero time waits for a change. A pour out of sight is fault.UnknownPour.
	// The oldest cards of a member give way.
	PostCard(ctx context.Context, s Stamp, c Card, next time.Time) error
	// ClaimCards takes on what is due of members of that name space for the
	// time of the lease, at most that many. A lease that is over counts as given
	// up, as does one that ends so late that the clock was set back since.
	ClaimCards(ctx context.Context, space string, now time.Time, lease time.Duration, most int) ([]CardClaim, error)
	// NextCard tells when something is due or a lease ends.
	NextCard(ctx context.Context, space string) (at time.Time, any bool, err error)
	// EndShowing records that the message shows the pour as it was when the
	// card was taken on; it is due again at next, or, where the pour was changed
	// meanwhile, at once. over ends it until the pour is changed again.
	EndShowing(ctx context.Context, c CardClaim, next time.Time, over bool, now time.Time) error
	// PutOffCard gives a card back, to be taken on at that time.
	PutOffCard(ctx context.Context, c CardClaim, until time.Time) error
	// DropCard ends a card for good: its message is gone, or closed to us.
	DropCard(ctx context.Context, c CardClaim) error
}
