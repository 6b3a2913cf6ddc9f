package library

import (
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/shop"
)

// LiveOf makes the card of a pour a live one: it changes with each phase, until
// the part is out or the pour ended otherwise.
func LiveOf(p shop.Pour, now time.Time) *chat.Live {
	return &chat.Live{Pour: p.ID, Next: PhaseOf(p, now).Until, Over: p.State != shop.PourRunning && p.State != shop.PourReady}
}
