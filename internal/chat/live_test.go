package chat_test

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/shop"
)

// cards keeps what it is told of live answers; the rest is not called here.
type cards struct {
	shop.Cards
	broken error
	kept   []shop.Card
	next   []time.Time
	by     []shop.Viewer
}

func (c *cards) PostCard(_ context.Context, s shop.Stamp, one shop.Card, next time.Time) error {
	c.kept, c.next, c.by = append(c.kept, one), append(c.next, next), append(c.by, s.By)
	return c.broken
}

// clocked is a desk with the card of a pour, and what is told besides.
func clocked(t *testing.T, to *cards, beside func(context.Context, *chat.Call) (*chat.Reply, error), log *slog.Logger, limit chat.Rate) *chat.Dispatcher {
	t.Helper()
	h := newHouse()
	show := func(_ context.Context, c *chat.Call) (*chat.Reply, error) {
		c.Clock("12:05", noon.Add(5*time.Minute))
		c.Clock("12:05", noon.Add(5*time.Minute))
		r := &chat.Reply{Title: "Until 12:05", Live: &chat.Live{Pour: 12, Next: noon.Add(5 * time.Minute), Over: c.Has("over")}}
		if !c.Public {
			r.Notes = []string{"a note of one's own"}
		}
		return r, nil
	}
	d, err := chat.New(chat.Config{
		Commands: []chat.Command{{Name: "pour", Help: "a clock", Subs: []chat.Sub{{Name: "show", Help: "where it stands", Computes: true, Run: show,
			Options: []chat.Option{{Name: "over", Help: "it is", Kind: chat.YesNo}}}}}},
		People: h, Lines: h, Cards: to, Beside: beside, Log: log, NewRef: func() string { return "ref" }, Now: func() time.Time { return noon }, Rate: limit,
	})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestPosted(t *testing.T) {
	to := &cards{}
	d := clocked(t, to, nil, slog.New(slog.DiscardHandler), chat.Rate{})
	inv := line(ada(), "/pour show show:yes")
	inv.Place = "hall"
	live := d.Do(t.Context(), inv)
	if !live.Live() || len(live.Reply.Clocks) != 1 || len(live.Reply.Notes) != 0 {
		t.Fatalf("answered %+v", live.Reply)
	}
	if private := d.Do(t.Context(), line(ada(), "/pour show")); len(private.Reply.Notes) != 1 {
		t.Errorf("in private: %q", private.Reply.Notes)
	}
	over := d.Do(t.Context(), line(ada(), "/pour show over:yes show:yes"))
	refused := d.Do(t.Context(), line(ada(), "/pour shw"))
	nowhere := inv
	nowhere.Place = ""
	for _, c := range []struct {
		name    string
		inv     chat.Invocation
		ans     chat.Answer
		message string
		kept    int
	}{
		{"one that is over", inv, over, "1", 0}, {"a refusal", inv, refused, "1", 0}, {"nowhere", nowhere, live, "1", 0},
		{"no message", inv, live, "", 0}, {"a live one", inv, live, "1", 1},
	} {
		if err := d.Posted(t.Context(), c.inv, c.ans, c.message); err != nil || len(to.kept) != c.kept {
			t.Errorf("%s: %v, kept %+v", c.name, err, to.kept)
		}
	}
	if to.kept[0] != (shop.Card{Pour: 12, Place: "hall", Message: "1"}) || !to.next[0].Equal(noon.Add(5*time.Minute)) || to.by[0].Member.Key != inv.MemberKey {
		t.Errorf("kept %+v for %+v, next at %v", to.kept[0], to.by[0], to.next[0])
	}
	to.broken = errors.New("full")
	if err := d.Posted(t.Context(), inv, live, "2"); !errors.Is(err, to.broken) {
		t.Errorf("a card that can't be kept: %v", err)
	}
}

// What is told besides never spoils an answer, and a renewal neither asks for it
// nor takes a turn of the member's.
func TestBeside(t *testing.T) {
	var log bytes.Buffer
	asked, broken := 0, error(nil)
	told := func(_ context.Context, c *chat.Call) (*chat.Reply, error) {
		asked++
		return &chat.Reply{Title: "You missed a call", Notes: []string{"Missed: wipe, due " + c.Clock("Mon 2 Jan 08:05", noon)}, Actions: []chat.Action{{Label: "Done", Line: "/pour show"}}}, broken
	}
	d := clocked(t, &cards{}, told, slog.New(slog.NewTextHandler(&log, nil)), chat.Rate{PerMinute: 1, Burst: 4})
	private := d.Do(t.Context(), line(ada(), "/pour show"))
	if got := strings.Join(private.Reply.Notes, "; "); !strings.HasPrefix(got, "Missed: wipe, due Mon 2 Jan 08:05; a note") || action(t, private, "Done").ID == "" || private.Aside != nil {
		t.Errorf("in private: %q", got)
	}
	public := d.Do(t.Context(), line(ada(), "/pour show show:yes"))
	due := func(one chat.Clock) bool { return one.Text == "Mon 2 Jan 08:05" && one.At.Equal(noon) }
	if !slices.ContainsFunc(private.Reply.Clocks, due) || public.Aside != nil && !slices.ContainsFunc(public.Aside.Clocks, due) {
		t.Errorf("the time of what was missed is none: in private %v, aside %+v", private.Reply.Clocks, public.Aside)
	}
	if public.Aside == nil || !public.Aside.Private || public.Aside.Actions[0].ID == "" || len(public.Reply.Notes) != 0 {
		t.Errorf("in public: %+v, aside %+v", public.Reply, public.Aside)
	}
	alone := line(ada(), "/pour show show:yes")
	alone.Alone = true
	if got := d.Do(t.Context(), alone); got.Aside != nil || len(got.Reply.Notes) != 1 {
		t.Errorf("alone: %+v", got)
	}
	broken = errors.New("the disk is full")
	if got := d.Do(t.Context(), line(ada(), "/pour show")); got.Reply == nil || got.Aside != nil || !strings.Contains(log.String(), "the disk is full") {
		t.Errorf("where that fails: %+v; log %s", got, log.String())
	}
	before := asked
	for range 10 {
		renewal := line(ada(), "/pour show show:yes")
		renewal.Renewal = true
		if got := d.Do(t.Context(), renewal); got.Reply == nil || got.Aside != nil {
			t.Fatalf("a renewal: %+v", got.Fault)
		}
	}
	if asked != before {
		t.Errorf("a renewal asked %d times what to tell", asked-before)
	}
	if got := d.Do(t.Context(), line(ada(), "/pour show")); got.Fault == nil {
		t.Error("the member's own turns are without end")
	}
}
