package shop

import (
	"context"
	"time"
)

// Tidied counts what went because it was old, or would go.
type Tidied struct {
	Pours     int // finished ones that taught nothing: they are gone
	Reduced   int // finished ones of which only stays what they taught
	Reminders int // that were shown, missed and told, or canceled
	Marks     int // of molds: taken back ones are gone, the words at others
	Messages  int // records of calls that were sent, of interactions, and of buttons' lines
}

// All is the sum.
func (n Tidied) All() int { return n.Pours + n.Reduced + n.Reminders + n.Marks + n.Messages }

// Add adds.
func (n *Tidied) Add(m Tidied) {
	n.Pours += m.Pours
	n.Reduced += m.Reduced
	n.Reminders += m.Reminders
	n.Marks += m.Marks
	n.Messages += m.Messages
}

// Tidying lets what is over and old go, whoever's it is.
//
// What is under way stays, however old: a pour that runs or was found ready,
// one with a call still to come or a missed one that was not told, a call to
// come, a message on its way. Profiles stay, and so do counts: a mold keeps each
// of its pulls, and a pour whose answers teach about a material that is kept
// leaves the answers, the version of the material and the bulletin's forecast,
// so that no estimate changes.
type Tidying interface {
	// TidyUp lets at most so many rows of each kind go that ended before that
	// time, in one transaction. Nothing to do is a count of zero.
	TidyUp(ctx context.Context, before, now time.Time, most int) (Tidied, error)
	// WouldTidy counts what would go.
	WouldTidy(ctx context.Context, before, now time.Time) (Tidied, error)
	// Scrub takes what went out of the database's files too. It holds writes up
	// for its time.
	Scrub(ctx context.Context) error
}
