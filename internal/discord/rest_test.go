package discord

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/discord/fake"
)

const (
	routeCommands = "GET /applications/{application}/commands"
	routeCallback = "POST /interactions/{interaction}/{token}/callback"
	routeOriginal = "PATCH /webhooks/{application}/{token}/messages/@original"
	routeFollow   = "POST /webhooks/{application}/{token}"
	routeBot      = "GET /gateway/bot"
)

func restOn(t *testing.T, s *fake.Server) *rest {
	t.Helper()
	c, err := Config{Token: fake.Token, APIBase: s.APIBase(), Version: "test"}.settle()
	if err != nil {
		t.Fatal(err)
	}
	r := newREST(c)
	t.Cleanup(r.close)
	return r
}

func interaction(t *testing.T, s *fake.Server, name string) *Interaction {
	t.Helper()
	s.Patience(surely)
	raw := s.Fresh(fake.Example(t, name))
	s.Expect(raw)
	i, _, err := Decode(raw)
	if err != nil {
		t.Fatal(err)
	}
	return i
}

func hello() message {
	return message{Embeds: []embed{{Title: "Hello"}}, Mentions: nobody(), Components: []row{}, Attachments: []attachment{}}
}

func within(t *testing.T, d time.Duration) context.Context {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), d)
	t.Cleanup(cancel)
	return ctx
}

// TestRESTRepeats says what is sent again after a failure, and what is not.
func TestRESTRepeats(t *testing.T) {
	t.Parallel()
	faults := map[string]fake.Fault{
		"502":          {Status: 502, Body: "<html>bad gateway</html>"},
		"500":          {Status: 500, Body: `{"message":"500: Internal Server Error","code":0}`},
		"lost":         {Drop: true},
		"lost at last": {DropAfter: true},
	}
	calls := []struct {
		route  string
		repeat bool
		do     func(context.Context, *rest, *Interaction) error
	}{
		{routeCommands, true, func(ctx context.Context, r *rest, _ *Interaction) error {
			_, err := r.commands(ctx, fake.ApplicationID)
			return err
		}},
		{"PUT /applications/{application}/commands", true, func(ctx context.Context, r *rest, _ *Interaction) error {
			return r.putCommands(ctx, fake.ApplicationID, []command{})
		}},
		{routeOriginal, true, func(ctx context.Context, r *rest, i *Interaction) error { return r.edit(ctx, i, hello(), nil) }},
		{routeFollow, false, func(ctx context.Context, r *rest, i *Interaction) error { return r.follow(ctx, i, hello(), nil) }},
		{routeCallback, false, func(ctx context.Context, r *rest, i *Interaction) error {
			return r.answer(ctx, i, callback{Type: answerMessage, Data: hello()}, nil)
		}},
	}
	for name, f := range faults {
		for _, c := range calls {
			t.Run(name+" "+c.route, func(t *testing.T) {
				t.Parallel()
				s := fake.Start(t)
				r := restOn(t, s)
				i := interaction(t, s, "02_slash_subcommand_strings")
				if c.route == routeOriginal || c.route == routeFollow {
					if err := r.answer(t.Context(), i, callback{Type: answerMessage, Data: hello()}, nil); err != nil {
						t.Fatal(err)
					}
				}
				f := f
				f.Route = c.route
				s.Inject(f)
				err := c.do(within(t, surely), r, i)
				want := 1
				if c.repeat {
					want = 2
				}
				if n := len(s.Requests(c.route)); n != want {
					t.Errorf("%d requests, want %d", n, want)
				}
				if (err == nil) != c.repeat {
					t.Errorf("error %v", err)
				}
				if err != nil && !isUnsure(err) {
					t.Errorf("%v does not count as unsure", err)
				}
			})
		}
	}
}

// TestRESTGivesUp ends after a bounded number of tries.
func TestRESTGivesUp(t *testing.T) {
	s := fake.Start(t)
	r := restOn(t, s)
	r.sleep = func(context.Context, time.Duration) error { return nil }
	s.Inject(fake.Fault{Status: 503, Times: 100})
	if _, err := r.gatewayBot(within(t, surely)); err == nil {
		t.Error("no error")
	}
	if n := len(s.Requests(routeBot)); n != maxTries {
		t.Errorf("%d tries, want %d", n, maxTries)
	}
}

// TestRESTStopsAt401 sends nothing more with a refused token, but interaction
// routes, which carry none, go on.
func TestRESTStopsAt401(t *testing.T) {
	s := fake.Start(t)
	r := restOn(t, s)
	r.token = "wrong"
	for range 3 {
		if _, err := r.gatewayBot(t.Context()); !errors.Is(err, ErrUnauthorized) {
			t.Errorf("got %v", err)
		}
	}
	if n := len(s.Requests(routeBot)); n != 1 {
		t.Errorf("%d requests, want 1", n)
	}
	i := interaction(t, s, "02_slash_subcommand_strings")
	if err := r.answer(t.Context(), i, callback{Type: answerMessage, Data: hello()}, nil); err != nil {
		t.Errorf("interaction route: %v", err)
	}
}

// TestRESTRemembers does not repeat what was refused for good.
func TestRESTRemembers(t *testing.T) {
	s := fake.Start(t)
	r := restOn(t, s)
	i := interaction(t, s, "02_slash_subcommand_strings")
	for range 3 {
		// Nothing was answered yet, so there is no message to edit.
		if err := r.edit(t.Context(), i, hello(), nil); !isDead(err) {
			t.Errorf("edit: %v", err)
		}
	}
	if n := len(s.Requests(routeOriginal)); n != 1 {
		t.Errorf("%d requests to a dead webhook, want 1", n)
	}
	var denied struct{ Body json.RawMessage }
	if err := json.Unmarshal(fake.Example(t, "rest/error_50013"), &denied); err != nil {
		t.Fatal(err)
	}
	s.Inject(fake.Fault{Route: "PUT /applications/{application}/commands", Times: 9, Status: 403, Body: string(denied.Body)})
	for range 3 {
		if err := r.putCommands(t.Context(), fake.ApplicationID, []command{}); !hasCode(err, 50013) {
			t.Errorf("put: %v", err)
		}
	}
	if n := len(s.Requests("PUT /applications/{application}/commands")); n != 1 {
		t.Errorf("%d requests after a 403, want 1", n)
	}
}

// TestRESTKeepsSecrets makes every kind of failure and wants neither the bot's
// nor an interaction's token in the error.
func TestRESTKeepsSecrets(t *testing.T) {
	s := fake.Start(t)
	r := restOn(t, s)
	r.sleep = func(context.Context, time.Duration) error { return nil }
	i := interaction(t, s, "02_slash_subcommand_strings")
	echo := `{"code":50035,"message":"Invalid Form Body","errors":{"data":{"_errors":[{"code":"X","message":"` + i.Token + `"}]}}}`
	for _, f := range []fake.Fault{{Status: 500}, {Drop: true}, {Status: 400, Body: echo}, {Status: 429, Body: "<html>"}, {Status: 301, Header: map[string]string{"Location": "/" + i.Token}}} {
		f.Times, f.Route = maxTries, routeCallback
		s.Inject(f)
		err := r.answer(within(t, time.Second), i, callback{Type: answerMessage, Data: hello()}, nil)
		if err == nil {
			t.Errorf("%+v: no error", f)
			continue
		}
		if strings.Contains(err.Error(), i.Token) || strings.Contains(err.Error(), fake.Token) {
			t.Errorf("%+v: the error holds a token: %v", f, err)
		}
		r.limits = newLimiter(time.Now)
		i = interaction(t, s, "02_slash_subcommand_strings")
	}
	s.Close()
	if err := r.answer(within(t, time.Second), i, callback{Type: answerDefer}, nil); err == nil || strings.Contains(err.Error(), i.Token) {
		t.Errorf("refused connection: %v", err)
	}
}

// TestRESTRedirect never carries the token elsewhere.
func TestRESTRedirect(t *testing.T) {
	stranger := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { t.Error("the redirect was followed") }))
	t.Cleanup(stranger.Close)
	s := fake.Start(t)
	r := restOn(t, s)
	s.Inject(fake.Fault{Status: 307, Header: map[string]string{"Location": stranger.URL}})
	if _, err := r.gatewayBot(t.Context()); err == nil {
		t.Error("no error")
	}
}

// TestRESTBoundsAnswers reads no more of an answer than it may.
func TestRESTBoundsAnswers(t *testing.T) {
	endless := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		for {
			if _, err := w.Write(make([]byte, 1<<20)); err != nil {
				return
			}
		}
	}))
	t.Cleanup(endless.Close)
	c, err := Config{Token: "x", APIBase: endless.URL}.settle()
	if err != nil {
		t.Fatal(err)
	}
	r := newREST(c)
	t.Cleanup(r.close)
	r.sleep = func(context.Context, time.Duration) error { return errors.New("no second try") }
	if _, err := r.gatewayBot(within(t, surely)); err == nil || !strings.Contains(err.Error(), "longer than 8 MiB") {
		t.Errorf("got %v", err)
	}
}

// TestRESTErrorFields names the wrong fields of a refused body.
func TestRESTErrorFields(t *testing.T) {
	for name, want := range map[string]string{
		"rest/error_50035": "status 400, code 50035: Invalid Form Body (options.0.description BASE_TYPE_REQUIRED)",
		"rest/error_10062": "status 404, code 10062: Unknown interaction",
		"rest/error_30034": "code 30034",
	} {
		var doc struct {
			Status int
			Body   json.RawMessage
		}
		if err := json.Unmarshal(fake.Example(t, name), &doc); err != nil {
			t.Fatal(err)
		}
		if got := newAPIError("GET /x", doc.Status, doc.Body).Error(); !strings.Contains(got, want) {
			t.Errorf("%s: %q, want %q in it", name, got, want)
		}
	}
}
