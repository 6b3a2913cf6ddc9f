package bench_test

import (
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/bench"
	"github.com/pourwright/pourwright/internal/board"
	"github.com/pourwright/pourwright/internal/demo"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
	"github.com/pourwright/pourwright/internal/testkit/browser"
)

// hall is the demo shop with its board, in a real database.
type hall struct {
	t         *testing.T
	db        *sqlite.DB
	board     *board.Board
	ada, bram shop.Viewer
}

func newHall(t *testing.T) *hall {
	t.Helper()
	h := &hall{t: t}
	var err error
	h.db, err = sqlite.Memory(t.Context(), sqlite.Config{Rand: rand.Reader})
	h.must(err)
	t.Cleanup(func() { h.must(h.db.Close()) })
	h.must(demo.Seed(t.Context(), h.db, time.Now()))
	for name, v := range map[string]*shop.Viewer{"ada": &h.ada, "bram": &h.bram} {
		v.Member, err = h.db.Member(t.Context(), "local:"+name, name, time.Now())
		h.must(err)
		v.Shop, err = h.db.Shop(t.Context(), demo.ShopKey, "", v.Member.ID, time.Now())
		h.must(err)
	}
	h.board, err = board.New(board.Config{
		Pours: h.db, Molds: h.db, Dues: h.db, Changes: h.db.Changes, Now: time.Now, Log: slog.New(slog.NewTextHandler(t.Output(), nil)),
		Phase: func(p shop.Pour, now time.Time) board.Phase { return board.Phase(library.PhaseOf(p, now)) },
		Coat:  func(m shop.Mold) int { return library.CareOf(m).Due() },
	})
	h.must(err)
	return h
}

func (h *hall) must(err error) {
	h.t.Helper()
	if err != nil {
		h.t.Fatal(err)
	}
}

// pour starts one so long ago; its times are those of a quick or a slow resin.
func (h *hall) pour(v shop.Viewer, shared bool, mold string, slow float64, ago time.Duration) int64 {
	h.t.Helper()
	material, err := h.db.Materials(h.t.Context(), v)
	h.must(err)
	m := material[len(mold)%len(material)]
	span := func(low, mid, high float64) quantity.Range {
		return quantity.Range{Low: slow * low, Mid: slow * mid, High: slow * high}
	}
	started, err := h.db.StartPour(h.t.Context(), shop.Stamp{By: v, At: time.Now().Add(-ago)}, shop.Pour{
		Record: shop.Record{Shared: shared}, MaterialID: m.ID, MaterialVersion: m.Version,
		PourPlan: shop.PourPlan{Material: m.Name, Mold: mold, Count: 6, Volume: 6.2, Room: 21, Where: "shelf by the door",
			Foreseen: shop.Foreseen{PotLife: span(150, 180, 210), Gel: span(200, 240, 300), Demold: span(600, 720, 900), Peak: quantity.Range{Low: 60, Mid: 70, High: 80}, Remind: slow * 900}},
	})
	h.must(err)
	return started.ID
}

// busy is an evening in the shop.
func (h *hall) busy() {
	h.t.Helper()
	h.pour(h.ada, true, "harbor pawn", 1, time.Minute+20*time.Second)
	h.pour(h.bram, true, "shell knob", 4, 5*time.Minute)
	h.pour(h.bram, true, "viaduct arch, the long one with eleven piers", 60, 3*time.Hour)
	h.pour(h.ada, false, "harbor pawn 2", 1, 13*time.Minute)
	h.pour(h.bram, true, "", 1, time.Hour)
	h.pour(h.ada, true, "dice tray", 60, 6*time.Hour)
	due := func(about string, in time.Duration) {
		_, err := h.db.AddDue(h.t.Context(), shop.Stamp{By: h.ada, At: time.Now()}, shop.Due{At: time.Now().Add(in), DuePlan: shop.DuePlan{About: about, First: time.Now().Add(in), Zone: "UTC"}})
		h.must(err)
	}
	due("Ready to come out: 6 × dice tray", 2*time.Hour)
	due("order tin silicone", 26*time.Hour)
	due("take the lid off the pot", -time.Minute)
}

// onBench opens the bench with the board in it.
func (h *hall) onBench() *visit {
	return open(h.t, func(cfg *bench.Config) {
		cfg.Board = h.board.Handler(board.Look{Home: "../", Viewer: func(context.Context) (shop.Viewer, bool, error) { return h.ada, true, nil }})
	})
}

// onWall hangs the board up and gives its address.
func (h *hall) onWall() string {
	h.t.Helper()
	token, err := h.db.MakeBoard(h.t.Context(), shop.Stamp{By: h.ada, At: time.Now()})
	h.must(err)
	w, err := board.NewWall(h.board, h.db, "127.0.0.1:0")
	h.must(err)
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- w.Run(ctx) }()
	h.t.Cleanup(func() {
		cancel()
		if err := <-ended; err != nil {
			h.t.Errorf("Run = %v", err)
		}
	})
	return "http://" + w.Addr() + board.Path(token)
}

// The board is led to from the bench, stays inside its guard, and its links lay
// lines into the command box.
func TestBoardOnTheBench(t *testing.T) {
	h := newHall(t)
	h.busy()
	v := h.onBench()
	wants(t, v.get(""), 200, `/board/">What is curing</a>`)
	page := v.get("board/")
	wants(t, page, 200, "6 pours", "harbor pawn 2", "order tin silicone", "due since", `href="../?line=%2Fmold%20show`)
	if csp := page.header.Get("Content-Security-Policy"); csp == "" {
		t.Error("the board is not behind the guard")
	}
	wants(t, v.get("board/board.css"), 200, "color-scheme")
	wants(t, v.get("board/nothing"), 404, "Nothing is here")
	wants(t, v.send("GET", "board/", nil, func(r *http.Request) { r.Host = "rebound.example" }), 421)
	wants(t, v.post("board/", url.Values{}), 405)
	wants(t, open(t, nil).get("board/"), 404, "no such page")
	if none := open(t, nil).get(""); none.status != 200 {
		t.Error(none.status)
	}
}

// What happens in the shop comes to an open board by itself: what stays the
// Same stays where it is, clocks run, and the end is told.
func TestBrowserBoardHearsNews(t *testing.T) {
	tb := browser.Start(t)
	h := newHall(t)
	h.busy()
	tb.Load(h.onWall())
	tb.Until(`document.querySelectorAll(".pour").length === 5`)
	tb.Same(`document.querySelector(".pour").className`, `"pour act"`)
	tb.Eval(`window.kept = document.querySelector("[data-key=pour-3]"); window.before = document.querySelector(".act time").textContent`)
	tb.Until(`document.querySelector(".act time").textContent !== window.before`)
	id := h.pour(h.bram, true, "late pawn", 1, 0)
	tb.Until(fmt.Sprintf(`document.querySelector("[data-key=pour-%d]")`, id))
	tb.Same(`document.querySelectorAll(".pour").length`, `6`)
	tb.Same(`window.kept === document.querySelector("[data-key=pour-3]")`, `true`)
	tb.Same(`document.getElementById("pours").textContent`, `"6 pours, 3 liquid, 1 to look at"`)
	// Silence of a while is said, and no more once something is heard.
	tb.Eval(`heard -= 60000; silence()`)
	tb.Same(`document.getElementById("lost").hidden`, `false`)
	tb.Same(`/^Not connected since \d\d:\d\d\. What is shown may be old\.$/.test(document.getElementById("lost").textContent)`, `true`)
	h.pour(h.bram, false, "private pawn", 1, 0)
	last := h.pour(h.bram, true, "last pawn", 1, 0)
	tb.Until(fmt.Sprintf(`document.querySelector("[data-key=pour-%d]")`, last))
	tb.Same(`document.body.textContent.includes("private pawn")`, `false`)
	tb.Same(`document.getElementById("lost").hidden`, `true`)
	h.must(h.db.RevokeBoard(t.Context(), shop.Stamp{By: h.ada, At: time.Now()}))
	tb.Until(`document.querySelectorAll(".pour").length === 0`)
	tb.Same(`document.querySelector("main").textContent.includes("was taken back")`, `true`)
	tb.Quiet("the wall")
}

// At the bench the keyboard keeps its place while the board changes.
func TestBrowserBoardKeepsFocus(t *testing.T) {
	tb := browser.Start(t)
	h := newHall(t)
	h.busy()
	v := h.onBench()
	tb.Load(v.page + "board/")
	tb.Key("Tab", "", 9)
	tb.Same(`document.activeElement.className`, `"skip"`)
	tb.Eval(`document.querySelector("[data-key=pour-2] a").focus()`)
	id := h.pour(h.bram, true, "first now", 1, 0)
	tb.Until(fmt.Sprintf(`document.querySelector("[data-key=pour-%d]")`, id))
	tb.Same(`document.activeElement.closest("[data-key]").dataset.key`, `"pour-2"`)
	tb.Leads(`document.activeElement.click()`)
	tb.Same(`document.getElementById("line").value`, `"/pour show pour:#2"`)
	tb.Quiet("the bench's board")
}

// Without script the board is whole, and loads itself again.
func TestBrowserBoardWithoutScript(t *testing.T) {
	tb := browser.Start(t)
	h := newHall(t)
	h.busy()
	tb.Script(true)
	tb.Load(h.onWall())
	tb.Script(false)
	tb.Same(`document.querySelectorAll(".pour").length`, `5`)
	tb.Same(`/^\d+(:\d\d)? (s|min)$/.test(document.querySelector(".act time").textContent)`, `true`)
	tb.Same(`document.querySelector("meta[http-equiv=refresh]")?.content ?? "none"`, `"30"`)
	tb.Quiet("without script")
}

// The board fits where it hangs: nothing runs out of a phone's width, nothing
// is unnamed, and what is read from afar is large.
func TestBrowserBoardFits(t *testing.T) {
	tb := browser.Start(t)
	h := newHall(t)
	empty := newHall(t)
	h.busy()
	folder := browser.Shots(t)
	pages := map[string]string{"wall": h.onWall(), "bench": h.onBench().page + "board/", "wall-empty": empty.onWall(), "bench-empty": empty.onBench().page + "board/"}
	for name, url := range pages {
		for _, size := range []struct {
			name          string
			width, height int
			figure        string // px, of the largest figure
		}{{"phone", 360, 740, "40"}, {"tablet", 1280, 800, "48"}, {"screen", 1920, 1080, "56"}} {
			for _, scheme := range []string{"light", "dark"} {
				tb.Look(size.width, size.height, scheme)
				tb.Load(url)
				tb.Same(`document.documentElement.scrollWidth <= innerWidth`, `true`)
				tb.Same(unnamed, `[]`)
				if name == "wall" {
					tb.Same(`parseFloat(getComputedStyle(document.querySelector(".left time")).fontSize) >= `+size.figure, `true`)
				}
				tb.Shoot(folder, "board-"+name+"-"+size.name+"-"+scheme)
			}
		}
	}
	tb.Quiet("the boards")
}
