package remind_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/pourwright/pourwright/internal/remind"
	"github.com/pourwright/pourwright/internal/shop"
)

// tally is an Observer that remembers.
type tally struct {
	mu   sync.Mutex
	seen []string
}

func (c *tally) note(format string, args ...any) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.seen = append(c.seen, fmt.Sprintf(format, args...))
}

func (c *tally) CalledBack(outcome string, n int) { c.note("%s %d", outcome, n) }
func (c *tally) Late(by time.Duration)            { c.note("late %s", by) }
func (c *tally) CardShown(outcome string, n int)  { c.note("card %s %d", outcome, n) }

// broken is a book whose claims fail, or hang, on demand.
type broken struct {
	*book
	mu   sync.Mutex
	err  error
	hold chan struct{}
}

func (b *broken) set(err error, hold chan struct{}) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.err, b.hold = err, hold
}

func (b *broken) ClaimDues(ctx context.Context, space string, now time.Time, lease time.Duration, most int) ([]shop.Claim, error) {
	b.mu.Lock()
	err, hold := b.err, b.hold
	b.mu.Unlock()
	if hold != nil {
		<-hold
	}
	if err != nil {
		return nil, err
	}
	return b.book.ClaimDues(ctx, space, now, lease, most)
}

// The standing of a loop tells whether it runs, fails or hangs.
func TestStanding(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &broken{book: newBook()}
		loop := remind.New(remind.Config{Book: b, Sender: &service{}, Space: "local", Now: time.Now, Log: quietLog})
		stands := func(what string, parts ...string) {
			t.Helper()
			err := loop.Standing(time.Now())
			if len(parts) == 0 && err != nil {
				t.Errorf("%s: %v", what, err)
			}
			for _, p := range parts {
				if err == nil || !strings.Contains(err.Error(), p) {
					t.Errorf("%s: %v, want %q in it", what, err, p)
				}
			}
		}
		stands("before it runs", "not begun")
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan error)
		go func() { ended <- loop.Run(ctx) }()
		synctest.Wait()
		stands("running")
		time.Sleep(time.Hour)
		stands("an idle hour later")
		b.set(errors.New("the disk is full"), nil)
		time.Sleep(10 * time.Second)
		stands("while it fails", "call members back", "the disk is full")
		b.set(nil, nil)
		time.Sleep(10 * time.Second)
		stands("once it works again")
		hold := make(chan struct{})
		b.set(nil, hold)
		time.Sleep(30 * time.Second)
		stands("a round that takes its time")
		time.Sleep(2 * time.Minute)
		stands("a round that hangs", "no round has ended for")
		close(hold)
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
}

// What the loop came to is told once, and quiet hours are no delay.
func TestLoopIsCounted(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, s, told := newBook(), &service{}, &tally{}
		now := time.Now() // midnight, in a bubble
		b.add(1, "late", now.Add(-90*time.Second))
		b.add(2, "slept over", now.Add(-time.Hour), func(c *shop.Claim) { c.Member.Pref.QuietHours = "22:00-07:00" })
		refused := b.add(3, "nowhere", now.Add(10*time.Hour))
		loop := remind.New(remind.Config{Book: b, Sender: s, Space: "local", Now: time.Now, Log: quietLog, Watch: told})
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan error)
		go func() { ended <- loop.Run(ctx) }()
		time.Sleep(8 * time.Hour)
		synctest.Wait()
		s.set(func() { s.closed = map[string]bool{"hall": true, "": true} })
		time.Sleep(3 * time.Hour)
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		if b.state(refused) != shop.DueFailed {
			t.Fatalf("the last is %s", b.state(refused))
		}
		want := []string{"late 1m30s", "put_off 1", "sent 1", "late 0s", "sent 1", "failed 1"}
		slices.Sort(want)
		slices.Sort(told.seen)
		if !slices.Equal(told.seen, want) {
			t.Errorf("told %q, want %q", told.seen, want)
		}
	})
}
