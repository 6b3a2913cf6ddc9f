package remind_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/remind"
	"github.com/pourwright/pourwright/internal/shop"
)

// book is shop.Calls in memory, by the words of that interface. The suite in
// store/storetest holds the databases to the same.
type book struct {
	mu     sync.Mutex
	rows   map[int64]*row
	tokens int64
	began  int64
	bell   chan struct{}
}

type row struct {
	shop.Claim
	next time.Time // zero once it has ended
}

func newBook() *book { return &book{rows: map[int64]*row{}, bell: make(chan struct{}, 1)} }

// add makes a call of that member; each member has a number of their own.
func (b *book) add(owner shop.MemberID, about string, at time.Time, set ...func(*shop.Claim)) int64 {
	b.mu.Lock()
	defer b.mu.Unlock()
	c := shop.Claim{Due: shop.Due{Record: shop.Record{ID: int64(len(b.rows) + 1), Owner: owner}, At: at, State: shop.DuePending,
		DuePlan: shop.DuePlan{About: about, First: at, Zone: "UTC", Place: "hall"}}}
	c.Member = shop.Member{ID: owner, Key: fmt.Sprintf("local:%d", owner)}
	c.Shop.Set = shop.NewSettings()
	for _, f := range set {
		f(&c)
	}
	b.rows[c.ID] = &row{c, at}
	select {
	case b.bell <- struct{}{}:
	default:
	}
	return c.ID
}

func (b *book) state(id int64) shop.DueState {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.rows[id].State
}

func (b *book) cancel(id int64) {
	b.mu.Lock()
	defer b.mu.Unlock()
	r := b.rows[id]
	r.State, r.Token, r.next, r.Pending = shop.DueCanceled, "", time.Time{}, nil
}

func (b *book) ClaimDues(_ context.Context, _ string, now time.Time, lease time.Duration, _ int) (claims []shop.Claim, _ error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.tokens++
	for _, r := range b.rows {
		if !r.next.IsZero() && !r.next.After(now) {
			r.State, r.Token, r.next = shop.DueClaimed, fmt.Sprint(b.tokens), now.Add(lease)
			claims = append(claims, r.Claim)
		}
	}
	slices.SortFunc(claims, func(a, b shop.Claim) int { return a.At.Compare(b.At) })
	return claims, nil
}

func (b *book) NextDue(context.Context, string) (at time.Time, any bool, _ error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, r := range b.rows {
		if !r.next.IsZero() && (!any || r.next.Before(at)) {
			at, any = r.next, true
		}
	}
	return at, any, nil
}

// held gives the row of a claim that still holds.
func (b *book) held(c shop.Claim) (*row, bool) {
	r := b.rows[c.ID]
	return r, r.Token == c.Token && r.Token != ""
}

func (b *book) BeginDelivery(_ context.Context, claims []shop.Claim, place string, now time.Time, lease time.Duration) (d shop.Delivery, still []shop.Claim, _ error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.began++
	d = shop.Delivery{ID: b.began, Key: fmt.Sprint("key ", b.began), Place: place, Began: now}
	for _, c := range claims {
		if r, ok := b.held(c); ok {
			r.next, r.Pending = now.Add(lease), &d
			still = append(still, c)
		}
	}
	return d, still, nil
}

func (b *book) EndDelivery(_ context.Context, _ shop.Delivery, claims []shop.Claim, as shop.DueState, now time.Time) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, c := range claims {
		r, ok := b.held(c)
		if !ok {
			continue
		}
		r.State, r.Token, r.Pending, r.next = as, "", nil, r.Every.Next(r.First, now, time.UTC)
		if as == shop.DueSent {
			r.Count++
		}
		if !r.next.IsZero() {
			r.State, r.At = shop.DuePending, r.next
		}
	}
	return nil
}

func (b *book) PutOff(_ context.Context, claims []shop.Claim, until time.Time) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, c := range claims {
		if r, ok := b.held(c); ok {
			r.State, r.Token, r.next = shop.DuePending, "", until
		}
	}
	return nil
}

// service shows messages as a chat service does: one with a key that it has
// shown is not shown again, for a while.
type service struct {
	mu     sync.Mutex
	shown  []chat.Message
	times  []time.Time
	closed map[string]bool // places that refuse
	// fault, if there, decides what befalls the n-th send, from 1.
	fault func(n int) fate
	sends int
	looks int
	blind bool // looking fails
}

// fate is what befalls a message on its way.
type fate int

const (
	fine     fate = iota
	lost          // not accepted, and the sender can't know
	accepted      // accepted, and the sender can't know
	busy          // not accepted, and said so
)

var errBroken = errors.New("the connection broke")

func (s *service) Send(_ context.Context, m chat.Message) (chat.Outcome, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.sends++
	if s.closed[m.Place] {
		return chat.Refused, errors.New("no entry")
	}
	happens := fine
	if s.fault != nil {
		happens = s.fault(s.sends)
	}
	switch happens {
	case lost:
		return chat.Unknown, errBroken
	case busy:
		return chat.Unseen, errors.New("later")
	}
	if !slices.ContainsFunc(s.shown, func(old chat.Message) bool { return old.Key == m.Key && old.Place == m.Place }) {
		s.shown = append(s.shown, m)
		s.times = append(s.times, time.Now())
	}
	if happens == accepted {
		return chat.Unknown, errBroken
	}
	return chat.Shown, nil
}

func (s *service) Look(_ context.Context, m chat.Message) (chat.Outcome, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.looks++
	if s.blind {
		return chat.Unknown, errBroken
	}
	for _, old := range s.shown {
		if slices.ContainsFunc(old.Marks, func(mark string) bool { return slices.Contains(m.Marks, mark) }) {
			return chat.Shown, nil
		}
	}
	return chat.Unseen, nil
}

// set changes how it behaves, while a loop runs.
func (s *service) set(change func()) {
	s.mu.Lock()
	defer s.mu.Unlock()
	change()
}

// titles are those of all messages, in order.
func (s *service) titles() (all []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, m := range s.shown {
		all = append(all, strings.TrimPrefix(m.Reply.Title, "Reminder: ")+" to "+m.Place)
	}
	return all
}

func newLoop(b *book, s *service, now func() time.Time) *remind.Loop {
	return remind.New(remind.Config{Book: b, Sender: s, Space: "local", Bell: b.bell, Now: now, Log: slog.New(slog.DiscardHandler)})
}

var quietLog = slog.New(slog.DiscardHandler)

// falling is a book whose program has died after some of its writes.
type falling struct {
	*book
	mu    sync.Mutex
	after int
}

var errDead = errors.New("the program has fallen")

func (f *falling) dead() bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.after--
	return f.after < 0
}

func (f *falling) BeginDelivery(ctx context.Context, claims []shop.Claim, place string, now time.Time, lease time.Duration) (shop.Delivery, []shop.Claim, error) {
	if f.dead() {
		return shop.Delivery{}, nil, errDead
	}
	return f.book.BeginDelivery(ctx, claims, place, now, lease)
}

func (f *falling) EndDelivery(ctx context.Context, d shop.Delivery, claims []shop.Claim, as shop.DueState, now time.Time) error {
	if f.dead() {
		return errDead
	}
	return f.book.EndDelivery(ctx, d, claims, as, now)
}

func (f *falling) PutOff(ctx context.Context, claims []shop.Claim, until time.Time) error {
	if f.dead() {
		return errDead
	}
	return f.book.PutOff(ctx, claims, until)
}
