package commands_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

// pulls are those of a mold of the demo shop so far.
func pulls(t testing.TB, d *chat.Dispatcher, mold string) float64 {
	t.Helper()
	return valued(t, told(t, d, "ada", fmt.Sprintf("/mold show mold:%q", mold)), "pulls")
}

// calls are what a member waits for.
func calls(t testing.TB, d *chat.Dispatcher, as string) (about []string) {
	t.Helper()
	for _, f := range told(t, d, as, "/due list").Facts {
		if f.Key == "due" {
			about = append(about, f.Label[strings.Index(f.Label, " ")+1:])
		}
	}
	return about
}

func TestPourDone(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/pour start material:"demo rigid white" mold:"viaduct arch" temp:"23 C"`)
	if got := calls(t, d, "ada"); len(got) != 1 {
		t.Fatalf("calls %q, want one", got)
	}
	done := askAt(t, d, "ada", 45*time.Minute, "/pour done")
	golden(t, "pour_done", done)
	if got := pulls(t, d, "viaduct arch"); got != 30 {
		t.Errorf("%v pulls, want one more than 29", got)
	}
	if got := calls(t, d, "ada"); len(got) != 0 {
		t.Errorf("it still calls: %q", got)
	}
	near(t, told(t, d, "ada", `/cure material:"demo rigid white" thickness:"6 mm"`), "logs_used", 1, 0)
	full := press(t, d, "ada", done, "Call me at full cure")
	if got := calls(t, d, "ada"); full.Fault != nil || len(got) != 1 || got[0] != "Fully cured: demo rigid white, viaduct arch" {
		t.Errorf("at full cure: %v, calls %q", full.Fault, got)
	}
	if got := fact(t, full.Reply, "due").Value; got != fact(t, done.Reply, "full_cure_at").Value {
		t.Errorf("it calls at %v, full cure is at %v", got, fact(t, done.Reply, "full_cure_at").Value)
	}
	golden(t, "pour_done_undo", askAt(t, d, "ada", 50*time.Minute, "/pour undo"))
	if got := calls(t, d, "ada"); pulls(t, d, "viaduct arch") != 29 || len(got) != 2 {
		t.Errorf("taken back: %v pulls, calls %q", pulls(t, d, "viaduct arch"), got)
	}
	near(t, told(t, d, "ada", `/cure material:"demo rigid white" thickness:"6 mm"`), "logs_used", 0, 0)
}

// The coat that falls due with a pull is offered with it, and wipes by its own
// call as ever.
func TestPourDoneCoatDue(t *testing.T) {
	d := desk(t)
	for range 2 { // the fourth and fifth since the last coat
		told(t, d, "ada", `/mold pull mold:"harbor pawn"`)
	}
	told(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	done := askAt(t, d, "ada", time.Hour, "/pour done")
	if !said(done.Reply, "A release coat is due on harbor pawn") {
		t.Errorf("notes %q", done.Reply.Notes)
	}
	coat := press(t, d, "ada", done, "Release coat is on")
	if coat.Fault != nil || valued(t, coat.Reply, "pulls_since_release") != 0 {
		t.Errorf("coat: %v", coat.Fault)
	}
}

func TestPourSpoiled(t *testing.T) {
	d := desk(t)
	begun := ask(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn" count:5`)
	form := press(t, d, "ada", begun, "Some spoiled")
	if form.Form == nil || form.Form.Title != "What was spoiled?" || len(form.Form.Fields) != 3 {
		t.Fatalf("no form: %+v", form)
	}
	sent := send(t, d, "ada", form.Form, map[string]string{"spoiled": "2", "why": "bubbles", "spoiled_in": ""})
	if sent.Fault == nil || sent.Fault.Code != fault.BadTime {
		t.Fatalf("at once: %+v", sent)
	}
	inv := calling("ada")
	inv.Press, inv.Forms, inv.At = form.Form.ID, true, monday.Add(time.Hour)
	inv.Filled = map[string]string{"spoiled": "2", "why": "bubbles", "spoiled_in": ""}
	done := d.Do(t.Context(), inv)
	if done.Reply == nil || done.Reply.Title != "Done: demo rigid white, harbor pawn, 3 good, 2 spoiled" {
		t.Fatalf("sent in: %+v %v", done.Reply, done.Fault)
	}
	if r := toldAt(t, d, "ada", time.Hour, "/pour show pour:#1"); !said(r, "Why: bubbles") || fact(t, r, "state").Value != "done" {
		t.Errorf("kept: %q %+v", r.Notes, r.Facts)
	}
	history := fmt.Sprint(told(t, d, "ada", `/mold history mold:"harbor pawn"`).Facts)
	if strings.Contains(history, "bubbles") {
		t.Errorf("fewer than half spoiled made a spoiled pull: %s", history)
	}
	// A bare call in a chat that shows forms runs, and opens none.
	told(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn 2"`)
	inv = calling("ada")
	inv.Line, inv.Forms, inv.At = "/pour done", true, monday.Add(time.Hour)
	if ans := d.Do(t.Context(), inv); ans.Reply == nil {
		t.Errorf("bare: %+v", ans)
	}
}

// Of several molds filled from one batch each counts its own pull, and it is
// asked which one spoiled.
func TestPourDoneSeveralMolds(t *testing.T) {
	d := desk(t)
	start := `/pour start material:"demo rigid white" molds:"harbor pawn, harbor pawn 2, shell knob"`
	r := told(t, d, "ada", start)
	near(t, r, "parts", 13, 0)
	near(t, r, "mass_total", (12*6.2+31)*1.06, 0.1)
	if got := fact(t, r, "molds").Text; got != "harbor pawn (6), harbor pawn 2 (6), shell knob (1)" {
		t.Errorf("molds %q", got)
	}
	which := askAt(t, d, "ada", time.Hour, `/pour done spoiled:6 why:"bubbles"`)
	if which.Fault == nil || which.Fault.Code != fault.MissingOption || which.Fault.Option != "spoiled_in" || len(which.Actions) != 3 {
		t.Fatalf("six of thirteen: %+v", which)
	}
	inv := calling("ada")
	inv.Press, inv.At = button(t, which, "harbor pawn 2").ID, monday.Add(time.Hour)
	done := d.Do(t.Context(), inv)
	if done.Reply == nil || !said(done.Reply, "Shell knob is bram's", "tell bram") {
		t.Fatalf("done: %+v %v", done.Reply, done.Fault)
	}
	if pulls(t, d, "harbor pawn") != 18 || pulls(t, d, "harbor pawn 2") != 4 || pulls(t, d, "shell knob") != 4 {
		t.Errorf("pulls %v, %v, %v", pulls(t, d, "harbor pawn"), pulls(t, d, "harbor pawn 2"), pulls(t, d, "shell knob"))
	}
	for mold, want := range map[string]bool{"harbor pawn": false, "harbor pawn 2": true} {
		history := fmt.Sprint(told(t, d, "ada", fmt.Sprintf("/mold history mold:%q", mold)).Facts)
		if strings.Contains(history, "bubbles") != want {
			t.Errorf("%s: %s", mold, history)
		}
	}
	if r := toldAt(t, d, "ada", time.Hour+time.Minute, "/pour undo"); !said(r, "2 pulls are not counted any more") || pulls(t, d, "harbor pawn") != 17 {
		t.Errorf("taken back: %q", r.Notes)
	}
	for _, c := range []struct {
		line   string
		code   fault.Code
		option string
	}{
		{`/pour done good:14`, fault.OutOfRange, "good"},
		{`/pour done spoiled:14`, fault.OutOfRange, "spoiled"},
		{`/pour done good:5 spoiled:5`, fault.OutOfRange, "spoiled"},
		{`/pour done why:"bubbles"`, fault.MissingOption, "spoiled"},
		{`/pour done spoiled:1 spoiled_in:"viaduct arch"`, fault.UnknownMold, "spoiled_in"},
		{`/pour done spoiled:7 spoiled_in:"harbor pawn"`, fault.OutOfRange, "spoiled_in"},
		{`/pour done spoiled:1 spoiled_in:"harbor pawn, shell knob"`, fault.OutOfRange, "spoiled_in"},
		{`/pour done spoiled:13`, "", ""},
	} {
		ans := askAt(t, d, "ada", 2*time.Hour, c.line)
		if got := fault.As(ans.Fault); c.code == "" && ans.Fault != nil || c.code != "" && (ans.Fault == nil || got.Code != c.code || got.Option != c.option || got.HintText() == "") {
			t.Errorf("%s: %+v", c.line, ans.Fault)
		}
	}
}

// A mold that went away, or was retired, while it was full counts no pull, and
// that is said.
func TestPourDoneMoldGone(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/pour start material:"demo rigid white" molds:"harbor pawn, harbor pawn 2"`)
	told(t, d, "ada", `/mold remove mold:"harbor pawn 2" sure:yes`)
	told(t, d, "ada", `/mold retire mold:"harbor pawn" why:torn`)
	r := toldAt(t, d, "ada", time.Hour, "/pour done")
	if !said(r, "Harbor pawn 2 is gone") || !said(r, "Harbor pawn was retired meanwhile (torn)") {
		t.Errorf("notes %q", r.Notes)
	}
}

func TestPourFail(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn" temp:"16 C"`)
	toldAt(t, d, "ada", time.Hour, "/pour soft")
	golden(t, "pour_fail", askAt(t, d, "ada", 2*time.Hour, `/pour fail why:"B was short"`))
	if pulls(t, d, "harbor pawn") != 17 || len(calls(t, d, "ada")) != 0 {
		t.Errorf("%v pulls, calls %q", pulls(t, d, "harbor pawn"), calls(t, d, "ada"))
	}
	near(t, told(t, d, "ada", `/cure material:"demo rigid white" thickness:"6 mm"`), "logs_used", 0, 0)
	back := toldAt(t, d, "ada", 2*time.Hour+5*time.Minute, "/pour undo")
	if fact(t, back, "state").Value != string(shop.PourRunning) || len(calls(t, d, "ada")) != 1 {
		t.Errorf("taken back: %+v, calls %q", back.Facts, calls(t, d, "ada"))
	}
	for family, want := range map[string]string{"demo addition silicone": "inhibition", "demo tin silicone": "catalyst"} {
		told(t, d, "bram", fmt.Sprintf(`/pour start material:%q thickness:"12 mm"`, family))
		if r := toldAt(t, d, "bram", time.Hour, "/pour fail"); !said(r, want) {
			t.Errorf("%s: %q", family, r.Notes)
		}
	}
}

// The extra call of a soft answer goes with it, and a pour that was canceled by
// mistake comes back with its answers and calls.
func TestPourUndo(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	toldAt(t, d, "ada", 6*time.Hour, "/pour soft") // the first call is past: another is made
	if got := calls(t, d, "ada"); len(got) != 2 || got[1] != "Look again: demo rigid white, harbor pawn" {
		t.Fatalf("calls %q", got)
	}
	if r := toldAt(t, d, "ada", 6*time.Hour+time.Minute, "/pour undo"); !strings.HasPrefix(r.Title, "Taken back: still soft after 6 h") {
		t.Errorf("title %q", r.Title)
	}
	if got := calls(t, d, "ada"); len(got) != 1 {
		t.Errorf("the extra call stays: %q", got)
	}
	toldAt(t, d, "ada", 7*time.Hour, "/pour soft")
	canceled := askAt(t, d, "ada", 8*time.Hour, "/pour cancel")
	if got := calls(t, d, "ada"); len(got) != 0 {
		t.Errorf("calls %q", got)
	}
	inv := calling("ada")
	inv.Press, inv.At = button(t, canceled, "Undo").ID, monday.Add(8*time.Hour+9*time.Minute)
	back := d.Do(t.Context(), inv)
	if back.Reply == nil || fact(t, back.Reply, "state").Value != "running" || !said(back.Reply, "Still soft after 7 h") || len(calls(t, d, "ada")) != 2 {
		t.Errorf("back: %+v %v, calls %q", back.Reply, back.Fault, calls(t, d, "ada"))
	}
	refusedAt := askAt(t, d, "ada", 9*time.Hour, "/pour undo")
	if refusedAt.Fault == nil || refusedAt.Fault.Code != fault.NotFound {
		t.Errorf("an hour later: %+v", refusedAt)
	}
	if r := toldAt(t, d, "ada", 9*time.Hour, "/pour show"); anyButton(r, "Undo") {
		t.Errorf("buttons %q", labels(r.Actions))
	}
}

func anyButton(r *chat.Reply, label string) bool {
	for _, a := range r.Actions {
		if a.Label == label {
			return true
		}
	}
	return false
}

// A full log of molds is no reason to keep a pour running.
func TestPourDoneWithFullLog(t *testing.T) {
	few := store.DefaultLimits()
	few.Pulls, few.Pours = 1, 1
	d, _ := deskWithin(t, few)
	told(t, d, "ada", `/mold pull mold:"harbor pawn"`)
	told(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	refused(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn 2"`, fault.LimitReached, "pour")
	r := toldAt(t, d, "ada", time.Hour, "/pour done")
	if !said(r, "No pull was counted", "which is the most") || fact(t, r, "state").Value != "done" || pulls(t, d, "harbor pawn") != 18 {
		t.Errorf("notes %q", r.Notes)
	}
}

// A pour that was found ready and forgotten stands in nobody's way a day later:
// its mold is pulled and filled without a question, and its number closes it.
func TestPourForgotten(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	toldAt(t, d, "ada", time.Hour, "/pour ready")
	const day = 26 * time.Hour
	if r := toldAt(t, d, "ada", 2*time.Hour, `/mold pull mold:"harbor pawn"`); !anyButton(r, "Yes, that pour: done") {
		t.Errorf("ready is still in its mold: %q", r.Title)
	}
	if r := toldAt(t, d, "ada", day, `/pour start material:"demo rigid white" mold:"harbor pawn"`); said(r, "still full") {
		t.Errorf("notes %q", r.Notes)
	}
	// With one under way, that is the one that is done.
	if r := toldAt(t, d, "ada", day+time.Hour, "/pour done"); fact(t, r, "pour").Value != "#2" {
		t.Errorf("done: %+v", r.Facts)
	}
	if r := toldAt(t, d, "ada", day+time.Hour, `/mold pull mold:"harbor pawn"`); r.Title != "Pull 19 of harbor pawn: good" {
		t.Errorf("pull: %q", r.Title)
	}
	if ans := askAt(t, d, "ada", day+time.Hour, "/pour done"); ans.Fault == nil || ans.Fault.Code != fault.UnknownPour {
		t.Errorf("with none under way: %+v", ans)
	}
	if r := toldAt(t, d, "ada", day+time.Hour, "/pour done pour:#1"); valued(t, r, "good") != 6 || pulls(t, d, "harbor pawn") != 20 {
		t.Errorf("by its number: %+v", r.Facts)
	}
}
