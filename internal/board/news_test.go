package board_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/board"
)

// markOf reads the mark of a page.
func markOf(t *testing.T, page string) string {
	t.Helper()
	_, rest, ok := strings.Cut(page, `data-mark="`)
	mark, _, _ := strings.Cut(rest, `"`)
	if !ok || len(mark) != 16 {
		t.Fatalf("no mark on:\n%s", page)
	}
	return mark
}

// A page is told what it does not show yet, once, and when it comes back no
// more than what changed meanwhile.
func TestNews(t *testing.T) {
	b := busy()
	at := b.wall(t) + "/b/" + token + "/"
	shown := markOf(t, get(t, at).text)

	s := listen(t, at+"news?mark="+shown, "")
	if got := s.header.Get("Content-Type"); s.status != http.StatusOK || got != "text/event-stream" {
		t.Fatalf("%d, %s", s.status, got)
	}
	b.change(func() { b.pour(2, true, "new pawn", "rigid\r\n\r\ndata: white", inPhase("pot life", time.Hour)) })
	first, ok := s.next()
	for ok && first.name == "beat" {
		first, ok = s.next()
	}
	if !ok || first.name != "board" || first.id == shown || !strings.Contains(first.data.HTML, "new pawn") || first.data.At != "14:30" {
		t.Fatalf("after a change: %+v", first)
	}
	if strings.Contains(first.data.HTML, "<html") || strings.ContainsAny(first.data.HTML, "\r") {
		t.Errorf("sent:\n%s", first.data.HTML)
	}
	s.body.Close()

	b.change(func() { b.pours = b.pours[:len(b.pours)-1] })
	back := listen(t, at+"news?mark="+shown, first.id) // the browser's own mark is the newer one
	again, ok := back.next()
	if !ok || again.name != "board" || strings.Contains(again.data.HTML, "new pawn") {
		t.Fatalf("after coming back: %+v", again)
	}
	if again.id != shown {
		t.Errorf("the same board is marked %s and %s", shown, again.id)
	}
}

// Without news the page is told the time, so that it knows it is not forgotten.
func TestBeat(t *testing.T) {
	b := busy()
	at := b.wall(t) + "/b/" + token + "/"
	e, ok := listen(t, at+"news", markOf(t, get(t, at).text)).next()
	if !ok || e.name != "beat" || e.data.HTML != "" || e.data.Now != at14().UnixMilli() {
		t.Errorf("first told %+v", e)
	}
}

func at14() time.Time { return at }

// An address that is taken back ends what is open, at once and with a word.
func TestRevoked(t *testing.T) {
	b := busy()
	at := b.wall(t) + "/b/" + token + "/"
	s := listen(t, at+"news", "")
	if e, ok := s.next(); !ok || e.name != "board" {
		t.Fatalf("first told %+v", e)
	}
	began := time.Now()
	b.change(func() { delete(b.tokens, token) })
	e, ok := s.next()
	if !ok || e.name != "gone" || e.data.HTML != "" {
		t.Errorf("told %+v", e)
	}
	if took := time.Since(began); took > 5*time.Second {
		t.Errorf("that took %v", took)
	}
	if e, ok := s.next(); ok {
		t.Errorf("after the end: %+v", e)
	}
	if page := get(t, at); page.status != http.StatusNotFound {
		t.Errorf("the page: %d", page.status)
	}
	if page := get(t, at+"news"); page.status != http.StatusNotFound {
		t.Errorf("the news: %d", page.status)
	}
}

// A shop has so many open pages and no more; one that leaves makes room.
func TestStreamsAreBounded(t *testing.T) {
	b := busy()
	b.tokens[strings.Repeat("y", 32)] = yard
	base := b.wall(t)
	at := base + "/b/" + token + "/news"
	var open []*stream
	for range board.ShopStreams {
		s := listen(t, at, "")
		if _, ok := s.next(); !ok {
			t.Fatal("a stream ended")
		}
		open = append(open, s)
	}
	page := get(t, at)
	if page.status != http.StatusServiceUnavailable || page.header.Get("Retry-After") == "" {
		t.Errorf("one too many: %d", page.status)
	}
	if s := listen(t, base+"/b/"+strings.Repeat("y", 32)+"/news", ""); s.status != http.StatusOK {
		t.Errorf("another shop's: %d", s.status)
	}
	open[0].body.Close()
	b.change(func() {}) // the server sees that it left when it next speaks
	for end := time.Now().Add(10 * time.Second); ; {
		s := listen(t, at, "")
		if s.status == http.StatusOK {
			return
		}
		if time.Now().After(end) {
			t.Fatalf("no room was made: %d", s.status)
		}
	}
}
