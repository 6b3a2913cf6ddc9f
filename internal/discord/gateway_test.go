package discord

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/discord/fake"
)

// talk has one command answered, which shows that the connection works.
func talk(t *testing.T, r *running) {
	t.Helper()
	shown := r.Send(r.Fresh(fake.Example(t, "02_slash_subcommand_strings"))).Await()
	if !strings.Contains(shown.Text(), "336 mL") {
		t.Errorf("answer %q", shown.Text())
	}
}

// TestGatewayComesBack plays each way in which a connection can fail before or
// after READY, and wants the bot to be back and working.
func TestGatewayComesBack(t *testing.T) {
	t.Parallel()
	const notReady = "READY in time"
	cases := map[string]struct {
		plan       fake.Plan
		then       func(*fake.Server) // after the first READY; nil when the plan has none
		identifies int                // before it works again
		log        string
		silent     bool // nothing but time tells that it failed
	}{
		"op 7 before READY":                  {plan: fake.Plan{First: `{"op":7,"d":null,"s":null,"t":null}`}, identifies: 2, log: "op 7"},
		"op 9 false in place of READY":       {plan: fake.Plan{First: `{"op":9,"d":false,"s":null,"t":null}`}, identifies: 2, log: "op 9"},
		"op 9 true in place of READY":        {plan: fake.Plan{First: `{"op":9,"d":true,"s":null,"t":null}`}, identifies: 2, log: "op 9"},
		"silence in place of READY":          {plan: fake.Plan{NoReady: true}, identifies: 2, log: notReady, silent: true},
		"silence from the start":             {plan: fake.Plan{NoHello: true}, identifies: 1, log: notReady, silent: true},
		"lost in place of READY":             {plan: fake.Plan{Lose: true}, identifies: 2, log: "gateway connection ended"},
		"upgrade refused":                    {plan: fake.Plan{Refuse: 503}, identifies: 1, log: "bad handshake"},
		"heartbeat asked for before READY":   {plan: fake.Plan{First: `{"op":1,"d":null,"s":null,"t":null}`}, identifies: 2, log: notReady, silent: true},
		"unknown op before READY":            {plan: fake.Plan{First: `{"op":99,"d":{"x":1},"s":null,"t":null}`}, identifies: 2, log: notReady, silent: true},
		"a frame that is null before READY":  {plan: fake.Plan{First: `null`}, identifies: 2, log: "can't be read"},
		"no acknowledgments":                 {plan: fake.Plan{NoAcks: true, Interval: 2 * time.Second}, identifies: 2, log: "acknowledged no heartbeat"},
		"op 7":                               {then: func(s *fake.Server) { s.SendRaw(`{"op":7,"d":null,"s":null,"t":null}`) }, identifies: 2, log: "op 7"},
		"op 9 false":                         {then: func(s *fake.Server) { s.SendRaw(`{"op":9,"d":false,"s":null,"t":null}`) }, identifies: 2, log: "op 9"},
		"op 9 true":                          {then: func(s *fake.Server) { s.SendRaw(`{"op":9,"d":true,"s":null,"t":null}`) }, identifies: 2, log: "op 9"},
		"lost":                               {then: (*fake.Server).Lose, identifies: 2, log: "gateway connection ended"},
		"a hello that would stop the ticker": {then: func(s *fake.Server) { s.SendRaw(`{"op":10,"d":{"heartbeat_interval":0}}`) }, identifies: 2, log: "can't be read"},
	}
	for _, code := range []int{1000, 1001, 4000, 4001, 4002, 4003, 4005, 4007, 4008, 4009} {
		c := cases["x"]
		c.plan, c.identifies, c.log = fake.Plan{CloseWith: code}, 2, fmt.Sprint(code)
		cases[fmt.Sprintf("close %d in place of READY", code)] = c
		c.plan, c.then = fake.Plan{}, func(s *fake.Server) { s.CloseWith(code) }
		cases[fmt.Sprintf("close %d", code)] = c
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := fake.Start(t)
			s.Plan(c.plan)
			r := run(t, s, func(_ *Config, p *pace) {
				if c.silent {
					p.ready = time.Second
				}
			})
			if c.then != nil {
				s.AwaitReady(1)
				c.then(s)
				s.AwaitReady(2)
			} else if c.plan.NoAcks {
				s.AwaitReady(2)
			}
			talk(t, r)
			// On a machine that is too slow for the short time, good connections are
			// given up for the same reason, and each may have been identified.
			more := max(strings.Count(r.log.String(), notReady)-1, 0)
			if n := s.Identifies(); n < c.identifies || n > c.identifies+more || more > 0 && !c.silent {
				t.Errorf("identified %d times, want %d (and up to %d more):\n%s", n, c.identifies, more, r.log)
			}
			if !strings.Contains(r.log.String(), c.log) {
				t.Errorf("the log does not say %q:\n%s", c.log, r.log)
			}
		})
	}
}

// TestGatewayStops plays the closes after which connecting again is wrong.
func TestGatewayStops(t *testing.T) {
	t.Parallel()
	for code := range fatalCloses {
		for _, when := range []string{"in place of READY", "later"} {
			t.Run(fmt.Sprintf("close %d %s", code, when), func(t *testing.T) {
				t.Parallel()
				s := fake.Start(t)
				if when != "later" {
					s.Plan(fake.Plan{CloseWith: code})
				}
				r := run(t, s, nil)
				if when == "later" {
					s.AwaitReady(1)
					s.CloseWith(code)
				}
				err := awaitEnd(t, r)
				var fatal *FatalError
				if !errors.As(err, &fatal) || fatal.Code != code || fatal.Remedy == "" {
					t.Errorf("Run: %v", err)
				}
				if n := s.Identifies(); n != 1 {
					t.Errorf("identified %d times, want once", n)
				}
			})
		}
	}
}

// awaitEnd waits for Run to end by itself.
func awaitEnd(t *testing.T, r *running) error {
	t.Helper()
	select {
	case err := <-r.done:
		r.done <- nil
		return err
	case <-time.After(surely):
		t.Fatal("Run goes on")
		return nil
	}
}

func TestGatewayRefusedToken(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	r := run(t, s, func(c *Config, _ *pace) { c.Token = "another.token" })
	if err := awaitEnd(t, r); !errors.Is(err, ErrUnauthorized) || strings.Contains(err.Error(), "another.token") {
		t.Errorf("Run: %v", err)
	}
	if n := len(s.Requests("")); n != 1 {
		t.Errorf("%d requests with a refused token, want 1", n)
	}
}

// TestGatewayBudget wants the bot to wait rather than use up the day's starts.
func TestGatewayBudget(t *testing.T) {
	t.Parallel()
	for left, waits := range map[int]bool{startReserve: false, startReserve - 1: true} {
		t.Run(fmt.Sprint(left), func(t *testing.T) {
			t.Parallel()
			s := fake.Start(t)
			s.SetStarts(left, time.Hour)
			r := run(t, s, nil)
			if !waits {
				s.AwaitReady(1)
				return
			}
			r.log.await(t, "waiting for the reset")
			if n := s.Identifies(); n != 0 {
				t.Errorf("identified %d times", n)
			}
		})
	}
}

// TestGatewayShards runs the number of shards that the service advises, each
// identifying itself in its turn.
func TestGatewayShards(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	s.SetShards(3)
	r := run(t, s, nil)
	s.AwaitReady(3)
	talk(t, r)
	if n := s.Identifies(); n != 3 {
		t.Errorf("identified %d times, want 3", n)
	}
}

func TestGatewayOneShard(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	r := run(t, s, func(c *Config, _ *pace) { c.Shards, c.Shard = 3, 1 })
	talk(t, r)
	if n := s.Identifies(); n != 1 || !strings.Contains(r.log.String(), "shard=1 shards=3") {
		t.Errorf("identified %d times:\n%s", n, r.log)
	}
}

// TestGatewayLeavesNothing wants every goroutine gone after a stop, also after
// a failed connection.
func TestGatewayLeavesNothing(t *testing.T) {
	before := goleak.IgnoreCurrent()
	s := fake.Start(t)
	s.Plan(fake.Plan{First: `{"op":7,"d":null}`}, fake.Plan{First: `{"op":9,"d":false}`})
	r := run(t, s, nil)
	talk(t, r)
	if err := r.stop(); err != nil {
		t.Errorf("Run: %v", err)
	}
	s.Close()
	// It looks for a second, which a slow machine may need more of.
	var left error
	for end := time.Now().Add(surely); time.Now().Before(end); {
		if left = goleak.Find(before); left == nil {
			break
		}
	}
	if left != nil {
		t.Error(left)
	}
}

// TestGatewayPace keeps the hours that tests shorten.
func TestGatewayPace(t *testing.T) {
	want := pace{ready: 20 * time.Second, identify: 5 * time.Second, backoffMin: 5 * time.Second,
		backoffMax: 5 * time.Minute, healthy: time.Minute, drain: 15 * time.Second,
		headers: 5 * time.Second, body: 10 * time.Second,
		one: patience{foresee: 2 * time.Second, announce: 800 * time.Millisecond, form: 2500 * time.Millisecond, answer: 2900 * time.Millisecond,
			old: 2500 * time.Millisecond, yield: time.Second, complete: 2 * time.Second}}
	if got := properPace(answerIn); got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

func TestGatewayURL(t *testing.T) {
	for text, ok := range map[string]struct{ service, local bool }{
		"wss://gateway.discord.gg":   {true, false},
		"ws://gateway.discord.gg":    {false, false},
		"ws://127.0.0.1:8080":        {false, true},
		"wss://127.0.0.1:8080":       {false, true},
		"https://gateway.discord.gg": {false, false},
		"wss://user@example.org":     {false, false},
		"":                           {false, false},
	} {
		_, err := gatewayURL(text, false)
		_, localErr := gatewayURL(text, true)
		if (err == nil) != ok.service || (localErr == nil) != ok.local {
			t.Errorf("%q: service %v, local %v", text, err, localErr)
		}
	}
}

// TestStuckSession leaves a session behind whose library never comes back from
// opening, as it does when its lock is held for ever.
func TestStuckSession(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	ctx, cancel := context.WithCancel(t.Context())
	l, err := newLink(ctx, linkConfig{token: fake.Token, gateway: "ws://" + s.Host(), shards: 1, loopback: true, now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	l.session.Lock()
	defer l.session.Unlock()
	defer cancel() // so that nothing is dialed then
	began := time.Now()
	if err := l.open(ctx, 50*time.Millisecond); !errors.Is(err, errNoReady) {
		t.Errorf("open: %v", err)
	}
	l.shut()
	if took := time.Since(began); took > surely/2 {
		t.Errorf("took %v", took)
	}
}

// encrypted serves the fake's gateway over TLS and gives its address and the
// certificate to trust.
func encrypted(t *testing.T, s *fake.Server) (string, *x509.CertPool) {
	t.Helper()
	lender := httptest.NewTLSServer(http.NotFoundHandler())
	t.Cleanup(lender.Close)
	listener, err := tls.Listen("tcp", "127.0.0.1:0", &tls.Config{Certificates: lender.TLS.Certificates})
	if err != nil {
		t.Fatal(err)
	}
	var open sync.WaitGroup
	t.Cleanup(func() {
		listener.Close()
		open.Wait()
	})
	open.Go(func() {
		for {
			from, err := listener.Accept()
			if err != nil {
				return
			}
			to, err := net.Dial("tcp", s.Host())
			if err != nil {
				from.Close()
				continue
			}
			pipe := func(a, b net.Conn) {
				io.Copy(a, b)
				a.Close()
			}
			open.Go(func() { pipe(to, from) })
			open.Go(func() { pipe(from, to) })
		}
	})
	roots := x509.NewCertPool()
	roots.AddCert(lender.Certificate())
	return "wss://" + listener.Addr().String(), roots
}

// TestEncrypted goes the way of the real service: the tap sees plain frames
// although the wire does not, and a certificate nobody vouches for is refused.
func TestEncrypted(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	address, roots := encrypted(t, s)
	for name, c := range map[string]struct {
		roots *x509.CertPool
		plan  fake.Plan
		want  error
	}{
		"good": {roots: roots}, "op 7 is seen": {roots: roots, plan: fake.Plan{First: `{"op":7,"d":null}`}, want: errToldToReconnect},
		"unknown certificate": {want: x509.UnknownAuthorityError{}},
	} {
		t.Run(name, func(t *testing.T) {
			if c.roots != nil {
				s.Plan(c.plan)
			}
			l, err := newLink(t.Context(), linkConfig{token: fake.Token, gateway: address, shards: 1, loopback: true, roots: c.roots, now: time.Now})
			if err != nil {
				t.Fatal(err)
			}
			defer l.shut()
			err = l.open(t.Context(), surely)
			if _, unknown := c.want.(x509.UnknownAuthorityError); unknown {
				if !errors.As(err, &x509.UnknownAuthorityError{}) {
					t.Errorf("open: %v", err)
				}
			} else if !errors.Is(err, c.want) {
				t.Errorf("open: %v, want %v", err, c.want)
			}
		})
	}
}

// TestPlainIsRefused sends no token to another machine in the clear.
func TestPlainIsRefused(t *testing.T) {
	for _, c := range []struct {
		address  string
		loopback bool
	}{{"ws://192.0.2.1:80", false}, {"ws://192.0.2.1:80", true}, {"ws://127.0.0.1:1", false}} {
		l, err := newLink(t.Context(), linkConfig{token: fake.Token, gateway: c.address, shards: 1, loopback: c.loopback, now: time.Now})
		if err != nil {
			t.Fatal(err)
		}
		if err := l.open(t.Context(), time.Second); err == nil || !strings.Contains(err.Error(), "not encrypted") {
			t.Errorf("%s: %v", c.address, err)
		}
		l.shut()
	}
}
