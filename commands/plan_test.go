package commands_test

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"io"
	"strings"
	"testing"
	"time"

	calendars "github.com/emersion/go-ical"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/store"
)

const pawnRun = `/plan run material:"demo rigid white" molds:"harbor pawn, harbor pawn 2" copies:24`

func TestPlanGolden(t *testing.T) {
	for name, line := range map[string]string{
		"plan_run":      pawnRun,
		"plan_coats":    `/plan run material:"demo rigid white" molds:"harbor pawn, harbor pawn 2" copies:60 coat_first:yes tint:"brick red 0.5%"`,
		"plan_deadline": `/plan run material:"demo rigid white" molds:"harbor pawn, harbor pawn 2" copies:120 by:"tomorrow 12:00" hours:09:00-17:00`,
		"plan_night":    `/plan run material:"demo casting epoxy" molds:"shell knob" copies:3 hours:"mon-fri 9-17" people:2 start:"fri 15:00"`,
		"plan_cost":     `/plan cost material:"demo rigid white" mold:"harbor pawn" mold_cost:18 consumables:0.05 labor:15 tint:"brick red 0.5%" tint_price:0.4 copies:24`,
	} {
		t.Run(name, func(t *testing.T) { golden(t, name, ask(t, desk(t), "ada", line)) })
	}
	d := desk(t)
	golden(t, "plan_working", press(t, d, "ada", ask(t, d, "ada", pawnRun), "Show working"))
}

// What is poured and what is left in cavities add up, and the times are in order.
func TestPlanFacts(t *testing.T) {
	r := told(t, desk(t), "ada", pawnRun)
	low, _, high := bounds(t, r, "run_time")
	at, err := time.Parse(time.RFC3339, fact(t, r, "finish").Value.(string))
	switch {
	case err != nil:
		t.Fatal(err)
	case at.Sub(monday).Seconds() < low || at.Sub(monday).Seconds() > high:
		t.Errorf("ends at %v, that is outside %v to %v s", at, low, high)
	case *fact(t, r, "finish").High-float64(monday.Unix()) != high:
		t.Errorf("the late end is %v s, told as %v", high, *fact(t, r, "finish").High)
	}
	if least := valued(t, r, "run_least"); least > high {
		t.Errorf("the bound %v s is above the end %v s", least, high)
	}
	// 26 parts of 6.2 mL with at least 4 % waste: trade note L1, the mix's density by R3.
	if a := valued(t, r, "mass_a"); a < 26*6.2*1.04*1.06/2 || a > 1.3*26*6.2*1.1/2 {
		t.Errorf("part A is %v g", a)
	}
	if spares := fact(t, r, "spares").Value; spares != 2 {
		t.Errorf("%v spares for 24 at 5 %%", spares)
	}
	pic, err := png.Decode(bytes.NewReader(r.Images[0].Data))
	if err != nil || pic.Bounds().Dx() != 720 || !strings.Contains(r.Images[0].Alt, "harbor pawn 2: poured") {
		t.Errorf("picture %v, %q", err, r.Images[0].Alt)
	}
	cal, err := calendars.NewDecoder(bytes.NewReader(r.Files[0].Data)).Decode()
	if err != nil {
		t.Fatal(err)
	}
	if err := calendars.NewEncoder(io.Discard).Encode(cal); err != nil {
		t.Error(err)
	}
	if n := len(cal.Events()); n != len(r.Steps) {
		t.Errorf("%d events for %d steps", n, len(r.Steps))
	}
	if start, err := cal.Events()[0].DateTimeStart(time.UTC); err != nil || !start.Equal(monday) {
		t.Errorf("the first begins at %v, %v", start, err)
	}
}

func TestPlanRefuses(t *testing.T) {
	d := desk(t)
	for _, c := range []struct {
		line   string
		code   fault.Code
		option string
	}{
		{pawnRun + ` hours:noon`, fault.BadTime, "hours"},
		{pawnRun + ` hours:"tuesday"`, fault.BadTime, "hours"},
		{pawnRun + ` hours:09:00-09:05`, fault.OutOfRange, "hours"},
		{pawnRun + ` by:yesterday`, fault.BadTime, "by"},
		{pawnRun + ` by:10:00 start:"tomorrow 9:00"`, fault.BadTime, "by"},
		{pawnRun + ` start:"2026-11-01 09:00"`, fault.BadTime, "start"},
		{pawnRun + ` people:21`, fault.OutOfRange, "people"},
		{pawnRun + ` tint:"soot black 2 drops"`, fault.BadQuantity, "tint"},
		{pawnRun + ` tint:"brick rd 0.5%"`, fault.UnknownTint, "tint"},
		{`/plan run material:"demo rigid whit" molds:"harbor pawn" copies:6`, fault.UnknownMaterial, "material"},
		{`/plan run material:"demo rigid white" molds:"harbor prawn" copies:6`, fault.UnknownMold, "molds"},
		{`/plan run material:"demo rigid white" molds:"dice tray" copies:6`, fault.NotAllowed, "molds"},
		{`/plan run material:"demo rigid white" molds:"harbor pawn, harbor pawn" copies:6`, fault.TooManyOptions, "molds"},
		{`/plan run material:"demo rigid white" molds:"shell knob" copies:20000`, fault.OutOfRange, "copies"},
		{`/plan replan material:"demo rigid white" molds:"harbor pawn" copies:6`, fault.MissingOption, "since"},
		{`/plan replan material:"demo rigid white" molds:"harbor pawn" copies:6 since:monday`, fault.BadTime, "since"},
		{`/plan replan material:"demo rigid white" molds:"harbor pawn" copies:6 since:"2026-12-24 09:00"`, fault.BadTime, "since"},
		{`/plan remind material:"demo rigid white" molds:"harbor pawn" copies:6 made:6`, fault.TooLate, "copies"},
		{`/plan unremind dues:"all of them"`, fault.NotFound, "dues"},
		{`/plan unremind dues:"#7"`, fault.NotFound, "dues"},
		{`/plan cost material:"demo rigid white" mold:"harbor pawn" tint_price:2`, fault.MissingOption, "tint"},
		{`/plan cost material:"demo rigid white" mold:"harbor pawn" tint:"soot black 2 drops"`, fault.BadQuantity, "tint"},
	} {
		ans := refused(t, d, "ada", c.line, c.code, c.option)
		if ans.Fault.HintText() == "" {
			t.Errorf("%s: no hint", c.line)
		}
	}
	told(t, d, "ada", `/material add name:"no price" family:urethane ratio:"1:1 vol" density_a:"1.1, 1.0" pot_life:"8 min, 100 g, 23 C" demold:"40 min, 6 mm"`)
	refused(t, d, "ada", `/plan cost material:"no price" mold:"harbor pawn"`, fault.MissingOption, "material")
	told(t, d, "ada", `/mold add name:"no section" family:condensation volume:"6 ml"`)
	refused(t, d, "ada", `/plan run material:"demo rigid white" molds:"no section" copies:6`, fault.MissingOption, "molds")
}

// A press sets all calls of a run in one go, another takes them all back.
func TestPlanReminders(t *testing.T) {
	d := desk(t)
	run := ask(t, d, "ada", pawnRun)
	set := press(t, d, "ada", run, "Set all reminders")
	if set.Reply == nil {
		t.Fatal(set.Fault)
	}
	golden(t, "plan_remind", set)
	n := int(valued(t, set.Reply, "calls"))
	list := told(t, d, "ada", "/due list")
	if want := fmt.Sprintf("You wait for %d calls", n); list.Title != want || n < 3 {
		t.Errorf("%q, want %q", list.Title, want)
	}
	if r := told(t, d, "bram", "/due list"); r.Title != "You wait for nothing" {
		t.Errorf("bram: %q", r.Title)
	}
	if ans := press(t, d, "bram", set, "Take them all back"); ans.Fault == nil || ans.Fault.Code != fault.NotFound {
		t.Errorf("bram takes ada's calls back: %+v", ans)
	}
	back := press(t, d, "ada", set, "Take them all back")
	if back.Reply == nil || int(valued(t, back.Reply, "calls")) != n {
		t.Fatalf("%+v", back)
	}
	if r := told(t, d, "ada", "/due list"); r.Title != "You wait for nothing" {
		t.Errorf("after all: %q", r.Title)
	}
}

// Where not all calls can be kept, none is.
func TestPlanRemindersTogether(t *testing.T) {
	limits := store.DefaultLimits()
	limits.Dues = 2
	d, _ := deskWithin(t, limits)
	refused(t, d, "ada", strings.Replace(pawnRun, "plan run", "plan remind", 1), fault.LimitReached, "copies")
	if r := told(t, d, "ada", "/due list"); r.Title != "You wait for nothing" {
		t.Errorf("after a refusal: %q", r.Title)
	}
}

// After a failed pour and one that is done, the rest is planned anew.
func TestReplan(t *testing.T) {
	d := desk(t)
	run := ask(t, d, "ada", pawnRun)
	pour := `/pour start material:"demo rigid white" mold:"harbor pawn"`
	askAt(t, d, "ada", time.Minute, pour)
	askAt(t, d, "ada", 2*time.Minute, `/pour start material:"demo rigid white" mold:"harbor pawn 2"`)
	askAt(t, d, "ada", 45*time.Minute, `/pour done pour:#1 spoiled:1`)
	askAt(t, d, "ada", 46*time.Minute, `/pour fail pour:#2`)
	askAt(t, d, "ada", 50*time.Minute, pour)
	askAt(t, d, "ada", 50*time.Minute, `/pour start material:"demo rigid black" mold:"harbor pawn 2"`)

	again := filled(t, d, 51*time.Minute, run, "Something changed", nil)
	if again.Reply == nil {
		t.Fatal(again.Fault)
	}
	golden(t, "plan_replan", again)
	for key, want := range map[string]int{"made": 5, "in_molds": 6, "spoiled": 1} {
		if got := fact(t, again.Reply, key).Value; got != want {
			t.Errorf("%s is %v, want %d", key, got, want)
		}
	}
	// 19 missing and two spares for them at (1 + 1)/(6 + 20) spoiled, less the 6
	// in the mold: 15 to pour, two of them spares.
	if spares := fact(t, again.Reply, "spares").Value; spares != 2 {
		t.Errorf("%v spares", spares)
	}
	if !said(again.Reply, "1 pour never set") || !said(again.Reply, "its parts count") || !said(again.Reply, "its parts are not of this run") {
		t.Errorf("notes %q", again.Reply.Notes)
	}
	fewer := filled(t, d, 51*time.Minute, run, "Something changed", map[string]string{"molds": "harbor pawn", "copies": "11"})
	if fewer.Reply == nil || !strings.HasPrefix(fewer.Reply.Title, "5 of 11 are made, and the rest is in the molds") {
		t.Errorf("%+v", fewer)
	}
	if all := told(t, d, "ada", `/plan replan material:"demo rigid white" molds:"harbor pawn" copies:12 made:12`); !strings.HasPrefix(all.Title, "All 12 are made") {
		t.Errorf("%q", all.Title)
	}
}

// filled presses a button that opens a form and sends it in.
func filled(t *testing.T, d *chat.Dispatcher, after time.Duration, ans chat.Answer, label string, fields map[string]string) chat.Answer {
	t.Helper()
	for _, a := range ans.Reply.Actions {
		if a.Label == label {
			inv := calling("ada")
			inv.At = inv.At.Add(after)
			inv.Press, inv.Filled = a.ID, fields
			if inv.Filled == nil {
				inv.Filled = map[string]string{}
			}
			return d.Do(context.Background(), inv)
		}
	}
	t.Fatalf("no button %q", label)
	return chat.Answer{}
}

// The hours a run is planned in are those of the wall: on the night that clocks
// go back, an hour more passes before work begins. Europe/London, 25 October
// 2026, 02:00 BST to 01:00 GMT (tz database, from memory).
func TestPlanOverClockChange(t *testing.T) {
	d := desk(t)
	inv := calling("ada")
	inv.At = time.Date(2026, 10, 24, 15, 0, 0, 0, time.UTC) // 16:00 BST
	inv.Line = `/plan run material:"demo casting epoxy" molds:"shell knob" copies:1 hours:09:00-17:00 scrap:0`
	ans := d.Do(t.Context(), inv)
	if ans.Reply == nil {
		t.Fatal(ans.Fault)
	}
	first := ans.Reply.Steps[1]
	cal, err := calendars.NewDecoder(bytes.NewReader(ans.Reply.Files[0].Data)).Decode()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cal.Events()[1].DateTimeStart(time.UTC)
	if err != nil || out.Before(inv.At.Add(17*time.Hour)) || out.Hour() < 9 || out.Hour() >= 17 {
		t.Errorf("%q begins at %v, outside 09:00-17:00 of the winter clock", first, out)
	}
}

func TestPlanCost(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/plan cost material:"demo rigid white" mold:"harbor pawn" mold_cost:18 consumables:0.05 scrap:10%`)
	low, each, high := bounds(t, r, "cost_each")
	cast := valued(t, r, "cost_cast")
	if sum := valued(t, r, "cost_material") + valued(t, r, "cost_mold") + 0.05; !same(sum, cast) || !same(cast/0.9, each) || !(low < each && each < high) {
		t.Errorf("sum %v, cast %v, good %v (%v to %v)", sum, cast, each, low, high)
	}
	gram := valued(t, told(t, d, "ada", `/plan cost material:"demo rigid white" mold:"harbor pawn" tint:"brick red 0.5%" tint_price:0.4`), "cost_tint")
	if bottle := valued(t, told(t, d, "ada", `/plan cost material:"demo rigid white" mold:"harbor pawn" tint:"brick red 0.5%" tint_price:20 tint_pack:50g`), "cost_tint"); !same(gram, bottle) || gram <= 0 {
		t.Errorf("tint by the gram %v, by the bottle %v", gram, bottle)
	}
	told(t, d, "ada", "/shop set currency:JPY")
	if r := told(t, d, "ada", `/plan cost material:"demo rigid white" mold:"harbor pawn" mold_cost:1800 scrap:0`); strings.Contains(r.Title, ".") || fact(t, r, "cost_each").Unit != "JPY" {
		t.Errorf("%q", r.Title)
	}
	told(t, d, "ada", "/shop set currency:none")
	refused(t, d, "ada", `/plan cost material:"demo rigid white" mold:"harbor pawn"`, fault.MissingOption, "material")
}

func same(a, b float64) bool { return a-b < 1e-9 && b-a < 1e-9 }

// A mold near its end is told of, and how many to make.
func TestPlanWornMolds(t *testing.T) {
	r := told(t, desk(t), "ada", `/plan run material:"demo rigid white" molds:"harbor pawn" copies:400`)
	if !said(r, "more molds like harbor pawn") || !said(r, "may not last the run") {
		t.Errorf("notes %q", r.Notes)
	}
}

// What may run away is not planned without saying so first, and no press sets
// its reminders.
func TestPlanStops(t *testing.T) {
	r := told(t, desk(t), "ada", `/plan run material:"demo casting epoxy" molds:"shell knob" copies:1`)
	if !strings.HasPrefix(r.Title, "Do not run it like this") {
		t.Errorf("title %q", r.Title)
	}
	for _, a := range r.Actions {
		if a.Label == "Set all reminders" {
			t.Error("its reminders can be set")
		}
	}
}
