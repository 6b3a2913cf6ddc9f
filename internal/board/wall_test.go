package board_test

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/board"
)

func (b *books) wallHandler(t testing.TB) http.Handler {
	t.Helper()
	w, err := board.NewWall(b.board(t), b, "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		for range 2 { // it may be closed twice
			if err := w.Close(); err != nil {
				t.Error(err)
			}
		}
	})
	return w.Handler()
}

// The wall shows what is shared with its shop, and of members nothing else.
func TestWall(t *testing.T) {
	b := busy()
	b.tokens[strings.Repeat("y", 32)] = yard
	h := b.wallHandler(t)
	page := served(h, "GET", "/b/"+token+"/", nil)
	page.has(t, "The Hall", "3 pours, 1 liquid, 2 to look at", "shell knob", "dice tray", "casting epoxy", "viaduct arch", "member 1</bdi>’s")
	page.lacks(t, "harbor pawn</bdi></h3>", "secret", "own mold", "torn tray", "hidden mold", "order silicone", "lid off", "bram&#39;s call", "Your calls", "href=\"../", "?line=")
	other := served(h, "GET", "/b/"+strings.Repeat("y", 32)+"/", nil)
	other.has(t, "The Yard", "Nothing is in a mold")
	other.lacks(t, "shell knob", "viaduct")
}

// Every address but the right one is told the same, whatever is wrong with it.
func TestWrongAddresses(t *testing.T) {
	b := busy()
	h := b.wallHandler(t)
	for _, path := range []string{
		"/", "/b", "/b/", "/b/x", "/b/" + strings.Repeat("a", 32) + "/", "/b/" + strings.Repeat("a", 32), "/b/" + token[:31] + "/", "/b/" + token + "2/",
		"/b/" + strings.ToUpper(token) + "/", "/B/" + token + "/", "/" + token + "/", "/b//" + token + "/", "/board.css", "/b/board.css",
		"/b/" + token + "/board.html", "/b/" + strings.Repeat("a", 32) + "/news", "/b/" + token + "%2f/", "/b/" + strings.Repeat("%00", 32) + "/",
	} {
		page := served(h, "GET", path, nil)
		if page.status != http.StatusNotFound || page.text != "Nothing is here.\n" {
			t.Errorf("GET %s: %d %q", path, page.status, page.text)
		}
	}
	for _, method := range []string{"POST", "PUT", "DELETE", "OPTIONS", "CONNECT"} {
		if page := served(h, method, "/b/"+token+"/", nil); page.status != http.StatusMethodNotAllowed {
			t.Errorf("%s: %d", method, page.status)
		}
	}
	if page := served(h, "HEAD", "/b/"+token+"/news", nil); page.status != http.StatusOK {
		t.Errorf("HEAD of the news: %d", page.status)
	}
	if page := served(h, "GET", "/b/"+token, nil); page.status != http.StatusSeeOther || page.header.Get("Location") != token+"/" {
		t.Errorf("without its last slash: %d, to %q", page.status, page.header.Get("Location"))
	}
	if page := served(h, "GET", "/robots.txt", nil); !strings.Contains(page.text, "Disallow: /\n") {
		t.Errorf("robots: %s", page.text)
	}
}

// Every answer closes what a browser leaves open, and nothing of the request
// comes back in it.
func TestWallHeaders(t *testing.T) {
	h := busy().wallHandler(t)
	for _, path := range []string{"/", "/robots.txt", "/b/" + token, "/b/" + token + "/", "/b/" + token + "/board.js", "/b/" + token + "/nothing"} {
		page := served(h, "GET", path, func(r *http.Request) {
			r.Host = "rebound.example"
			r.Header.Set("X-Forwarded-Host", "rebound.example")
			r.Header.Set("Cookie", "a=rebound.example")
			r.Header.Set("Referer", "http://rebound.example/")
		})
		for name, want := range map[string]string{
			"Content-Security-Policy": "default-src 'none'", "X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY",
			"Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex", "Cache-Control": "no-store", "Cross-Origin-Resource-Policy": "same-origin",
		} {
			if got := page.header.Get(name); !strings.HasPrefix(got, want) {
				t.Errorf("GET %s: %s is %q, want %q", path, name, got, want)
			}
		}
		if csp := page.header.Get("Content-Security-Policy"); strings.Contains(csp, "unsafe") {
			t.Errorf("GET %s: the policy %q lets inline code run", path, csp)
		}
		page.lacks(t, " style=", "onclick", "rebound.example")
		if page.header.Get("Set-Cookie") != "" {
			t.Errorf("GET %s sets a cookie", path)
		}
	}
	served(h, "GET", "/b/"+token+"/", nil).lacks(t, token) // what is saved of the page does not open it
}

// Guessing is slowed down, and darkens no board that hangs.
func TestGuesses(t *testing.T) {
	b := busy()
	h := b.wallHandler(t)
	from := func(addr string) func(*http.Request) { return func(r *http.Request) { r.RemoteAddr = addr } }
	if page := served(h, "GET", "/b/"+token+"/", from("192.0.2.1:1")); page.status != http.StatusOK {
		t.Fatal(page.status)
	}
	count := map[int]int{}
	for i := range 3 * board.GuessesBurst {
		page := served(h, "GET", fmt.Sprintf("/b/%032d/", i), from(fmt.Sprintf("192.0.2.1:%d", i+2)))
		count[page.status]++
		if page.status == http.StatusTooManyRequests && page.header.Get("Retry-After") == "" {
			t.Error("not told when to come back")
		}
	}
	// The first look at the right address was one of them.
	if count[404] != board.GuessesBurst-1 || count[429] != 2*board.GuessesBurst+1 {
		t.Errorf("guesses were answered %v", count)
	}
	if page := served(h, "GET", "/b/"+token+"/", from("192.0.2.1:9")); page.status != http.StatusOK {
		t.Errorf("the board beside the guesser: %d", page.status)
	}
	if page := served(h, "GET", "/b/"+strings.Repeat("z", 32)+"/", from("192.0.2.2:9")); page.status != http.StatusNotFound {
		t.Errorf("another's slip: %d", page.status)
	}
	for _, same := range []string{"[2001:db8:1:2::1]:1", "[2001:db8:1:2:ffff::]:2"} {
		for i := range board.GuessesBurst / 2 {
			served(h, "GET", fmt.Sprintf("/b/%032d/", i), from(same))
		}
	}
	if page := served(h, "GET", "/b/"+strings.Repeat("z", 32)+"/", from("[2001:db8:1:2::77]:9")); page.status != http.StatusTooManyRequests {
		t.Errorf("one network's many addresses: %d", page.status)
	}
	// An address that was taken back is a guess again.
	b.change(func() { delete(b.tokens, token) })
	if page := served(h, "GET", "/b/"+token+"/", from("192.0.2.1:9")); page.status != http.StatusNotFound {
		t.Errorf("taken back: %d", page.status)
	}
	if page := served(h, "GET", "/b/"+token+"/", from("192.0.2.1:9")); page.status != http.StatusTooManyRequests {
		t.Errorf("taken back, again: %d", page.status)
	}
}

func TestAddress(t *testing.T) {
	for listen, want := range map[string]string{
		"127.0.0.1:8090": "http://127.0.0.1:8090", "board.example:80": "http://board.example:80", "[fd00::1]:8090": "http://[fd00::1]:8090",
		":8090": "", "0.0.0.0:8090": "", "[::]:8090": "", "127.0.0.1:0": "", "": "", "nonsense": "",
	} {
		if got := board.Address(listen); got != want {
			t.Errorf("boards at %q begin with %q, want %q", listen, got, want)
		}
	}
}

func TestNoPlaceToListen(t *testing.T) {
	b := newBooks()
	taken := strings.TrimPrefix(b.wall(t), "http://")
	if w, err := board.NewWall(b.board(t), b, taken); err == nil {
		t.Error("two walls at one address")
		_ = w.Close()
	}
}

// A wall that was ended before it began ends at once.
func TestRunEnds(t *testing.T) {
	b := newBooks()
	w, err := board.NewWall(b.board(t), b, "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := w.Run(ctx); err != nil {
		t.Errorf("Run = %v", err)
	}
}
