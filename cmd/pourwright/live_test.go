package main

import (
	"context"
	"crypto/rand"
	"io"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/remind"
	"github.com/pourwright/pourwright/internal/shop"
)

// serving is a program that serves a chat service, under a clock that the test
// moves.
type serving struct {
	*killing
	shift atomic.Int64
	errs  *output
	end   func()
}

func (s *serving) now() time.Time { return time.Now().Add(time.Duration(s.shift.Load())) }

// begin starts a program over the database.
func (s *serving) begin() {
	s.Helper()
	s.errs = &output{}
	ctx, cancel := context.WithCancel(context.Background())
	p := program{
		Args: []string{"serve", "--db", s.path}, Out: io.Discard, Err: s.errs, Now: s.now, Rand: rand.Reader, AnswerIn: patient,
		Environ: s.environ(),
		Pace:    remind.Pace{Poll: 20 * time.Millisecond, Pause: 20 * time.Millisecond},
	}
	done := make(chan console.Status, 1)
	go func() { done <- p.Run(ctx) }()
	s.end = func() {
		cancel()
		if status := <-done; status != console.Answered {
			s.Errorf("status %d; the log is:\n%s", status, s.errs)
		}
	}
	s.ready(s.errs)
}

// start pours, and shows it to all or not.
func (s *serving) start(show bool) (shop.Pour, *fake.Exchange) {
	s.Helper()
	text := func(name string, value any) any { return map[string]any{"type": 3, "name": name, "value": value} }
	s.ask("start", 0, text("material", "slow white"), text("mold", "block"), map[string]any{"type": 5, "name": "show", "value": show})
	e := s.sent[len(s.sent)-1].shown
	e.Await()
	return s.pours(func(shop.Pour) bool { return true })[0], e
}

// to moves the clock to an instant, and a little past it.
func (s *serving) to(at time.Time) { s.shift.Add(int64(at.Sub(s.now()) + time.Second)) }

// edited waits for that many edits in all and gives what the last one shows.
func (s *serving) edited(n int) string {
	s.Helper()
	if !s.service.AwaitEdits(n, surely) {
		s.Fatalf("%d edits, want %d; the log is:\n%s", len(s.service.Edits()), n, s.errs)
	}
	edits := s.service.Edits()
	if len(edits) != n {
		s.Fatalf("%d edits, want %d", len(edits), n)
	}
	if n == 0 {
		return ""
	}
	return edits[n-1].Shown().Text()
}

// nothingDue waits until no card is left to be shown at a time before at.
func (s *serving) nothingDue(at time.Time) {
	s.Helper()
	for end := time.Now().Add(surely); ; time.Sleep(10 * time.Millisecond) {
		next, left, err := s.db.NextCard(s.Context(), "discord")
		if err == nil && (!left || next.After(at)) {
			return
		}
		if time.Now().After(end) {
			s.Fatalf("a card stays due at %v, %v; the log is:\n%s", next, err, s.errs)
		}
	}
}

// From end to end: a card that all see is edited as each phase of its pour
// begins, when something is said of it, and for the last time when it is done;
// what was missed while nobody served is one edit.
func TestServeLiveCard(t *testing.T) {
	t.Parallel()
	s := &serving{killing: startKilling(t)}
	s.begin()
	p, e := s.start(true)
	n := 0
	for phase := library.PhaseOf(p, s.now()); !phase.Until.IsZero(); n++ {
		s.to(phase.Until)
		phase = library.PhaseOf(p, s.now())
		if n == 2 { // two phases go by while nothing serves
			s.end()
			s.to(phase.Until)
			phase = library.PhaseOf(p, s.now())
			s.begin()
		}
		if text := s.edited(n + 1); !strings.Contains(text, "Now: "+phase.Name) || !strings.Contains(text, ":R>") {
			t.Errorf("in phase %s it shows %s", phase.Name, text)
		}
	}
	if n < 4 {
		t.Errorf("only %d edits", n)
	}
	card := e.Await()
	stranger := fake.With(t, s.service.Press(card, card.Button("Ready")), map[string]any{"member.user.id": "715000000000000777"})
	if answer := s.service.Send(stranger).Await(); !answer.Ephemeral || strings.Contains(answer.Text(), "eady after") {
		t.Errorf("a stranger's press: %s", answer.Text())
	}
	s.service.Send(fake.With(t, s.service.Press(card, card.Button("Ready")), map[string]any{"member.user.id": pourer})).Await()
	if text := s.edited(n + 1); !strings.Contains(text, "ready") || strings.Contains(text, "Still soft") {
		t.Errorf("found ready, it shows %s", text)
	}
	s.ask("done", p.ID)
	if text := s.edited(n + 2); !strings.Contains(text, "done") {
		t.Errorf("done, it shows %s", text)
	}
	s.to(s.now().Add(48 * time.Hour))
	s.nothingDue(s.now().Add(1000 * time.Hour))
	s.edited(n + 2)
	s.end()
}

// A card whose message was taken away ends without a word in the log; one that
// the service does not take is tried again; a private one is never edited.
func TestServeLiveCardGone(t *testing.T) {
	t.Parallel()
	s := &serving{killing: startKilling(t)}
	s.begin()
	defer s.end()
	p, e := s.start(true)
	e.Delete()
	s.to(library.PhaseOf(p, s.now()).Until)
	s.nothingDue(s.now().Add(1000 * time.Hour))
	if strings.Contains(s.errs.String(), "not shown anew") {
		t.Errorf("a message that is gone is a trouble:\n%s", s.errs)
	}
	s.edited(0)

	p, _ = s.start(false)
	s.to(library.PhaseOf(p, s.now()).Until)
	s.nothingDue(s.now().Add(1000 * time.Hour))
	s.edited(0)

	s.ask("show", p.ID)
	private := s.sent[len(s.sent)-1].shown.Await()
	s.service.Send(fake.With(t, s.service.Press(private, private.Button("Post here")), map[string]any{"member.user.id": pourer})).Await()
	const route = "PATCH /channels/{channel}/messages/{message}"
	s.service.Inject(fake.Fault{Route: route, Status: 500, Times: 3})
	s.service.Inject(fake.Fault{Route: route, DropAfter: true})
	for end := time.Now().Add(surely); ; time.Sleep(10 * time.Millisecond) {
		if _, left, _ := s.db.NextCard(t.Context(), "discord"); left {
			break
		}
		if time.Now().After(end) {
			t.Fatal("the card that was posted by its button is not kept")
		}
	}
	s.to(library.PhaseOf(p, s.now()).Until)
	for end := time.Now().Add(surely); len(s.service.Edits()) == 0; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("never edited; the log is:\n%s", s.errs)
		}
	}
	// The channel is closed to us: that ends it.
	s.service.CloseChannel(fake.ChannelID, 50001)
	s.to(s.now().Add(24 * time.Hour))
	s.nothingDue(s.now().Add(1000 * time.Hour))
}
