package discord

import (
	"errors"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
)

// Observer is told what happens between this program and the service, in values
// that hold nobody's text. It must not block.
type Observer interface {
	// Interaction is given what became of one, besides an answer: one of the
	// events below.
	Interaction(event string)
	// Cut is a message that was longer than the service takes.
	Cut()
	// FileRefused is a file that was attached and not fetched.
	FileRefused(code fault.Code)
	// Requested is one request, by class of route; status is 0 where there was
	// no answer.
	Requested(route string, status int, took time.Duration)
	// Waited is a wait for a limit that the service told, or for our own pace:
	// one of the limits below.
	Waited(limit string, took time.Duration)
	// SessionBegan is a gateway connection that is ready.
	SessionBegan()
	// SessionEnded is one that ended, or did not come up, with its close code
	// or 0.
	SessionEnded(had bool, code int)
}

// What becomes of an interaction, besides an answer.
const (
	eventDeferred   = "deferred"
	eventTurnedAway = "turned_away"
	eventDropped    = "dropped"
	eventTooOld     = "too_old"
	eventTwice      = "twice"
	eventUnreadable = "unreadable"
	eventUnsigned   = "unsigned"
)

// What a request waits for.
const (
	limitTold = "told"
	limitOwn  = "own"
)

// nobodyWatches is the Observer where none is set.
type nobodyWatches struct{}

func (nobodyWatches) Interaction(string)                   {}
func (nobodyWatches) Cut()                                 {}
func (nobodyWatches) FileRefused(fault.Code)               {}
func (nobodyWatches) Requested(string, int, time.Duration) {}
func (nobodyWatches) Waited(string, time.Duration)         {}
func (nobodyWatches) SessionBegan()                        {}
func (nobodyWatches) SessionEnded(bool, int)               {}

// class is the kind of route that a call goes to.
func (c *call) class() string {
	switch c.pattern {
	case callbackPattern:
		return "callback"
	case originalPattern, followPattern:
		return "webhook"
	case messagePattern, messagesPattern:
		return "message"
	case directPattern:
		return "direct"
	case commandsPattern:
		return "commands"
	case gatewayPattern:
		return "gateway"
	}
	return "application"
}

// closeCode is the code that the service closed a connection with, 0 for none.
func closeCode(err error) int {
	var closed *closedError
	if errors.As(err, &closed) {
		return closed.code
	}
	return 0
}
