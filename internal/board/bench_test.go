package board_test

import (
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/board"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// full fills a database file with pours of twenty members, all shared in one
// shop, and a hundred molds of that many pulls each; it gives the board over it and
// who looks at the bench.
func full(t testing.TB, pours, pulls int) (*sqlite.DB, *board.Board, shop.Viewer) {
	t.Helper()
	ctx := t.Context()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	db, err := sqlite.Open(ctx, sqlite.Config{Path: filepath.Join(t.TempDir(), "shop.db"), Rand: rand.Reader})
	must(err)
	t.Cleanup(func() { must(db.Close()) })
	var first shop.Viewer
	for m := range 20 {
		who, err := db.Member(ctx, fmt.Sprintf("local:m%d", m), fmt.Sprintf("member %d", m), at)
		must(err)
		in, err := db.Shop(ctx, "local:hall", "The Hall", who.ID, at)
		must(err)
		v := shop.Viewer{Member: who, Shop: in}
		if m == 0 {
			first = v
		}
		must(db.Together(ctx, func(b shop.Books) error { return furnish(ctx, b, v, pours/20, pulls) }))
	}
	b, err := board.New(board.Config{
		Pours: db, Molds: db, Dues: db, Changes: db.Changes, Now: func() time.Time { return at }, Log: slog.New(slog.DiscardHandler),
		Phase: func(p shop.Pour, now time.Time) board.Phase { return board.Phase(library.PhaseOf(p, now)) },
		Coat:  func(m shop.Mold) int { return library.CareOf(m).Due() },
	})
	must(err)
	return db, b, first
}

// furnish is what one member has there.
func furnish(ctx context.Context, b shop.Books, v shop.Viewer, pours, pulls int) error {
	ratio := quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume}
	white, err := b.Materials.AddMaterial(ctx, shop.Stamp{By: v, At: at}, material.Profile{Name: "rigid white", Family: material.Urethane, Ratio: ratio, PotLife: 180}, false)
	if err != nil {
		return err
	}
	var mold shop.Mold
	for i := range 5 {
		mold, err = b.Molds.AddMold(ctx, shop.Stamp{By: v, At: at}, shop.MoldProfile{Name: fmt.Sprintf("mold %d", i), Family: "addition", Volume: 30, Cavities: 1, ReleaseEvery: 5}, true)
		for pull := 0; err == nil && pull < pulls; pull++ {
			_, err = b.Pulls.PullMold(ctx, shop.Stamp{By: v, At: at}, mold.ID, true, "")
		}
		if err != nil {
			return err
		}
	}
	for i := range pours {
		began := shop.Stamp{By: v, At: at.Add(-time.Duration(i) * time.Minute)}
		p := shop.Pour{Record: shop.Record{Shared: true}, MaterialID: white.ID, MaterialVersion: white.Version, MoldID: mold.ID, PourPlan: shop.PourPlan{
			Material: white.Name, Mold: mold.Name, Count: 6, Volume: 30, Room: 21,
			Foreseen: shop.Foreseen{PotLife: quantity.Range{Low: 150, Mid: 180, High: 210}, Gel: quantity.Range{Low: 200, Mid: 240, High: 300},
				Demold: quantity.Range{Low: 600, Mid: 720, High: 900}, Remind: 900},
		}}
		started, err := b.Pours.StartPour(ctx, began, p)
		if err != nil {
			return err
		}
		due := shop.Due{At: at.Add(time.Hour), Pour: started.ID, DuePlan: shop.DuePlan{About: "Ready to come out", First: at.Add(time.Hour), Zone: "UTC"}}
		if _, err := b.Dues.AddDue(ctx, began, due); err != nil {
			return err
		}
	}
	return nil
}

// The whole way over a real database: what is kept, who may see it, the page.
// Each page follows a commit, so that none is a picture of the one before.
func BenchmarkBoard200(b *testing.B) {
	db, made, v := full(b, 200, 40)
	token, err := db.MakeBoard(b.Context(), shop.Stamp{By: v, At: at})
	if err != nil {
		b.Fatal(err)
	}
	wall, err := board.NewWall(made, db, "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	defer wall.Close()
	h, size := wall.Handler(), 0
	b.ReportAllocs()
	for b.Loop() {
		made.Forget()
		page := served(h, "GET", board.Path(token), nil)
		if size = len(page.text); page.status != 200 || strings.Count(page.text, `class="pour `) != 200 {
			b.Fatalf("%d:\n%s", page.status, page.text)
		}
	}
	b.ReportMetric(float64(size), "bytes/page")
}

// The board over a real database: the wall sees what is shared, the member
// their calls too.
func TestOverARealDatabase(t *testing.T) {
	db, made, v := full(t, 20, 6)
	token, err := db.MakeBoard(t.Context(), shop.Stamp{By: v, At: at})
	if err != nil {
		t.Fatal(err)
	}
	wall, err := board.NewWall(made, db, "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer wall.Close()
	page := served(wall.Handler(), "GET", board.Path(token), nil)
	page.has(t, "The Hall", "20 pours, 20 liquid", "<bdi>member 3</bdi>’s", "release coat due", "and 40 more that want nothing sooner")
	page.lacks(t, "Ready to come out")
	h := made.Handler(board.Look{Home: "../", Viewer: func(context.Context) (shop.Viewer, bool, error) { return v, true, nil }})
	mine := served(h, "GET", "/", nil)
	mine.has(t, "Ready to come out", "20 pours")
	if n := strings.Count(mine.text, "Ready to come out"); n != 1 {
		t.Errorf("%d calls of one member", n)
	}
	if err := db.RevokeBoard(t.Context(), shop.Stamp{By: v, At: at}); err != nil {
		t.Fatal(err)
	}
	if page := served(wall.Handler(), "GET", board.Path(token), nil); page.status != 404 {
		t.Errorf("taken back: %d", page.status)
	}
}
