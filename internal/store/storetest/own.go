package storetest

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
)

// owned is the part of an export that the cases look at, in a form of their
// own, so that a change of the export's shows.
type owned struct {
	Member struct {
		Key, Name string
		Prefs     shop.Prefs
	}
	Manages []struct{ Shop string }
	Records map[string][]struct {
		ID       int64
		Shared   bool
		Removed  *time.Time
		Versions []struct {
			Number  int
			Profile material.Profile
		}
	}
	Pours []struct {
		State string
		Plan  shop.PourPlan
		Found []struct {
			ReadyBy   float64 `json:"ready_by"`
			TakenBack *time.Time
		}
	}
	Pulls []struct {
		What, Why string
		TakenBack *time.Time `json:"taken_back"`
	}
	Containers []struct {
		Plan shop.ContainerPlan
		Log  []struct {
			What      string
			A         float64
			Mine      bool
			TakenBack *time.Time `json:"taken_back"`
		}
	}
	Drawn        []struct{ What string }
	Answers      []struct{ Shop, Topic, Answer string }
	Measures     []struct{ Hash, Result string }
	Lines        []struct{ ID, Line string }
	Boards       []struct{ Shop string }
	Interactions []struct{ ID string }
}

func exported(t testing.TB, w *world, v shop.Viewer) owned {
	t.Helper()
	text, err := w.Export(w.ctx, v)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(text, []byte("\n  \"")) {
		t.Errorf("export is not indented:\n%s", text)
	}
	var got owned
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatalf("export does not read back: %v\n%s", err, text)
	}
	return got
}

// keepSome puts something of each kind under v's name.
func keepSome(t *testing.T, w *world, v shop.Viewer) (m shop.Material, line string) {
	t.Helper()
	m = w.add(v, "kept by "+v.Member.Name, true)
	m, err := w.EditMaterial(w.ctx, under(v, "edit by "+v.Member.Name), m.ID, 1, m.Profile)
	if err != nil {
		t.Fatal(err)
	}
	gone := w.add(v, "removed by "+v.Member.Name, false)
	admin := v
	admin.Manager = true
	for what, err := range map[string]error{
		"remove":  w.RemoveMaterial(w.ctx, by(v), gone.ID),
		"mold":    w.pulledMold(v, "mold of "+v.Member.Name),
		"tint":    second(w.AddTint(w.ctx, by(v), shop.TintProfile{Name: "tint of " + v.Member.Name, Swatch: "#C9837F"}, true)),
		"formula": second(w.AddFormula(w.ctx, by(v), shop.FormulaProfile{Name: "formula of " + v.Member.Name, Text: "1"}, true)),
		"prefs":   w.SetPrefs(w.ctx, by(v), shop.Prefs{To: "dm"}),
		"faq":     w.SetFAQ(w.ctx, by(admin), "topic of "+v.Member.Name, "answer of "+v.Member.Name),
		"measure": w.SaveMeasure(w.ctx, by(v), "hash-"+v.Member.Name, []byte(`{"by":"`+v.Member.Name+`"}`)),
	} {
		if err != nil {
			t.Fatalf("%s: %v", what, err)
		}
	}
	w.pourOf(t, v, m)
	w.stockOf(t, v, m)
	if line, err = w.SaveLine(w.ctx, by(v), "/me show by:"+v.Member.Name); err != nil {
		t.Fatal(err)
	}
	return m, line
}

// pourOf keeps a pour with a shared answer.
func (w *world) pourOf(t *testing.T, v shop.Viewer, m shop.Material) {
	t.Helper()
	if _, err := w.AnswerPour(w.ctx, later(v, time.Hour), w.start(t, v, m).ID, shop.Look{Ready: true, Shared: true}); err != nil {
		t.Fatal(err)
	}
}

func export(t *testing.T, open Open) {
	w := usual(t, open)
	keepSome(t, w, w.ada)
	keepSome(t, w, w.bram)
	got := exported(t, w, w.ada)
	if got.Member.Key != "local:ada" || got.Member.Name != "ada" || got.Member.Prefs.To != "dm" {
		t.Errorf("member: %+v", got.Member)
	}
	if len(got.Manages) != 1 || got.Manages[0].Shop != "The Hall" {
		t.Errorf("manages: %+v", got.Manages)
	}
	if m := got.Records["material"]; len(m) != 2 || len(m[0].Versions) != 2 || m[0].Versions[1].Profile.Name != "kept by ada" ||
		m[0].Versions[1].Profile.DensityA != 1.10 || m[0].Removed != nil || m[1].Removed == nil || !m[0].Shared || m[1].Shared {
		t.Errorf("materials: %+v", m)
	}
	if m := got.Records["mold"]; len(m) != 1 || m[0].Versions[0].Profile.Name != "mold of ada" {
		t.Errorf("molds: %+v", m)
	}
	if p := got.Pulls; len(p) != 3 || p[0].What != "spoiled" || p[0].Why != "by ada" || p[1].What != "coat" || p[2].TakenBack == nil {
		t.Errorf("pulls: %+v", p)
	}
	if m := got.Records["tint"]; len(m) != 1 || m[0].Versions[0].Profile.Name != "tint of ada" {
		t.Errorf("tints: %+v", m)
	}
	if m := got.Records["formula"]; len(m) != 1 || m[0].Versions[0].Profile.Name != "formula of ada" {
		t.Errorf("formulas: %+v", m)
	}
	if p := got.Pours; len(p) != 1 || p[0].State != "ready" || p[0].Plan.Material != "kept by ada" || p[0].Plan.Foreseen.Physics != 900 ||
		len(p[0].Found) != 1 || p[0].Found[0].ReadyBy != 3600 || p[0].Found[0].TakenBack != nil {
		t.Errorf("pours: %+v", p)
	}
	if c := got.Containers; len(c) != 1 || c[0].Plan.Lot != "lot of ada" || len(c[0].Log) != 3 || c[0].Log[1].A != 10 || !c[0].Log[1].Mine || c[0].Log[2].TakenBack == nil {
		t.Errorf("containers: %+v", c)
	}
	if len(got.Answers) != 1 || got.Answers[0].Answer != "answer of ada" || len(got.Measures) != 1 || got.Measures[0].Hash != "hash-ada" ||
		len(got.Lines) != 1 || got.Lines[0].Line != "/me show by:ada" || len(got.Interactions) != 1 || got.Interactions[0].ID != "edit by ada" {
		t.Errorf("the rest: %+v", got)
	}
	text, err := w.Export(w.ctx, w.ada)
	if err != nil || strings.Contains(string(text), "bram") {
		t.Errorf("ada's export (%v) tells of bram:\n%s", err, text)
	}
}

func erase(t *testing.T, open Open) {
	w := usual(t, open)
	adas, line := keepSome(t, w, w.ada)
	brams, _ := keepSome(t, w, w.bram)
	if err := w.SetManager(w.ctx, by(w.ada), w.bram.Member.ID, true); err != nil {
		t.Fatal(err)
	}
	before := exported(t, w, w.bram)
	if err := w.Erase(w.ctx, under(w.ada, "erase")); err != nil {
		t.Fatal(err)
	}
	if got := exported(t, w, w.ada); len(got.Records["material"])+len(got.Records["mold"])+len(got.Records["tint"])+len(got.Records["formula"])+len(got.Answers)+len(got.Measures)+
		len(got.Lines)+len(got.Interactions)+len(got.Manages)+len(got.Pours) != 0 || got.Member.Name != "" {
		t.Errorf("still held: %+v", got)
	}
	_, err := w.Material(w.ctx, w.bram, adas.ID, 0)
	mustRefuse(t, "the shared record", err, fault.NotFound)
	if _, ok, err := w.Line(w.ctx, w.bram, line); ok || err != nil {
		t.Errorf("the line is there (%v)", err)
	}
	if list, _ := w.FAQs(w.ctx, w.bram); len(list) != 2 || list[0].By != "" || list[0].Answer != "answer of ada" || list[1].By != "bram" {
		t.Errorf("the shop's answers: %+v", list)
	}
	if list, _ := w.Managers(w.ctx, w.bram); len(list) != 1 || list[0].Name != "bram" {
		t.Errorf("managers: %+v", list)
	}
	if after := exported(t, w, w.bram); len(after.Records["material"]) != len(before.Records["material"]) || len(after.Measures) != 1 {
		t.Errorf("bram lost something: %+v", after)
	}
	if err := w.Erase(w.ctx, under(w.ada, "erase")); err != nil && fault.As(err) == nil {
		t.Errorf("a second delivery: %v", err)
	}

	// An old viewer must not write for who is gone, and no id comes back.
	_, err = w.AddMaterial(w.ctx, by(w.ada), profile("late"), true)
	mustRefuse(t, "a late write", err, fault.NotFound)
	_, err = w.AddMaterial(w.ctx, under(w.ada, "late"), profile("late"), true)
	mustRefuse(t, "a late write from chat", err, fault.NotFound)
	if back := w.member("local:ada", "ada"); back.ID == w.ada.Member.ID || back.Pref != (shop.Prefs{}) {
		t.Errorf("who comes back is %+v, was id %d", back, w.ada.Member.ID)
	}
	if now, err := w.Material(w.ctx, w.bram, brams.ID, 0); err != nil || now.Owner != w.bram.Member.ID {
		t.Errorf("bram's own record: %+v, %v", now, err)
	}
}

// eraseBench: the shop that a member has alone in direct messages, whose key
// is the member's own, goes with the member; one where others keep something
// stays.
func eraseBench(t *testing.T, open Open) {
	w := usual(t, open)
	at := func(name string) shop.Viewer {
		m := w.member("local:"+name, name)
		return shop.Viewer{Member: m, Shop: w.shop("local:"+name, name+"'s bench", m.ID)}
	}
	for _, c := range []struct {
		name  string
		guest bool
	}{{"zoe", false}, {"yan", true}} {
		v := at(c.name)
		w.add(v, "own", true)
		if err := w.SetFAQ(w.ctx, by(shop.Viewer{Member: v.Member, Shop: v.Shop, Manager: true}), "topic", "answer"); err != nil {
			t.Fatal(err)
		}
		if c.guest {
			w.add(shop.Viewer{Member: w.bram.Member, Shop: v.Shop}, "a guest's", false)
		}
		if err := w.Erase(w.ctx, by(v)); err != nil {
			t.Fatal(err)
		}
		if again := w.shop("local:"+c.name, "", 0); (again.ID == v.Shop.ID) != c.guest {
			t.Errorf("%s's bench was %d and is %d", c.name, v.Shop.ID, again.ID)
		}
	}
}

// idsStay: an id of something erased never comes to mean something else, be it
// the last one that was given.
func idsStay(t *testing.T, open Open) {
	w := usual(t, open)
	gone := shop.Viewer{Member: w.member("local:zoe", "zoe"), Shop: w.ada.Shop}
	record := w.add(gone, "last", true)
	if err := w.Erase(w.ctx, by(gone)); err != nil {
		t.Fatal(err)
	}
	next := w.member("local:yan", "yan")
	if next.ID <= gone.Member.ID {
		t.Errorf("the next member has id %d, the erased one had %d", next.ID, gone.Member.ID)
	}
	if again := w.add(shop.Viewer{Member: next, Shop: w.ada.Shop}, "next", true); again.ID <= record.ID {
		t.Errorf("the next record has id %d, the erased one had %d", again.ID, record.ID)
	}
}
