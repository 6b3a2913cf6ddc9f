package commands_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// pristine is a new demo shop for each answer: a pull changes the next one.
func pristine(t *testing.T, as, line string) chat.Answer { return ask(t, desk(t), as, line) }

func TestMold(t *testing.T) {
	for name, line := range map[string]string{
		"mold_show":           `/mold show mold:"harbor pawn"`,
		"mold_show_retired":   `/mold show mold:"dice tray"`,
		"mold_list":           `/mold list`,
		"mold_pull":           `/mold pull mold:"harbor pawn"`,
		"mold_pull_due":       `/mold pull mold:"viaduct arch" result:spoiled why:"bubbles at the crown"`,
		"mold_release":        `/mold release mold:"viaduct arch"`,
		"mold_retire":         `/mold retire mold:"harbor pawn" why:torn note:"at the neck"`,
		"mold_retire_lost":    `/mold retire mold:"harbor pawn" why:lost`,
		"mold_life":           `/mold life mold:"harbor pawn"`,
		"mold_life_retired":   `/mold life mold:"dice tray"`,
		"mold_build_block":    `/mold build kind:block material:"demo tin silicone" master:"60 ml" box:"84 x 64 x 47 mm" made_of:"sulfur clay"`,
		"mold_build_two_part": `/mold build kind:two-part material:"demo addition silicone" master:"60 ml" box:"84 x 64 x 47 mm" made_of:"printed UV"`,
		"mold_build_brushed":  `/mold build kind:brushed material:"demo tin silicone" master:"850 cm2" coats:4`,
		"mold_build_urethane": `/mold build kind:block material:"demo flexible amber" master:"60 ml" box:"84 x 64 x 47 mm" made_of:wood`,
		"mold_add":            `/mold add name:"arch 2, tin cure" volume:"31 ml, 4" thickest:"22 mm, 7 mm" pulls:13 made_on:2026-03-01 cost:12.5`,
		"mold_remove":         `/mold remove mold:"harbor pawn"`,
		"batch_mold_due":      `/batch material:"demo rigid white" mold:"harbor pawn" count:30`,
	} {
		golden(t, name, pristine(t, "ada", line))
	}
	golden(t, "mold_life_working", press(t, desk(t), "ada", pristine(t, "ada", `/mold life mold:"harbor pawn"`), "Show working"))
}

// The counters are those of the contract: pulls mod release_every count as
// since the last coat when a mold is added, and 0 is due now.
func TestMoldCounters(t *testing.T) {
	d := desk(t)
	for name, want := range map[string][3]float64{
		"harbor pawn": {17, 2, 3}, "harbor pawn 2": {3, 3, 2}, "shell knob": {4, 4, 1}, "viaduct arch": {29, 4, 1}, "dice tray": {41, 1, 4},
	} {
		counted(t, told(t, d, "bram", `/mold show mold:"`+name+`"`), name, want)
	}
	counted(t, told(t, d, "ada", `/mold add name:added family:condensation volume:10ml pulls:17`), "added", [3]float64{17, 2, 3})
	counted(t, told(t, d, "ada", `/mold add name:"every four" family:condensation volume:10ml pulls:18 release_every:4`), "every four", [3]float64{18, 2, 2})
	counted(t, told(t, d, "ada", `/mold pull mold:"viaduct arch"`), "pulled", [3]float64{30, 5, 0})
	r := told(t, d, "ada", `/mold pull mold:"viaduct arch" result:spoiled`)
	counted(t, r, "pulled late", [3]float64{31, 6, 0})
	if !said(r, "1.5 pulls of wear") {
		t.Errorf("a late pull is not said to wear more: %q", r.Notes)
	}
	counted(t, told(t, d, "ada", `/mold release mold:"viaduct arch"`), "coated", [3]float64{31, 0, 5})
	counted(t, told(t, d, "ada", `/mold undo mold:"viaduct arch"`), "the coat taken back", [3]float64{31, 6, 0})
	counted(t, told(t, d, "ada", `/mold edit mold:"viaduct arch" pulls:40`), "set right", [3]float64{40, 0, 5})
	counted(t, told(t, d, "ada", `/mold pull mold:"viaduct arch"`), "pulled on", [3]float64{41, 1, 4})
}

func counted(t *testing.T, r *chat.Reply, what string, want [3]float64) {
	t.Helper()
	for i, key := range []string{"pulls", "pulls_since_release", "release_due"} {
		if got := valued(t, r, key); got != want[i] {
			t.Errorf("%s: %s is %v, want %v", what, key, got, want[i])
		}
	}
}

// What a member does shows in the estimate: more pulls survived lengthen it, a
// failure early in life shortens it, a mold that was lost does not.
func TestMoldLifeLearns(t *testing.T) {
	d := desk(t)
	const life = `/mold life mold:"harbor pawn 2"`
	median := func() float64 { t.Helper(); return valued(t, told(t, d, "ada", life), "life_median") }
	start := median()
	if start < 25 || start > 45 {
		t.Errorf("the demo's condensation molds last %v pulls: common practice is 20 to 60", start)
	}
	told(t, d, "ada", `/mold add name:old family:condensation volume:10ml`)
	for range 3 {
		told(t, d, "ada", `/mold pull mold:old`)
	}
	more := median()
	if more <= start {
		t.Errorf("three pulls of a mold that is whole move %v to %v", start, more)
	}
	told(t, d, "ada", `/mold retire mold:old why:lost`)
	if got := median(); got != more {
		t.Errorf("a lost mold moves %v to %v", more, got)
	}
	told(t, d, "ada", `/mold edit mold:old clear:retired`)
	told(t, d, "ada", `/mold retire mold:old why:torn`)
	if got := median(); got >= more {
		t.Errorf("a mold torn at its third pull moves %v to %v", more, got)
	}
	told(t, d, "cleo", `/mold add name:hidden family:condensation volume:10ml pulls:1`)
	before := median()
	told(t, d, "cleo", `/mold retire mold:hidden why:torn`)
	if got := median(); got != before {
		t.Errorf("a mold that another keeps hidden moves %v to %v", before, got)
	}
}

// The facts of a life hang together and carry their ranges.
func TestMoldLifeFacts(t *testing.T) {
	r := told(t, desk(t), "ada", `/mold life mold:"harbor pawn" next:1`)
	for _, key := range []string{"life_median", "pull_risk", "next_risk", "pulls_left"} {
		f := fact(t, r, key)
		if f.Low == nil || f.High == nil || !(*f.Low <= f.Value.(float64) && f.Value.(float64) <= *f.High) {
			t.Errorf("%s: %+v", key, f)
		}
	}
	if a, b := valued(t, r, "pull_risk"), valued(t, r, "next_risk"); a != b || a <= 0 || a >= 0.2 {
		t.Errorf("risk of the next pull %v, of the next one %v", a, b)
	}
	if !said(r, "Mostly common practice so far", "4 condensation molds", "one came to an end") || len(r.Images) != 1 || !strings.Contains(r.Images[0].Alt, "counted, 4 molds") {
		t.Errorf("notes %q, pictures %+v", r.Notes, r.Images)
	}
	late := told(t, desk(t), "ada", `/mold life mold:"dice tray"`)
	for _, f := range late.Facts {
		if f.Key == "pull_risk" {
			t.Errorf("a retired mold has a next pull: %+v", f)
		}
	}
}

func TestMoldRefusals(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/mold add name:"worked" family:latex volume:10ml`)
	told(t, d, "ada", `/mold pull mold:worked`)
	told(t, d, "ada", `/mold pull mold:worked`)
	for _, c := range []struct {
		as, line string
		code     fault.Code
		option   string
	}{
		{"ada", `/mold show mold:"nothing like it"`, fault.UnknownMold, "mold"},
		{"ada", `/mold pull mold:"harber pawn"`, fault.UnknownMold, "mold"},
		{"ada", `/mold release mold:"harber pawn"`, fault.UnknownMold, "mold"},
		{"ada", `/mold retire mold:"harber pawn" why:torn`, fault.UnknownMold, "mold"},
		{"bram", `/mold pull mold:"harbor pawn"`, fault.NotAllowed, "mold"},
		{"bram", `/mold release mold:"harbor pawn"`, fault.NotAllowed, "mold"},
		{"bram", `/mold retire mold:"harbor pawn" why:torn`, fault.NotAllowed, "mold"},
		{"bram", `/mold remove mold:"harbor pawn" sure:yes`, fault.NotAllowed, "mold"},
		{"cleo", `/mold pull mold:"dice tray"`, fault.NotAllowed, "mold"},
		{"ada", `/mold retire mold:"harbor pawn" why:bored`, fault.NotFound, "why"},
		{"ada", `/mold undo mold:"harbor pawn"`, fault.NotFound, "mold"},
		{"ada", `/mold add name:x family:condensation`, fault.MissingOption, "volume"},
		{"ada", `/mold add name:x volume:10ml`, fault.MissingOption, "family"},
		{"ada", `/mold add name:x family:silicone volume:10ml`, fault.AmbiguousName, "family"},
		{"ada", `/mold add name:x family:condensation volume:10ml thickest:5mm thinnest:9mm`, fault.OutOfRange, "thinnest"},
		{"ada", `/mold add name:x family:condensation volume:10ml made_on:soon`, fault.BadTime, "made_on"},
		{"ada", `/mold add name:x family:condensation volume:10ml made_on:2030-01-01`, fault.BadTime, "made_on"},
		{"ada", `/mold add name:x family:condensation volume:10ml unit:mm`, fault.TooManyOptions, "unit"},
		{"ada", `/mold add name:"harbor pawn" family:condensation volume:10ml`, fault.NameTaken, "name"},
		{"ada", `/mold edit mold:worked pulls:1`, fault.OutOfRange, "pulls"},
		{"ada", `/mold edit mold:worked clear:volume`, fault.UnknownOption, "clear"},
		{"ada", `/mold build kind:block material:"demo rigid white" master:60ml box:"84 x 64 x 47 mm"`, fault.OutOfRange, "material"},
		{"ada", `/mold build kind:block material:"demo tin silicone" master:60ml`, fault.MissingOption, "box"},
		{"ada", `/mold build kind:block material:"demo tin silicone" box:"84 x 64 x 47 mm"`, fault.MissingOption, "file"},
		{"ada", `/mold build kind:block material:"demo tin silicone" master:"850 cm2" box:"84 x 64 x 47 mm"`, fault.BadQuantity, "master"},
		{"ada", `/mold build kind:brushed material:"demo tin silicone" master:60ml`, fault.BadQuantity, "master"},
		{"ada", `/mold build kind:brushed material:"demo tin silicone" master:"850 cm2" box:"84 x 64 x 47 mm"`, fault.TooManyOptions, "box"},
		{"ada", `/mold build kind:block material:"demo tin silicone" master:60ml box:"84 x 64 x 47 mm" coats:2`, fault.TooManyOptions, "coats"},
		{"ada", `/mold build kind:block material:"demo tin silicone" master:60ml box:"84 x 64 x 47 mm" wall:12mm`, fault.TooManyOptions, "wall"},
		{"ada", `/mold build kind:block material:"demo tin silicone" master:60ml box:"84 x 64 mm"`, fault.BadQuantity, "box"},
		{"ada", `/mold build kind:block material:"demo tin silicone" master:60ml box:"20 x 20 x 20 mm"`, fault.OutOfRange, "box"},
		{"ada", `/mold build kind:block material:"demo tin silicone" master:60ml box:"84 x 64 x 47 mm" made_of:cheese`, fault.NotFound, "made_of"},
	} {
		t.Run(c.line, func(t *testing.T) { refused(t, d, c.as, c.line, c.code, c.option) })
	}
}

// A mold from the master's file: a cube of 20 mm holds 8 mL.
func TestMoldFromFile(t *testing.T) {
	d := desk(t)
	ans := attach(t, d, `/mold add name:cube family:condensation unit:mm`, cube(20).STL(""))
	if ans.Reply == nil {
		t.Fatal(ans.Fault)
	}
	near(t, ans.Reply, "volume", 8, 0.001)
	near(t, ans.Reply, "thickest", 20, 0.5)
	if len(ans.Reply.Images) != 1 {
		t.Error("the part is not shown")
	}
	// 40 mm cubed less 20 mm cubed, 10 mm all round: 64 − 8 = 56 mL.
	ans = attach(t, d, `/mold build kind:block material:"demo tin silicone" unit:mm`, cube(20).STL(""))
	near(t, ans.Reply, "volume", 56, 0.001)
	// Steiner's shell: 2400·8 + 3·20·π·8² + 4π·8³/3 mm³ = 33.41 mL; see shape.Shell.
	ans = attach(t, d, `/mold build kind:brushed material:"demo tin silicone" unit:mm wall:8mm`, cube(20).STL(""))
	near(t, ans.Reply, "volume", 33.408, 0.01)
}

// A pull from a mold with a pour under way is asked about, so that it is not
// counted twice; the buttons of a card lead on.
func TestMoldButtons(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	later := func(inv chat.Invocation) chat.Answer {
		inv.At = monday.Add(time.Hour)
		return d.Do(t.Context(), inv)
	}
	pulled := func() float64 {
		t.Helper()
		return valued(t, told(t, d, "ada", `/mold show mold:"harbor pawn"`), "pulls")
	}
	inv := calling("ada")
	inv.Line = `/mold pull mold:"harbor pawn" result:spoiled why:"bubbles at the crown"`
	asked := later(inv)
	if golden(t, "mold_pull_asks", asked); pulled() != 17 {
		t.Fatalf("%v pulls are counted before the answer", pulled())
	}
	alone := calling("ada")
	alone.Press = button(t, asked, "No, count the pull alone").ID
	if got := later(alone); got.Reply == nil || got.Reply.Title != "Pull 18 of harbor pawn: spoiled" || pulled() != 18 {
		t.Errorf("alone: %+v %v", got.Reply, got.Fault)
	}
	closing := calling("ada")
	closing.Press = button(t, asked, "Yes, that pour: done").ID
	got := later(closing)
	if got.Reply == nil || got.Reply.Title != "Done: demo rigid white, harbor pawn, 0 good, 6 spoiled" || pulled() != 19 {
		t.Errorf("closing the pour: %+v %v", got.Reply, got.Fault)
	}
	if r := told(t, d, "ada", `/mold history mold:"harbor pawn"`); strings.Count(fmt.Sprint(r.Facts), "bubbles at the crown") != 2 {
		t.Errorf("the log: %+v", r.Facts)
	}
	life := press(t, d, "ada", got, "How long will it last?")
	near(t, life.Reply, "pulls", 19, 0)

	edit := press(t, d, "ada", ask(t, d, "ada", `/mold show mold:"harbor pawn"`), "Edit")
	if edit.Form == nil {
		t.Fatalf("no form: %+v", edit)
	}
	sent := send(t, d, "ada", edit.Form, map[string]string{"name": "pawn, condensation", "volume": "6.4 ml, 6", "thickest": "14 mm, 5 mm", "pulls": "19", "notes": ""})
	if sent.Reply == nil || !strings.Contains(sent.Reply.Title, `Changed "pawn", now version 2`) {
		t.Fatalf("edited: %+v %v", sent.Reply, sent.Fault)
	}
	counted(t, sent.Reply, "edited by form", [3]float64{19, 4, 1})
	retired := ask(t, d, "ada", `/mold retire mold:pawn why:stuck`)
	back := press(t, d, "ada", retired, "Put it back in use")
	if back.Reply == nil || strings.Contains(back.Reply.Title, "retired") {
		t.Errorf("put back: %+v %v", back.Reply, back.Fault)
	}
	gone := press(t, d, "ada", ask(t, d, "ada", `/mold remove mold:pawn`), "Remove it")
	if gone.Reply == nil || gone.Reply.Title != `Removed "pawn"` {
		t.Errorf("removed: %+v %v", gone.Reply, gone.Fault)
	}
	refused(t, d, "ada", `/mold pull mold:pawn`, fault.UnknownMold, "mold")
}

// A release coat calls its member to wipe it; taken back, it does not.
func TestMoldReleaseCalls(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/mold release mold:"viaduct arch"`)
	if got, want := fact(t, r, "ready_at").Value, monday.Add(time.Hour).Format(time.RFC3339); got != want {
		t.Errorf("it can be filled at %v, want %s", got, want)
	}
	if list := told(t, d, "ada", "/due list"); !anyFact(list, "Wipe viaduct arch") {
		t.Errorf("no call to wipe it: %+v", list.Facts)
	}
	told(t, d, "ada", `/mold undo mold:"viaduct arch"`)
	if list := told(t, d, "ada", "/due list"); anyFact(list, "Wipe viaduct arch") {
		t.Errorf("the call outlives its coat: %+v", list.Facts)
	}
	golden(t, "mold_release_called", press(t, d, "ada", ask(t, d, "ada", `/mold release mold:"viaduct arch"`), "Don't call me"))
	for range 300 { // more than are kept
		if ask(t, d, "ada", `/due add about:x in:1d`).Fault != nil {
			break
		}
	}
	if r := told(t, d, "ada", `/mold release mold:"harbor pawn"`); !said(r, "none was set") || valued(t, r, "pulls_since_release") != 0 {
		t.Errorf("with no room for a call: %q %q", r.Title, r.Notes)
	}
}

func anyFact(r *chat.Reply, words string) bool {
	for _, f := range r.Facts {
		if strings.Contains(f.Label+" "+f.Text, words) {
			return true
		}
	}
	return false
}
