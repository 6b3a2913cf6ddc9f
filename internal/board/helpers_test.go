package board_test

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/board"
	"github.com/pourwright/pourwright/internal/shop"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// at is the time of every look, but where a test moves it.
var at = time.Date(2026, 11, 25, 14, 30, 0, 0, time.UTC)

var (
	ada  = shop.Member{ID: 1, Key: "local:ada", Name: "ada"}
	hall = shop.Shop{ID: 7, Key: "local:hall", Name: "The Hall", Set: shop.NewSettings()}
	yard = shop.Shop{ID: 8, Key: "local:yard", Name: "The Yard", Set: shop.NewSettings()}
)

// books is a shop's books in memory, under the rule of sight.
type books struct {
	mu     sync.Mutex
	pours  []shop.Pour
	molds  []shop.Mold
	dues   []shop.Due
	tokens map[string]shop.Shop
	phases map[int64]board.Phase
	late   time.Duration // how much later than at it is
	n      uint64
	next   chan struct{}
	looks  int // how often pours were listed
	broken error
}

func newBooks() *books {
	return &books{tokens: map[string]shop.Shop{token: hall}, phases: map[int64]board.Phase{}, next: make(chan struct{})}
}

// change does something and tells who waits.
func (b *books) change(do func()) {
	b.mu.Lock()
	defer b.mu.Unlock()
	do()
	b.n++
	close(b.next)
	b.next = make(chan struct{})
}

func (b *books) now() time.Time {
	b.mu.Lock()
	defer b.mu.Unlock()
	return at.Add(b.late)
}

func (b *books) Changes() (uint64, <-chan struct{}) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.n, b.next
}

func (b *books) Running(_ context.Context, v shop.Viewer, most int) (out []shop.Pour, err error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.looks++
	for _, p := range b.pours {
		if v.MaySee(p.Record) {
			out = append(out, p)
		}
	}
	return out[max(len(out)-most, 0):], b.broken
}

func (b *books) Molds(_ context.Context, v shop.Viewer) (out []shop.Mold, err error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, m := range b.molds {
		if v.MaySee(m.Record) {
			out = append(out, m)
		}
	}
	return out, nil
}

func (b *books) Dues(_ context.Context, v shop.Viewer, _ int) (out []shop.Due, err error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, d := range b.dues {
		if v.MaySee(d.Record) {
			out = append(out, d)
		}
	}
	return out, nil
}

func (b *books) BoardShop(_ context.Context, t string) (shop.Shop, bool, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	s, ok := b.tokens[t]
	return s, ok, nil
}

// pour adds one of a member's at the hall.
func (b *books) pour(owner shop.MemberID, shared bool, mold, material string, phase board.Phase) int64 {
	id := int64(len(b.pours) + 1)
	b.pours = append(b.pours, shop.Pour{
		Record:   shop.Record{ID: id, Owner: owner, OwnerOf: fmt.Sprintf("member %d", owner), Shared: shared, Shop: hall.ID},
		PourPlan: shop.PourPlan{Mold: mold, Material: material, Count: 6}, Started: at.Add(-10 * time.Minute), State: shop.PourRunning,
	})
	b.phases[id] = phase
	return id
}

func (b *books) board(t testing.TB) *board.Board {
	t.Helper()
	made, err := board.New(board.Config{
		Pours: b, Molds: b, Dues: b, Changes: b.Changes, Now: b.now,
		Phase: func(p shop.Pour, now time.Time) board.Phase {
			if phase := b.phases[p.ID]; phase.Until.IsZero() || now.Before(phase.Until) {
				return phase
			}
			return board.Phase{Name: "ready", Since: b.phases[p.ID].Until}
		},
		Coat: func(m shop.Mold) int { return max(5-m.Tally.SinceCoat, 0) },
		Log:  slog.New(slog.NewTextHandler(testLog{t}, &slog.HandlerOptions{Level: slog.LevelWarn})),
	})
	if err != nil {
		t.Fatal(err)
	}
	return made
}

// testLog shows what broke in the test that broke it.
type testLog struct{ testing.TB }

func (l testLog) Write(p []byte) (int, error) {
	l.Logf("log: %s", p)
	return len(p), nil
}

const token = "abcdefghijklmnopqrstuvwxyz234567"

// wall hangs the boards up, behind a real socket, until the test ends.
func (b *books) wall(t testing.TB) (base string) {
	t.Helper()
	w, err := board.NewWall(b.board(t), b, "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- w.Run(ctx) }()
	t.Cleanup(func() {
		cancel()
		http.DefaultClient.CloseIdleConnections()
		if err := <-ended; err != nil {
			t.Errorf("Run = %v", err)
		}
	})
	return "http://" + w.Addr()
}

// got is an answer, read whole.
type got struct {
	status int
	header http.Header
	text   string
}

func get(t testing.TB, url string) got {
	t.Helper()
	res, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return got{res.StatusCode, res.Header, string(text)}
}

// served is an answer of a handler without a socket.
func served(h http.Handler, method, target string, change func(*http.Request)) got {
	r := httptest.NewRequest(method, target, nil)
	if change != nil {
		change(r)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return got{w.Code, w.Header(), w.Body.String()}
}

// stream is an open page.
type stream struct {
	t    testing.TB
	body io.ReadCloser
	in   *bufio.Scanner
	got
}

func listen(t testing.TB, url, last string) *stream {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, url, nil)
	if err != nil {
		t.Fatal(err)
	}
	if last != "" {
		r.Header.Set("Last-Event-ID", last)
	}
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { res.Body.Close() })
	s := &stream{t: t, body: res.Body, in: bufio.NewScanner(res.Body), got: got{status: res.StatusCode, header: res.Header}}
	s.in.Buffer(nil, 4<<20)
	return s
}

// event is one that was sent, as a browser understands it.
type event struct {
	name, id string
	data     struct {
		Now      int64
		At, HTML string
	}
}

// next waits for an event; ok is false when the stream has ended.
func (s *stream) next() (e event, ok bool) {
	s.t.Helper()
	for s.in.Scan() {
		field, value, _ := strings.Cut(s.in.Text(), ": ")
		switch {
		case field == "event":
			e.name = value
		case field == "id":
			e.id = value
		case field == "data":
			if err := json.Unmarshal([]byte(value), &e.data); err != nil {
				s.t.Fatalf("data %q: %v", value, err)
			}
		case field == "" && e.name != "":
			return e, true
		}
	}
	return e, false
}
