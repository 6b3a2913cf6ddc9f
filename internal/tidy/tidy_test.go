package tidy_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/tidy"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// attic is shop.Tidying in memory: old rows, and whether the files hold more.
type attic struct {
	mu     sync.Mutex
	old    int
	log    []string
	err    error // of the next steps
	scrub  error
	before time.Time
}

func (a *attic) note(format string, args ...any) {
	a.log = append(a.log, fmt.Sprintf(format, args...))
}

func (a *attic) TidyUp(_ context.Context, before, _ time.Time, most int) (shop.Tidied, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.before = before
	if a.err != nil {
		return shop.Tidied{}, a.err
	}
	n := min(a.old, most)
	a.old -= n
	if n > 0 {
		a.note("%d", n)
	}
	return shop.Tidied{Pours: n}, nil
}

func (a *attic) WouldTidy(context.Context, time.Time, time.Time) (shop.Tidied, error) {
	return shop.Tidied{}, errors.New("nobody asks this here")
}

func (a *attic) Scrub(context.Context) error {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.scrub != nil {
		return a.scrub
	}
	a.note("scrub")
	return nil
}

func (a *attic) set(change func()) {
	a.mu.Lock()
	defer a.mu.Unlock()
	change()
}

func (a *attic) want(t *testing.T, what string, steps ...string) {
	t.Helper()
	a.mu.Lock()
	defer a.mu.Unlock()
	if !slices.Equal(a.log, steps) {
		t.Errorf("%s: %q, want %q", what, a.log, steps)
	}
	a.log = nil
}

// tally is an Observer that remembers.
type tally struct {
	rows int
	ends []bool
}

func (c *tally) Tidied(_ string, n int) { c.rows += n }
func (c *tally) TidyEnded(ok bool)      { c.ends = append(c.ends, ok) }

// running runs a service in a bubble until the test of it ends.
func running(t *testing.T, a *attic, told *tally, test func()) {
	t.Helper()
	s := tidy.New(tidy.Config{Book: a, Keep: 30 * 24 * time.Hour, Now: time.Now, Log: slog.New(slog.DiscardHandler), Watch: told})
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error)
	go func() { ended <- s.Run(ctx) }()
	test()
	cancel()
	if err := <-ended; err != nil {
		t.Errorf("it ended with %v", err)
	}
}

// It begins a while after the start, works in small steps, and comes each day.
func TestRunsDaily(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a, told := &attic{old: 250}, &tally{}
		running(t, a, told, func() {
			time.Sleep(59 * time.Second)
			a.want(t, "while the program starts")
			time.Sleep(time.Minute)
			a.want(t, "the first run", "100", "100", "50", "scrub")
			var before time.Time
			a.set(func() { before = a.before })
			if kept := time.Since(before); kept < 30*24*time.Hour || kept > 30*24*time.Hour+time.Minute {
				t.Errorf("kept for %v", kept)
			}
			time.Sleep(24 * time.Hour)
			a.want(t, "a day on which nothing grew old")
			a.set(func() { a.old = 1 })
			time.Sleep(24 * time.Hour)
			a.want(t, "a day on which something did", "1", "scrub")
		})
		if told.rows != 251 || !slices.Equal(told.ends, []bool{true, true, true}) {
			t.Errorf("told %d rows and ends %v", told.rows, told.ends)
		}
	})
}

// The first run of a program cleans the files even where nothing is old: the
// one before may have been killed before it did.
func TestFirstRunScrubs(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a := &attic{}
		running(t, a, &tally{}, func() {
			time.Sleep(2 * time.Minute)
			a.want(t, "the first run", "scrub")
		})
	})
}

// What fails is tried again soon, and what is gone is not forgotten to be
// cleaned away.
func TestTriesAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a, told := &attic{old: 3, scrub: errors.New("a reader was in the way")}, &tally{}
		running(t, a, told, func() {
			time.Sleep(2 * time.Minute)
			a.want(t, "files that are busy", "3")
			a.set(func() { a.scrub = nil })
			time.Sleep(10 * time.Minute)
			a.want(t, "once they are free", "scrub")
			a.set(func() { a.old, a.err = 2, errors.New("the disk is full") })
			time.Sleep(24 * time.Hour)
			a.want(t, "a full disk")
			a.set(func() { a.err = nil })
			time.Sleep(10 * time.Minute)
			a.want(t, "room again", "2", "scrub")
		})
		if told.ends[0] || !told.ends[1] {
			t.Errorf("ends %v", told.ends)
		}
	})
}

// An end in the midst of a run keeps what was done; the next program goes on.
func TestEndsBetweenSteps(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a := &attic{old: 1000}
		running(t, a, &tally{}, func() { time.Sleep(time.Minute + 120*time.Millisecond) })
		a.want(t, "until it ended", "100", "100", "100")
		running(t, a, &tally{}, func() { time.Sleep(5 * time.Minute) })
		if got := strings.Join(a.log, " "); got != strings.Repeat("100 ", 7)+"scrub" {
			t.Errorf("the next: %s", got)
		}
	})
}
