package main

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/remind"
	"github.com/pourwright/pourwright/internal/shop"
)

// freeAddress is an address on this machine that nothing listens at.
func freeAddress(t testing.TB) string {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer ln.Close()
	return ln.Addr().String()
}

// later moves both clocks: the program's, and that of the service, which signs
// by it.
func (s *serving) later(d time.Duration) {
	s.service.Advance(d + time.Second)
	s.to(s.now().Add(d))
}

// With application id and public key alone it starts without a word to the
// service, answers what is posted, and tells members of the calls that it can't
// make.
func TestServePostedWithoutToken(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	s := &serving{killing: startKilling(t)}
	defer s.service.Close()
	defer s.db.Close()
	s.at, s.mute = freeAddress(t), true
	s.begin()
	ended := false
	defer func() {
		if !ended {
			s.end()
		}
	}()
	s.errs.await(t, "no bot token is set")
	s.errs.await(t, "client_id="+fake.ApplicationID)
	if n := len(s.service.Requests("")); n != 0 {
		t.Errorf("%d requests were sent before anybody asked", n)
	}
	if pong := s.service.Send(s.service.Fresh(fake.Example(t, "01_ping"))).Await(); pong.Kind != fake.Pong {
		t.Errorf("a ping was answered by %+v", pong)
	}
	if said := s.types("due", "add", map[string]any{"about": "wipe the mold", "in": "30 min"}, nil).Await().Text(); !strings.Contains(said, "wipe the mold") {
		t.Fatalf("a call was kept with %q", said)
	}
	s.later(31 * time.Minute)
	s.errs.await(t, "a call did not go through")
	told := ""
	for deadline := time.Now().Add(surely); !strings.Contains(told, "wipe the mold") && time.Now().Before(deadline); {
		told = s.types("me", "show", nil, nil).Await().Text()
	}
	if !strings.Contains(told, "wipe the mold") {
		t.Errorf("the next answer does not tell of the call: %q", told)
	}
	s.end()
	ended = true
	if !strings.Contains(s.errs.String(), "ended; answers under way were finished") {
		t.Errorf("the log is:\n%s", s.errs)
	}
}

// With a token, calls and cards work as over the gateway, which is not
// connected to.
func TestServePostedCalls(t *testing.T) {
	t.Parallel()
	s := &serving{killing: startKilling(t)}
	s.at = freeAddress(t)
	s.begin()
	defer s.end()
	p, e := s.start(true)
	if m := e.Await(); m.Ephemeral || !strings.Contains(m.Text(), "It is pour") {
		t.Fatalf("%+v", m)
	}
	for end := time.Now().Add(surely); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if _, kept, err := s.db.NextCard(t.Context(), "discord"); err != nil || kept {
			break
		}
	}
	s.later(90 * time.Minute)
	s.ask("done", p.ID)
	shown := ""
	for end := time.Now().Add(surely); !strings.Contains(shown, "done") && time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		shown = e.Await().Text()
	}
	if !strings.Contains(shown, "done") {
		t.Errorf("the card shows %s", shown)
	}
	calls := len(s.service.Posts())
	s.types("due", "add", map[string]any{"about": "wipe the mold", "in": "30 min"}, nil).Await()
	s.later(31 * time.Minute)
	if said := text(s.posted(calls + 1)); !strings.Contains(said, "wipe the mold") || !strings.Contains(said, "<@"+pourer+">") {
		t.Errorf("called with %q", said)
	}
	if n := s.service.Identifies(); n != 0 {
		t.Errorf("it connected to the gateway %d times", n)
	}
}

// What was answered before a kill is not carried out again after it: who asked
// is told so, and keeps the first answer.
func TestServePostedRedelivery(t *testing.T) {
	t.Parallel()
	k := startKilling(t)
	k.at = freeAddress(t)
	c, _ := k.serve()
	k.ask("start", 0, map[string]any{"type": 3, "name": "material", "value": "slow white"}, map[string]any{"type": 3, "name": "mold", "value": "block"})
	first := k.sent[0].shown.Await().Text()
	if err := c.Process.Kill(); err != nil {
		t.Error(err)
	}
	_ = c.Wait() // it was killed
	c, errs := k.serve()
	k.service.Redeliver(k.sent[0].raw, k.sent[0].shown)
	errs.await(t, "code=busy")
	if err := c.Process.Signal(os.Interrupt); err != nil {
		t.Error(err)
	}
	if err := c.Wait(); err != nil {
		t.Errorf("%v:\n%s", err, errs)
	}
	if n := len(k.pours(func(shop.Pour) bool { return true })); n != 1 {
		t.Errorf("%d pours", n)
	}
	if now := k.sent[0].shown.Await().Text(); now != first || !strings.Contains(first, "It is pour") {
		t.Errorf("the answer was %q and is %q", first, now)
	}
}

// Two programs over one database, behind a balancer that posts each interaction
// to both: every one is carried out by one of them, and its answer stands.
func TestServeReplicas(t *testing.T) {
	t.Parallel()
	k := startKilling(t)
	var urls []string
	for range 2 {
		at := freeAddress(t)
		errs := &output{}
		ctx, cancel := context.WithCancel(context.Background())
		k.at = at
		p := program{Args: []string{"serve", "--db", k.path}, Out: io.Discard, Err: errs, Now: time.Now, Rand: rand.Reader, AnswerIn: patient,
			Environ: k.environ(), Pace: remind.Pace{Poll: 50 * time.Millisecond, Pause: 50 * time.Millisecond}}
		done := make(chan console.Status, 1)
		go func() { done <- p.Run(ctx) }()
		defer func() {
			cancel()
			if s := <-done; s != console.Answered {
				t.Errorf("status %d; the log is:\n%s", s, errs)
			}
		}()
		errs.await(t, "answering signed interactions")
		urls = append(urls, "http://"+at+"/interactions")
	}
	k.service.PostTo(nil, urls...)
	const rounds = 12
	for n := range rounds {
		show := map[string]any{"type": 5, "name": "show", "value": n%2 == 0}
		k.ask("start", 0, map[string]any{"type": 3, "name": "material", "value": "slow white"}, map[string]any{"type": 3, "name": "mold", "value": "block"}, show)
		one := k.sent[len(k.sent)-1]
		k.service.Redeliver(one.raw, one.shown) // to the other one
	}
	seen := map[string]bool{}
	for _, one := range k.sent {
		// The slower of the two may have to say first that it is carried out.
		text, m := "", ""
		for end := time.Now().Add(surely); m == "" && time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
			text = one.shown.Await().Text()
			m = pourNumber.FindString(text)
		}
		if m == "" || seen[m] {
			t.Errorf("a pour that was begun is told as %q", text)
		}
		seen[m] = true
		if statuses := one.shown.Replies(); fmt.Sprint(statuses) != "[202 202]" {
			t.Errorf("replied %v", statuses)
		}
	}
	if n := len(k.pours(func(shop.Pour) bool { return true })); n != rounds {
		t.Errorf("%d pours, want %d", n, rounds)
	}
}

// The doctor looks at the key, the certificate and the listener.
func TestDoctorPosted(t *testing.T) {
	service := patientService(t)
	other := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) {}))
	defer other.Close()
	at, key := freeAddress(t), service.PublicKey()
	dir := t.TempDir()
	t.Setenv("HOME", dir)
	t.Setenv("XDG_CACHE_HOME", dir)
	base := []string{"POURWRIGHT_API_BASE=" + service.APIBase(), "POURWRIGHT_DB=" + filepath.Join(dir, "shop.db"), "POURWRIGHT_APPLICATION_ID=" + fake.ApplicationID}
	look := func(environ ...string) string {
		t.Helper()
		out, errs := &output{}, &output{}
		p := program{Args: []string{"doctor"}, Out: out, Err: errs, Environ: append(base[:len(base):len(base)], environ...), Now: time.Now, Rand: rand.Reader}
		p.Run(t.Context())
		return out.String() + errs.String()
	}
	listen := func(at string) string { return "POURWRIGHT_HTTP_LISTEN=" + at }
	public := func(key string) string { return "POURWRIGHT_PUBLIC_KEY=" + key }
	token := "POURWRIGHT_TOKEN=" + fake.Token
	tests := []struct {
		name    string
		environ []string
		want    []string
	}{
		{"not started", []string{listen(at), public(key)}, []string{"ok    interactions: posted to " + at, "later listener: nothing answers", "later token: none; questions are answered", "register"}},
		{"with a token", []string{listen(at), public(key), token}, []string{"ok    token: works", "ok    public key: the application's own"}},
		{"key of another", []string{listen(at), public(strings.Repeat("5a", 32)), token}, []string{"mend  public key: it is not that of the token's application"}},
		{"no key", []string{listen(at)}, []string{"mend  settings: http_listen is set without public_key"}},
		{"half a key", []string{listen(at), public(key[:40])}, []string{"mend  settings: public_key has 40 characters"}},
		{"placeholder", []string{listen(at), public(strings.Repeat("0", 64))}, []string{"mend  interactions: public_key is all zeros"}},
		{"another program", []string{listen(other.Listener.Addr().String()), public(key)}, []string{"mend  listener: something else answers"}},
		{"no port of its own", []string{listen("127.0.0.1:0"), public(key)}, []string{"later listener: http_listen has port 0"}},
		{"no certificate", []string{listen(at), public(key), "POURWRIGHT_HTTP_TLS_CERT=gone.pem", "POURWRIGHT_HTTP_TLS_KEY=gone.pem"}, []string{"mend  certificate: http_tls_cert"}},
	}
	for _, test := range tests {
		said := look(test.environ...)
		for _, want := range test.want {
			if !strings.Contains(said, want) {
				t.Errorf("%s: no %q in:\n%s", test.name, want, said)
			}
		}
		if strings.Contains(said, "session starts left") {
			t.Errorf("%s: it tells of the gateway:\n%s", test.name, said)
		}
	}
	_, errs, end := start(t, nil, append(base, listen(at), public(key)), "serve")
	errs.await(t, "answering signed interactions")
	if said := look(listen(at), public(key)); !strings.Contains(said, "ok    listener: answers at "+at) {
		t.Errorf("while it serves:\n%s", said)
	}
	if s := end(); s != console.Answered {
		t.Errorf("status %d:\n%s", s, errs)
	}
}
