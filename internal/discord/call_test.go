package discord

import (
	"context"
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"

	"golang.org/x/time/rate"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord/fake"
)

const (
	calledUser    = "80351110224678912"
	calledChannel = "715000000000000020"
	postRoute     = "POST /channels/{channel}/messages"
)

// caller is a gateway that only calls members back.
func caller(t *testing.T, service *fake.Server) *Gateway {
	t.Helper()
	g, err := New(Config{Token: fake.Token, APIBase: service.APIBase()}, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(g.rest.close)
	return g
}

// reminder is a message with a key and a button of its own.
func reminder(key, place string) chat.Message {
	a, _ := chat.Standing(chat.Action{Label: "Done", Line: "/due done due:#1@" + key}, 7)
	return chat.Message{Key: key, Marks: []string{a.ID}, MemberKey: keyPrefix + calledUser, Place: place,
		Reply: &chat.Reply{Title: "Reminder: wipe @everyone", Actions: []chat.Action{a}}}
}

func TestSend(t *testing.T) {
	service := fake.Start(t)
	g := caller(t, service)
	for _, m := range []chat.Message{reminder("1", calledChannel), reminder("2", ""), reminder("1", calledChannel), reminder("3", "")} {
		if got, err := g.Send(t.Context(), m); got != chat.Shown || err != nil {
			t.Errorf("%s to %q: %v, %v", m.Key, m.Place, got, err)
		}
	}
	posts := service.Posts()
	if len(posts) != 3 {
		t.Fatalf("%d messages, want 3: the same key once", len(posts))
	}
	if got := posts[0]; got.Channel != calledChannel || got.Body["content"] != "<@"+calledUser+">" {
		t.Errorf("in the channel: %+v", got)
	}
	if got := posts[1]; got.Channel != fake.DirectChannel(calledUser) || got.Body["content"] != "" {
		t.Errorf("alone: %+v", got)
	}
	if n := len(service.Requests("POST /users/@me/channels")); n != 1 {
		t.Errorf("direct messages were opened %d times", n)
	}
	body := string(service.Requests(postRoute)[0].Body)
	for _, want := range []string{`"allowed_mentions":{"parse":[],"users":["` + calledUser + `"]}`, `"nonce":"1"`, `"enforce_nonce":true`} {
		if !strings.Contains(body, want) {
			t.Errorf("the request lacks %s: %s", want, body)
		}
	}
}

// Whatever the service answers, the message stands there at most once, and the
// outcome never says more than is known.
func TestSendOutcomes(t *testing.T) {
	for _, c := range []struct {
		name  string
		fault fake.Fault
		want  chat.Outcome
		posts int
	}{
		{"500 once", fake.Fault{Status: 500}, chat.Shown, 1},
		{"500 after it was accepted", fake.Fault{Status: 500, After: true}, chat.Shown, 1},
		{"a connection lost after it was accepted", fake.Fault{DropAfter: true}, chat.Shown, 1},
		{"500 each time", fake.Fault{Status: 500, Times: 9}, chat.Unknown, 0},
		{"500 each time after it was accepted", fake.Fault{Status: 500, After: true, Times: 9}, chat.Unknown, 1},
		{"not allowed", fake.Fault{Status: 403, Body: `{"code":50013,"message":"Missing Permissions"}`}, chat.Refused, 0},
		{"a channel that is gone", fake.Fault{Status: 404, Body: `{"code":10003,"message":"Unknown Channel"}`}, chat.Refused, 0},
		{"a token that is none", fake.Fault{Status: 401}, chat.Unseen, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			service := fake.Start(t)
			g := caller(t, service)
			g.rest.sleep = func(ctx context.Context, _ time.Duration) error { return ctx.Err() }
			c.fault.Route = postRoute
			service.Inject(c.fault)
			if got, err := g.Send(t.Context(), reminder("1", calledChannel)); got != c.want || (err == nil) != (c.want == chat.Shown) {
				t.Errorf("outcome %v, %v; want %v", got, err, c.want)
			}
			if got := len(service.Posts()); got != c.posts {
				t.Errorf("%d messages, want %d", got, c.posts)
			}
			if c.want == chat.Unknown {
				want := chat.Unseen
				if c.posts > 0 {
					want = chat.Shown
				}
				if got, err := g.Look(t.Context(), reminder("1", calledChannel)); got != want || err != nil {
					t.Errorf("looked for: %v, %v; want %v", got, err, want)
				}
			}
		})
	}
}

// That one member takes no direct messages is remembered of that member, and
// keeps nothing from the others.
func TestSendRefusedByOneMember(t *testing.T) {
	service := fake.Start(t)
	g := caller(t, service)
	service.Inject(fake.Fault{Route: "POST /users/@me/channels", Status: http.StatusForbidden, Body: `{"code":50278,"message":"no mutual guilds"}`})
	for key := range 2 {
		if got, err := g.Send(t.Context(), reminder(strconv.Itoa(key), "")); got != chat.Refused || err == nil {
			t.Errorf("who takes none, call %d: %v, %v; want refused", key, got, err)
		}
	}
	other := reminder("3", "")
	other.MemberKey = keyPrefix + asker
	if got, err := g.Send(t.Context(), other); got != chat.Shown || err != nil {
		t.Errorf("another member: %v, %v; want shown", got, err)
	}
	if n := len(service.Requests("POST /users/@me/channels")); n != 2 {
		t.Errorf("asked %d times, want once for each member", n)
	}
}

func TestSendLimited(t *testing.T) {
	service := fake.Start(t)
	g := caller(t, service)
	service.Inject(fake.Limited(t, postRoute, fake.User, time.Hour))
	ctx, cancel := context.WithTimeout(t.Context(), time.Second)
	defer cancel()
	if got, err := g.Send(ctx, reminder("1", calledChannel)); got != chat.Unseen || err == nil {
		t.Errorf("outcome %v, %v; want unseen", got, err)
	}
}

func TestLook(t *testing.T) {
	service := fake.Start(t)
	g := caller(t, service)
	if _, err := g.Send(t.Context(), reminder("1", calledChannel)); err != nil {
		t.Fatal(err)
	}
	if _, err := g.Send(t.Context(), reminder("2", "")); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		m    chat.Message
		want chat.Outcome
	}{
		{reminder("1", calledChannel), chat.Shown}, {reminder("2", ""), chat.Shown},
		{reminder("2", calledChannel), chat.Unseen}, {reminder("1", ""), chat.Unseen},
	} {
		if got, err := g.Look(t.Context(), c.m); got != c.want || err != nil {
			t.Errorf("%s in %q: %v, %v; want %v", c.m.Key, c.m.Place, got, err, c.want)
		}
	}
	service.Inject(fake.Fault{Route: "GET /channels/{channel}/messages", Status: http.StatusNotFound})
	if got, err := g.Look(t.Context(), reminder("1", calledChannel)); got != chat.Refused || err == nil {
		t.Errorf("a channel that is gone: %v, %v", got, err)
	}
	for name, m := range map[string]chat.Message{
		"a local member": {MemberKey: "local:ada"}, "a place of another kind": {MemberKey: keyPrefix + calledUser, Place: "hall"},
	} {
		if got, err := g.Send(t.Context(), m); got != chat.Refused || err == nil {
			t.Errorf("%s: %v, %v", name, got, err)
		}
	}
}

// In a busy channel a message is found some pages up, and not looked for in
// what was there long before it.
func TestLookFarUp(t *testing.T) {
	service := fake.Start(t)
	g := caller(t, service)
	g.rest.limits.global.SetLimit(rate.Inf)
	m := reminder("first", calledChannel)
	m.Since = time.Now()
	if _, err := g.Send(t.Context(), m); err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		service.Fill(calledChannel, 100)
		if got, err := g.Look(t.Context(), m); got != chat.Shown || err != nil {
			t.Errorf("%d pages up: %v, %v", i+1, got, err)
		}
	}
	before := len(service.Requests("GET /channels/{channel}/messages"))
	other := reminder("other", calledChannel)
	other.Since = time.Now().Add(time.Hour)
	if got, err := g.Look(t.Context(), other); got != chat.Unseen || err != nil {
		t.Errorf("one that was not sent: %v, %v", got, err)
	}
	if n := len(service.Requests("GET /channels/{channel}/messages")) - before; n != 1 {
		t.Errorf("%d pages were read of a channel in which nothing is new", n)
	}
}
