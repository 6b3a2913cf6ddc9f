package chat

import (
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// Message is a reply that comes by itself and not as the answer to a call: a
// member is called back.
type Message struct {
	Key       string    // unlike that of any other message, at most 25 characters
	Marks     []string  // ids of its actions that no other message has: each tells it
	MemberKey string    // whom it calls
	Place     string    // a channel of the transport, "" for the member alone
	Since     time.Time // when it was first tried: earlier it was shown nowhere
	Reply     *Reply
}

// Outcome is what is known after a message was sent or looked for.
type Outcome uint8

// The outcomes. The zero value is that of an error nobody understood.
const (
	Unknown Outcome = iota // it may have been shown: look before sending it again
	Shown                  // it is there
	Unseen                 // it is surely not there, and may be sent again later
	Refused                // it is not there and never will be: the place is gone or closed to us
)

// Standing gives an action its id without a call, as a message needs it. It
// reports false where the line does not fit an id.
func Standing(a Action, owner shop.MemberID) (Action, bool) {
	if a.Do == 0 {
		a.Do = DoRun
	}
	var fits bool
	a.ID, fits = press{verb: a.Do, form: a.Form, owner: owner, line: a.Line}.id()
	return a, fits
}
