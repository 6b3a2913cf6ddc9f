package discord

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord/fake"
)

// takingDesk answers after a while.
type takingDesk struct {
	takes time.Duration
	looks time.Duration // before it knows what is to come
	fore  chat.Foresight
	ans   chat.Answer
}

func (d takingDesk) Do(context.Context, chat.Invocation) chat.Answer {
	time.Sleep(d.takes)
	return d.ans
}

func (d takingDesk) Complete(ctx context.Context, _ chat.Invocation, _ string) ([]chat.Choice, error) {
	return nil, sleep(ctx, d.takes)
}

func (d takingDesk) Foresee(ctx context.Context, _ chat.Invocation) chat.Foresight {
	if sleep(ctx, d.looks) != nil {
		return chat.Foresight{Private: true}
	}
	return d.fore
}

func (d takingDesk) Posted(context.Context, chat.Invocation, chat.Answer, string) error {
	return nil
}

// wire takes requests in memory and notes what came when. Each takes a while to
// be answered, or until its sender gives up.
type wire struct {
	began time.Time
	takes time.Duration

	mu   sync.Mutex
	came []string
}

func (w *wire) RoundTrip(r *http.Request) (*http.Response, error) {
	raw, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, err
	}
	var body struct {
		Type int `json:"type"`
	}
	if err := json.Unmarshal(raw, &body); err != nil {
		return nil, err
	}
	what := r.Method
	if body.Type != 0 {
		what = fmt.Sprint(body.Type)
	}
	w.mu.Lock()
	w.came = append(w.came, fmt.Sprint(what, " ", time.Since(w.began)))
	w.mu.Unlock()
	if err := sleep(r.Context(), w.takes); err != nil {
		return nil, err
	}
	return &http.Response{StatusCode: http.StatusNoContent, Header: http.Header{}, Request: r, Body: io.NopCloser(strings.NewReader(""))}, nil
}

// TestAnswersInTime holds the times of one interaction to the 3 s that the
// service waits (Receiving and Responding, "Responding to an Interaction"), on a
// clock of its own. An answer of type 5 is an announcement, PATCH
// its edit, POST what follows it.
func TestAnswersInTime(t *testing.T) {
	reply, form := chat.Answer{Reply: &chat.Reply{Title: "Done"}}, chat.Answer{Form: &chat.OpenForm{Title: "A form"}}
	const slash, typed = "02_slash_subcommand_strings", "06_autocomplete_string"
	for name, c := range map[string]struct {
		example string
		desk    takingDesk
		drags   time.Duration // the service, with each request
		waited  time.Duration // for a worker
		want    []string
	}{
		"at once":                  {example: slash, desk: takingDesk{ans: reply}, want: []string{"4 0s"}},
		"just in time":             {example: slash, desk: takingDesk{takes: 799 * time.Millisecond, ans: reply}, want: []string{"4 799ms"}},
		"slow":                     {example: slash, desk: takingDesk{takes: 10 * time.Second, ans: reply}, want: []string{"5 800ms", "PATCH 10s"}},
		"known to be slow":         {example: slash, desk: takingDesk{takes: time.Second, fore: chat.Foresight{Slow: true}, ans: reply}, want: []string{"5 0s", "PATCH 1s"}},
		"a form":                   {example: slash, desk: takingDesk{takes: 2 * time.Second, fore: chat.Foresight{Form: true}, ans: form}, want: []string{"9 2s"}},
		"a form that comes late":   {example: slash, desk: takingDesk{takes: 4 * time.Second, fore: chat.Foresight{Form: true}, ans: form}, want: []string{"5 2.5s", "PATCH 4s", "POST 4s"}},
		"looks for long":           {example: slash, desk: takingDesk{looks: time.Second, fore: chat.Foresight{Form: true}, ans: form}, want: []string{"9 1s"}},
		"looks without end":        {example: slash, desk: takingDesk{looks: time.Hour, takes: time.Second, ans: reply}, want: []string{"5 2s", "PATCH 3s"}},
		"waited for a worker":      {example: slash, desk: takingDesk{takes: time.Minute / 2, ans: reply}, waited: 2 * time.Second, want: []string{"5 2s", "PATCH 32s"}},
		"waited too long":          {example: slash, desk: takingDesk{ans: reply}, waited: 2501 * time.Millisecond},
		"the service drags":        {example: slash, desk: takingDesk{takes: time.Second, ans: reply}, drags: time.Second, want: []string{"5 800ms", "PATCH 1.8s"}},
		"the service hangs":        {example: slash, desk: takingDesk{ans: reply}, drags: 2901 * time.Millisecond, want: []string{"4 0s", "PATCH 2.9s"}},
		"suggestions":              {example: typed, desk: takingDesk{takes: time.Second}, want: []string{"8 1s"}},
		"suggestions that hang":    {example: typed, desk: takingDesk{takes: time.Hour}, want: []string{"8 2s"}},
		"suggestions nobody takes": {example: typed, desk: takingDesk{}, drags: time.Hour, want: []string{"8 0s"}},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				cfg, err := Config{Token: fake.Token, Log: slog.New(slog.DiscardHandler)}.settle()
				if err != nil {
					t.Fatal(err)
				}
				w := &wire{began: time.Now(), takes: c.drags}
				r := newREST(cfg)
				r.client.Transport = w
				h := newHandler(cfg, r, c.desk)
				h.patience = patienceFor(answerIn)
				j := job{raw: fake.Example(t, c.example), at: time.Now()}
				time.Sleep(c.waited)
				h.handle(t.Context(), j)
				if !slices.Equal(w.came, c.want) {
					t.Errorf("sent %q, want %q", w.came, c.want)
				}
			})
		})
	}
}

// TestRESTGlobal keeps 50 in any second over all routes, on a clock of its own.
func TestRESTGlobal(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := newLimiter(time.Now)
		var mu sync.Mutex
		var sent []time.Time
		var wg sync.WaitGroup
		for n := range 200 {
			wg.Go(func() {
				turn, err := l.acquire(t.Context(), &call{method: http.MethodGet, pattern: fmt.Sprint("/", n), path: "/"})
				if err != nil {
					t.Error(err)
					return
				}
				mu.Lock()
				sent = append(sent, time.Now())
				mu.Unlock()
				turn.done(http.StatusOK, http.Header{}, nil)
			})
		}
		wg.Wait()
		for i := range sent {
			if i >= 50 && sent[i].Sub(sent[i-50]) < time.Second {
				t.Fatalf("request %d came %v after the 50th before it", i, sent[i].Sub(sent[i-50]))
			}
		}
		if took := sent[len(sent)-1].Sub(sent[0]); len(sent) != 200 || took > 5*time.Second {
			t.Errorf("%d requests took %v", len(sent), took)
		}
	})
}

// TestRESTWaits meets each kind of 429. What it holds back, and what not, is
// seen with a limit of an hour: who is held back for so long is told at once.
func TestRESTWaits(t *testing.T) {
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
			now := time.Now()
			cfg, err := Config{Token: fake.Token, APIBase: s.APIBase(), Version: "test", Now: func() time.Time { return now }}.settle()
			if err != nil {
				t.Fatal(err)
			}
			r := newREST(cfg)
			t.Cleanup(r.close)
			s.Inject(fake.Limited(t, routeCommands, c.scope, time.Hour))
			ctx := within(t, surely)
			i := interaction(t, s, "02_slash_subcommand_strings")
			var refused *APIError
			if _, err := r.commands(ctx, fake.ApplicationID); !errors.As(err, &refused) || refused.RetryAfter != time.Hour {
				t.Fatalf("got %v", err)
			}
			commands := func() error { _, err := r.commands(ctx, fake.ApplicationID); return err }
			bot := func() error { _, err := r.gatewayBot(ctx); return err }
			hook := func() error { return r.answer(ctx, i, callback{Type: answerMessage, Data: hello()}, nil) }
			held := func(what string, ask func() error, want bool) {
				t.Helper()
				if err := ask(); errors.Is(err, errTooLong) != want || err != nil && !want {
					t.Errorf("%s: %v; held back %v, want %v", what, err, !want, want)
				}
			}
			now = now.Add(time.Hour - time.Second)
			ctx = within(t, time.Second/2) // shorter than what is left of the hour
			held("the same route", commands, true)
			if c.bot {
				held("another route", bot, true)
			}
			if c.hook {
				held("interaction route", hook, true)
			}
			ctx = within(t, surely)
			if !c.bot {
				held("another route", bot, false)
			}
			if !c.hook {
				held("interaction route", hook, false)
			}
			now = now.Add(time.Second)
			held("the same route, an hour later", commands, false)
			if c.bot {
				held("another route, an hour later", bot, false)
			}
			if c.hook {
				held("interaction route, an hour later", hook, false)
			}
			if n := len(s.Requests(routeCommands)); n != 2 {
				t.Errorf("%d requests, want 2", n)
			}
		})
	}
}

// TestRESTComesAgain sends again what a limit refused, once it is over.
func TestRESTComesAgain(t *testing.T) {
	t.Parallel()
	const wait = 50 * time.Millisecond
	s := fake.Start(t)
	r := restOn(t, s)
	s.Inject(fake.Limited(t, routeCommands, fake.User, wait))
	began := time.Now()
	if _, err := r.commands(within(t, surely), fake.ApplicationID); err != nil {
		t.Fatal(err)
	}
	if took := time.Since(began); took < wait {
		t.Errorf("came again after %v, told to wait %v", took, wait)
	}
	if n := len(s.Requests(routeCommands)); n != 2 {
		t.Errorf("%d requests, want 2", n)
	}
}
