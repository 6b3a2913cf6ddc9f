package storetest

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

// post keeps a card of a pour, to be shown anew that long after at.
func (w *world) post(t testing.TB, v shop.Viewer, pour int64, message string, in time.Duration) {
	t.Helper()
	next := time.Time{}
	if in > 0 {
		next = at.Add(in)
	}
	if err := w.PostCard(w.ctx, by(v), shop.Card{Pour: pour, Place: "42", Message: message}, next); err != nil {
		t.Fatalf("post %s: %v", message, err)
	}
}

// dueCards takes on what is due that long after at.
func (w *world) dueCards(t testing.TB, in time.Duration) []shop.CardClaim {
	t.Helper()
	claims, err := w.ClaimCards(w.ctx, "local", at.Add(in), lease, 10)
	if err != nil {
		t.Fatalf("claim cards: %v", err)
	}
	return claims
}

// one wants a single card, of that message.
func one(t testing.TB, claims []shop.CardClaim, message string) shop.CardClaim {
	t.Helper()
	if len(claims) != 1 || claims[0].Message != message {
		t.Fatalf("taken on %+v, want the card %s", claims, message)
	}
	return claims[0]
}

func cards(t *testing.T, open Open) {
	w := usual(t, open)
	p := w.start(t, w.ada, w.add(w.ada, "white", true))
	w.post(t, w.ada, p.ID, "1", time.Minute)
	select {
	case <-w.CardBell():
	default:
		t.Error("the bell did not ring")
	}
	if next, any, err := w.NextCard(w.ctx, "local"); err != nil || !any || !next.Equal(at.Add(time.Minute)) {
		t.Errorf("next: %v, %v, %v", next, any, err)
	}
	if early := w.dueCards(t, 0); len(early) != 0 {
		t.Errorf("early: %+v", early)
	}
	c := one(t, w.dueCards(t, time.Minute), "1")
	if c.Owner != w.ada.Member.ID || c.Member.Key != "local:ada" || c.Member.Name != "ada" || c.Shop.Key != "local:hall" ||
		c.Pour != p.ID || c.Place != "42" || !c.Posted.Equal(at) || c.Token == "" {
		t.Errorf("taken on %+v", c)
	}
	if again := w.dueCards(t, time.Minute); len(again) != 0 {
		t.Errorf("taken on twice: %+v", again)
	}
	// The next phase.
	if err := w.EndShowing(w.ctx, c, at.Add(time.Hour), false, at.Add(time.Minute)); err != nil {
		t.Fatal(err)
	}
	if next, _, err := w.NextCard(w.ctx, "local"); err != nil || !next.Equal(at.Add(time.Hour)) {
		t.Errorf("next phase at %v, %v", next, err)
	}
	// A service that takes nothing now.
	c = one(t, w.dueCards(t, time.Hour), "1")
	if err := w.PutOffCard(w.ctx, c, at.Add(2*time.Hour)); err != nil {
		t.Fatal(err)
	}
	if c = one(t, w.dueCards(t, 2*time.Hour), "1"); c.Tries != 1 {
		t.Errorf("after a try that failed: %+v", c)
	}
	if err := w.DropCard(w.ctx, c); err != nil {
		t.Fatal(err)
	}
	if _, err := w.AnswerPour(w.ctx, later(w.ada, 3*time.Hour), p.ID, shop.Look{Ready: true}); err != nil {
		t.Fatal(err)
	}
	if _, any, err := w.NextCard(w.ctx, "local"); err != nil || any {
		t.Errorf("a message that is gone is due: %v, %v", any, err)
	}
}

// Whatever changes a pour makes its cards due at once, each of them.
func cardsFollow(t *testing.T, open Open) {
	w := usual(t, open)
	p := w.start(t, w.ada, w.add(w.ada, "white", true))
	w.post(t, w.ada, p.ID, "1", 0)
	if _, any, _ := w.NextCard(w.ctx, "local"); any {
		t.Error("a card with nothing to come is due")
	}
	now, over := time.Duration(0), false
	for _, c := range []struct {
		name   string
		change func(shop.Stamp) error
	}{
		{"soft", func(s shop.Stamp) error { return second(w.AnswerPour(w.ctx, s, p.ID, shop.Look{})) }},
		{"taken back", func(s shop.Stamp) error { _, _, err := w.TakeBack(w.ctx, s, p.ID); return err }},
		{"ready", func(s shop.Stamp) error { return second(w.AnswerPour(w.ctx, s, p.ID, shop.Look{Ready: true})) }},
		{"ready taken back, after the card was over", func(s shop.Stamp) error { _, _, err := w.TakeBack(w.ctx, s, p.ID); return err }},
		{"canceled", func(s shop.Stamp) error {
			return second(w.EndPour(w.ctx, s, p.ID, shop.PourEnd{State: shop.PourCanceled}))
		}},
	} {
		now += time.Minute
		if err := c.change(later(w.ada, now)); err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		claim := one(t, w.dueCards(t, now), "1")
		over = c.name == "ready"
		if err := w.EndShowing(w.ctx, claim, time.Time{}, over, at.Add(now)); err != nil {
			t.Fatal(err)
		}
		if _, any, _ := w.NextCard(w.ctx, "local"); any {
			t.Errorf("%s: due again after it was shown", c.name)
		}
	}
}

// A change while a card is being shown takes the claim from nobody, so that an
// older edit can't overtake a newer; but the card is due again right after.
func cardChangedWhileShown(t *testing.T, open Open) {
	for _, over := range []bool{false, true} {
		t.Run(fmt.Sprint("over ", over), func(t *testing.T) {
			w := usual(t, open)
			p := w.start(t, w.ada, w.add(w.ada, "white", true))
			w.post(t, w.ada, p.ID, "1", time.Minute)
			c := one(t, w.dueCards(t, time.Minute), "1")
			if _, err := w.AnswerPour(w.ctx, later(w.ada, time.Minute), p.ID, shop.Look{Ready: true}); err != nil {
				t.Fatal(err)
			}
			if other := w.dueCards(t, time.Minute); len(other) != 0 {
				t.Fatalf("another takes it on meanwhile: %+v", other)
			}
			if err := w.EndShowing(w.ctx, c, at.Add(time.Hour), over, at.Add(time.Minute)); err != nil {
				t.Fatal(err)
			}
			if again := one(t, w.dueCards(t, time.Minute), "1"); again.Changes != c.Changes+1 {
				t.Errorf("taken on again as %+v", again)
			}
		})
	}
}

func cardLeases(t *testing.T, open Open) {
	w := usual(t, open)
	p := w.start(t, w.ada, w.add(w.ada, "white", true))
	w.post(t, w.ada, p.ID, "1", time.Minute)
	old := one(t, w.dueCards(t, time.Minute), "1")
	fresh := one(t, w.dueCards(t, time.Minute+lease), "1")
	if fresh.Token == old.Token {
		t.Error("the same token twice")
	}
	if err := w.EndShowing(w.ctx, old, time.Time{}, true, at.Add(time.Minute)); err != nil {
		t.Error(err)
	}
	if err := w.DropCard(w.ctx, old); err != nil {
		t.Error(err)
	}
	if next, any, err := w.NextCard(w.ctx, "local"); err != nil || !any || !next.Equal(at.Add(time.Minute+2*lease)) {
		t.Errorf("the old holder ended it: %v, %v, %v", next, any, err)
	}
	// The clock is set back by a day: the claim does not last a day longer.
	one(t, w.dueCards(t, -24*time.Hour), "1")
	if a, err := w.ClaimCards(w.ctx, "discord", at.Add(time.Hour), lease, 10); err != nil || len(a) != 0 {
		t.Errorf("taken on in another name space: %+v, %v", a, err)
	}
}

// A card shows what its owner may see, and goes with its owner and its pour.
func cardsOwned(t *testing.T, open Open) {
	limits := store.DefaultLimits()
	limits.Cards = 3
	w := newWorld(t, open, limits)
	p := w.start(t, w.ada, w.add(w.ada, "white", true))
	err := w.PostCard(w.ctx, by(w.bram), shop.Card{Pour: p.ID, Place: "42", Message: "1"}, at)
	mustRefuse(t, "a card of another's pour", err, fault.UnknownPour)
	for _, bad := range []shop.Card{{Pour: p.ID, Place: "42"}, {Pour: p.ID, Message: "1"}, {Pour: p.ID, Place: "42", Message: "\xff"}} {
		if err := w.PostCard(w.ctx, by(w.ada), bad, at); err == nil {
			t.Errorf("kept %+v", bad)
		}
	}
	for i := range 5 {
		w.post(t, w.ada, p.ID, fmt.Sprint(i), time.Minute)
	}
	w.post(t, w.ada, p.ID, "4", time.Minute) // the same message again
	if text, err := w.Export(w.ctx, w.ada); err != nil || !bytes.Contains(text, []byte(`"message": "4"`)) {
		t.Errorf("the export, %v:\n%s", err, text)
	}
	kept := w.dueCards(t, time.Minute)
	if len(kept) != 3 {
		t.Errorf("%d cards are kept, want the newest 3: %+v", len(kept), kept)
	}
	for _, c := range kept {
		if c.Message < "2" {
			t.Errorf("kept the old card %s", c.Message)
		}
	}
	if err := w.Erase(w.ctx, by(w.ada)); err != nil {
		t.Fatal(err)
	}
	if _, any, err := w.NextCard(w.ctx, "local"); err != nil || any {
		t.Errorf("a card is left of an erased member: %v, %v", any, err)
	}
}

// What could be shown nowhere is told once, to its owner.
func missed(t *testing.T, open Open) {
	w := usual(t, open)
	w.remind(t, w.ada, "wipe", 0)
	w.remind(t, w.bram, "coat", 0)
	tell := func(v shop.Viewer) (abouts []string) {
		t.Helper()
		all, err := w.TellMissed(w.ctx, by(v), 10)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range all {
			if d.Missed.IsZero() {
				t.Errorf("told %+v, which was not missed", d)
			}
			abouts = append(abouts, d.About)
		}
		return abouts
	}
	if got := tell(w.ada); len(got) != 0 {
		t.Errorf("before it was missed: %q", got)
	}
	held := w.claim(t, at, 10)
	for _, c := range held {
		d, still, err := w.BeginDelivery(w.ctx, []shop.Claim{c}, "", at, lease)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.EndDelivery(w.ctx, d, still, shop.DueFailed, at); err != nil {
			t.Fatal(err)
		}
	}
	if got := tell(w.ada); len(got) != 1 || got[0] != "wipe" {
		t.Errorf("ada is told %q", got)
	}
	if got := tell(w.ada); len(got) != 0 {
		t.Errorf("ada is told again: %q", got)
	}
	if got := w.abouts(t, w.ada); len(got) != 1 {
		t.Errorf("the list keeps %q", got)
	}
	if got := tell(w.bram); len(got) != 1 || got[0] != "coat" {
		t.Errorf("bram is told %q", got)
	}
}
