package board_test

import (
	"context"
	"errors"
	"net/http"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/board"
	"github.com/pourwright/pourwright/internal/shop"
)

// inPhase is a phase that lasts from five minutes ago for that long.
func inPhase(name string, lasts time.Duration) board.Phase {
	p := board.Phase{Name: name, Text: "what " + name + " means", Since: at.Add(-5 * time.Minute)}
	if lasts > 0 {
		p.Until = p.Since.Add(lasts)
	}
	return p
}

// busy is a shop with something of everything.
func busy() *books {
	b := newBooks()
	b.pour(1, false, "harbor pawn", "rigid white", inPhase("wait", 30*time.Minute))
	b.pour(2, true, "shell knob", "flexible amber", inPhase("ready", 0))
	b.pour(2, false, "bram's secret", "rigid white", inPhase("wait", 20*time.Minute))
	b.pour(2, true, "", "casting epoxy", inPhase("pot life", 9*time.Minute+9*time.Second))
	b.pour(1, true, "dice tray", "rigid white", inPhase("try it", 10*time.Minute))
	mold := func(id int64, owner shop.MemberID, shared bool, name string, since int, retired string) shop.Mold {
		return shop.Mold{
			Record:      shop.Record{ID: id, Owner: owner, OwnerOf: "bram", Shared: shared, Shop: hall.ID},
			MoldProfile: shop.MoldProfile{Name: name, Pulls: 10, Retired: retired}, Tally: shop.MoldTally{Good: since, SinceCoat: since},
		}
	}
	b.molds = []shop.Mold{
		mold(1, 1, true, "harbor pawn", 2, ""), mold(2, 1, false, "ada's own mold", 4, ""),
		mold(3, 2, true, "viaduct arch", 5, ""), mold(4, 2, true, "torn tray", 5, "torn"),
	}
	hidden := mold(5, 2, true, "hidden mold", 5, "")
	hidden.Hidden = true
	b.molds = append(b.molds, hidden)
	due := func(id int64, owner shop.MemberID, about string, in time.Duration) shop.Due {
		return shop.Due{Record: shop.Record{ID: id, Owner: owner, Shop: hall.ID}, DuePlan: shop.DuePlan{About: about}, At: at.Add(in)}
	}
	b.dues = []shop.Due{due(1, 1, "order silicone", 3*time.Hour), due(2, 1, "lid off", -2*time.Minute), due(3, 2, "bram's call", time.Hour)}
	return b
}

// bench is the board as ada sees it at the bench.
func bench(b *board.Board) http.Handler {
	return b.Handler(board.Look{Home: "../", Viewer: func(context.Context) (shop.Viewer, bool, error) {
		return shop.Viewer{Member: ada, Shop: hall}, true, nil
	}})
}

// has fails where the page lacks one of the words, lacks where it has one.
func (g got) has(t *testing.T, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(g.text, w) {
			t.Errorf("the page lacks %q:\n%s", w, g.text)
		}
	}
}

func (g got) lacks(t *testing.T, words ...string) {
	t.Helper()
	for _, w := range words {
		if strings.Contains(g.text, w) {
			t.Errorf("the page shows %q:\n%s", w, g.text)
		}
	}
}

// At the bench a member sees their own and what is shared; what can't wait
// comes first, what is cured next, the rest by its end.
func TestBench(t *testing.T) {
	page := served(bench(busy().board(t)), "GET", "/", nil)
	if page.status != http.StatusOK {
		t.Fatalf("status %d: %s", page.status, page.text)
	}
	page.has(t, "The Hall", "4 pours, 1 liquid, 2 to look at", "4:09 min", "until 14:34", "25 min", "to a first look", "so far</span>",
		"casting epoxy", "6 parts", "member 2</bdi>’s", "what pot life means", "Started 14:20",
		"../?line=%2Fpour%20show%20pour%3A%231", "order silicone", "due since 14:28", "3 h 00 min", "ada&#39;s own mold", "coat in 3 pulls", "release coat due")
	page.lacks(t, "secret", "bram&#39;s call", "torn tray", "hidden mold")
	last := -1
	for _, key := range []string{"pour-4", "pour-5", "pour-2", "pour-1", "due-1", "mold-3", "mold-2", "mold-1"} {
		i := strings.Index(page.text, `data-key="`+key+`"`)
		if i < last {
			t.Errorf("%s stands before what it follows", key)
		}
		last = i
	}
}

func TestEmptyBoards(t *testing.T) {
	served(bench(newBooks().board(t)), "GET", "/", nil).has(t, "Nothing is in a mold", `href="../?line=%2Fpour%20start%20"`, "/mold add", "/due add")
	wall := served(newBooks().wallHandler(t), "GET", "/b/"+token+"/", nil)
	wall.has(t, "Nothing is in a mold", "/pour start", "share:yes", "/mold share")
	wall.lacks(t, "/due add", "href=\"../")
}

// Past what fits it says that there is more.
func TestMoreThanFits(t *testing.T) {
	b := newBooks()
	for range board.PoursMost + 3 {
		b.pour(1, true, "pawn", "white", inPhase("wait", time.Hour))
	}
	page := served(bench(b.board(t)), "GET", "/", nil)
	if n := strings.Count(page.text, `class="pour `); n != board.PoursMost {
		t.Errorf("%d pours, want %d", n, board.PoursMost)
	}
	page.has(t, "The newest 200 pours", "There are more than fit here", `"pour-203"`)
}

// Whatever members write stays what it is: text, in its place and of a size.
func TestHostileNames(t *testing.T) {
	b := newBooks()
	wild := "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>&amp; {{.}}"
	b.pour(2, true, wild, "\u202Eetihw digir\u2066\r\ndata: x\n\n", board.Phase{Name: "wait", Text: wild, Since: at})
	b.pours[0].OwnerOf = strings.Repeat("é", 500)
	b.pours[0].Where = "\x1b[2Jtop\x00shelf\x9c"
	b.molds = []shop.Mold{{Record: shop.Record{ID: 1, Owner: 2, Shared: true, Shop: hall.ID}, MoldProfile: shop.MoldProfile{Name: wild + strings.Repeat("\u0301", 5000)}}}
	page := served(bench(b.board(t)), "GET", "/", nil)
	page.lacks(t, "<script>alert", "<img", "\u202E", "\u2066", "\r", "\x1b", "\x00", "\x9c", strings.Repeat("é", 61), "\n\n\n\ndata")
	page.has(t, "&lt;script&gt;alert(1)&lt;/script&gt;", "<bdi>etihw digir data: x</bdi>", "…")
	if n := len(page.text); n > 20_000 {
		t.Errorf("the page has %d bytes", n)
	}
	if n := strings.Count(page.text, "<script"); n != 1 {
		t.Errorf("%d scripts, want our own", n)
	}
}

func TestClip(t *testing.T) {
	for in, want := range map[string]string{
		"": "", "  a \t b\n": "a b", "abcdef": "abcdef", "abcdefgh": "abcdef…", "abcde fgh": "abcde…", "\xff\xfeab": "ab", "a\u200Fb": "ab",
	} {
		if got := board.Clip(in, 7); got != want {
			t.Errorf("%q is cut to %q, want %q", in, got, want)
		}
	}
	rapid.Check(t, func(r *rapid.T) {
		s, most := rapid.String().Draw(r, "text"), rapid.IntRange(1, 80).Draw(r, "most")
		cut := board.Clip(s, most)
		if n := len([]rune(cut)); n > most || strings.ContainsAny(cut, "\n\r\x00\u202e\u2067") || board.Clip(cut, most) != cut {
			t.Fatalf("%q is cut to %q", s, cut)
		}
	})
}

func TestSpan(t *testing.T) {
	for d, want := range map[time.Duration]string{
		-time.Hour: "0 s", 0: "0 s", 59900 * time.Millisecond: "59 s", time.Minute: "1 min 00 s", 9*time.Minute + 59*time.Second: "9 min 59 s",
		10*time.Minute + 59*time.Second: "10 min", time.Hour + 5*time.Minute: "1 h 05 min", 26*time.Hour + 30*time.Minute: "1 d 2 h",
	} {
		if got := board.Span(d); got != want {
			t.Errorf("%v is %q, want %q", d, got, want)
		}
	}
	for d, want := range map[time.Duration]string{
		-time.Hour: "0 s", 59900 * time.Millisecond: "59 s", time.Minute: "1:00 min", 9*time.Minute + 59*time.Second: "9:59 min",
		10*time.Minute + 59*time.Second: "10 min", time.Hour + 5*time.Minute: "1:05 h", 26*time.Hour + 30*time.Minute: "1 d 2 h",
	} {
		if got := board.Figure(d); got != want {
			t.Errorf("%v is %q from afar, want %q", d, got, want)
		}
	}
}

// Those who look with the same eye share one look at the books, until
// something happens.
func TestLooksAreShared(t *testing.T) {
	b := busy()
	h := bench(b.board(t))
	for range 10 {
		served(h, "GET", "/", nil)
	}
	if b.looks != 1 {
		t.Errorf("ten pages took %d looks", b.looks)
	}
	b.change(func() {})
	if served(h, "GET", "/", nil); b.looks != 2 {
		t.Errorf("after a change %d looks", b.looks)
	}
}

// What another process wrote is seen once a look is a second old, and a phase
// that ends ends at once.
func TestLooksGrowOld(t *testing.T) {
	b := newBooks()
	b.pour(1, true, "pawn", "white", board.Phase{Name: "wait", Since: at, Until: at.Add(500 * time.Millisecond)})
	h := bench(b.board(t))
	page := func(late time.Duration) got {
		b.late = late
		return served(h, "GET", "/", nil)
	}
	page(0).has(t, "wait")
	b.pour(1, true, "written elsewhere", "white", inPhase("wait", time.Hour))
	page(499*time.Millisecond).lacks(t, "written elsewhere", "ready")
	page(500*time.Millisecond).has(t, "written elsewhere", "ready")
	b.pour(1, true, "and again", "white", inPhase("wait", time.Hour))
	page(1499*time.Millisecond).lacks(t, "and again")
	page(1500*time.Millisecond).has(t, "and again")
	page(-time.Hour).has(t, "and again") // a clock that was set back
}

// What is ours is told to the log and not to the page, and is not kept.
func TestBroken(t *testing.T) {
	b := busy()
	b.broken = errors.New("the disk is on fire")
	h := bench(b.board(t))
	page := served(h, "GET", "/", nil)
	if page.status != http.StatusInternalServerError || strings.Contains(page.text, "fire") {
		t.Errorf("%d: %s", page.status, page.text)
	}
	b.broken = nil
	if page := served(h, "GET", "/", nil); page.status != http.StatusOK {
		t.Errorf("afterwards %d: %s", page.status, page.text)
	}
}

func TestAssets(t *testing.T) {
	h := bench(newBooks().board(t))
	for path, want := range map[string]int{
		"/board.css": 200, "/board.js": 200, "/icon.svg": 200, "/board.html": 404, "/view.go": 404, "/x/board.css": 404, "/../board.go": 404, "/%2e%2e%2fboard.go": 404,
	} {
		if got := served(h, "GET", path, nil); got.status != want && got.status/100 != 3 {
			t.Errorf("GET %s: %d, want %d", path, got.status, want)
		}
	}
}
