package commands_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// said at a time after the desk's Monday morning.
func askAt(t testing.TB, d *chat.Dispatcher, as string, after time.Duration, line string) chat.Answer {
	t.Helper()
	inv := calling(as)
	inv.Line, inv.At = line, monday.Add(after)
	return d.Do(t.Context(), inv)
}

func toldAt(t testing.TB, d *chat.Dispatcher, as string, after time.Duration, line string) *chat.Reply {
	t.Helper()
	ans := askAt(t, d, as, after, line)
	if ans.Reply == nil {
		t.Fatalf("%s: got %v, want a reply", line, ans.Fault)
	}
	return ans.Reply
}

func TestPour(t *testing.T) {
	d := desk(t)
	golden(t, "pour_start", ask(t, d, "ada", `/pour start material:"demo rigid slow white" mold:"harbor pawn" temp:"22 C"`))
	golden(t, "pour_soft", askAt(t, d, "ada", 25*time.Minute, "/pour soft"))
	golden(t, "pour_ready", askAt(t, d, "ada", 70*time.Minute, "/pour ready"))
	golden(t, "pour_show", askAt(t, d, "ada", 71*time.Minute, "/pour show pour:#1"))
	golden(t, "pour_undo", askAt(t, d, "ada", 72*time.Minute, "/pour undo"))
	golden(t, "pour_volume", askAt(t, d, "ada", 73*time.Minute, `/pour start material:"demo rigid white" volume:"80 ml"`))
	golden(t, "pour_list", askAt(t, d, "ada", 74*time.Minute, "/pour list"))
	golden(t, "pour_which", askAt(t, d, "ada", 75*time.Minute, "/pour ready"))
	golden(t, "pour_cancel", askAt(t, d, "ada", 76*time.Minute, `/pour cancel pour:"harbor pawn"`))
}

// bounds are a fact's value and range.
func bounds(t testing.TB, r *chat.Reply, key string) (low, mid, high float64) {
	t.Helper()
	f := fact(t, r, key)
	return *f.Low, f.Value.(float64), *f.High
}

// The story of a shop that learns: six pours that took longer than foreseen
// narrow the range and move it, a late "fine" moves nothing, one taken back
// leaves no trace, and others profit once it is shared.
func TestPourTeachesCure(t *testing.T) {
	d := desk(t)
	const question = `/cure material:"demo rigid slow white" thickness:"8 mm"`
	forecast := func(as string) (float64, float64, float64) {
		t.Helper()
		return bounds(t, toldAt(t, d, as, 0, question), "demold")
	}
	low0, mid0, high0 := forecast("ada")
	day := 24 * time.Hour
	physics := time.Duration(mid0) * time.Second
	pour := func(n int, as string, found string, after time.Duration) {
		t.Helper()
		begun := time.Duration(n) * day
		toldAt(t, d, as, begun, `/pour start material:"demo rigid slow white" thickness:"8 mm"`)
		toldAt(t, d, as, begun+after, "/pour "+found)
	}

	// Ten times the forecast is no news.
	pour(1, "ada", "ready", 10*physics)
	r := toldAt(t, d, "ada", 2*day, question)
	if _, mid, _ := bounds(t, r, "demold"); mid < 0.995*mid0 || mid > 1.005*mid0 {
		t.Errorf("a late ready moved the forecast from %v to %v s", mid0, mid)
	}
	if !said(r, "Counted, but nothing new", "1 pour here") {
		t.Errorf("notes %q", r.Notes)
	}
	near(t, r, "logs_used", 1, 0)

	// Six that were soft at 1.3 and ready at 1.5 times.
	for n := 3; n < 9; n++ {
		begun := time.Duration(n) * day
		toldAt(t, d, "ada", begun, `/pour start material:"demo rigid slow white" thickness:"8 mm"`)
		toldAt(t, d, "ada", begun+physics*13/10, "/pour soft")
		toldAt(t, d, "ada", begun+physics*15/10, "/pour ready")
	}
	r = toldAt(t, d, "ada", 9*day, question)
	low, mid, high := bounds(t, r, "demold")
	if !said(r, "Narrowed by 7 pours here.") {
		t.Errorf("notes %q", r.Notes)
	}
	if mid < 1.25*mid0 || mid > 1.5*mid0 || high/low > 0.97*high0/low0 {
		t.Errorf("from %v (%v to %v) to %v (%v to %v) s", mid0, low0, high0, mid, low, high)
	}
	if _, peak, _ := bounds(t, r, "peak_temp"); peak != valued(t, toldAt(t, d, "bram", 0, question), "peak_temp") {
		t.Error("what was learned changed the peak")
	}
	if l, m, h := forecast("bram"); l != low0 || m != mid0 || h != high0 {
		t.Errorf("bram's forecast moved by what ada keeps to herself: %v", m)
	}

	// One more, taken back: as if it had never been.
	pour(10, "ada", "ready", physics/2)
	if _, moved, _ := forecast("ada"); moved >= mid {
		t.Errorf("an early ready moved the forecast from %v to %v s", mid, moved)
	}
	back := askAt(t, d, "ada", 10*day+physics/2+10*time.Minute, "/pour undo")
	if back.Fault != nil {
		t.Fatal(back.Fault)
	}
	if l, m, h := forecast("ada"); l != low || m != mid || h != high {
		t.Errorf("taken back, the forecast is %v (%v to %v), was %v (%v to %v)", m, l, h, mid, low, high)
	}

	// Shared, it counts for bram, by half.
	toldAt(t, d, "ada", 10*day+time.Hour, "/pour cancel")
	pour(11, "ada", "soft share:yes", physics*14/10)
	r = toldAt(t, d, "bram", 12*day, question)
	if _, m, _ := bounds(t, r, "demold"); m <= mid0 {
		t.Errorf("what ada shared did not reach bram: %v", m)
	}
	if !said(r, "by 1 pour here", "at half weight") {
		t.Errorf("bram's notes %q", r.Notes)
	}
}

// Figures that were changed since a pour make its answers count no more.
func TestPourOfOtherFigures(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/material add name:"mine" family:urethane ratio:"1:1 vol" density_mixed:1.06 pot_life:"3 min, 100 g, 23 C" demold:"12 min, 6 mm"`)
	told(t, d, "ada", `/pour start material:mine thickness:"6 mm"`)
	toldAt(t, d, "ada", 30*time.Minute, "/pour soft")
	told(t, d, "ada", `/material edit material:mine notes:"blue cap"`)
	if r := told(t, d, "ada", `/cure material:mine thickness:"6 mm"`); !said(r, "by 1 pour here") {
		t.Errorf("after new notes: %q", r.Notes)
	}
	told(t, d, "ada", `/material edit material:mine demold:"20 min"`)
	r := told(t, d, "ada", `/cure material:mine thickness:"6 mm"`)
	if !said(r, "Not counted: 1 pour with other figures") {
		t.Errorf("after another demold time: %q", r.Notes)
	}
	near(t, r, "logs_used", 0, 0)
}

func TestPourButtons(t *testing.T) {
	d := desk(t)
	begun := press(t, d, "ada", ask(t, d, "ada", `/batch material:"demo rigid white" mold:"harbor pawn"`), "Start this pour")
	if begun.Fault != nil {
		t.Fatal(begun.Fault)
	}
	again := press(t, d, "ada", ask(t, d, "ada", `/cure material:"demo rigid white" mold:"harbor pawn"`), "Start this pour")
	if again.Fault != nil || fact(t, again.Reply, "pour").Value != "#2" {
		t.Fatalf("the second: %+v", again.Fault)
	}
	which := ask(t, d, "ada", "/pour show")
	if which.Fault == nil || which.Fault.Code != fault.MissingOption || len(which.Actions) != 2 {
		t.Fatalf("two pours: %+v", which)
	}
	shown := press(t, d, "ada", which, "#1 demo rigid white, harbor pawn")
	if shown.Fault != nil || !strings.Contains(shown.Reply.Title, "harbor pawn") {
		t.Errorf("shown: %+v", shown)
	}
	inv := calling("ada")
	inv.Press, inv.At = button(t, begun, "Still soft").ID, monday.Add(5*time.Minute)
	soft := d.Do(t.Context(), inv)
	if soft.Fault != nil {
		t.Fatal(soft.Fault)
	}
	inv.Press = button(t, soft, "Undo").ID
	if back := d.Do(t.Context(), inv); back.Fault != nil {
		t.Error(back.Fault)
	}
	// A stranger's press is the stranger's, who has no such pour.
	inv = calling("cleo")
	inv.Press, inv.At = button(t, begun, "Ready").ID, monday.Add(time.Hour)
	if ans := d.Do(t.Context(), inv); ans.Fault == nil || ans.Fault.Code != fault.UnknownPour {
		t.Errorf("cleo's press on ada's pour: %+v", ans)
	}
}

func TestPourRefusals(t *testing.T) {
	d := desk(t)
	for _, c := range []struct {
		after  time.Duration
		line   string
		code   fault.Code // "" is answered
		option string
	}{
		{0, `/pour ready`, fault.UnknownPour, "pour"},
		{0, `/pour undo`, fault.NotFound, "pour"},
		{0, `/pour show pour:#7`, fault.UnknownPour, "pour"},
		{0, `/pour show pour:tuesday`, fault.UnknownPour, "pour"},
		{0, `/pour start material:"demo rigid white"`, fault.MissingOption, "mold"},
		{0, `/pour start material:"demo rigid white" mold:"harbor pawn" thickness:"12 mm"`, fault.TooManyOptions, "mold"},
		{0, `/pour start material:"demo rigid white" thickness:"12 mm" temp:"-30 C"`, fault.OutOfRange, "temp"},
		{0, `/pour start material:"demo rigid white" thickness:"12 mm" wall:cheese`, fault.NotFound, "wall"},
		{0, `/pour start mold:"harbor pawn"`, fault.MissingOption, "material"},
		{0, `/pour start material:"demo rigid white" mold:"harbor pawn" count:12`, "", ""},
		{0, `/pour ready`, fault.BadTime, "pour"},
		{time.Hour, `/pour ready pour:1`, "", ""},
		{time.Hour, `/pour ready pour:1`, fault.NotAllowed, "pour"},
		{time.Hour, `/pour soft pour:1`, fault.NotAllowed, "pour"},
		{2 * time.Hour, `/pour undo`, fault.NotFound, "pour"},
		{2 * time.Hour, `/pour cancel pour:1`, "", ""},
		{2 * time.Hour, `/pour cancel pour:1`, fault.NotAllowed, "pour"},
		{2 * time.Hour, `/pour soft`, fault.UnknownPour, "pour"},
	} {
		ans := askAt(t, d, "ada", c.after, c.line)
		switch {
		case c.code == "" && ans.Fault != nil:
			t.Errorf("%s: %v", c.line, ans.Fault)
		case c.code != "" && (ans.Fault == nil || ans.Fault.Code != c.code || ans.Fault.Option != c.option || ans.Fault.HintText() == ""):
			t.Errorf("%s: got %v, want %s in option %q with a hint", c.line, ans.Fault, c.code, c.option)
		}
	}
}

// What is guessed teaches nothing, and is said.
func TestPourByVolume(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/pour start material:"demo rigid white" volume:"80 ml" count:3`)
	near(t, r, "mass_total", 3*80*1.06, 0.1)
	if !said(r, "6 mm", "Give thickness") {
		t.Errorf("notes %q", r.Notes)
	}
	for _, f := range r.Facts {
		if f.Key == "peak_temp" {
			t.Error("a peak without a section")
		}
	}
	if r := toldAt(t, d, "ada", time.Hour, "/pour ready"); !said(r, "can't narrow a forecast") {
		t.Errorf("notes %q", r.Notes)
	}
	near(t, told(t, d, "ada", `/cure material:"demo rigid white" thickness:"6 mm"`), "logs_used", 0, 0)
	told(t, d, "ada", `/pour start material:"demo rigid white" volume:"80 ml" thickness:"9 mm"`)
	if r := toldAt(t, d, "ada", time.Hour, "/pour ready"); !said(r, "here") {
		t.Errorf("with a thickness: %q", r.Notes)
	}
}

// An export holds the pours, an erasure takes them.
func TestPoursInExportAndErase(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", `/pour start material:"demo rigid white" mold:"shell knob"`)
	toldAt(t, d, "bram", time.Hour, "/pour soft share:yes")
	export := told(t, d, "bram", "/me export")
	if text := string(export.Files[0].Data); !strings.Contains(text, `"shell knob"`) || !strings.Contains(text, `"soft_at": 3600`) {
		t.Errorf("the export lacks the pour:\n%s", text)
	}
	near(t, export, "pours", 1, 0)
	told(t, d, "bram", "/me erase sure:yes")
	near(t, told(t, d, "ada", `/cure material:"demo rigid white" thickness:"6 mm"`), "logs_used", 0, 0)
	if r := told(t, d, "bram", "/pour list"); len(r.Facts) != 0 {
		t.Errorf("still there: %v", fmt.Sprint(r.Facts))
	}
}
