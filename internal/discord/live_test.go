package discord

import (
	"context"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/shop"
)

// asker is the member of the slash example.
const asker = "715000000000000103"

// idle waits until the gateway has nothing under way: an answer asked after it
// is there.
func idle(t *testing.T, r *running) {
	t.Helper()
	r.Send(slash(t, r, "volume", sub("shape", opt(optionString, "kind", "box")))).Await()
}

// awaitCards waits for what the desk is told after an answer.
func awaitCards(t *testing.T, r *running, n int) []shop.Card {
	t.Helper()
	for end := time.Now().Add(surely); ; time.Sleep(5 * time.Millisecond) {
		if got := r.bench.posted(); len(got) >= n || time.Now().After(end) {
			if len(got) != n {
				t.Fatalf("%d live cards, want %d: %+v", len(got), n, got)
			}
			return got
		}
	}
}

// A live card that others see is told of with its message, and that message can
// be edited; a private one, one of a guild that did not add the bot, and one
// that is over are not.
func TestLiveCards(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	r := run(t, s, nil)
	show := func(more ...any) []byte { return slash(t, r, "pour", sub("show", more...)) }
	public := opt(optionBoolean, "show", true)

	r.Send(show()).Await()
	r.Send(show(public, opt(optionString, "pour", "over"))).Await()
	stranger := fake.With(t, show(public), map[string]any{"authorizing_integration_owners": map[string]any{"1": asker}})
	r.Send(stranger).Await()
	idle(t, r)
	awaitCards(t, r, 0)

	e := r.Send(show(public))
	e.Await()
	card := awaitCards(t, r, 1)[0]
	if card.Pour != 12 || card.Place != fake.ChannelID || !isSnowflake(card.Message) {
		t.Fatalf("told of %+v", card)
	}
	g := caller(t, s)
	now := &chat.Reply{Title: "Gelling @everyone", Facts: []chat.Fact{{Key: "ready_at", Label: "Ready", Value: "2026-11-23T10:15:00Z"}}}
	if got, err := g.Edit(t.Context(), card.Place, card.Message, now); got != chat.Shown || err != nil {
		t.Fatalf("edited: %v, %v", got, err)
	}
	if text := e.Await().Text(); !strings.Contains(text, "Gelling") || !strings.Contains(text, "<t:1795428900:R>") {
		t.Errorf("members see %s", text)
	}
	if body := string(s.Requests("PATCH /channels/{channel}/messages/{message}")[0].Body); !strings.Contains(body, `"allowed_mentions":{"parse":[]}`) {
		t.Errorf("an edit may call someone: %s", body)
	}

	// Posted from a private card by its button.
	private := r.Send(show()).Await()
	r.Send(fake.With(t, s.Press(private, private.Button("Post here")), map[string]any{"member.user.id": asker})).Await()
	if second := awaitCards(t, r, 2)[1]; second.Message == card.Message {
		t.Errorf("the same message twice: %+v", second)
	}
}

// What an edit comes to, whatever the service answers.
func TestEditOutcomes(t *testing.T) {
	t.Parallel()
	const route = "PATCH /channels/{channel}/messages/{message}"
	for _, c := range []struct {
		name  string
		fault fake.Fault
		want  chat.Outcome
		quiet bool
	}{
		{"500 once", fake.Fault{Status: 500}, chat.Shown, true},
		{"500 after it was done", fake.Fault{Status: 500, After: true}, chat.Shown, true},
		{"500 each time", fake.Fault{Status: 500, Times: 9}, chat.Unknown, false},
		{"a message that is gone", fake.Fault{Status: 404, Body: `{"code":10008,"message":"Unknown Message"}`}, chat.Refused, true},
		{"a channel that is gone", fake.Fault{Status: 404, Body: `{"code":10003,"message":"Unknown Channel"}`}, chat.Refused, true},
		{"a channel that is closed to us", fake.Fault{Status: 403, Body: `{"code":50001,"message":"Missing Access"}`}, chat.Refused, true},
		{"a body that it does not take", fake.Fault{Status: 400, Body: `{"code":50035,"message":"Invalid Form Body"}`}, chat.Refused, false},
		{"edited too often", fake.Fault{Status: 429, Body: `{"code":30046,"message":"Maximum number of edits"}`}, chat.Unseen, false},
		{"no token", fake.Fault{Status: http.StatusUnauthorized}, chat.Unseen, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s := fake.Start(t)
			r := run(t, s, nil)
			r.Send(slash(t, r, "pour", sub("show", opt(optionBoolean, "show", true)))).Await()
			card := awaitCards(t, r, 1)[0]
			g := caller(t, s)
			g.rest.sleep = func(ctx context.Context, _ time.Duration) error { return ctx.Err() }
			c.fault.Route = route
			s.Inject(c.fault)
			got, err := g.Edit(t.Context(), card.Place, card.Message, &chat.Reply{Title: "Ready"})
			if got != c.want || (err == nil) != c.quiet {
				t.Errorf("outcome %v, %v; want %v", got, err, c.want)
			}
			if c.name == "edited too often" {
				// Nothing but that channel's edits waits for it.
				if got, err := g.Send(t.Context(), reminder("1", calledChannel)); got != chat.Shown {
					t.Errorf("a call meanwhile: %v, %v", got, err)
				}
			}
		})
	}
	g := caller(t, fake.Start(t))
	for _, bad := range [][2]string{{"hall", "1"}, {"1", ""}, {"1", "../2"}} {
		if got, err := g.Edit(t.Context(), bad[0], bad[1], &chat.Reply{Title: "x"}); got != chat.Refused || err == nil {
			t.Errorf("%q: %v, %v", bad, got, err)
		}
	}
}

// What a member is told besides stands in a private answer, and beside one that
// others see too for the member alone.
func TestToldAside(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	r := run(t, s, nil)
	missed := func() *chat.Reply {
		return &chat.Reply{Title: "You missed a call", Notes: []string{"Missed: #3 wipe the mold"}, Actions: []chat.Action{{Label: "Done: wipe the mold", Line: "/volume shape kind:box"}}}
	}
	tell := func() {
		r.bench.mu.Lock()
		defer r.bench.mu.Unlock()
		r.bench.beside = missed()
	}
	tell()
	shown := r.Send(slash(t, r, "volume", sub("shape", opt(optionString, "kind", "box")))).Await()
	if !strings.Contains(shown.Text(), "wipe the mold") || shown.Button("Done: wipe the mold") == "" {
		t.Errorf("in private: %s", shown.Text())
	}
	tell()
	e := r.Send(slash(t, r, "volume", sub("shape", opt(optionString, "kind", "box"), opt(optionBoolean, "show", true))))
	aside := e.AwaitFollowup(0)
	if !aside.Ephemeral || !strings.Contains(aside.Text(), "wipe the mold") || aside.Button("Done: wipe the mold") == "" {
		t.Errorf("aside: %+v", aside)
	}
	if text := e.Await().Text(); strings.Contains(text, "wipe the mold") {
		t.Errorf("everyone is told %s", text)
	}
}
