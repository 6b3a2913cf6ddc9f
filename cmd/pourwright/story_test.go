package main

import (
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// way is how a member reaches the shop, in a program of its own that can be
// killed.
type way interface {
	begin()                          // starts the program, also once more
	kill()                           // at once, as when the power goes
	fallen()                         // waits until it was killed by its clock
	ask(line, want string) string    // types a line; gives the answer, which holds want
	press(label, want string) string // likewise a button of what came last
	called(want string) string       // waits for a call, whose buttons come last then
	calls(about string) int          // how often one was shown, in all runs
}

// story is a pour as its member lives through it.
type story struct {
	testing.TB
	way
	*clock
	db    *sqlite.DB // beside the program
	by    shop.Viewer
	space string
	runs  func() // what else is looked at while it cures; may be nil
}

const (
	ready = "Ready to come out: demo rigid white, harbor pawn"
	again = "Look again: demo rigid white, harbor pawn"
	wipe  = "Wipe harbor pawn"
)

// tell goes through the whole of it: poured from a batch's button, called, soft,
// called again, out, coated, wiped. The program is killed after a call was shown
// and between the claim of one and its showing; each answer is taken back once.
// Nothing is lost, and nothing is shown twice.
func (s *story) tell(prepare func()) {
	s.Helper()
	s.begin()
	prepare()
	s.ask(`/batch material:"demo rigid white" mold:"harbor pawn"`, "Mix 21.7 g A with 20.1 g B")
	s.press("Start this pour", "demo rigid white, harbor pawn")
	s.waits(1)
	if s.runs != nil {
		s.runs()
	}

	s.to(s.next())
	s.called(ready)
	s.recorded()
	s.kill()
	s.begin()
	s.recorded()
	s.shown(ready, 1)
	s.softAndAgain()
	s.out()
	s.coated()

	s.waits(0)
	for _, about := range []string{ready, again, wipe} {
		s.shown(about, 1)
	}
	s.stands(shop.PourDone, 20, 0)
}

// softAndAgain finds it soft; the program falls as it is about to say so.
func (s *story) softAndAgain() {
	s.Helper()
	s.ask("/pour show", "Touch the sprue")
	s.press("Still soft", "Still soft after")
	s.waits(1)
	s.press("Undo", "Taken back: still soft after")
	s.waits(0)
	s.press("Still soft", "You will be called at")
	s.waits(1)
	s.falling(s.next())
	s.fallen()
	s.to(s.now()) // falls no more
	s.shown(again, 0)
	s.begin()
	s.called(again)
	s.recorded()
}

// out says that it is ready and that it is out, and takes each back once.
func (s *story) out() {
	s.Helper()
	s.press("Ready", "Ready after")
	s.stands(shop.PourReady, 19, 4)
	s.press("Undo", "Taken back: ready after")
	s.stands(shop.PourRunning, 19, 4)
	done := s.press("Done", "Done: demo rigid white, harbor pawn, 6 good")
	if !strings.Contains(flat(done), "A release coat is due on harbor pawn before the next pull") {
		s.Errorf("the coat is not said to be due: %s", done)
	}
	s.stands(shop.PourDone, 20, 5)
	s.press("Undo", "1 pull is not counted any more")
	s.stands(shop.PourRunning, 19, 4)
	s.press("Done", "Done: demo rigid white, harbor pawn, 6 good")
	s.stands(shop.PourDone, 20, 5)
}

// coated puts the coat on, takes that back once, and is called to wipe it.
func (s *story) coated() {
	s.Helper()
	s.press("Release coat is on", "Release coat on harbor pawn")
	s.waits(1)
	s.press("Take it back", "Taken back")
	s.waits(0)
	s.stands(shop.PourDone, 20, 5)
	s.ask(`/mold release mold:"harbor pawn"`, "Release coat on harbor pawn")
	s.waits(1)
	s.to(s.next())
	s.called(wipe)
	s.recorded()
}

// next is when the next call is due.
func (s *story) next() time.Time {
	s.Helper()
	at, any, err := s.db.NextDue(s.Context(), s.space)
	if err != nil || !any {
		s.Fatalf("nothing is due, %v", err)
	}
	return at
}

// recorded waits until what is due was shown and recorded.
func (s *story) recorded() {
	s.Helper()
	for end := time.Now().Add(surely); ; time.Sleep(5 * time.Millisecond) {
		at, any, err := s.db.NextDue(s.Context(), s.space)
		if err == nil && (!any || at.After(s.now().Add(time.Minute))) {
			return
		}
		if time.Now().After(end) {
			s.Fatalf("a call stays due at %v, %v", at, err)
		}
	}
}

// waits wants so many calls to come.
func (s *story) waits(want int) {
	s.Helper()
	all, err := s.db.Dues(s.Context(), s.by, 100)
	if err != nil {
		s.Fatal(err)
	}
	coming := []shop.Due{}
	for _, d := range all {
		if d.At.After(s.now()) {
			coming = append(coming, d)
		}
	}
	if len(coming) != want {
		s.Errorf("%d calls are to come, want %d: %+v", len(coming), want, coming)
	}
}

// shown wants a call to have been shown so often, in all runs of the program.
func (s *story) shown(about string, want int) {
	s.Helper()
	if n := s.calls(about); n != want {
		s.Errorf("%q was shown %d times, want %d", about, n, want)
	}
}

// stands wants the pour in a state, and its mold at so many pulls.
func (s *story) stands(state shop.PourState, pulls, sinceCoat int) {
	s.Helper()
	all, err := s.db.Pours(s.Context(), s.by, 100)
	if err != nil || len(all) != 1 || all[0].State != state {
		s.Fatalf("pours %+v, %v; want one that is %s", all, err, state)
	}
	m, err := s.db.Mold(s.Context(), s.by, all[0].MoldID, 0)
	if err != nil {
		s.Fatal(err)
	}
	if care := library.CareOf(m); m.PullsSoFar() != pulls || care.Since() != sinceCoat {
		s.Errorf("%d pulls, %d since the coat; want %d and %d", m.PullsSoFar(), care.Since(), pulls, sinceCoat)
	}
}

// flat puts a text on one line.
func flat(text string) string { return strings.Join(strings.Fields(text), " ") }
