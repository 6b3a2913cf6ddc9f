package shop

import (
	"context"
	"time"
)

// DueState is where a call stands.
type DueState string

// The states of a call. A claimed one is being carried out under a lease; once
// the lease is over it is as pending.
const (
	DuePending  DueState = "pending"
	DueClaimed  DueState = "claimed"
	DueSent     DueState = "sent"
	DueFailed   DueState = "failed" // could not be shown anywhere: /due list says it
	DueCanceled DueState = "canceled"
)

// Due is something a member is called back for. It is seen and changed by its
// owner alone.
type Due struct {
	Record
	DuePlan
	At    time.Time // when it is due next, or was
	Pour  int64     // the pour it belongs to, or 0
	State DueState
	Count int // calls shown so far
	// Missed is when the last call was due that could be shown nowhere, zero
	// if none was.
	Missed time.Time
}

// DuePlan is what a call is about and where it goes.
type DuePlan struct {
	About string    `json:"about"`           // untrusted text
	First time.Time `json:"first"`           // of a series; the one time of others
	Every Every     `json:"every,omitzero"`  // how often it comes again
	Zone  string    `json:"zone"`            // IANA name: whose clock a series follows
	Place string    `json:"place,omitempty"` // a channel of the chat service; "" is a direct message
	Coat  int64     `json:"coat,omitempty"`  // the mold that it calls to put a release coat on, or 0
	Layer bool      `json:"layer,omitempty"` // it calls to put the next coat of its pour on
}

// Dues keeps what members are called back for.
type Dues interface {
	// AddDue keeps a call to come at d.At; past the limit fault.LimitReached.
	// A pour out of sight is fault.UnknownPour.
	AddDue(ctx context.Context, s Stamp, d Due) (Due, error)
	// Dues lists the viewer's own: those to come and those that could not be
	// shown, by time, at most that many.
	Dues(ctx context.Context, v Viewer, most int) ([]Due, error)
	// Due gives one by id, also a past one; fault.NotFound where it is out of
	// sight.
	Due(ctx context.Context, v Viewer, id int64) (Due, error)
	// SnoozeDue puts the next call off, or calls again for one that was shown.
	// A series keeps its own times. A canceled one is fault.NotAllowed.
	SnoozeDue(ctx context.Context, s Stamp, id int64, until time.Time) (Due, error)
	// CancelDue ends it, with all calls of a series.
	CancelDue(ctx context.Context, s Stamp, id int64) (Due, error)
	// DoneDue takes note: what was missed is missed no more, and a snoozed
	// call that was shown before does not come again. A series goes on.
	DoneDue(ctx context.Context, s Stamp, id int64) (Due, error)
	// TellMissed gives the viewer's own calls that could be shown nowhere, at
	// most that many, each once: it counts as told from then on, and stays in
	// the list until it is done.
	TellMissed(ctx context.Context, s Stamp, most int) ([]Due, error)
}

// Claim is one call taken on for carrying out, with what is needed for it.
type Claim struct {
	Due
	Token   string // proves the lease
	Member  Member
	Shop    Shop
	Pending *Delivery // one begun before whose end is not known
}

// Viewer is the owner at the shop where the call was made.
func (c *Claim) Viewer() Viewer { return Viewer{Member: c.Member, Shop: c.Shop} }

// Delivery is the record that is kept before a message is sent, so that after
// any interruption it is known what may have been shown.
type Delivery struct {
	ID    int64
	Key   string    // unlike any other, at most 25 characters
	Place string    // a channel, or "" for a direct message
	Began time.Time // when it was first tried
}

// Calls carries calls out. Every time given is now by the caller's clock.
type Calls interface {
	// ClaimDues takes on what is due of members of that name space ("discord",
	// "local") for the time of the lease: about most of them, and whatever
	// else is due for the same members. A lease that is over, or that ends
	// so late that the clock must have been set back since, counts as given up.
	ClaimDues(ctx context.Context, space string, now time.Time, lease time.Duration, most int) ([]Claim, error)
	// NextDue tells when something is due or a lease ends.
	NextDue(ctx context.Context, space string) (at time.Time, any bool, err error)
	// BeginDelivery records that the claims go to that place in one message,
	// and renews their lease. Claims that were canceled, put off or lost are
	// left out of what it returns; with none left nothing is recorded.
	BeginDelivery(ctx context.Context, claims []Claim, place string, now time.Time, lease time.Duration) (Delivery, []Claim, error)
	// EndDelivery records what came of it: sent, so that a series goes on; or
	// failed, for good.
	EndDelivery(ctx context.Context, d Delivery, claims []Claim, as DueState, now time.Time) error
	// PutOff gives claims back, to be taken on at that time. What they are due
	// at stays.
	PutOff(ctx context.Context, claims []Claim, until time.Time) error
}
