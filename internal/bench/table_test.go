package bench_test

import (
	"crypto/rand"
	"log/slog"
	"testing"
	"time"

	"github.com/pourwright/pourwright/commands"
	"github.com/pourwright/pourwright/internal/bench"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/demo"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/store/sqlite"
	"github.com/pourwright/pourwright/internal/testkit/browser"
)

const beside = `/material compare material:"demo rigid white, demo casting epoxy, demo rigid clear, demo tin silicone" mold:"harbor pawn"`

// demoDesk is every command over the demo shop.
func demoDesk(t *testing.T) *chat.Dispatcher {
	t.Helper()
	db, err := sqlite.Memory(t.Context(), sqlite.Config{Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	if err := demo.Seed(t.Context(), db, noon); err != nil {
		t.Fatal(err)
	}
	d, err := chat.New(chat.Config{Commands: commands.All(db.Books(), mesh.DeskLimits(), commands.Place{}), People: db, Lines: db,
		Log: slog.New(slog.DiscardHandler), NewRef: func() string { return "ref-1" }, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Things side by side are a table with heads of rows and columns, and what
// differs says so in words.
func TestTable(t *testing.T) {
	v := open(t, func(c *bench.Config) { c.Desk = demoDesk(t) })
	wants(t, v.ask(beside), 200, `<th scope="col">demo casting epoxy</th>`,
		`<th scope="row">Hardness <span class="says">differs</span></th><td>74 D</td><td>80 D</td>`,
		`<span class="says">the same</span>`, `<td>not said</td>`, `role="region" tabindex="0"`)
}

// On a telephone the table is pushed sideways, and the page is not.
func TestTableInABrowser(t *testing.T) {
	tb := browser.Start(t)
	v := open(t, func(c *bench.Config) { c.Desk = demoDesk(t) })
	v.ask(beside)
	for _, shot := range []struct {
		name  string
		width int
	}{{"wide", 1100}, {"narrow", 360}} {
		tb.Look(shot.width, 900, "light")
		tb.Load(v.page)
		tb.Same(`document.documentElement.scrollWidth <= innerWidth`, "true")
		tb.Same(`document.querySelectorAll(".side th[scope=col]").length`, "4")
		tb.Eval(`document.querySelector(".side").scrollIntoView()`)
		tb.Shoot(browser.Shots(t), "table-"+shot.name)
	}
	tb.Same(`document.querySelector(".side").scrollWidth > document.querySelector(".side").clientWidth`, `true`)
}
