package discord

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
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

// TestRESTWaits meets each kind of 429 and wants the wait obeyed and the
// request then done.
func TestRESTWaits(t *testing.T) {
	const wait = 900 * time.Millisecond
	for _, c := range []struct {
		scope fake.Scope
		// alsoHeld says whether another bot route and an interaction route have
		// to wait as well.
		bot, hook bool
	}{
		{fake.User, false, false}, {fake.Shared, false, false}, {fake.Global, true, false}, {fake.Banned, true, true},
	} {
		t.Run(string(c.scope), func(t *testing.T) {
			t.Parallel()
			s := fake.Start(t)
			r := restOn(t, s)
			s.Inject(fake.Limited(t, routeCommands, c.scope, wait))
			ctx := within(t, 5*time.Second)
			began := time.Now()
			var bot, hook time.Duration
			var wg sync.WaitGroup
			i := interaction(t, s, "02_slash_subcommand_strings")
			hit := make(chan struct{})
			wg.Go(func() {
				<-hit
				if _, err := r.gatewayBot(ctx); err != nil {
					t.Errorf("another route: %v", err)
				}
				bot = time.Since(began)
			})
			wg.Go(func() {
				<-hit
				if err := r.answer(ctx, i, callback{Type: answerMessage, Data: hello()}, nil); err != nil {
					t.Errorf("interaction route: %v", err)
				}
				hook = time.Since(began)
			})
			go func() {
				for len(s.Requests(routeCommands)) == 0 {
					time.Sleep(time.Millisecond)
				}
				time.Sleep(20 * time.Millisecond)
				close(hit)
			}()
			if _, err := r.commands(ctx, fake.ApplicationID); err != nil {
				t.Fatal(err)
			}
			if took := time.Since(began); took < wait {
				t.Errorf("came again after %v, told to wait %v", took, wait)
			}
			wg.Wait()
			if held := bot >= wait; held != c.bot {
				t.Errorf("another route took %v; held back %v, want %v", bot, held, c.bot)
			}
			if held := hook >= wait; held != c.hook {
				t.Errorf("the interaction took %v; held back %v, want %v", hook, held, c.hook)
			}
			if n := len(s.Requests(routeCommands)); n != 2 {
				t.Errorf("%d requests, want 2", n)
			}
		})
	}
}

// TestRESTLimitOutlasts returns at once when a limit can't end in time.
func TestRESTLimitOutlasts(t *testing.T) {
	s := fake.Start(t)
	r := restOn(t, s)
	s.Inject(fake.Limited(t, routeCommands, fake.User, time.Hour))
	began := time.Now()
	_, err := r.commands(within(t, 2*time.Second), fake.ApplicationID)
	var refused *APIError
	if !errors.As(err, &refused) || refused.RetryAfter != time.Hour {
		t.Errorf("got %v", err)
	}
	if _, err := r.commands(within(t, 2*time.Second), fake.ApplicationID); !errors.Is(err, errTooLong) {
		t.Errorf("second call: %v", err)
	}
	if took := time.Since(began); took > time.Second {
		t.Errorf("took %v", took)
	}
	if n := len(s.Requests("")); n != 1 {
		t.Errorf("%d requests, want 1", n)
	}
}

// TestRESTBuckets sends many requests at once over a route with a narrow
// limit: none may be refused, and none be lost.
func TestRESTBuckets(t *testing.T) {
	s := fake.Start(t)
	s.Limit(routeCommands, 3, 150*time.Millisecond)
	r := restOn(t, s)
	began := time.Now()
	var wg sync.WaitGroup
	for range 12 {
		wg.Go(func() {
			if _, err := r.commands(within(t, 20*time.Second), fake.ApplicationID); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	if n := len(s.Requests(routeCommands)); n != 12 {
		t.Errorf("%d requests, want 12", n)
	}
	if took := time.Since(began); took < 400*time.Millisecond {
		t.Errorf("12 requests at 3 each 150 ms took only %v", took)
	}
}

// TestRESTGlobal keeps 50 a second over all routes.
func TestRESTGlobal(t *testing.T) {
	s := fake.Start(t)
	r := restOn(t, s)
	var wg sync.WaitGroup
	for range 80 {
		wg.Go(func() {
			if _, err := r.gatewayBot(within(t, 20*time.Second)); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
}

// TestRESTRepeats says what is sent again after a failure, and what is not.
func TestRESTRepeats(t *testing.T) {
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
				err := c.do(within(t, 10*time.Second), r, i)
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
	if _, err := r.gatewayBot(within(t, 5*time.Second)); err == nil {
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

// TestRESTCountsRefusals stops long before the service bans the address, and
// starts again when the refusals are ten minutes old. A shared 429 is nobody's
// fault and does not count.
func TestRESTCountsRefusals(t *testing.T) {
	now := testTime
	l := newLimiter(func() time.Time { return now })
	c := &call{method: "GET", pattern: "/x", path: "/x"}
	turn := func(status int, h http.Header) error {
		t.Helper()
		got, err := l.acquire(t.Context(), &call{method: "GET", pattern: "/y", path: "/y", hook: true})
		if err == nil {
			got.done(status, h, []byte(`{"retry_after":0.001}`))
			now = now.Add(2 * time.Millisecond)
		}
		return err
	}
	for range refusalLimit + 5 {
		if err := turn(429, http.Header{"X-Ratelimit-Scope": {"shared"}}); err != nil {
			t.Fatal(err)
		}
	}
	for n := range refusalLimit {
		if err := turn(403, nil); err != nil {
			t.Fatalf("after %d: %v", n, err)
		}
	}
	if _, err := l.acquire(t.Context(), c); !errors.Is(err, errTooManyRefusals) {
		t.Errorf("after %d refusals: %v", refusalLimit, err)
	}
	now = now.Add(refusalWindow + time.Second)
	if _, err := l.acquire(t.Context(), c); err != nil {
		t.Errorf("ten minutes later: %v", err)
	}
}

// TestRESTForgets keeps no bucket for interactions of the past.
func TestRESTForgets(t *testing.T) {
	now := testTime
	l := newLimiter(func() time.Time { return now })
	for n := range 20_000 {
		c := &call{method: "POST", pattern: callbackPattern, major: big(uint64(n)), hook: true}
		turn, err := l.acquire(t.Context(), c)
		if err != nil {
			t.Fatal(err)
		}
		turn.done(204, nil, nil)
		now = now.Add(50 * time.Millisecond)
	}
	if n := len(l.buckets); n > 4096 {
		t.Errorf("%d buckets kept", n)
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
	if _, err := r.gatewayBot(within(t, 10*time.Second)); err == nil || !strings.Contains(err.Error(), "longer than 8 MiB") {
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

func TestConfig(t *testing.T) {
	cases := map[string]struct {
		cfg Config
		ok  bool
	}{
		"service":              {Config{Token: "x"}, true},
		"loopback":             {Config{Token: "x", APIBase: "http://127.0.0.1:8080/api/v10/"}, true},
		"loopback 6":           {Config{Token: "x", APIBase: "https://[::1]:8080/api/v10"}, true},
		"localhost":            {Config{Token: "x", APIBase: "http://localhost:1/api/v10"}, true},
		"no token":             {Config{}, false},
		"token with a newline": {Config{Token: "x\n"}, false},
		"stranger":             {Config{Token: "x", APIBase: "https://example.org/api/v10"}, false},
		"private":              {Config{Token: "x", APIBase: "http://192.168.1.4/api"}, false},
		"looks like loopback":  {Config{Token: "x", APIBase: "http://127.0.0.1.example.org/api"}, false},
		"user in it":           {Config{Token: "x", APIBase: "http://a:b@127.0.0.1/api"}, false},
		"file":                 {Config{Token: "x", APIBase: "file:///etc"}, false},
		"plain service":        {Config{Token: "x", APIBase: "http://discord.com/api/v10"}, false},
		"app id":               {Config{Token: "x", ApplicationID: "abc"}, false},
		"shard too high":       {Config{Token: "x", Shards: 2, Shard: 2}, false},
		"all shards":           {Config{Token: "x", Shards: 2, Shard: -1}, true},
	}
	for name, c := range cases {
		if _, err := c.cfg.settle(); (err == nil) != c.ok {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestBucketLosesCount explores anew when answers that would tell the window
// are lost, and does not stand still.
func TestBucketLosesCount(t *testing.T) {
	now := testTime
	l := newLimiter(func() time.Time { return now })
	c := &call{method: "GET", pattern: "/x", path: "/x"}
	headers := http.Header{"X-Ratelimit-Limit": {"2"}, "X-Ratelimit-Remaining": {"1"}, "X-Ratelimit-Reset-After": {"1.0"}, "X-Ratelimit-Bucket": {"b"}}
	turn := func() *turn {
		t.Helper()
		got, err := l.acquire(within(t, time.Second), c)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	turn().done(200, headers, nil)
	now = now.Add(2 * time.Second)
	for n := range 10 {
		if n%2 == 0 {
			turn().lost()
		} else {
			turn().done(502, nil, nil)
		}
	}
	turn().done(200, headers, nil)
	turn().done(200, nil, nil)
	if b := l.bucketFor(c); b.limit != 2 || b.remaining != 0 {
		t.Errorf("limit %d, remaining %d; want 2 and 0", b.limit, b.remaining)
	}
}
