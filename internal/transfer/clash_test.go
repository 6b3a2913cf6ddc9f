package transfer_test

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/transfer"
)

const clashing = "name,family,ratio,pot_life_s,price\nbench white,urethane,1:1 vol,180,44\nBENCH  black,urethane,1:1 vol,180,\nclear,epoxy,100:45 wt,2400,\n"

// clash is ada with a white that costs 42 with notes, and the same black.
func clash(t *testing.T, limits store.Limits) *world {
	t.Helper()
	w, end := newWorld(t, limits)
	t.Cleanup(end)
	w.imported(t, w.ada, []byte("name,family,ratio,pot_life_s,price,notes\nBench White,urethane,1:1 vol,180,42,stir B\nbench black,urethane,1:1 vol,180,,\n"), transfer.Materials, transfer.Choice{})
	return w
}

func (w *world) materials(t *testing.T) map[string]shop.Material {
	t.Helper()
	all, err := w.Materials(w.ctx, w.ada)
	if err != nil {
		t.Fatal(err)
	}
	by := map[string]shop.Material{}
	for _, m := range all {
		by[m.Name] = m
	}
	return by
}

func TestClash(t *testing.T) {
	w := clash(t, store.DefaultLimits())
	rep := w.looked(t, w.ada, clashing, transfer.Materials)
	if rep.Count(transfer.Changed) != 2 || rep.Count(transfer.Fresh) != 1 {
		t.Fatalf("%+v", rep)
	}
	changes := rep.Parts[0].Entries[0].Changes
	if len(changes) != 2 || changes[1] != (transfer.Change{Column: "price", From: "42", To: "44"}) || changes[0].Column != "name" {
		t.Errorf("changes %+v", changes)
	}
	if len(w.materials(t)) != 2 {
		t.Error("the look alone wrote")
	}
	file, err := transfer.Read([]byte(clashing), transfer.Materials)
	if err != nil {
		t.Fatal(err)
	}
	_, err = w.desk().Import(w.ctx, by(w.ada), file, transfer.Choice{})
	if !fault.Is(err, fault.MissingOption) || fault.As(err).Option != "on_clash" || len(fault.As(err).Choices()) != 3 {
		t.Errorf("unasked: %v", err)
	}
	if len(w.materials(t)) != 2 {
		t.Error("a refused import wrote")
	}

	done := w.imported(t, w.ada, []byte(clashing), transfer.Materials, transfer.Choice{OnClash: transfer.Skip}).Parts[0].Done
	if done != (transfer.Done{Added: 1, Kept: 2}) || w.materials(t)["Bench White"].Price != 42 {
		t.Errorf("skip: %+v", done)
	}
	done = w.imported(t, w.ada, []byte(clashing), transfer.Materials, transfer.Choice{OnClash: transfer.AddNew}).Parts[0].Done
	all := w.materials(t)
	if done != (transfer.Done{Added: 2, Kept: 1}) || all["bench white (2)"].Price != 44 || all["Bench White"].Price != 42 {
		t.Errorf("new: %+v, %v", done, all)
	}
	done = w.imported(t, w.ada, []byte(clashing), transfer.Materials, transfer.Choice{OnClash: transfer.Replace}).Parts[0].Done
	white := w.materials(t)["bench white"]
	if done != (transfer.Done{Replaced: 2, Kept: 1}) || white.Price != 44 || white.Version != 2 {
		t.Errorf("replace: %+v, %+v", done, white)
	}
	// A table without a column leaves what is kept there alone.
	if white.Notes != "stir B" {
		t.Errorf("notes %q, want those that were kept", white.Notes)
	}
	old, err := w.Material(w.ctx, w.ada, white.ID, 1)
	if err != nil || old.Price != 42 {
		t.Errorf("the version before: %+v, %v", old, err)
	}
}

// An empty cell of a column that is there empties the value; a row of JSON says
// for itself all that it has.
func TestEmptyCellsEmpty(t *testing.T) {
	w := clash(t, store.DefaultLimits())
	w.imported(t, w.ada, []byte("name,family,ratio,pot_life_s,notes\nBench White,urethane,1:1 vol,180,\n"), transfer.Materials, transfer.Choice{OnClash: transfer.Replace})
	if m := w.materials(t)["Bench White"]; m.Notes != "" || m.Price != 42 {
		t.Errorf("by CSV: %+v", m)
	}
	w.imported(t, w.ada, []byte(`{"schema": "pourwright/1", "materials": [{"name": "Bench White", "family": "urethane", "ratio": "1:1 vol", "pot_life_s": 180}]}`), "", transfer.Choice{OnClash: transfer.Replace})
	if m := w.materials(t)["Bench White"]; m.Price != 0 {
		t.Errorf("by JSON: %+v", m)
	}
}

// One bad row stops all of a file, unless bad rows are to be left out.
func TestAllOrNothing(t *testing.T) {
	w := emptied(t)
	text := []byte("name,family,ratio,pot_life_s\na,urethane,1:1 vol,180\nb,urethane,1:1 vol,soon\n")
	file, err := transfer.Read(text, transfer.Materials)
	if err != nil {
		t.Fatal(err)
	}
	_, err = w.desk().Import(w.ctx, by(w.ada), file, transfer.Choice{})
	f := fault.As(err)
	if f == nil || f.Code != fault.BadFile || f.Option != "file" || !strings.Contains(f.HintText(), "line 3, column D") || !strings.Contains(f.HintText(), "skip_bad:yes") {
		t.Errorf("got %v", err)
	}
	if len(w.materials(t)) != 0 {
		t.Error("a refused import wrote")
	}
	done := w.imported(t, w.ada, text, transfer.Materials, transfer.Choice{SkipBad: true}).Parts[0].Done
	if done != (transfer.Done{Added: 1, LeftOut: 1}) || len(w.materials(t)) != 1 {
		t.Errorf("%+v", done)
	}

	// The second kind is refused after the first was written: both are undone.
	text = []byte(`{"schema": "pourwright/1", "materials": [{"name": "c", "family": "epoxy", "ratio": "1:1 wt", "pot_life_s": 600}], "pulls": [{"mold": "nowhere", "what": "good", "at": "2026-11-20T09:30:00Z"}]}`)
	if file, err = transfer.Read(text, ""); err != nil {
		t.Fatal(err)
	}
	if _, err = w.desk().Import(w.ctx, by(w.ada), file, transfer.Choice{}); !fault.Is(err, fault.BadFile) {
		t.Errorf("got %v", err)
	}
	if len(w.materials(t)) != 1 {
		t.Error("a refused import kept its first kind")
	}
}

// Past the limits of the store a file is refused politely and whole.
func TestImportLimits(t *testing.T) {
	limits := store.DefaultLimits()
	limits.Materials, limits.Pulls = 3, 2
	w := clash(t, limits)
	file, err := transfer.Read([]byte("name,family,ratio,pot_life_s\na,urethane,1:1 vol,180\nb,urethane,1:1 vol,180\n"), transfer.Materials)
	if err != nil {
		t.Fatal(err)
	}
	_, err = w.desk().Import(w.ctx, by(w.ada), file, transfer.Choice{})
	f := fault.As(err)
	if f == nil || f.Code != fault.LimitReached || !strings.Contains(f.HintText(), "room for 1") || len(w.materials(t)) != 2 {
		t.Errorf("got %v, %v", err, w.materials(t))
	}
	if _, err := w.AddMold(w.ctx, by(w.ada), shop.MoldProfile{Name: "pawn", Family: "latex", Volume: 6, Cavities: 1}, false); err != nil {
		t.Fatal(err)
	}
	rows := "mold,what,at\n" + strings.Repeat("pawn,good,2026-11-20 09:30\n", 3)
	if file, err = transfer.Read([]byte(rows), transfer.Pulls); err != nil {
		t.Fatal(err)
	}
	if _, err = w.desk().Import(w.ctx, by(w.ada), file, transfer.Choice{}); !fault.Is(err, fault.LimitReached) {
		t.Errorf("got %v", err)
	}
}

// Only own things go out and only own things are held against a file; what
// others share is neither taken for one's own nor changed.
func TestOthersThings(t *testing.T) {
	w := clash(t, store.DefaultLimits())
	bram := w.viewer(t, "bram", "hall")
	if _, err := w.AddMaterial(w.ctx, by(bram), material.Profile{Name: "bram's", Family: material.Epoxy}, true); err != nil {
		t.Fatal(err)
	}
	if text := string(w.exported(t, w.ada, transfer.CSV, transfer.Materials)[0].Data); strings.Contains(text, "bram") {
		t.Errorf("ada's file holds what is bram's:\n%s", text)
	}
	rep := w.looked(t, w.ada, "name,family,ratio,pot_life_s\nBRAM'S,urethane,1:1 vol,180\n", transfer.Materials)
	if rep.Count(transfer.Fresh) != 1 {
		t.Errorf("%+v", rep)
	}
}

// Logs grow at their end, count on where a number is left out, and go to the
// mold that came in with them, whatever it is called now.
func TestPulls(t *testing.T) {
	w := emptied(t)
	mold, err := w.AddMold(w.ctx, by(w.ada), shop.MoldProfile{Name: "Pawn", Family: "latex", Volume: 6, Cavities: 1, Pulls: 10, ReleaseEvery: 5}, false)
	if err != nil {
		t.Fatal(err)
	}
	rows := "mold,what,why,at\npawn,good,,2026-11-20 09:30\npawn,coat,,2026-11-20 09:40\npawn,spoiled,bubbles,2026-11-20T10:30:00+01:00\n"
	w.imported(t, w.ada, []byte(rows), transfer.Pulls, transfer.Choice{})
	got, err := w.Mold(w.ctx, w.ada, mold.ID, 0)
	if err != nil || got.PullsSoFar() != 12 || got.Tally.Spoiled != 1 || got.CoatedAt() != 11 {
		t.Errorf("%+v, %v", got, err)
	}
	again := w.imported(t, w.ada, []byte(rows), transfer.Pulls, transfer.Choice{})
	if again.Count(transfer.Same) != 3 {
		t.Errorf("again: %+v", again)
	}
	rep := w.looked(t, w.ada, "mold,what,at\npawn,good,2026-11-01\nrook,good,2026-11-20\nshell,ruined,2026-11-20\npawn,good,tomorrow\n", transfer.Pulls)
	for i, says := range []string{"goes on after that time", "no mold of yours", "no \"ruined\"", "is no time"} {
		if e := rep.Parts[0].Entries[i]; e.Verdict != transfer.Refused || !strings.Contains(e.Problems[0].Message, says) {
			t.Errorf("row %d: %+v, want %q", i, e, says)
		}
	}
	both := `{"schema": "pourwright/1", "molds": [{"name": "pawn", "family": "latex", "volume_ml": 7}], "pulls": [{"mold": "pawn", "what": "good", "at": "2026-11-02T09:30:00Z"}]}`
	w.imported(t, w.ada, []byte(both), "", transfer.Choice{OnClash: transfer.AddNew})
	molds, err := w.Molds(w.ctx, w.ada)
	if err != nil || len(molds) != 2 || molds[1].Name != "pawn (2)" || molds[1].Tally.Good != 1 || molds[0].PullsSoFar() != 12 {
		t.Errorf("%+v, %v", molds, err)
	}
}

// A pour that is kept is not written anew, and one whose material is not here
// keeps its figures and teaches nothing.
func TestPours(t *testing.T) {
	w := emptied(t)
	w.imported(t, w.ada, []byte("name,family,ratio,pot_life_s\nwhite,urethane,1:1 vol,180\n"), transfer.Materials, transfer.Choice{})
	const head = "material,profile,state,started,ended,room_c,physics_s,answers\n"
	row := func(profile, answers string) string {
		return "white," + profile + ",ready,2026-11-20T09:30:00Z,2026-11-20T09:50:00Z,21,900,\"" + answers + "\"\n"
	}
	w.imported(t, w.ada, []byte(head+row("White", "soft 600\nready 1200")), transfer.Pours, transfer.Choice{})
	white := w.materials(t)["white"]
	logs, err := w.CureLogs(w.ctx, w.ada, white.ID)
	if err != nil || len(logs) != 2 || logs[1].ReadyBy != 1200 || logs[1].Physics != 900 || logs[1].MaterialVersion != white.Version {
		t.Errorf("teaches %+v, %v", logs, err)
	}
	if rep := w.looked(t, w.ada, head+row("white", "soft 600\nready 1200"), transfer.Pours); rep.Count(transfer.Same) != 1 {
		t.Errorf("again: %+v", rep)
	}
	rep := w.looked(t, w.ada, head+row("white", "ready 1300"), transfer.Pours)
	if e := rep.Parts[0].Entries[0]; e.Verdict != transfer.Refused || !strings.Contains(e.Problems[0].Hint, "not written anew") {
		t.Errorf("otherwise: %+v", e)
	}
	rep = w.imported(t, w.zoe, []byte(head+row("white", "ready 1200")), transfer.Pours, transfer.Choice{})
	if e := rep.Parts[0].Entries[0]; len(e.Notes) != 1 || !strings.Contains(e.Notes[0], "teaches nothing") {
		t.Errorf("without its material: %+v", e)
	}
	for _, c := range []struct{ name, row, says string }{
		{"no room", "w,,running,2026-11-20T09:30:00Z,,,,\n", "empty"},
		{"running and ended", "w,,running,2026-11-20T09:30:00Z,2026-11-20T09:50:00Z,21,,\n", "running and has ended"},
		{"ended and not said when", "w,,done,2026-11-20T09:30:00Z,,21,,\n", "empty"},
		{"ended before", "w,,done,2026-11-20T09:30:00Z,2026-11-19T09:50:00Z,21,,\n", "before it started"},
		{"an answer of nothing", "w,,ready,2026-11-20T09:30:00Z,2026-11-20T09:50:00Z,21,,hard 3\n", "is no answer"},
		{"ready twice", "w,,ready,2026-11-20T09:30:00Z,2026-11-20T09:50:00Z,21,,\"ready 3\nready 4\"\n", "2 times"},
	} {
		rep := w.looked(t, w.ada, head+c.row, transfer.Pours)
		if e := rep.Parts[0].Entries[0]; e.Verdict != transfer.Refused || !strings.Contains(e.Problems[0].Message, c.says) {
			t.Errorf("%s: %+v", c.name, e)
		}
	}
}
