// Package remind calls members back: it takes on what is due, sends it, and
// records what came of it.
//
//	loop := remind.New(remind.Config{Book: db, Sender: gateway, Space: "discord", Bell: db.Bell(), Now: time.Now, Log: log})
//	err := loop.Run(ctx)
//
// A call is sent at least once and shown at most once. Before a message goes,
// its key is recorded; a transport refuses a key that it has shown. Where the
// outcome is not known, by an error or by a fall of the program, the message is
// looked for before it is sent again. A claim on what is due runs out by
// itself, so that another process, or the next run of this one, takes it on.
//
// What is late goes in the order in which it was due and says how late it is.
// More than a few for one member go as one list. Quiet hours put a call off.
//
// Beside that it keeps cards up to date: messages that show a pour (cards.go).
package remind

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/shop"
)

// Sender is a transport that can call a member by itself.
type Sender interface {
	// Send shows a message. An error is for the log; the outcome says what to
	// do. It must end when ctx does.
	Send(ctx context.Context, m chat.Message) (chat.Outcome, error)
	// Look tells whether the message was shown: Shown or Unseen; Refused where
	// its place can't be looked at any more.
	Look(ctx context.Context, m chat.Message) (chat.Outcome, error)
}

// Config is what a loop needs.
type Config struct {
	Book   shop.Calls
	Sender Sender
	Space  string           // the members' name space, "discord" or "local"
	Bell   <-chan struct{}  // rings when what is due has changed; may be nil
	Now    func() time.Time // the clock
	// Messages that follow a pour; without Cards there are none.
	Cards    shop.Cards
	CardBell <-chan struct{} // rings when a card may be due; may be nil
	Editor   Editor
	Desk     Desk
	Log      *slog.Logger
	Pace     Pace     // zero values mean the usual ones
	Watch    Observer // nil if nobody counts
}

// Observer is told what the loop came to. It must not block.
type Observer interface {
	// CalledBack is n calls with one outcome: "sent", "failed", "put_off",
	// "unknown" or "lost".
	CalledBack(outcome string, n int)
	// Late is a call that was shown, by how much later than it was due or, where
	// that was in quiet hours, than they ended.
	Late(by time.Duration)
	// CardShown is n edits of cards with one outcome: "shown", "dropped",
	// "put_off" or "unknown".
	CardShown(outcome string, n int)
}

// Pace holds the times and bounds of a loop.
type Pace struct {
	Lease time.Duration // how long a claim holds, 15 s
	Poll  time.Duration // the longest wait: other processes, and the clock, may change what is due; 5 s
	Pause time.Duration // before what could not be sent is tried again, 10 s
	Batch int           // members' calls taken on at once, 50
	Lanes int           // messages on their way at once, 8
}

// Loop calls members back. One Loop runs once.
type Loop struct {
	cfg   Config
	alive pulse
}

// New makes a loop.
func New(cfg Config) *Loop {
	p := &cfg.Pace
	p.Lease, p.Poll, p.Pause = cmp.Or(p.Lease, 15*time.Second), cmp.Or(p.Poll, 5*time.Second), cmp.Or(p.Pause, 10*time.Second)
	p.Batch, p.Lanes = cmp.Or(p.Batch, 50), cmp.Or(p.Lanes, 8)
	if cfg.Watch == nil {
		cfg.Watch = nobodyWatches{}
	}
	return &Loop{cfg: cfg, alive: pulse{rounds: map[string]beat{}}}
}

// Run calls back, and keeps cards up to date, until ctx ends, and returns nil
// then. What goes wrong on the way is logged and tried again. The two do not
// wait for each other: an edit that takes long holds no call up.
func (l *Loop) Run(ctx context.Context) error {
	var cards sync.WaitGroup
	if l.cfg.Cards != nil {
		cards.Go(func() {
			l.keepOn(ctx, rounds{what: "keep cards up to date", bell: l.cfg.CardBell, next: l.cfg.Cards.NextCard, once: func(ctx context.Context) (int, error) {
				done, err := l.ShowOnce(ctx)
				if done.Claimed > 0 {
					l.cfg.Log.Debug("showed cards anew", "claimed", done.Claimed, "shown", done.Shown, "dropped", done.Dropped, "put_off", done.PutOff)
				}
				return done.Claimed, err
			}})
		})
	}
	l.keepOn(ctx, rounds{what: "call members back", bell: l.cfg.Bell, next: l.cfg.Book.NextDue, once: func(ctx context.Context) (int, error) {
		done, err := l.RunOnce(ctx)
		if done.Claimed > 0 {
			l.cfg.Log.Debug("called members back", "claimed", done.Claimed, "sent", done.Sent, "failed", done.Failed, "put_off", done.PutOff, "unknown", done.Unknown)
		}
		return done.Claimed, err
	}})
	cards.Wait()
	return nil
}

// rounds is one of the two things a loop does over and over.
type rounds struct {
	what string
	bell <-chan struct{}
	once func(ctx context.Context) (claimed int, err error)
	next func(ctx context.Context, space string) (at time.Time, any bool, err error)
}

// keepOn runs rounds until ctx ends.
func (l *Loop) keepOn(ctx context.Context, r rounds) {
	l.alive.begin(r.what, l.cfg.Now())
	for ctx.Err() == nil {
		claimed, err := r.once(ctx)
		l.alive.beat(r.what, l.cfg.Now(), err)
		wait := time.Duration(0)
		switch {
		case err != nil && ctx.Err() == nil:
			l.cfg.Log.Error(r.what, "error", err)
			wait = l.cfg.Pace.Poll
		case claimed == 0:
			wait = l.untilNext(ctx, r)
		}
		sleep(ctx, wait, r.bell)
	}
}

// leastWait keeps a disturbed loop from spinning.
const leastWait = 20 * time.Millisecond

// untilNext is how long nothing will be due, Poll at most.
func (l *Loop) untilNext(ctx context.Context, r rounds) time.Duration {
	next, any, err := r.next(ctx, l.cfg.Space)
	if err != nil && ctx.Err() == nil {
		l.cfg.Log.Error("look for what is due next", "error", err)
	}
	if err != nil || !any {
		return l.cfg.Pace.Poll
	}
	return min(max(next.Sub(l.cfg.Now()), leastWait), l.cfg.Pace.Poll)
}

// sleep waits for the time, the bell or the end of ctx.
func sleep(ctx context.Context, d time.Duration, bell <-chan struct{}) {
	if d <= 0 {
		return
	}
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
	case <-timer.C:
	case <-bell:
	}
}

// Counts is what one round came to, in calls.
type Counts struct {
	Claimed int
	Sent    int
	Failed  int // could be shown nowhere
	PutOff  int // by quiet hours, or because the service takes nothing now
	Unknown int // may have been shown: looked for once the claim has run out
	Lost    int // canceled, put off by the member, or taken on by another meanwhile
}

func (c *Counts) add(d Counts) {
	c.Claimed += d.Claimed
	c.Sent += d.Sent
	c.Failed += d.Failed
	c.PutOff += d.PutOff
	c.Unknown += d.Unknown
	c.Lost += d.Lost
}

// RunOnce takes on one batch of what is due and carries it out.
func (l *Loop) RunOnce(ctx context.Context) (Counts, error) {
	now := l.cfg.Now()
	claims, err := l.cfg.Book.ClaimDues(ctx, l.cfg.Space, now, l.cfg.Pace.Lease, l.cfg.Pace.Batch)
	if err != nil {
		return Counts{}, fmt.Errorf("claim what is due: %w", err)
	}
	groups, quiet := grouped(claims, now)
	total := Counts{Claimed: len(claims)}
	var failed error
	for until, held := range quiet {
		if err := l.cfg.Book.PutOff(ctx, held, until); err != nil {
			failed = errors.Join(failed, fmt.Errorf("put off in quiet hours: %w", err))
			continue
		}
		total.PutOff += len(held)
	}
	done, err := l.carryOut(ctx, lanes(groups), now)
	total.add(done)
	total.tell(l.cfg.Watch)
	return total, errors.Join(failed, err)
}
