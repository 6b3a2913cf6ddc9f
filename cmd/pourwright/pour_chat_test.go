package main

import (
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/shop"
)

// A pour that is shown to all is closed by its owner's form alone, and taken
// back by the button of the answer.
func TestServePourClosedByForm(t *testing.T) {
	t.Parallel()
	s := &serving{killing: startKilling(t)}
	s.begin()
	defer func() { s.end() }()
	p, e := s.start(true)
	card := e.Await()
	s.to(s.now().Add(time.Hour))
	as := func(member string, raw []byte) *fake.Shown {
		t.Helper()
		return s.service.Send(fake.With(t, raw, map[string]any{"member.user.id": member})).Await()
	}
	fill := func(member string) *fake.Shown {
		t.Helper()
		form := as(member, s.service.Press(card, card.Button("Some spoiled")))
		if form.Kind != fake.Form || !strings.Contains(string(form.JSON()), "What was spoiled?") {
			t.Fatalf("no form: %s", form.JSON())
		}
		return as(member, s.service.Submit(form, map[string]any{"spoiled": "1", "why": "torn, @everyone"}))
	}
	stands := func(state shop.PourState, spoiled int) {
		t.Helper()
		now, err := s.db.Pour(t.Context(), s.by, p.ID)
		if err != nil {
			t.Fatal(err)
		}
		mold, err := s.db.Mold(t.Context(), s.by, s.mold.ID, 0)
		if err != nil {
			t.Fatal(err)
		}
		if now.State != state || mold.Tally.Spoiled != spoiled || mold.Tally.Good != 0 {
			t.Errorf("the pour is %s, its mold %+v; want %s, %d spoiled", now.State, mold.Tally, state, spoiled)
		}
	}
	if answer := fill("715000000000000777"); !answer.Ephemeral || !strings.Contains(answer.Text(), "only its owner can change it") {
		t.Errorf("a stranger's form: %s", answer.Text())
	}
	stands(shop.PourRunning, 0)
	done := fill(pourer)
	if !done.Ephemeral || !strings.Contains(done.Text(), "0 good, 1 spoiled") {
		t.Fatalf("done: %s", done.Text())
	}
	stands(shop.PourDone, 1)
	if again := fill(pourer); !strings.Contains(again.Text(), "done before") {
		t.Errorf("a second time: %s", again.Text())
	}
	if back := as(pourer, s.service.Press(done, done.Button("Undo"))); !strings.Contains(back.Text(), "Taken back") {
		t.Errorf("taken back: %s", back.Text())
	}
	stands(shop.PourRunning, 0)
}
