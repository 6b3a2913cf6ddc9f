package remind

import (
	"fmt"
	"maps"
	"slices"
	"sync"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// pulse remembers the last round of each of the things a loop does.
type pulse struct {
	mu     sync.Mutex
	rounds map[string]beat
}

// beat is one round as it ended.
type beat struct {
	at  time.Time
	err error
}

// begin notes that a thing is done from now on.
func (p *pulse) begin(what string, at time.Time) { p.beat(what, at, nil) }

func (p *pulse) beat(what string, at time.Time, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.rounds[what] = beat{at, err}
}

// Standing says what keeps the loop from its work: that it does not run, that
// its last round failed, or that no round has ended for longer than one may
// take. It waits for nothing.
func (l *Loop) Standing(now time.Time) error {
	l.alive.mu.Lock()
	defer l.alive.mu.Unlock()
	if len(l.alive.rounds) == 0 {
		return fmt.Errorf("call members back: not begun yet")
	}
	for _, what := range slices.Sorted(maps.Keys(l.alive.rounds)) {
		last := l.alive.rounds[what]
		if last.err != nil {
			return fmt.Errorf("%s: %w", what, last.err)
		}
		if quiet := now.Sub(last.at); quiet > l.longest() {
			return fmt.Errorf("%s: no round has ended for %s", what, quiet.Round(time.Second))
		}
	}
	return nil
}

// longest is what lies between the ends of two rounds at most: a wait, and a
// round that sends in vain for as long as its claim holds, twice over.
func (l *Loop) longest() time.Duration { return 2 * (l.cfg.Pace.Poll + 2*l.cfg.Pace.Lease) }

// lateBy is how much later a call is shown than it was due. One that was due
// in quiet hours was due when they ended.
func lateBy(c shop.Claim, now time.Time) time.Duration {
	due := c.At
	if until := shop.QuietUntil(c.Member.Pref.QuietHours, due, c.Viewer().Zone()); until.After(due) {
		due = until
	}
	return max(now.Sub(due), 0)
}

// tell hands the counts of a round on.
func (c Counts) tell(to Observer) {
	for outcome, n := range map[string]int{"sent": c.Sent, "failed": c.Failed, "put_off": c.PutOff, "unknown": c.Unknown, "lost": c.Lost} {
		if n > 0 {
			to.CalledBack(outcome, n)
		}
	}
}

func (c CardCounts) tell(to Observer) {
	for outcome, n := range map[string]int{"shown": c.Shown, "dropped": c.Dropped, "put_off": c.PutOff, "unknown": c.Unknown} {
		if n > 0 {
			to.CardShown(outcome, n)
		}
	}
}

// nobodyWatches is the Observer where none is set.
type nobodyWatches struct{}

func (nobodyWatches) CalledBack(string, int) {}
func (nobodyWatches) Late(time.Duration)     {}
func (nobodyWatches) CardShown(string, int)  {}
