package discord

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord/fake"
)

// endpointOf starts an endpoint and gives its address.
func endpointOf(t *testing.T, s *fake.Server, change func(*Config, *pace)) (r *running, url string) {
	t.Helper()
	r = runPosted(t, s, change)
	return r, s.PostsTo()[0]
}

// ask sends one request and gives status and body of the reply.
func ask(t *testing.T, method, url string, header http.Header, body io.Reader) (int, http.Header, string) {
	t.Helper()
	request, err := http.NewRequestWithContext(t.Context(), method, url, body)
	if err != nil {
		t.Fatal(err)
	}
	request.Header = header
	client := &http.Client{Transport: &http.Transport{}}
	defer client.CloseIdleConnections()
	response, err := client.Do(request)
	if err != nil {
		t.Fatalf("%s %s: %v", method, url, err)
	}
	defer response.Body.Close()
	text, err := io.ReadAll(response.Body)
	if err != nil {
		t.Fatal(err)
	}
	return response.StatusCode, response.Header, string(text)
}

// Every example, signed and posted over a real socket: a ping and suggestions
// in the reply, all else taken on. What becomes of the rest is looked at in the
// tests that run over both ways.
func TestEndpointReplies(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	_, url := endpointOf(t, s, nil)
	for _, name := range fake.Examples("") {
		raw := s.Fresh(fake.Example(t, name))
		for id, file := range map[string]string{"03_slash_attachment": "715000000000000501", "10_modal_submit_labels": "715000000000000502"} {
			if name == id {
				raw = fake.With(t, raw, map[string]any{"data.resolved.attachments." + file + ".url": s.AddFile(id, []byte("solid"))})
			}
		}
		e := s.Expect(raw)
		status, header, body := ask(t, http.MethodPost, url, s.Sign(raw, time.Now()), bytes.NewReader(raw))
		want, answer := http.StatusAccepted, ""
		switch kindOf(raw) {
		case TypePing:
			want, answer = http.StatusOK, `{"type":1}`
		case TypeAutocomplete:
			want, answer = http.StatusOK, body
			if bad := fake.JudgeAnswer([]byte(body), nil); len(bad) > 0 || !strings.Contains(body, `"type":8`) {
				t.Errorf("%s: %s: %v", name, body, bad)
			}
		}
		if status != want || body != answer || (body != "") != (header.Get("Content-Type") == "application/json") {
			t.Errorf("%s: status %d, want %d; %v %q", name, status, want, header, body)
		}
		if want == http.StatusAccepted && name != "18_unknown_interaction_type" {
			e.Await()
		}
	}
}

// TestEndpointRefuses posts what the service would not, each a slip away from a
// request that is taken. Nothing of it reaches a command, and no reply tells
// more than its status.
func TestEndpointRefuses(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	r, url := endpointOf(t, s, nil)
	_, stranger, err := ed25519.GenerateKey(nil)
	if err != nil {
		t.Fatal(err)
	}
	now := time.Now()
	good := fake.Example(t, "02_slash_subcommand_strings")
	seal := func(change func(http.Header)) func([]byte) http.Header {
		return func(raw []byte) http.Header {
			h := s.Sign(raw, now)
			change(h)
			return h
		}
	}
	signedAt := func(text string) func([]byte) http.Header {
		return func(raw []byte) http.Header {
			h := s.Sign(raw, now)
			h[fake.TimestampHeader] = []string{text}
			h[fake.SignatureHeader] = []string{hex.EncodeToString(s.Seal([]byte(text + string(raw))))}
			return h
		}
	}
	replace := func(key string, values ...string) func([]byte) http.Header {
		return seal(func(h http.Header) { h[key] = values })
	}
	ahead := func(d time.Duration) func([]byte) http.Header {
		return func(raw []byte) http.Header { return s.Sign(raw, now.Add(d)) }
	}
	other := func(raw []byte) http.Header {
		h := s.Sign(raw, now)
		h[fake.SignatureHeader] = []string{hex.EncodeToString(ed25519.Sign(stranger, append([]byte(h.Get(fake.TimestampHeader)), raw...)))}
		return h
	}
	signature := func(raw []byte) string { return s.Sign(raw, now).Get(fake.SignatureHeader) }
	timestamp := strconv.FormatInt(now.Unix(), 10)
	signed := seal(func(http.Header) {})
	cases := []struct {
		name, method, path string
		body, sent         []byte // sent is body where it is nil
		sign               func([]byte) http.Header
		want               int
	}{
		{name: "another key", sign: other, want: 401},
		{name: "another body", sent: bytes.Replace(good, []byte("Pier"), []byte("Pyre"), 1), sign: signed, want: 401},
		{name: "one space more", sent: append(bytes.Clone(good), ' '), sign: signed, want: 401},
		{name: "no signature", sign: seal(func(h http.Header) { delete(h, fake.SignatureHeader) }), want: 401},
		{name: "no timestamp", sign: seal(func(h http.Header) { delete(h, fake.TimestampHeader) }), want: 401},
		{name: "neither", sign: seal(func(h http.Header) { delete(h, fake.SignatureHeader); delete(h, fake.TimestampHeader) }), want: 401},
		{name: "empty signature", sign: replace(fake.SignatureHeader, ""), want: 401},
		{name: "a byte less", sign: replace(fake.SignatureHeader, signature(good)[:126]), want: 401},
		{name: "half a byte less", sign: replace(fake.SignatureHeader, signature(good)[:127]), want: 401},
		{name: "a byte more", sign: replace(fake.SignatureHeader, signature(good)+"00"), want: 401},
		{name: "no hexadecimal digits", sign: replace(fake.SignatureHeader, strings.Repeat("xy", 64)), want: 401},
		{name: "upper case", sign: replace(fake.SignatureHeader, strings.ToUpper(signature(good))), want: 401},
		{name: "all zeros", sign: replace(fake.SignatureHeader, strings.Repeat("0", 128)), want: 401},
		{name: "two signatures", sign: replace(fake.SignatureHeader, signature(good), signature(good)), want: 401},
		{name: "a wrong one before it", sign: replace(fake.SignatureHeader, strings.Repeat("0", 128), signature(good)), want: 401},
		{name: "two timestamps", sign: replace(fake.TimestampHeader, timestamp, timestamp), want: 401},
		{name: "two in one", sign: replace(fake.SignatureHeader, signature(good)+", "+signature(good)), want: 401},
		{name: "another timestamp", sign: replace(fake.TimestampHeader, strconv.FormatInt(now.Unix()-1, 10)), want: 401},
		{name: "replayed after six minutes", sign: ahead(-6 * time.Minute), want: 401},
		{name: "six minutes ahead", sign: ahead(6 * time.Minute), want: 401},
		{name: "timestamp with a sign", sign: signedAt("+" + timestamp), want: 401},
		{name: "negative", sign: signedAt("-1"), want: 401},
		{name: "timestamp with a space inside", sign: signedAt(timestamp[:4] + " " + timestamp[4:]), want: 401},
		{name: "timestamp with a point", sign: signedAt(timestamp + ".0"), want: 401},
		{name: "timestamp in hexadecimal", sign: signedAt("0x6746a1c0"), want: 401},
		{name: "timestamp of other digits", sign: signedAt("１７３２"), want: 401},
		{name: "timestamp past all clocks", sign: signedAt("99999999999999999999999"), want: 401},
		{name: "timestamp that is empty", sign: signedAt(""), want: 401},
		{name: "part of the body in the timestamp", sent: good[1:], sign: func([]byte) http.Header {
			h := s.Sign(good, now)
			h[fake.TimestampHeader] = []string{timestamp + "{"}
			return h
		}, want: 401},

		{name: "got", method: http.MethodGet, sign: signed, want: 405},
		{name: "put", method: http.MethodPut, sign: signed, want: 405},
		{name: "options", method: http.MethodOptions, sign: signed, want: 405},
		{name: "another path", path: "/", sign: signed, want: 404},
		{name: "a longer path", path: "/interactions/", sign: signed, want: 404},
		{name: "a path round a corner", path: "/x/../interactions", sign: signed, want: 404},
		{name: "upper case path", path: "/Interactions", sign: signed, want: 404},
		{name: "a form", sign: replace("Content-Type", "application/x-www-form-urlencoded"), want: 415},
		{name: "no content type", sign: seal(func(h http.Header) { delete(h, "Content-Type") }), want: 415},
		{name: "too large", body: bytes.Repeat([]byte(" "), bodyMost+1), sign: signed, want: 413},

		{name: "nothing", body: []byte{}, sign: signed, want: 400},
		{name: "no JSON", body: []byte("hello"), sign: signed, want: 400},
		{name: "half of it", body: good[:len(good)/2], sign: signed, want: 400},
		{name: "a list", body: []byte("[]"), sign: signed, want: 400},
		{name: "null", body: []byte("null"), sign: signed, want: 400},
		{name: "an empty object", body: []byte("{}"), sign: signed, want: 400},
		{name: "a ping without a token", body: []byte(`{"type":1,"id":"1","application_id":"` + fake.ApplicationID + `"}`), sign: signed, want: 400},
		{name: "deep", body: []byte(strings.Repeat("[", 200000)), sign: signed, want: 400},
		{name: "another application", body: fake.With(t, good, map[string]any{"application_id": "715000000000000002"}), sign: signed, want: 403},
		{name: "a ping for another application", body: fake.With(t, fake.Example(t, "01_ping"), map[string]any{"application_id": "715000000000000002"}), sign: signed, want: 403},
	}
	unsigned := 0
	for _, c := range cases {
		if c.want == http.StatusUnauthorized {
			unsigned++
		}
		if c.body == nil {
			c.body = good
		}
		if c.sent == nil {
			c.sent = c.body
		}
		if c.method == "" {
			c.method = http.MethodPost
		}
		if c.path == "" {
			c.path = endpointPath
		}
		status, header, body := ask(t, c.method, strings.TrimSuffix(url, endpointPath)+c.path, c.sign(c.body), bytes.NewReader(c.sent))
		if status != c.want || body != http.StatusText(c.want)+"\n" {
			t.Errorf("%s: status %d %q, want %d and its name alone", c.name, status, body, c.want)
		}
		if (status == http.StatusMethodNotAllowed) != (header.Get("Allow") == http.MethodPost) || header.Get("Server") != "" {
			t.Errorf("%s: headers %v", c.name, header)
		}
	}
	r.bench.mu.Lock()
	defer r.bench.mu.Unlock()
	if len(r.bench.calls) > 0 || len(s.Requests("")) > 0 {
		t.Errorf("%d commands were called, %d requests sent", len(r.bench.calls), len(s.Requests("")))
	}
	if told := strings.Count(r.log.String(), "a request was refused"); told != unsigned {
		t.Errorf("the log tells of %d of %d requests that were not signed as they must be", told, unsigned)
	}
	if !strings.Contains(r.log.String(), "does not fit") || strings.Count(r.log.String(), "level=WARN msg=\"a request was refused") != 1 {
		t.Errorf("the log is:\n%s", r.log)
	}
}

// A body that does not say its length is cut off where it must end, and one
// that does not come is not waited for.
func TestEndpointBounds(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	r, url := endpointOf(t, s, nil)
	endless := io.MultiReader(strings.NewReader(`{"type":1,"x":"`), io.LimitReader(zeros{}, 64<<20))
	h := s.Sign([]byte("{}"), time.Now())
	if status, _, _ := ask(t, http.MethodPost, url, h, struct{ io.Reader }{endless}); status != http.StatusRequestEntityTooLarge {
		t.Errorf("an endless body: status %d", status)
	}

	big := "GET / HTTP/1.1\r\nHost: x\r\nX-Big: " + strings.Repeat("a", 64<<10) + "\r\n\r\n"
	c, err := net.Dial("tcp", strings.TrimSuffix(strings.TrimPrefix(url, "http://"), endpointPath))
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	_, _ = io.WriteString(c, big) // it may be cut off while it comes
	_ = c.SetReadDeadline(time.Now().Add(surely))
	if answer, _ := io.ReadAll(c); len(answer) > 0 && !strings.Contains(string(answer), " 431 ") {
		t.Errorf("large headers: %q", answer)
	}
	if err := r.stop(); err != nil {
		t.Error(err)
	}

	r, url = endpointOf(t, s, func(_ *Config, p *pace) { p.headers, p.body = 2*time.Second, 3*time.Second })
	address := strings.TrimSuffix(strings.TrimPrefix(url, "http://"), endpointPath)
	head := "POST /interactions HTTP/1.1\r\nHost: x\r\n"
	for name, start := range map[string]string{
		"nothing": "", "half a line": "POST /inter", "headers that do not end": head + "X-A: b\r\n",
		"a body that does not come": head + "Content-Type: application/json\r\nX-Signature-Ed25519: 0\r\nX-Signature-Timestamp: 0\r\nContent-Length: 100\r\n\r\n{",
	} {
		conns := make([]net.Conn, 50)
		for i := range conns {
			c, err := net.Dial("tcp", address)
			if err != nil {
				t.Fatal(err)
			}
			defer c.Close()
			if _, err := io.WriteString(c, start); err != nil {
				t.Fatal(err)
			}
			conns[i] = c
		}
		if shown := r.Send(slash(t, r, "volume", sub("shape", opt(optionString, "kind", "box")))).Await(); !strings.Contains(shown.Text(), "336 mL") {
			t.Errorf("%s: meanwhile a member is told %q", name, shown.Text())
		}
		for _, c := range conns {
			_ = c.SetReadDeadline(time.Now().Add(surely))
			if _, err := io.Copy(io.Discard, c); errors.Is(err, context.DeadlineExceeded) || isTimeout(err) {
				t.Fatalf("%s: the connection stays open", name)
			}
		}
	}
}

func isTimeout(err error) bool {
	var n net.Error
	return errors.As(err, &n) && n.Timeout()
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = '0'
	}
	return len(p), nil
}

// The same interaction, posted many times at once, is carried out once and
// answered once; each request is replied to.
func TestEndpointDuplicates(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	r, url := endpointOf(t, s, nil)
	raw := slash(t, r, "volume", sub("shape", opt(optionString, "kind", "box")))
	typed := s.Fresh(fake.Example(t, "06_autocomplete_string"))
	e := s.Expect(raw)
	var wg sync.WaitGroup
	var mu sync.Mutex
	statuses := map[string]int{}
	for n := range 40 {
		body, what := raw, "command"
		if n%2 == 1 {
			body, what = typed, "completion"
		}
		wg.Go(func() {
			status, _, _ := ask(t, http.MethodPost, url, s.Sign(body, time.Now()), bytes.NewReader(body))
			mu.Lock()
			defer mu.Unlock()
			statuses[fmt.Sprint(what, " ", status)]++
		})
	}
	wg.Wait()
	e.Await()
	if statuses["command 202"] != 20 || statuses["completion 200"] != 1 || statuses["completion 202"] != 19 {
		t.Errorf("statuses %v", statuses)
	}
	if err := r.stop(); err != nil {
		t.Error(err)
	}
	if n := len(s.Requests(routeCallback)); n != 1 || len(r.bench.calls) != 1 {
		t.Errorf("%d answers, %d calls", n, len(r.bench.calls))
	}
}

// What finds all workers held and the queue full is turned away in words, and
// past that by a status.
func TestEndpointBusy(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	var shift atomic.Int64
	r, url := endpointOf(t, s, func(c *Config, p *pace) {
		c.Workers = 2
		c.Now = func() time.Time { return time.Now().Add(time.Duration(shift.Load())) }
		soon(c, p)
	})
	r.bench.hold = make(chan struct{})
	var held []*fake.Exchange
	for range 2 {
		held = append(held, r.Send(slash(t, r, "hold")))
	}
	for _, e := range held {
		e.AwaitKind()
	}
	box := func() []byte { return slash(t, r, "volume", sub("shape", opt(optionString, "kind", "box"))) }
	client := &http.Client{Transport: &http.Transport{}}
	defer client.CloseIdleConnections()
	one := box()
	var known struct{ ID string }
	if err := json.Unmarshal(one, &known); err != nil {
		t.Fatal(err)
	}
	for n := range workQueue {
		raw := bytes.ReplaceAll(one, []byte(known.ID), fmt.Append(nil, 800000000000000000+n))
		request, err := http.NewRequestWithContext(t.Context(), http.MethodPost, url, bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		request.Header = s.Sign(raw, time.Now())
		response, err := client.Do(request)
		if err != nil {
			t.Fatal(err)
		}
		response.Body.Close()
		if response.StatusCode != http.StatusAccepted {
			t.Fatalf("status %d while there is room", response.StatusCode)
		}
	}
	if shown := r.Send(box()).Await(); !shown.Ephemeral || !strings.Contains(shown.Text(), "Too many people") {
		t.Errorf("%+v", shown)
	}
	if shown := r.Send(s.Fresh(fake.Example(t, "06_autocomplete_string"))).Await(); shown.Kind != fake.Suggestions {
		t.Errorf("%+v", shown)
	}
	shift.Store(int64(time.Hour)) // what is in the queue has waited too long
	close(r.bench.hold)
	for _, e := range held {
		e.Await()
	}
	_ = s.TakeViolations() // those of the queue were not known to the service
}

// Behind a proxy that ends TLS and adds headers of its own it answers the same,
// and its standing says when it may be asked.
func TestEndpointBehindProxy(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	e, err := NewEndpoint(Config{ApplicationID: fake.ApplicationID, APIBase: s.APIBase(), PublicKey: s.PublicKey(), Listen: "127.0.0.1:0"}, newDesk(t, &bench{}))
	if err != nil {
		t.Fatal(err)
	}
	if err := e.Standing(); !errors.Is(err, errNotBegun) {
		t.Errorf("before it runs: %v", err)
	}
	e.Unhurried(s)
	target, err := url.Parse("http://" + e.Addr())
	if err != nil {
		t.Fatal(err)
	}
	proxy := httptest.NewTLSServer(&httputil.ReverseProxy{Rewrite: func(r *httputil.ProxyRequest) {
		r.SetURL(target)
		r.SetXForwarded()
	}})
	defer proxy.Close()
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- e.Run(ctx) }()
	s.PostTo(proxy.Client(), proxy.URL+endpointPath)
	r := &running{Server: s}
	if pong := s.Send(s.Fresh(fake.Example(t, "01_ping"))).Await(); pong.Kind != fake.Pong {
		t.Errorf("%+v", pong)
	}
	if shown := s.Send(slash(t, r, "volume", sub("shape", opt(optionString, "kind", "box")))).Await(); !strings.Contains(shown.Text(), "336 mL") {
		t.Errorf("%+v", shown)
	}
	if err := e.Standing(); err != nil {
		t.Errorf("while it answers: %v", err)
	}
	cancel()
	if err := <-ended; err != nil || !errors.Is(e.Standing(), errEnding) {
		t.Errorf("Run: %v; then its standing is %v", err, e.Standing())
	}
}

// Without the application's id it is asked for once; then it counts.
func TestEndpointAsksWhoItIs(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	begin := func(change func(*Config)) (*Endpoint, *journal, error) {
		log := &journal{}
		cfg := Config{Token: fake.Token, APIBase: s.APIBase(), PublicKey: s.PublicKey(), Listen: "127.0.0.1:0", Log: log.logger()}
		change(&cfg)
		e, err := NewEndpoint(cfg, newDesk(t, &bench{}))
		return e, log, err
	}
	e, log, err := begin(func(*Config) {})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- e.Run(ctx) }()
	url := "http://" + e.Addr() + endpointPath
	for _, c := range []struct {
		id   string
		want int
	}{{fake.ApplicationID, http.StatusOK}, {"715000000000000002", http.StatusForbidden}} {
		raw := fake.With(t, fake.Example(t, "01_ping"), map[string]any{"application_id": c.id})
		if status, _, _ := ask(t, http.MethodPost, url, s.Sign(raw, time.Now()), bytes.NewReader(raw)); status != c.want {
			t.Errorf("application %s: status %d, want %d", c.id, status, c.want)
		}
	}
	cancel()
	if err := <-ended; err != nil || len(s.Requests("GET /applications/@me")) != 1 {
		t.Errorf("Run: %v; the log is:\n%s", err, log)
	}
	checkSecrets(t, log.String())

	e, _, err = begin(func(c *Config) { c.Token = "another.token" })
	if err != nil {
		t.Fatal(err)
	}
	if err := e.Run(t.Context()); !errors.Is(err, ErrUnauthorized) {
		t.Errorf("with a refused token Run ends with %v", err)
	}
	for want, change := range map[string]func(*Config){
		"no bot token":   func(c *Config) { c.Token = "" },
		"public_key":     func(c *Config) { c.PublicKey = c.PublicKey[1:] },
		"all zeros":      func(c *Config) { c.PublicKey = strings.Repeat("0", 64) },
		"http_listen":    func(c *Config) { c.Listen = "127.0.0.1:99999" },
		"set both":       func(c *Config) { c.TLSCert = "x" },
		"http_tls_cert":  func(c *Config) { c.TLSCert, c.TLSKey = "gone.pem", "gone.pem" },
		"application_id": func(c *Config) { c.ApplicationID = "my bot" },
	} {
		if e, _, err := begin(change); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want an error about %s, got %v", want, err)
			if e != nil {
				e.Close()
			}
		}
	}
}

// Without a token nobody can be called, and it is known at once: members are
// told with what they ask next.
func TestEndpointWithoutTokenCallsNobody(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	e, err := NewEndpoint(Config{ApplicationID: fake.ApplicationID, APIBase: s.APIBase(), PublicKey: s.PublicKey(), Listen: "127.0.0.1:0"}, newDesk(t, &bench{}))
	if err != nil {
		t.Fatal(err)
	}
	defer e.Close()
	for _, place := range []string{fake.ChannelID, ""} {
		m := chat.Message{Key: "k", MemberKey: keyPrefix + "715000000000000103", Place: place, Reply: &chat.Reply{Title: "Due"}}
		if outcome, err := e.Send(t.Context(), m); outcome != chat.Refused || !errors.Is(err, ErrNoToken) {
			t.Errorf("place %q: %v, %v", place, outcome, err)
		}
		if outcome, err := e.Look(t.Context(), m); outcome != chat.Refused || !errors.Is(err, ErrNoToken) {
			t.Errorf("place %q: looked: %v, %v", place, outcome, err)
		}
	}
	if n := len(s.Requests("")); n != 0 {
		t.Errorf("%d requests were sent", n)
	}
}
