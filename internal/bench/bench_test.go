package bench_test

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/bench"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/shop"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// noon is when all that is asked in these tests is asked.
var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// people is one member in one shop, and the lines of long buttons.
type people struct {
	shop.People // the rest is not called here
	mu          sync.Mutex
	lines       []string
}

func (p *people) Member(_ context.Context, key, name string, _ time.Time) (shop.Member, error) {
	return shop.Member{ID: 1, Key: key, Name: name}, nil
}

func (p *people) Shop(_ context.Context, key, name string, _ shop.MemberID, _ time.Time) (shop.Shop, error) {
	return shop.Shop{ID: 1, Key: key, Name: name, Set: shop.NewSettings()}, nil
}

func (p *people) Manages(context.Context, shop.MemberID, shop.ID) (bool, error) { return true, nil }

func (p *people) SaveLine(_ context.Context, _ shop.Stamp, line string) (string, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.lines = append(p.lines, line)
	return "line" + string(rune('a'+len(p.lines)-1)), nil
}

func (p *people) Line(_ context.Context, _ shop.Viewer, id string) (string, bool, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	i := int(id[len(id)-1] - 'a')
	if i < 0 || i >= len(p.lines) {
		return "", false, nil
	}
	return p.lines[i], true, nil
}

// desk is a dispatcher with the commands of commands_test.go.
func desk(t testing.TB, cmds []chat.Command) *chat.Dispatcher {
	t.Helper()
	who := &people{}
	d, err := chat.New(chat.Config{
		Commands: cmds, People: who, Lines: who,
		Log:    slog.New(slog.DiscardHandler),
		NewRef: func() string { return "k3f9-2m" },
		Now:    func() time.Time { return noon },
		Terms: func(text string) []string {
			var found []string
			for _, w := range []string{"pull", "section"} {
				if strings.Contains(text, w) {
					found = append(found, w)
				}
			}
			return found
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// visit is a bench that runs and a browser of few wants.
type visit struct {
	t     testing.TB
	bench *bench.Bench
	page  string // the address of the home page
	token string
}

// open starts a bench that ends with the test.
func open(t testing.TB, change func(*bench.Config)) *visit {
	t.Helper()
	cfg := bench.Config{
		Desk:      desk(t, declared()),
		MemberKey: "local:ada", MemberName: "Ada",
		ShopKey: "local:kettle-lane", ShopName: "Kettle Lane Makers' Hall",
		Addr: "127.0.0.1:0",
		Now:  func() time.Time { return noon },
		Log:  slog.New(slog.NewTextHandler(t.Output(), nil)),
	}
	if change != nil {
		change(&cfg)
	}
	b, err := bench.New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- b.Run(ctx) }()
	t.Cleanup(func() {
		http.DefaultClient.CloseIdleConnections()
		cancel()
		if err := <-ended; err != nil {
			t.Errorf("Run = %v, want a clean end", err)
		}
	})
	v := &visit{t: t, bench: b, page: b.URL()}
	v.token = find(t, v.get("").text, `name="token" value="([a-z0-9]+)"`)
	return v
}

// answer is a page that was loaded.
type answer struct {
	status int
	header http.Header
	text   string
	at     *url.URL
}

// send makes a request, in which change may lie.
func (v *visit) send(method, path string, body io.Reader, change func(*http.Request)) answer {
	v.t.Helper()
	r, err := http.NewRequestWithContext(context.Background(), method, v.page+path, body)
	if err != nil {
		v.t.Fatal(err)
	}
	if change != nil {
		change(r)
	}
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		v.t.Fatal(err)
	}
	text, err := io.ReadAll(resp.Body)
	if err := errors.Join(err, resp.Body.Close()); err != nil {
		v.t.Fatal(err)
	}
	return answer{status: resp.StatusCode, header: resp.Header, text: string(text), at: resp.Request.URL}
}

func (v *visit) get(path string) answer {
	v.t.Helper()
	return v.send(http.MethodGet, path, nil, nil)
}

// post sends a form as the page would.
func (v *visit) post(path string, fields url.Values) answer {
	v.t.Helper()
	fields.Set("token", v.token)
	return v.send(http.MethodPost, path, strings.NewReader(fields.Encode()), asForm)
}

func asForm(r *http.Request) {
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
}

// ask types a line.
func (v *visit) ask(line string) answer {
	v.t.Helper()
	return v.post("line", url.Values{"line": {line}})
}

// find gives the first group of a pattern that must be there.
func find(t testing.TB, text, pattern string) string {
	t.Helper()
	m := regexp.MustCompile(pattern).FindStringSubmatch(text)
	if m == nil {
		t.Fatalf("no %s in:\n%s", pattern, text)
	}
	return m[len(m)-1]
}

// wants fails for each text that is not in the page.
func wants(t testing.TB, page answer, status int, texts ...string) {
	t.Helper()
	if page.status != status {
		t.Errorf("status %d, want %d", page.status, status)
	}
	for _, want := range texts {
		if !strings.Contains(page.text, want) {
			t.Errorf("page lacks %q:\n%s", want, page.text)
		}
	}
}

// BenchmarkHome is the page with a full conversation.
func BenchmarkHome(b *testing.B) {
	v := open(b, nil)
	for range 100 {
		v.ask(cup)
	}
	b.ReportAllocs()
	for b.Loop() {
		if page := v.get(""); page.status != http.StatusOK {
			b.Fatal(page.status)
		}
	}
}
