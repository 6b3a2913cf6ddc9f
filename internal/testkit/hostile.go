package testkit

import (
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // zones by name, also where the system has none

	"github.com/pourwright/pourwright/commands"
	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// Noon is when all of it happens.
var Noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// The shop and the two members of it.
const (
	HostileShop = "local:hostile"
	Mallory     = "local:mallory" // manages it, and means harm
	Victim      = "local:ada"
)

// Hostile is a desk over a shop where a member has put a nasty text wherever
// one may be put, and the lines by which others come to see it.
type Hostile struct {
	*chat.Dispatcher
	DB    *sqlite.DB
	Lines []string // what shows one thing
	Lists []string // what shows many
}

// NewHostile puts the texts in, by typing them and also behind the commands'
// back, as an older version or another program may have.
func NewHostile(t testing.TB) *Hostile {
	t.Helper()
	h := &Hostile{}
	h.Dispatcher, h.DB = Desk(t)
	taken := 0
	for i, n := range Nasties() {
		taken += h.put(i, n.Text)
	}
	if taken < 5*len(Nasties()) {
		t.Fatalf("only %d texts were taken in", taken)
	}
	h.behind(t)
	return h
}

// Desk is every command over an empty database in memory.
func Desk(t testing.TB) (*chat.Dispatcher, *sqlite.DB) {
	t.Helper()
	db, err := sqlite.Memory(context.Background(), sqlite.Config{Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	desk, err := chat.New(chat.Config{
		Commands: commands.All(db.Books(), mesh.DeskLimits(), commands.Place{BoardPath: func(token string) string { return "/b/" + token + "/" }}),
		People:   db, Lines: db, Log: slog.New(slog.DiscardHandler), NewRef: func() string { return "ref-1" },
		Now: func() time.Time { return Noon }, Terms: caution.Used,
	})
	if err != nil {
		t.Fatal(err)
	}
	return desk, db
}

// Call is a call by one of the two.
func (h *Hostile) Call(who, line string) chat.Invocation {
	inv := chat.Invocation{At: Noon, MemberKey: who, ShopKey: HostileShop, Founds: who == Mallory, Line: line, Forms: true}
	if who == Victim {
		inv.MemberName = "ada"
	}
	return inv
}

// Ask is what the victim sees of a line.
func (h *Hostile) Ask(t testing.TB, line string) chat.Answer {
	return h.Do(t.Context(), h.Call(Victim, line))
}

// put types a text wherever one can be typed, and counts where it was taken.
func (h *Hostile) put(i int, text string) (taken int) {
	id := fmt.Sprint(i)
	name := clip(text, 70) + " " + id
	for _, c := range []struct {
		path string
		raw  map[string]string
	}{
		{"material add", map[string]string{"name": name, "family": "urethane", "ratio": "1:1 vol", "density_a": "1.1", "density_b": "1.02",
			"pot_life": "3 min", "demold": "12 min", "hardness": "74 D", "cured_color": clip(text, 40), "notes": text}},
		{"material share", map[string]string{"material": name}},
		{"material pin", map[string]string{"material": name}},
		{"mold add", map[string]string{"name": name, "family": "condensation", "volume": "50 ml", "thickest": "6 mm", "release_every": "1", "notes": text}},
		{"mold share", map[string]string{"mold": name}},
		{"mold pull", map[string]string{"mold": name, "result": "spoiled", "why": text}},
		{"tint add", map[string]string{"name": name, "family": "metallic"}},
		{"tint share", map[string]string{"tint": name}},
		{"formula save", map[string]string{"name": name, "text": "1 + 1", "about": text}},
		{"formula share", map[string]string{"formula": name}},
		{"pour start", map[string]string{"material": name, "mold": name, "where": text, "share": "yes"}},
		{"due add", map[string]string{"about": text, "in": "1 h"}},
		{"shop faq", map[string]string{"topic": clip(text, 70) + " " + id, "answer": text}},
	} {
		call := h.Call(Mallory, "")
		call.Command, call.Sub, _ = strings.Cut(c.path, " ")
		call.Raw, call.MemberName, call.ShopName = c.raw, text, text
		call.Forms = false
		if h.Do(context.Background(), call).Fault == nil {
			taken++
		}
	}
	h.Lines = append(h.Lines,
		chat.FormatLine("batch", map[string]string{"material": name, "volume": "10 ml"}, nil),
		chat.FormatLine("batch", map[string]string{"material": text, "volume": text}, nil),
		chat.FormatLine("material show", map[string]string{"material": name}, nil),
		chat.FormatLine("material history", map[string]string{"material": name}, nil),
		chat.FormatLine("material edit", map[string]string{"material": name}, nil),
		chat.FormatLine("material find", map[string]string{"words": text}, nil),
		chat.FormatLine("mold show", map[string]string{"mold": name}, nil),
		chat.FormatLine("tint show", map[string]string{"tint": name}, nil),
		chat.FormatLine("formula show", map[string]string{"formula": name}, nil),
		chat.FormatLine("formula run", map[string]string{"text": text}, nil),
		chat.FormatLine("shop faq", map[string]string{"topic": clip(text, 70) + " " + id}, nil),
		chat.FormatLine("term", map[string]string{"word": text}, nil),
		chat.FormatLine("trouble", map[string]string{"symptom": text}, nil),
		chat.FormatLine("trouble", map[string]string{"symptom": "soft all over, " + text, "saw": text}, nil),
		chat.FormatLine("pour show", map[string]string{"pour": "#" + fmt.Sprint(i+1)}, nil),
		"/"+text,
		"/batch "+text+":1",
	)
	return taken
}

// behind keeps texts that no command would let in.
func (h *Hostile) behind(t testing.TB) {
	t.Helper()
	ctx := context.Background()
	who, err := h.DB.Member(ctx, Mallory, "mallory", Noon)
	if err != nil {
		t.Fatal(err)
	}
	where, err := h.DB.Shop(ctx, HostileShop, "", 0, Noon)
	if err != nil {
		t.Fatal(err)
	}
	all, err := h.DB.Materials(ctx, shop.Viewer{Member: who, Shop: where})
	if err != nil || len(all) == 0 {
		t.Fatalf("nothing was kept: %v", err)
	}
	for i, n := range Nasties() {
		p := all[0].Profile
		p.Name, p.Notes, p.CuredColor, p.Link = fmt.Sprintf("behind %d", i), n.Text, n.Text, n.Text
		if !strings.Contains(n.Text, "\x00") { // which the database itself can't keep
			if _, err := h.DB.AddMaterial(ctx, shop.Stamp{By: shop.Viewer{Member: who, Shop: where}, At: Noon}, p, true); err != nil {
				t.Fatalf("%s: %v", n.What, err)
			}
			h.Lines = append(h.Lines, chat.FormatLine("material show", map[string]string{"material": p.Name}, nil))
		}
	}
	h.Lists = append(h.Lists, "/material list", "/mold list", "/tint list", "/formula list", "/pour list", "/due list", "/shop show", "/shop faq", "/help",
		`/material find words:"1"`, `/material find pot_life:"3 min"`, `/material compare material:"#1, #2, #3, #4"`)
}

// Each gives what the victim sees of all of it, and what the other one sees of
// the lists.
func (h *Hostile) Each(t testing.TB, see func(line string, ans chat.Answer)) {
	t.Helper()
	for _, line := range append(h.Lines[:len(h.Lines):len(h.Lines)], h.Lists...) {
		see(line, h.Ask(t, line))
	}
	for _, line := range h.Lists {
		see(line, h.Do(t.Context(), h.Call(Mallory, line)))
	}
}

func clip(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most])
	}
	return s
}
