package bench_test

import (
	"context"
	"log/slog"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/bench"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/testkit/browser"
)

// deck keeps what cards are told of; the rest is not called here.
type deck struct {
	shop.Cards
	mu    sync.Mutex
	cards []shop.Card
	next  []time.Time
}

func (d *deck) PostCard(_ context.Context, _ shop.Stamp, c shop.Card, next time.Time) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.cards, d.next = append(d.cards, c), append(d.next, next)
	return nil
}

// pours is a desk with a card of a pour, live until it is over.
func pours(t testing.TB, d *deck) *chat.Dispatcher {
	t.Helper()
	who := &people{}
	show := func(_ context.Context, c *chat.Call) (*chat.Reply, error) {
		return &chat.Reply{Title: "Pot life", Live: &chat.Live{Pour: 12, Next: noon.Add(time.Minute), Over: c.Has("over")},
			Actions: []chat.Action{{Label: "Ready", Line: "/pour show over:yes"}}}, nil
	}
	made, err := chat.New(chat.Config{
		Commands: []chat.Command{{Name: "pour", Help: "a clock", Subs: []chat.Sub{{Name: "show", Help: "where it stands", Run: show,
			Options: []chat.Option{{Name: "over", Help: "it is", Kind: chat.YesNo}}}}}},
		People: who, Lines: who, Cards: d, Log: slog.New(slog.DiscardHandler), NewRef: func() string { return "k3f9-2m" }, Now: func() time.Time { return noon },
	})
	if err != nil {
		t.Fatal(err)
	}
	return made
}

// A card of the page, asked there or in the terminal, is told of, and changed in
// its place; one of another run, of another page, or whose place another answer
// took, is left.
func TestLiveCards(t *testing.T) {
	d := &deck{}
	v := open(t, func(c *bench.Config) { c.Desk = pours(t, d) })
	v.ask("/pour show")
	inv := chat.Invocation{At: noon, MemberKey: "local:ada", ShopKey: "local:kettle-lane", Line: "/pour show"}
	v.bench.Show(t.Context(), "/pour show", pours(t, d).Do(t.Context(), inv))
	v.ask("/pour show over:yes")
	if len(d.cards) != 2 || d.cards[0].Message == d.cards[1].Message || d.cards[0].Pour != 12 || !d.next[0].Equal(noon.Add(time.Minute)) {
		t.Fatalf("told of %+v, next %v", d.cards, d.next)
	}
	card := d.cards[0]
	gelling := func(pour int64) *chat.Reply {
		return &chat.Reply{Title: "Gelling <now>", Live: &chat.Live{Pour: pour}}
	}
	for _, c := range []struct {
		name           string
		place, message string
		reply          *chat.Reply
		want           chat.Outcome
	}{
		{"another page", "page of local:bram", card.Message, gelling(12), chat.Unseen},
		{"another run", card.Place, "abcdefgh-1", gelling(12), chat.Refused},
		{"no entry", card.Place, card.Message + "77", gelling(12), chat.Refused},
		{"another pour", card.Place, card.Message, gelling(13), chat.Refused},
		{"no card", card.Place, card.Message, &chat.Reply{Title: "Gelling <now>"}, chat.Refused},
		{"the card", card.Place, card.Message, gelling(12), chat.Shown},
	} {
		before := v.get("").text
		if got, _ := v.bench.Edit(c.place, c.message, c.reply); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
		if after := v.get("").text; (after != before) != (c.want == chat.Shown) {
			t.Errorf("%s: the page changed: %t", c.name, after != before)
		}
	}
	page := v.get("").text
	if !strings.Contains(page, "Gelling &lt;now&gt;") || strings.Count(page, "Pot life") != 2 {
		t.Errorf("the page shows:\n%s", page)
	}
	if len(d.cards) != 2 {
		t.Errorf("an edit is told of as a new card: %+v", d.cards)
	}
}

// A card on an open page changes where it stands, says so, and leaves the
// keyboard on the button in the same place.
func TestBrowserCardChanges(t *testing.T) {
	tb := browser.Start(t)
	d := &deck{}
	v := open(t, func(c *bench.Config) { c.Desk = pours(t, d) })
	v.ask("/pour show")
	tb.Load(v.page)
	tb.Eval(`[...document.querySelectorAll(".answer button")].find((b) => b.textContent.trim() === "Ready").focus()`)
	card := d.cards[0]
	now := &chat.Reply{Title: "Gelling", Live: &chat.Live{Pour: 12}, Actions: []chat.Action{{ID: "1r.1./pour show", Label: "Ready", Line: "/pour show"}}}
	if got, err := v.bench.Edit(card.Place, card.Message, now); got != chat.Shown {
		t.Fatal(got, err)
	}
	tb.Until(`document.querySelector(".answer h2").textContent === "Gelling"`)
	tb.Same(`document.querySelectorAll(".answer").length`, `1`)
	tb.Same(`document.querySelector("[role=status]").textContent`, `"A card changed"`)
	tb.Same(`document.activeElement.textContent.trim()`, `"Ready"`)
	tb.Quiet("a card that changes")
}
