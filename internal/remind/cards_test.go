package remind_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/remind"
	"github.com/pourwright/pourwright/internal/shop"
)

// deck is shop.Cards in memory, by the words of that interface, and the pours
// that its cards show: each changes at some times by itself, and by change.
type deck struct {
	mu     sync.Mutex
	cards  map[int64]*cardRow
	phases []time.Time // of every pour
	state  string      // of every pour
	refuse fault.Code  // of the desk
	tokens int
	bell   chan struct{}
	falls  func() bool // the program has died: nothing is written any more
}

type cardRow struct {
	shop.CardClaim
	next    time.Time
	claimed bool
	ended   string // over, gone
}

func newDeck(phases ...time.Time) *deck {
	return &deck{cards: map[int64]*cardRow{}, phases: phases, state: "running", bell: make(chan struct{}, 1), falls: func() bool { return false }}
}

// post puts a card up that shows what the pours are at now.
func (d *deck) post(now time.Time) int64 {
	d.mu.Lock()
	defer d.mu.Unlock()
	id := int64(len(d.cards) + 1)
	d.cards[id] = &cardRow{CardClaim: shop.CardClaim{Card: shop.Card{ID: id, Pour: 10 * id, Place: "hall", Message: fmt.Sprint(id)}, Member: shop.Member{Key: "local:ada"}}, next: d.after(now)}
	return id
}

// after is the first phase to begin after now, zero for none.
func (d *deck) after(now time.Time) time.Time {
	for _, at := range d.phases {
		if at.After(now) {
			return at
		}
	}
	return time.Time{}
}

func (d *deck) change(state string, now time.Time) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.state = state
	for _, c := range d.cards {
		if c.ended == "gone" {
			continue
		}
		c.Changes++
		c.ended = ""
		if !c.claimed {
			c.next = now
		}
	}
	select {
	case d.bell <- struct{}{}:
	default:
	}
}

// Do is the desk: it says how many phases have begun, and what the pours are.
func (d *deck) Do(_ context.Context, inv chat.Invocation) chat.Answer {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.refuse != "" {
		return chat.Answer{Fault: fault.New(d.refuse, "no")}
	}
	begun := 0
	for _, at := range d.phases {
		if !at.After(inv.At) {
			begun++
		}
	}
	if !inv.Renewal || !strings.HasPrefix(inv.Line, `/pour show pour:#`) {
		return chat.Answer{Reply: &chat.Reply{Title: "no card"}}
	}
	return chat.Answer{Reply: &chat.Reply{Title: fmt.Sprintf("%s %d", d.state, begun), Live: &chat.Live{Pour: 10, Next: d.after(inv.At), Over: d.state == "done"}}}
}

func (d *deck) PostCard(context.Context, shop.Stamp, shop.Card, time.Time) error { return nil }

func (d *deck) ClaimCards(_ context.Context, _ string, now time.Time, lease time.Duration, _ int) (claims []shop.CardClaim, _ error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.tokens++
	for _, c := range d.cards {
		if !c.next.IsZero() && !c.next.After(now) {
			c.claimed, c.Token, c.next = true, fmt.Sprint(d.tokens), now.Add(lease)
			claims = append(claims, c.CardClaim)
		}
	}
	return claims, nil
}

func (d *deck) NextCard(context.Context, string) (at time.Time, any bool, _ error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, c := range d.cards {
		if !c.next.IsZero() && (!any || c.next.Before(at)) {
			at, any = c.next, true
		}
	}
	return at, any, nil
}

var errFallen = errors.New("the program has fallen")

// held carries out a change by the holder of a claim.
func (d *deck) held(c shop.CardClaim, do func(*cardRow)) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.falls() {
		return errFallen
	}
	if row := d.cards[c.ID]; row.claimed && row.Token == c.Token {
		row.claimed, row.next = false, time.Time{}
		do(row)
	}
	return nil
}

func (d *deck) EndShowing(_ context.Context, c shop.CardClaim, next time.Time, over bool, now time.Time) error {
	return d.held(c, func(row *cardRow) {
		row.Tries = 0
		switch {
		case row.Changes != c.Changes:
			row.next = now
		case over:
			row.ended = "over"
		default:
			row.next = next
		}
	})
}

func (d *deck) PutOffCard(_ context.Context, c shop.CardClaim, until time.Time) error {
	return d.held(c, func(row *cardRow) { row.Tries++; row.next = until })
}

func (d *deck) DropCard(_ context.Context, c shop.CardClaim) error {
	return d.held(c, func(row *cardRow) { row.ended = "gone" })
}

// wall shows messages, as a chat service does.
type wall struct {
	mu      sync.Mutex
	edits   []string
	times   []time.Time
	outcome func(n int) chat.Outcome // of the n-th edit, from 1; nil is Shown
	tries   int
	during  func() // happens while an edit is under way
	takes   time.Duration
}

func (w *wall) Edit(ctx context.Context, _, message string, r *chat.Reply) (chat.Outcome, error) {
	if w.takes > 0 {
		select {
		case <-time.After(w.takes):
		case <-ctx.Done():
			return chat.Unknown, ctx.Err()
		}
	}
	if w.during != nil {
		w.during()
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.tries++
	if w.outcome != nil {
		if o := w.outcome(w.tries); o != chat.Shown {
			return o, errors.New("not now")
		}
	}
	w.edits = append(w.edits, message+" "+r.Title)
	w.times = append(w.times, time.Now())
	return chat.Shown, nil
}

func (w *wall) want(t *testing.T, edits ...string) {
	t.Helper()
	w.mu.Lock()
	defer w.mu.Unlock()
	if got := strings.Join(w.edits, ", "); got != strings.Join(edits, ", ") {
		t.Errorf("shown %q, want %q", got, edits)
	}
}

func cardLoop(d *deck, w *wall, now func() time.Time) *remind.Loop {
	return remind.New(remind.Config{Book: newBook(), Sender: &service{}, Space: "local", Now: now, Log: quietLog,
		Cards: d, CardBell: d.bell, Editor: w, Desk: d})
}

// keeping runs a loop inside a bubble until the test of it ends.
func keeping(t *testing.T, d *deck, w *wall, now func() time.Time, test func()) {
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error)
	go func() { ended <- cardLoop(d, w, now).Run(ctx) }()
	test()
	cancel()
	if err := <-ended; err != nil {
		t.Errorf("the loop ended with %v", err)
	}
}

// A card is shown anew as each phase begins and when its pour is changed, at
// those times and at no others; the last edit ends it.
func TestCardsFollowTheirPour(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		d, w := newDeck(began.Add(3*time.Minute), began.Add(12*time.Minute)), &wall{}
		d.post(began)
		keeping(t, d, w, time.Now, func() {
			time.Sleep(20 * time.Minute)
			synctest.Wait()
			d.change("ready", time.Now())
			synctest.Wait()
			time.Sleep(10 * time.Minute)
			d.change("done", time.Now())
			time.Sleep(24 * time.Hour)
			synctest.Wait()
			w.want(t, "1 running 1", "1 running 2", "1 ready 2", "1 done 2")
			for i, want := range []time.Duration{3 * time.Minute, 12 * time.Minute, 20 * time.Minute, 30 * time.Minute} {
				if got := w.times[i].Sub(began); got != want {
					t.Errorf("edit %d came after %v, want %v", i, got, want)
				}
			}
			// The end is taken back.
			d.change("running", time.Now())
			synctest.Wait()
		})
		w.want(t, "1 running 1", "1 running 2", "1 ready 2", "1 done 2", "1 running 2")
	})
}

// Whatever was slept through is one edit.
func TestLateCardsCollapse(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		d, w := newDeck(began.Add(time.Minute), began.Add(2*time.Minute), began.Add(3*time.Minute), began.Add(5*time.Hour)), &wall{}
		d.post(began)
		time.Sleep(time.Hour)
		d.change("soft", time.Now())
		keeping(t, d, w, time.Now, synctest.Wait)
		w.want(t, "1 soft 3")
	})
}

// The pour is changed while its card is being shown: that is shown after it,
// and the phase that ended meanwhile too.
func TestCardChangedWhileShown(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		d, w := newDeck(began.Add(time.Minute), began.Add(time.Minute+5*time.Second)), &wall{takes: 8 * time.Second}
		d.post(began)
		once := sync.OnceFunc(func() { d.change("ready", time.Now()) })
		w.during = once
		keeping(t, d, w, time.Now, func() {
			time.Sleep(5 * time.Minute)
			synctest.Wait()
		})
		w.want(t, "1 running 1", "1 ready 2")
	})
}

func TestCardOutcomes(t *testing.T) {
	until := func(n int, o chat.Outcome) func(int) chat.Outcome {
		return func(i int) chat.Outcome {
			if i < n {
				return o
			}
			return chat.Shown
		}
	}
	for _, c := range []struct {
		name    string
		outcome func(int) chat.Outcome
		refuse  fault.Code
		wait    time.Duration
		tries   int
		shown   bool
		ended   string
	}{
		{"the service is down for a while", until(4, chat.Unknown), "", 2 * time.Minute, 4, true, ""},
		{"it takes nothing now", until(3, chat.Unseen), "", time.Minute, 3, true, ""},
		{"it is down for a day", until(1e6, chat.Unseen), "", 24 * time.Hour, 150, false, ""},
		{"the message is gone", until(9, chat.Refused), "", time.Hour, 1, false, "gone"},
		{"the pour is out of sight", nil, fault.UnknownPour, time.Hour, 0, false, "gone"},
		{"its member is not let in", nil, fault.NotAllowed, time.Hour, 0, false, "gone"},
		{"the desk is busy", nil, fault.Busy, time.Hour, 0, false, ""},
		{"the disk is full", nil, fault.Unavailable, time.Hour, 0, false, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				d, w := newDeck(time.Now().Add(time.Minute)), &wall{outcome: c.outcome}
				d.refuse = c.refuse
				id := d.post(time.Now())
				keeping(t, d, w, time.Now, func() {
					time.Sleep(time.Minute + c.wait)
					synctest.Wait()
				})
				if w.tries > c.tries || c.tries < 100 && w.tries != c.tries {
					t.Errorf("%d tries, want %d", w.tries, c.tries)
				}
				if (len(w.edits) == 1) != c.shown || d.cards[id].ended != c.ended {
					t.Errorf("shown %q, and the card has ended as %q, want %q", w.edits, d.cards[id].ended, c.ended)
				}
				if c.ended == "" && !c.shown && d.cards[id].next.IsZero() {
					t.Error("it is not tried again")
				}
			})
		})
	}
}

// A card that takes long holds no call up.
func TestCardsHoldNoCallUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		d, w, b, s := newDeck(began.Add(time.Second)), &wall{takes: 10 * time.Second}, newBook(), &service{}
		d.post(began)
		b.add(1, "wipe", began.Add(3*time.Second))
		ctx, cancel := context.WithCancel(t.Context())
		l := remind.New(remind.Config{Book: b, Sender: s, Bell: b.bell, Now: time.Now, Log: quietLog, Cards: d, CardBell: d.bell, Editor: w, Desk: d})
		ended := make(chan error)
		go func() { ended <- l.Run(ctx) }()
		time.Sleep(4 * time.Second)
		synctest.Wait()
		want(t, s, "wipe to hall")
		cancel()
		<-ended
	})
}

// The clock is set while the loop sleeps: a card is no later than the clock
// says, and a claim does not outlive a clock that is set back.
func TestCardsWhenTheClockJumps(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		var shift atomic.Int64
		now := func() time.Time { return time.Now().Add(time.Duration(shift.Load())) }
		d, w := newDeck(began.Add(3*time.Hour), began.Add(5*time.Hour)), &wall{}
		d.post(began)
		keeping(t, d, w, now, func() {
			synctest.Wait()
			shift.Store(int64(4 * time.Hour))
			time.Sleep(6 * time.Second)
			synctest.Wait()
			w.want(t, "1 running 1")
			shift.Store(0) // back again: the change is shown at once all the same
			d.change("ready", now())
			synctest.Wait()
			w.want(t, "1 running 1", "1 ready 0")
			time.Sleep(6 * time.Hour)
			synctest.Wait()
		})
		w.want(t, "1 running 1", "1 ready 0", "1 ready 1", "1 ready 2")
	})
}

// Whatever befalls edits, and wherever the program falls, each card shows in
// the end what its pour is, and shows nothing older after something newer.
func TestCardsEndUpRight(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
		clock := func() time.Time { return now }
		d, w := newDeck(now.Add(time.Minute), now.Add(2*time.Minute), now.Add(4*time.Minute)), &wall{}
		for range rapid.IntRange(1, 4).Draw(r, "cards") {
			d.post(now)
		}
		left := 0
		d.falls = func() bool { left--; return left < 0 }
		calm := false
		w.outcome = func(int) chat.Outcome {
			if calm {
				return chat.Shown
			}
			return rapid.SampledFrom([]chat.Outcome{chat.Shown, chat.Unknown, chat.Unseen}).Draw(r, "outcome")
		}
		changes := 0
		for range 30 {
			now = now.Add(20 * time.Second)
			left = rapid.IntRange(0, 6).Draw(r, "fall")
			if rapid.IntRange(0, 5).Draw(r, "change") == 0 {
				changes++
				d.change(fmt.Sprintf("state%02d", changes), now)
			}
			_, _ = cardLoop(d, w, clock).ShowOnce(context.Background()) // a fall is an error, and meant
		}
		calm = true
		for range 40 {
			now, left = now.Add(20*time.Minute), 100
			if _, err := cardLoop(d, w, clock).ShowOnce(context.Background()); err != nil {
				r.Fatal(err)
			}
		}
		last := map[string]string{}
		for _, e := range w.edits {
			message, shown, _ := strings.Cut(e, " ")
			if before := last[message]; strings.HasPrefix(before, "state") && strings.HasPrefix(shown, "state") && shown < before {
				r.Fatalf("%s showed %s after %s", message, shown, before)
			}
			last[message] = shown
		}
		for message, shown := range last {
			if want := d.state + " 3"; shown != want {
				r.Fatalf("%s shows %q in the end, want %q", message, shown, want)
			}
		}
		if len(last) != len(d.cards) {
			r.Fatalf("%d of %d cards were ever shown anew", len(last), len(d.cards))
		}
	})
}
