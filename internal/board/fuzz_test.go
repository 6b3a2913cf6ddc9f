package board_test

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/board"
	"github.com/pourwright/pourwright/internal/shop"
)

// Whatever a stranger asks for, the wall answers in one of its ways, and shows
// a board at its own address alone.
func FuzzWall(f *testing.F) {
	for _, seed := range []string{"/", "/b/", "/b/" + token, "/b/" + token + "/", "/b/" + token + "/news/../", "/b/" + token + "//", "/robots.txt", "//b/" + token, "/b/\x00", "*"} {
		f.Add("GET", seed, "192.0.2.1:1")
		f.Add("HEAD", seed, "[fe80::1%eth0]:1")
		f.Add("POST", seed, "nowhere")
	}
	b := busy()
	h := b.wallHandler(f)
	f.Fuzz(func(t *testing.T, method, path, from string) {
		if path == "/b/"+token+"/news" {
			t.Skip("it lasts as long as the reader does")
		}
		b.mu.Lock()
		b.late += time.Minute // so that guesses are no longer counted
		b.mu.Unlock()
		r := &http.Request{Method: method, URL: &url.URL{Path: path}, Header: http.Header{}, RemoteAddr: from}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r.WithContext(t.Context()))
		switch w.Code {
		case 200, 303, 404, 405, 429:
		default:
			t.Errorf("%q %q: %d", method, path, w.Code)
		}
		if shown := strings.Contains(w.Body.String(), "shell knob"); shown && path != "/b/"+token+"/" {
			t.Errorf("%q %q shows a board", method, path)
		}
		if w.Header().Get("Content-Security-Policy") == "" || w.Header().Get("Set-Cookie") != "" {
			t.Errorf("%q %q: headers %v", method, path, w.Header())
		}
	})
}

// Whatever a member calls a thing, the page has the tags it would have anyway.
func FuzzName(f *testing.F) {
	for _, seed := range []string{"pawn", "<b>", "</li><script>", "\"'`=", "&lt;", "{{.}}", "\u202e\u2067\u200d", "\x00\xff", strings.Repeat("a\u0301", 99), "<!--", "]]>", "\r\n\r\ndata: x"} {
		f.Add(seed)
	}
	tags := func(t *testing.T, name string) int {
		b := newBooks()
		b.pour(2, true, name, name, board.Phase{Name: "wait", Text: name, Since: at, Until: at.Add(time.Hour)})
		b.pours[0].OwnerOf, b.pours[0].Where = name, name
		b.molds = []shop.Mold{{Record: shop.Record{ID: 1, Owner: 2, OwnerOf: name, Shared: true, Shop: hall.ID}, MoldProfile: shop.MoldProfile{Name: name}}}
		b.dues = []shop.Due{{Record: shop.Record{ID: 1, Owner: 1, Shop: hall.ID}, DuePlan: shop.DuePlan{About: name}, At: at}}
		page := served(bench(b.board(t)), "GET", "/", nil)
		if page.status != http.StatusOK || strings.ContainsAny(page.text, "\r\x00\u202e\u2067") || len(page.text) > 20_000 {
			t.Errorf("%q: status %d, %d bytes:\n%s", name, page.status, len(page.text), page.text)
		}
		return strings.Count(page.text, "<")
	}
	f.Fuzz(func(t *testing.T, name string) {
		if board.Clip(name, 60) == "" {
			t.Skip("nothing of it is shown")
		}
		if got, want := tags(t, name), tags(t, "pawn"); got != want {
			t.Errorf("%q: %d tags, want %d", name, got, want)
		}
	})
}
