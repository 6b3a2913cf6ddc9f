package bench_test

import (
	"context"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/bench"
)

// A request that is not our own page's is refused and asks nothing.
func TestGuardRefuses(t *testing.T) {
	v := open(t, nil)
	port := v.page[strings.LastIndex(v.page, ":"):]
	port = port[:strings.Index(port, "/")]
	form := func(token string) string {
		return url.Values{"token": {token}, "line": {"/mold list"}}.Encode()
	}
	tests := []struct {
		name, method, path, body string
		change                   func(*http.Request)
		want                     int
	}{
		{"another name for this machine", "GET", "", "", func(r *http.Request) { r.Host = "rebound.example" + port }, 421},
		{"localhost", "GET", "", "", func(r *http.Request) { r.Host = "localhost" + port }, 421},
		{"no port", "GET", "", "", func(r *http.Request) { r.Host = "127.0.0.1" }, 421},
		{"no key", "GET", "../", "", nil, 404},
		{"another key", "GET", "../aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa/", "", nil, 404},
		{"a stranger's picture tag", "GET", "page/icon.svg", "", site("cross-site", "no-cors", "image"), 403},
		{"a stranger's frame", "GET", "", "", site("cross-site", "navigate", "iframe"), 403},
		{"a page on another port fetches", "GET", "complete?line=/", "", site("same-site", "cors", "empty"), 403},
		{"a form from elsewhere", "POST", "line", form(v.token), site("cross-site", "navigate", "document"), 403},
		{"a form from another port", "POST", "line", form(v.token), site("same-site", "navigate", "document"), 403},
		{"an old browser's form from elsewhere", "POST", "line", form(v.token), origin("https://elsewhere.example"), 403},
		{"an origin that is kept secret", "POST", "line", form(v.token), origin("null"), 403},
		{"no token", "POST", "line", "line=/mold+list", asForm, 403},
		{"another run's token", "POST", "line", form(strings.Repeat("a", 32)), asForm, 403},
		{"no token on a press", "POST", "press", "id=x", asForm, 403},
		{"no token on a form sent in", "POST", "fill", "id=x", asForm, 403},
		{"no token on a command's form", "POST", "ask/mold/list", "", asForm, 403},
		{"a body that is no form", "POST", "line", `{"line":"/mold list"}`, func(r *http.Request) { r.Header.Set("Content-Type", "application/json") }, 400},
		{"a body of no kind", "POST", "line", form(v.token), func(r *http.Request) {}, 400},
		{"a text past all limits", "POST", "line", form(v.token) + "&line=" + strings.Repeat("x", 2<<20), asForm, 413},
		{"a read by POST", "POST", "complete", form(v.token), asForm, 405},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			page := v.send(tt.method, tt.path, strings.NewReader(tt.body), tt.change)
			wants(t, page, tt.want)
			if page.status == 421 || page.status == 404 {
				if strings.Contains(page.text, v.token) || strings.Contains(page.text, "Kettle Lane") {
					t.Errorf("a refusal shows what is ours:\n%s", page.text)
				}
			}
		})
	}
	if home := v.get(""); strings.Contains(home.text, "No molds yet") {
		t.Error("a refused request was carried out")
	}
}

func site(site, mode, dest string) func(*http.Request) {
	return func(r *http.Request) {
		asForm(r)
		r.Header.Set("Sec-Fetch-Site", site)
		r.Header.Set("Sec-Fetch-Mode", mode)
		r.Header.Set("Sec-Fetch-Dest", dest)
	}
}

func origin(origin string) func(*http.Request) {
	return func(r *http.Request) {
		asForm(r)
		r.Header.Del("Sec-Fetch-Site")
		r.Header.Set("Origin", origin)
	}
}

// What our own page sends is let through.
func TestGuardLetsThrough(t *testing.T) {
	v := open(t, nil)
	body := url.Values{"token": {v.token}, "line": {"/mold list"}}.Encode()
	for name, change := range map[string]func(*http.Request){
		"the page itself": site("same-origin", "navigate", "document"),
		"an old browser":  origin(strings.TrimSuffix(v.page[:strings.Index(v.page[7:], "/")+7], "/")),
	} {
		t.Run(name, func(t *testing.T) {
			wants(t, v.send("POST", "line", strings.NewReader(body), change), 200, "No molds yet")
		})
	}
	t.Run("a link followed from elsewhere", func(t *testing.T) {
		wants(t, v.send("GET", "", nil, site("cross-site", "navigate", "document")), 200, "What can I ask?")
	})
}

// Every answer, refusals too, closes what a browser leaves open.
func TestHeaders(t *testing.T) {
	v := open(t, nil)
	for _, path := range []string{"", "ask/cup", "ask/mold", "page/bench.css", "page/bench.js", "page/icon.svg", "complete?line=/", "nothing", "../elsewhere"} {
		page := v.get(path)
		for name, want := range map[string]string{
			"Content-Security-Policy":      "default-src 'none'",
			"X-Content-Type-Options":       "nosniff",
			"Referrer-Policy":              "same-origin",
			"X-Frame-Options":              "DENY",
			"Cross-Origin-Resource-Policy": "same-origin",
			"Cache-Control":                "no-store",
		} {
			if got := page.header.Get(name); !strings.HasPrefix(got, want) {
				t.Errorf("GET %q: %s is %q, want %q", path, name, got, want)
			}
		}
		if csp := page.header.Get("Content-Security-Policy"); strings.Contains(csp, "unsafe") {
			t.Errorf("GET %q: the policy %q lets inline code run", path, csp)
		}
		if strings.HasPrefix(page.header.Get("Content-Type"), "text/html") && strings.Contains(page.text, " style=") {
			t.Errorf("GET %q has inline style, which the policy stops", path)
		}
	}
}

func TestNewRefusesAnOpenAddress(t *testing.T) {
	for _, addr := range []string{"0.0.0.0:0", ":0", "192.0.2.1:0", "localhost:0", "[::]:0", "127.0.0.1"} {
		if b, err := bench.New(bench.Config{Addr: addr, Log: slog.New(slog.DiscardHandler)}); err == nil {
			t.Errorf("New listens on %q", addr)
			_ = b.Close()
		}
	}
}

func TestCloseWithoutRun(t *testing.T) {
	b, err := bench.New(bench.Config{Addr: "127.0.0.1:0"})
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if err := b.Close(); err != nil {
			t.Errorf("Close = %v", err)
		}
	}
}

func TestAddressesDiffer(t *testing.T) {
	one, two := open(t, nil), open(t, nil)
	key := func(v *visit) string { return v.page[strings.Index(v.page[7:], "/")+7:] }
	if key(one) == key(two) || len(key(one)) < 32 {
		t.Errorf("keys %q and %q can be guessed", key(one), key(two))
	}
	if one.token == two.token {
		t.Error("two runs share a token")
	}
}

// A call that still runs when the program ends is told so and let go.
func TestRunEndsDuringACall(t *testing.T) {
	began := make(chan struct{})
	cmds := declared()
	cmds[1].Subs[1].Run = waitRun(began)
	b, err := bench.New(bench.Config{Desk: desk(t, cmds), Addr: "127.0.0.1:0", Now: time.Now, Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- b.Run(ctx) }()
	v := &visit{t: t, bench: b, page: b.URL()}
	v.token = find(t, v.get("").text, `name="token" value="([a-z0-9]+)"`)
	answered := make(chan answer, 1)
	go func() {
		fields := url.Values{"token": {v.token}}
		answered <- v.send("POST", "ask/mold/list", strings.NewReader(fields.Encode()), asForm)
	}()
	<-began
	cancel()
	if page := <-answered; !strings.Contains(page.text, "it took too long and was stopped") {
		t.Errorf("the call ended with %d:\n%s", page.status, page.text)
	}
	http.DefaultClient.CloseIdleConnections()
	if err := <-ended; err != nil {
		t.Errorf("Run = %v", err)
	}
}
