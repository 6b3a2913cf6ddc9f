package discord

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/fault"
)

// sightings is an Observer that remembers.
type sightings struct {
	mu   sync.Mutex
	seen []string
	news chan struct{}
}

func (s *sightings) note(format string, args ...any) {
	s.mu.Lock()
	s.seen = append(s.seen, fmt.Sprintf(format, args...))
	s.mu.Unlock()
	select {
	case s.news <- struct{}{}:
	default:
	}
}

func (s *sightings) Interaction(event string)         { s.note("interaction %s", event) }
func (s *sightings) Cut()                             { s.note("cut") }
func (s *sightings) FileRefused(code fault.Code)      { s.note("file %s", code) }
func (s *sightings) Waited(l string, _ time.Duration) { s.note("waited %s", l) }
func (s *sightings) SessionBegan()                    { s.note("session") }
func (s *sightings) SessionEnded(had bool, code int)  { s.note("ended %v %d", had, code) }
func (s *sightings) Requested(route string, status int, _ time.Duration) {
	s.note("request %s %d", route, status)
}

// await waits until something was seen.
func (s *sightings) await(t *testing.T, what string) {
	t.Helper()
	late := time.After(surely)
	for {
		s.mu.Lock()
		found := slices.Contains(s.seen, what)
		all := strings.Join(s.seen, ", ")
		s.mu.Unlock()
		if found {
			return
		}
		select {
		case <-s.news:
		case <-late:
			t.Fatalf("%q was not seen in: %s", what, all)
		}
	}
}

// watchedGateway starts one whose observer and standing can be asked.
func watchedGateway(t *testing.T, s *fake.Server, pause time.Duration) (*Gateway, *sightings) {
	t.Helper()
	seen := &sightings{news: make(chan struct{}, 1)}
	g, err := New(Config{Token: fake.Token, APIBase: s.APIBase(), Watch: seen}, newDesk(t, &bench{}))
	if err != nil {
		t.Fatal(err)
	}
	g.Unhurried(s)
	g.pace.backoffMin, g.pace.backoffMax = pause, pause
	if err := g.Standing(); err == nil || !strings.Contains(err.Error(), "not connected yet") {
		t.Errorf("before it runs: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- g.Run(ctx) }()
	t.Cleanup(func() {
		cancel()
		if err := <-done; err != nil {
			t.Errorf("Run: %v", err)
		}
		if err := g.Standing(); err == nil {
			t.Error("it is ready after its end")
		}
	})
	return g, seen
}

// The standing follows the connection, and the observer its ends.
func TestStandingFollowsTheConnection(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	g, seen := watchedGateway(t, s, time.Minute) // it stays down once it is down
	seen.await(t, "session")
	if err := g.Standing(); err != nil {
		t.Errorf("connected: %v", err)
	}
	s.CloseWith(4009)
	seen.await(t, "ended true 4009")
	if err := g.Standing(); err == nil || !strings.Contains(err.Error(), "4009") {
		t.Errorf("after a close: %v", err)
	}
}

func TestStandingComesBack(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	s.Plan(fake.Plan{CloseWith: 4000})
	g, seen := watchedGateway(t, s, 20*time.Millisecond)
	seen.await(t, "ended false 4000")
	seen.await(t, "session")
	if err := g.Standing(); err != nil {
		t.Errorf("after it came back: %v", err)
	}
}

// While the service can't be reached at all, the standing says so.
func TestStandingUnreached(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	s.Inject(fake.Fault{Route: "GET /gateway/bot", Status: 404, Times: 1})
	_, seen := watchedGateway(t, s, 20*time.Millisecond)
	seen.await(t, "request gateway 404")
	seen.await(t, "session")
}

// Several shards are told by number, with the first reason.
func TestStandingOfShards(t *testing.T) {
	g := &Gateway{shards: map[int]error{0: nil, 1: errNotBegun, 3: errEnding}}
	if err := g.Standing(); err == nil || err.Error() != "2 of 3 shards have no session (1, 3): not connected yet" {
		t.Errorf("%v", err)
	}
}

func TestObserverSeesAnswers(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	_, seen := watchedGateway(t, s, 20*time.Millisecond)
	seen.await(t, "session")
	ask := s.Fresh(fake.Example(t, "02_slash_subcommand_strings"))
	if s.Send(ask).Await() == nil {
		t.Fatal("no answer")
	}
	seen.await(t, "request callback 204")
	s.SendRaw(`{"op":0,"s":9,"t":"INTERACTION_CREATE","d":{"type":"x"}}`)
	seen.await(t, "interaction unreadable")
}

// A message that is too long is counted once, whatever way it goes.
func TestObserverSeesCuts(t *testing.T) {
	seen := &sightings{news: make(chan struct{}, 1)}
	r := &rest{watch: seen}
	r.rendered(chat.Answer{Reply: &chat.Reply{Title: "short"}}, 0)
	r.rendered(chat.Answer{Reply: &chat.Reply{Title: strings.Repeat("long ", 200)}}, 0)
	if !slices.Equal(seen.seen, []string{"cut"}) {
		t.Errorf("seen %q", seen.seen)
	}
}
