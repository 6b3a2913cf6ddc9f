package sqlite_test

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// trace is in every text that is nora's own, and in no other.
const trace = "zqxtrace"

func traced(what string) string { return trace + " " + what }

// noraKey is how the chat service knows nora. Her private bench has it too.
const noraKey = "discord:" + trace + "77"

// crowd is nora with something in every table, and otto who works with it.
type crowd struct {
	*sqlite.DB
	ctx                context.Context
	t                  *testing.T
	nora, alone, otto  shop.Viewer
	shared, kept, mold int64
}

func (c *crowd) must(err error) {
	c.t.Helper()
	if err != nil {
		c.t.Fatal(err)
	}
}

var eraseAt = time.Date(2026, 11, 20, 9, 30, 0, 0, time.UTC)

func (c *crowd) after(v shop.Viewer, d time.Duration, interaction string) shop.Stamp {
	return shop.Stamp{By: v, At: eraseAt.Add(d), Interaction: interaction}
}

func (c *crowd) viewer(key, name, shopKey, shopName string) shop.Viewer {
	c.t.Helper()
	m, err := c.Member(c.ctx, key, name, eraseAt)
	c.must(err)
	s, err := c.Shop(c.ctx, shopKey, shopName, m.ID, eraseAt)
	c.must(err)
	return shop.Viewer{Member: m, Shop: s, Manager: true}
}

// gathered fills every table by the methods that members' commands call.
func gathered(t *testing.T, db *sqlite.DB) *crowd {
	c := &crowd{DB: db, ctx: t.Context(), t: t}
	c.nora = c.viewer(noraKey, traced("Nora"), "discord:900", "The Hall")
	c.alone = c.viewer(noraKey, traced("Nora"), noraKey, traced("Nora's bench"))
	c.otto = c.viewer("discord:88", "Otto", "discord:900", "The Hall")
	c.must(c.SetManager(c.ctx, c.after(c.nora, 0, ""), c.otto.Member.ID, true))
	c.shelves()
	c.pours()
	c.calls()
	c.rest()
	c.mixed()
	return c
}

// mixed is much of nora's and otto's in turn, so that pages of the file are
// shared by both and split under them, which leaves copies of rows behind.
func (c *crowd) mixed() {
	c.must(c.Together(c.ctx, func(b shop.Books) error {
		for i := range 120 {
			for _, v := range []shop.Viewer{c.nora, c.otto} {
				if err := c.mixedIn(b, v, i); err != nil {
					return err
				}
			}
		}
		return nil
	}))
}

func (c *crowd) mixedIn(b shop.Books, v shop.Viewer, i int) error {
	text := strings.Repeat("notes ", 1+i*7%60)
	if v.Member.ID == c.nora.Member.ID {
		text = strings.Repeat(trace+" ", 1+i*11%60)
	}
	m, err := b.Materials.AddMaterial(c.ctx, c.after(v, 0, ""), traceable(fmt.Sprintf("%.12s %d", text, i), text), false)
	if err == nil && i%3 == 0 {
		_, err = b.Materials.EditMaterial(c.ctx, c.after(v, 0, ""), m.ID, 1, traceable(m.Name, text+text))
	}
	if err == nil && i%5 == 0 {
		err = b.Materials.RemoveMaterial(c.ctx, c.after(v, 0, ""), m.ID)
	}
	return err
}

func traceable(name, notes string) material.Profile {
	return material.Profile{Name: name, Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume}, PotLife: 180, Price: 42, Pack: 1800, Notes: notes}
}

func (c *crowd) shelves() {
	st := c.after(c.nora, 0, "")
	m, err := c.AddMaterial(c.ctx, c.after(c.nora, 0, trace+"-interaction"), traceable(traced("white"), traced("first notes")), false)
	c.must(err)
	c.kept = m.ID
	_, err = c.EditMaterial(c.ctx, st, m.ID, 1, traceable(traced("white"), traced("second notes")))
	c.must(err)
	gone, err := c.AddMaterial(c.ctx, st, traceable(traced("removed"), ""), false)
	c.must(err)
	c.must(c.RemoveMaterial(c.ctx, st, gone.ID))
	// What otto copies is otto's, so it says nothing of nora.
	shared, err := c.AddMaterial(c.ctx, st, traceable("hall white", "stir B"), true)
	c.must(err)
	c.shared = shared.ID
	_, err = c.Adopt(c.ctx, c.after(c.otto, 0, ""), shop.KindMaterial, shop.Source{ID: shared.ID}, "otto's white")
	c.must(err)
	mold, err := c.AddMold(c.ctx, st, shop.MoldProfile{Name: traced("pawn"), Family: "latex", Volume: 6, Cavities: 1, Notes: traced("notes")}, true)
	c.must(err)
	c.mold = mold.ID
	_, err = c.PullMold(c.ctx, st, mold.ID, false, traced("why"))
	c.must(err)
	_, err = c.AddTint(c.ctx, st, shop.TintProfile{Name: traced("red"), Family: "colored", BaseName: traced("white"), Swatch: "#C9837F"}, false)
	c.must(err)
	_, err = c.AddFormula(c.ctx, st, shop.FormulaProfile{Name: traced("sum"), Text: "1 + 1", About: traced("about")}, false)
	c.must(err)
	jug := shop.Container{MaterialID: c.kept, ContainerPlan: shop.ContainerPlan{Material: traced("white"), Part: "A", A: 600, Lot: traced("lot")}}
	jug, err = c.AddContainer(c.ctx, st, jug)
	c.must(err)
	// nora draws from otto's as well.
	ottos := shop.Container{ContainerPlan: shop.ContainerPlan{Material: "hall white", Part: "A", A: 600}}
	ottos.Shared = true
	ottos, err = c.AddContainer(c.ctx, c.after(c.otto, 0, ""), ottos)
	c.must(err)
	for _, id := range []int64{jug.ID, ottos.ID} {
		_, err = c.DrawStock(c.ctx, st, []shop.StockDraw{{Container: id, What: shop.StockUsed, A: 5}})
		c.must(err)
	}
	_, err = c.Link(c.ctx, st, shop.KindMaterial, c.kept)
	c.must(err)
	_, err = c.Offer(c.ctx, st, shop.KindMold, mold.ID, c.otto.Member.ID)
	c.must(err)
	// otto's things that lead back to nora: hers to hide as a manager, made of
	// hers, offered to her.
	his, err := c.AddMaterial(c.ctx, c.after(c.otto, 0, ""), traceable("otto's own", ""), true)
	c.must(err)
	c.must(c.Mark(c.ctx, st, shop.KindMaterial, his.ID, shop.MarkPin, ""))
	_, err = c.Offer(c.ctx, c.after(c.otto, 0, ""), shop.KindMaterial, his.ID, c.nora.Member.ID)
	c.must(err)
	_, err = c.AddMaterial(c.ctx, c.after(c.alone, 0, ""), traceable(traced("at home"), ""), false)
	c.must(err)
}

func (c *crowd) pours() {
	plan := shop.Pour{PourPlan: shop.PourPlan{Material: traced("white"), Mold: traced("pawn"), Room: 21, Where: traced("shelf")}, MaterialID: c.kept, MaterialVersion: 2, MoldID: c.mold}
	p, err := c.StartPour(c.ctx, c.after(c.nora, 0, ""), plan)
	c.must(err)
	_, err = c.NotePour(c.ctx, c.after(c.nora, time.Minute, ""), p.ID, traced("note"), "https://example.org/"+trace)
	c.must(err)
	_, err = c.AnswerPour(c.ctx, c.after(c.nora, time.Hour, ""), p.ID, shop.Look{Shared: true})
	c.must(err)
	c.must(c.PostCard(c.ctx, c.after(c.nora, 0, ""), shop.Card{Pour: p.ID, Place: trace + "-channel", Message: trace + "-message"}, eraseAt.Add(time.Hour)))
	// otto pours what nora shares: his pour keeps its name, and no way to her.
	_, err = c.StartPour(c.ctx, c.after(c.otto, 0, ""), shop.Pour{PourPlan: shop.PourPlan{Material: "hall white", Room: 21}, MaterialID: c.shared, MaterialVersion: 1})
	c.must(err)
}

func (c *crowd) calls() {
	due := shop.Due{DuePlan: shop.DuePlan{About: traced("wipe"), Zone: "UTC", Place: trace + "-channel"}, At: eraseAt.Add(time.Hour)}
	_, err := c.AddDue(c.ctx, c.after(c.nora, 0, ""), due)
	c.must(err)
	now := eraseAt.Add(2 * time.Hour)
	claims, err := c.ClaimDues(c.ctx, "discord", now, 10*time.Second, 10)
	c.must(err)
	if len(claims) == 0 {
		c.t.Fatal("nothing is due")
	}
	_, _, err = c.BeginDelivery(c.ctx, claims, trace+"-channel", now, 10*time.Second)
	c.must(err)
	due.At = now.Add(time.Hour)
	_, err = c.AddDue(c.ctx, c.after(c.nora, 0, ""), due)
	c.must(err)
}

func (c *crowd) rest() {
	st := c.after(c.nora, 0, "")
	c.must(c.SetPrefs(c.ctx, st, shop.Prefs{Units: "us"}))
	set := shop.NewSettings()
	set.Channel = "901"
	c.must(c.SetShop(c.ctx, st, set))
	// An answer for the shop is the shop's; in her own bench it is hers.
	c.must(c.SetFAQ(c.ctx, st, "keys", "by the door"))
	c.must(c.SetFAQ(c.ctx, c.after(c.alone, 0, ""), traced("topic"), traced("answer")))
	c.must(c.SaveMeasure(c.ctx, st, trace+"-hash", []byte(`{"file":"`+trace+`"}`)))
	_, err := c.SaveLine(c.ctx, st, "/term word:"+trace)
	c.must(err)
	_, err = c.MakeBoard(c.ctx, st)
	c.must(err)
	c.must(c.SaveComputed(c.ctx, "key", []byte("1"))) // which is nobody's
}

// column is one of the database's, as SQLite describes it.
type column struct {
	table, name, kind string
	refers            string // the table that a foreign key names, or ""
}

// tablesOf lists all columns of all tables but those of the migrations' tool
// and of SQLite itself.
func tablesOf(t *testing.T, db *sql.DB) map[string][]column {
	t.Helper()
	out := map[string][]column{}
	for _, table := range texts(t, db, "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name NOT LIKE 'goose_%'") {
		rows, err := db.Query("SELECT c.name, c.type, coalesce(f.\"table\", '') FROM pragma_table_info(?) c LEFT JOIN pragma_foreign_key_list(?) f ON f.\"from\" = c.name", table, table)
		if err != nil {
			t.Fatal(err)
		}
		for rows.Next() {
			c := column{table: table}
			if err := rows.Scan(&c.name, &c.kind, &c.refers); err != nil {
				t.Fatal(err)
			}
			out[table] = append(out[table], c)
		}
		if err := rows.Err(); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

func texts(t *testing.T, db *sql.DB, query string, args ...any) (all []string) {
	t.Helper()
	rows, err := db.Query(query, args...)
	if err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	defer func() { _ = rows.Close() }()
	for rows.Next() {
		var s sql.NullString
		if err := rows.Scan(&s); err != nil {
			t.Fatal(err)
		}
		all = append(all, s.String)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	return all
}

// numbers are columns that say nothing of a member: counts, times, flags,
// figures, and ids of records, which no other record ever gets. A column that
// names a member is to be a foreign key, so that it is judged by itself; a new
// one of another sort is to be thought about and added here.
var numbers = strings.Fields(`id version number created_at edited_at removed_at at saved_at since shared ready_by soft_at ended_at began_at next_at missed_at told_at
	calls delivery late coats_on coat_at good spoiled changes tries posted_at made_at origin origin_version origin_left origin_share first record material_version
	pot_life demold shore cost opened_on finished_at a b`)

// TestEraseLeavesNothing fills every table with a member's things, erases the
// member, and looks for them in every column there is and in the bytes of every
// file. A table that is added is looked into by itself, and has to be filled
// here.
func TestEraseLeavesNothing(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "erase.db")
	db := openFile(t, sqlite.Config{Path: path})
	c := gathered(t, db)
	raw := db.Raw()
	tables := tablesOf(t, raw)
	for table, columns := range tables {
		if n := hers(t, raw, c, table, columns); n == 0 && !slices.Contains(nobodys, table) {
			t.Errorf("table %s holds nothing of the member's: fill it in this test, or add it to those that hold no member's things", table)
		}
	}
	if found := inFiles(t, folder); len(found) == 0 {
		t.Fatal("the files do not hold the texts even before: this test would find nothing")
	}

	if err := db.Erase(c.ctx, c.after(c.nora, 3*time.Hour, "erase")); err != nil {
		t.Fatal(err)
	}
	for table, columns := range tables {
		if n := hers(t, raw, c, table, columns); n != 0 {
			t.Errorf("%d places in %s still hold the member", n, table)
		}
	}
	if bad := texts(t, raw, "SELECT \"table\" FROM pragma_foreign_key_check"); len(bad) > 0 {
		t.Errorf("rows of %v refer to what is gone", bad)
	}
	if found := inFiles(t, folder); len(found) > 0 {
		t.Errorf("the files still hold it: %v", found)
	}

	// What is otto's, and what was said for the shop, is still there.
	all, err := c.Materials(c.ctx, c.otto)
	if err != nil || len(all) != 2+120*4/5 || !slices.ContainsFunc(all, func(m shop.Material) bool { return m.Name == "otto's white" && m.Notes == "stir B" }) {
		t.Errorf("otto's shelf: %d materials, %v", len(all), err)
	}
	if pours, err := c.Pours(c.ctx, c.otto, 9); err != nil || len(pours) != 1 || pours[0].Material != "hall white" || pours[0].MaterialID != 0 {
		t.Errorf("otto's pours: %+v, %v", pours, err)
	}
	if faqs, err := c.FAQs(c.ctx, c.otto); err != nil || len(faqs) != 1 || faqs[0].By != "" {
		t.Errorf("the shop's answers: %+v, %v", faqs, err)
	}
}

// nobodys hold no member's things.
var nobodys = []string{"computed"}

// hers counts the values that lead to nora: her id where a foreign key names
// members, her texts anywhere. It fails for a column that it can't judge.
func hers(t *testing.T, db *sql.DB, c *crowd, table string, columns []column) (n int) {
	t.Helper()
	for _, col := range columns {
		count := func(where string, args ...any) {
			n += len(texts(t, db, fmt.Sprintf("SELECT 1 FROM %q WHERE %s", table, where), args...))
		}
		switch {
		case table == "member" && col.name == "id", col.refers == "member":
			count(fmt.Sprintf("%q = ?", col.name), int64(c.nora.Member.ID))
		case col.refers != "":
		case col.kind == "TEXT", col.kind == "BLOB", col.kind == "ANY":
			count(fmt.Sprintf("instr(lower(%q), ?) > 0", col.name), trace)
		case !slices.Contains(numbers, col.name):
			t.Errorf("%s.%s is a number that this test knows nothing of: does it lead to a member?", table, col.name)
		}
	}
	return n
}

// inFiles lists the files whose bytes hold one of nora's texts.
func inFiles(t *testing.T, folder string) (found []string) {
	t.Helper()
	files, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		data, err := os.ReadFile(filepath.Join(folder, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		if n := bytes.Count(data, []byte(trace)); n > 0 {
			found = append(found, fmt.Sprintf("%s (%d times)", f.Name(), n))
		}
	}
	return found
}

// TestExportHoldsEverything: whatever text a table keeps under a member's name
// is in the export that the member is owed.
func TestExportHoldsEverything(t *testing.T) {
	db := openFile(t, sqlite.Config{Path: filepath.Join(t.TempDir(), "export.db")})
	c := gathered(t, db)
	data, err := db.Export(c.ctx, c.nora)
	if err != nil {
		t.Fatal(err)
	}
	held := leaves(t, data)
	raw := db.Raw()
	for table, columns := range tablesOf(t, raw) {
		owner := slices.IndexFunc(columns, func(col column) bool {
			return col.refers == "member" && slices.Contains([]string{"owner", "member", "edited_by", "made_by"}, col.name)
		})
		if owner < 0 && table != "member" {
			continue
		}
		who := "id"
		if owner >= 0 {
			who = columns[owner].name
		}
		for _, col := range columns {
			if col.kind != "TEXT" || slices.Contains(notOwed, table+"."+col.name) || slices.Contains(notOwed, col.name) {
				continue
			}
			for _, text := range texts(t, raw, fmt.Sprintf("SELECT %q FROM %q WHERE %q = ? AND %q IS NOT NULL", col.name, table, who, col.name), int64(c.nora.Member.ID)) {
				for _, leaf := range leaves(t, []byte(text)) {
					if leaf != "" && !slices.Contains(held, leaf) {
						t.Errorf("%s.%s holds %q, and the export does not", table, col.name, leaf)
					}
				}
			}
		}
	}
}

// notOwed are columns that repeat another one in the form that is compared by,
// or that the program draws for its own clockwork and that mean nothing once
// it is over.
var notOwed = strings.Fields("name_key topic_key token space shore_scale cured_color board.hash delivery.key shop_setting.settings")

// leaves are the texts of a JSON value, or the text itself where it is none.
func leaves(t *testing.T, data []byte) (all []string) {
	t.Helper()
	var v any
	if json.Unmarshal(data, &v) != nil {
		return []string{string(data)}
	}
	var walk func(any)
	walk = func(v any) {
		switch v := v.(type) {
		case string:
			all = append(all, v)
			if strings.HasPrefix(v, "{") {
				var inner any
				if json.Unmarshal([]byte(v), &inner) == nil {
					walk(inner)
				}
			}
		case []any:
			for _, one := range v {
				walk(one)
			}
		case map[string]any:
			for _, one := range v {
				walk(one)
			}
		}
	}
	walk(v)
	return all
}
