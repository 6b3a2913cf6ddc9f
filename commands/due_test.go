package commands_test

import (
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

func TestDue(t *testing.T) {
	d := desk(t)
	golden(t, "due_list_none", ask(t, d, "bram", "/due list"))
	golden(t, "due_add", ask(t, d, "bram", `/due add about:"wipe the mold" in:1h`))
	golden(t, "due_add_series", ask(t, d, "bram", `/due add about:"look at the jugs" at:"mon 9:00" every:"2 weeks" to:dm`))
	golden(t, "due_list", ask(t, d, "bram", "/due list"))
	if r := told(t, d, "ada", "/due list"); r.Title != "You wait for nothing" {
		t.Errorf("ada lists %q", r.Title)
	}
	golden(t, "due_snooze", ask(t, d, "bram", `/due snooze due:wipe in:"10 min"`))
	golden(t, "due_done_series", ask(t, d, "bram", "/due done due:#2@1"))
	golden(t, "due_cancel", ask(t, d, "bram", "/due cancel due:#1"))
}

func TestDueAdd(t *testing.T) {
	for _, c := range []struct{ name, options, due, every, to string }{
		{"in", `in:"45 min"`, "2026-11-23T10:15:00Z", "", "here"},
		{"at, by the shop's clock", "at:18:30", "2026-11-23T18:30:00Z", "", "here"},
		{"a series", "at:18:30 every:day", "2026-11-23T18:30:00Z", "1 day", "here"},
		{"alone", "in:1h to:dm", "2026-11-23T10:30:00Z", "", "dm"},
	} {
		t.Run(c.name, func(t *testing.T) {
			inv := calling("bram")
			inv.Line, inv.Place = "/due add about:wipe "+c.options, "42"
			r := desk(t).Do(t.Context(), inv).Reply
			if r == nil || fact(t, r, "due").Value != c.due || fact(t, r, "to").Value != c.to {
				t.Fatalf("answered %+v", r)
			}
			if c.every != "" && fact(t, r, "every").Value != c.every {
				t.Errorf("every is %v", fact(t, r, "every").Value)
			}
		})
	}
	d := desk(t)
	told(t, d, "bram", "/me set zone:America/New_York quiet_hours:09:00-11:00")
	r := told(t, d, "bram", `/due add about:wipe at:"10:00"`)
	if f := fact(t, r, "due"); f.Value != "2026-11-23T15:00:00Z" || f.Text != "10:00" || !said(r, "quiet hours", "11:00") {
		t.Errorf("by bram's own clock: %+v, %q", f, r.Notes)
	}
}

func TestDueRefusals(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", "/due add about:wipe in:1h")
	told(t, d, "bram", `/due add about:"wipe again" in:1h`)
	refused(t, d, "bram", "/due add about:x in:soon", fault.BadTime, "in")
	refused(t, d, "bram", "/due add about:x at:yesterday", fault.BadTime, "at")
	refused(t, d, "bram", `/due add about:x at:"2026-11-23 09:00"`, fault.BadTime, "at")
	refused(t, d, "bram", "/due add about:x in:1h every:often", fault.BadTime, "every")
	refused(t, d, "bram", `/due add about:x in:1h every:"1 min"`, fault.OutOfRange, "every")
	refused(t, d, "bram", "/due add in:1h", fault.MissingOption, "about")
	refused(t, d, "bram", "/due add about:x", fault.MissingOption, "in")
	refused(t, d, "bram", "/due add about:x in:1h at:18:30", fault.TooManyOptions, "at")
	refused(t, d, "bram", "/due snooze due:#1 in:later", fault.BadTime, "in")
	refused(t, d, "bram", "/due cancel due:varnish", fault.NotFound, "due")
	refused(t, d, "bram", "/due cancel due:#99", fault.NotFound, "due")
	refused(t, d, "cleo", "/due cancel due:#1", fault.NotFound, "due")
	if ans := refused(t, d, "bram", "/due cancel due:wip", fault.AmbiguousName, "due"); len(ans.Actions) != 2 {
		t.Errorf("offers %q", labels(ans.Actions))
	}
	told(t, d, "bram", "/due cancel due:#1")
	refused(t, d, "bram", "/due snooze due:#1 in:1h", fault.NotAllowed, "due")
}

func TestDueSuggestions(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", `/due add about:"wipe the mold" in:1h`)
	for as, want := range map[string]int{"bram": 1, "ada": 0} {
		inv := calling(as)
		inv.Command, inv.Sub, inv.Raw = "due", "cancel", map[string]string{"due": "wip"}
		got, err := d.Complete(t.Context(), inv, "due")
		if err != nil || len(got) != want || want == 1 && (got[0].Value != "#1" || !strings.Contains(got[0].Label, "wipe the mold")) {
			t.Errorf("%s is offered %+v, %v", as, got, err)
		}
	}
}

// comingCalls are what bram will be called for, by the list.
func comingCalls(t *testing.T, d *chat.Dispatcher) (due []chat.Fact) {
	t.Helper()
	for _, f := range told(t, d, "bram", "/due list").Facts {
		if f.Key == "due" {
			due = append(due, f)
		}
	}
	return due
}

// A pour calls once, when it is ready and cool, or at even odds if its member
// wants that; the call ends with the pour.
func TestPourCalls(t *testing.T) {
	const start = `/pour start material:"demo rigid white" mold:"harbor pawn"`
	due := func(d *chat.Dispatcher) []chat.Fact {
		t.Helper()
		return comingCalls(t, d)
	}
	d := desk(t)
	r := told(t, d, "bram", start)
	if got := due(d); len(got) != 1 || got[0].Value != fact(t, r, "ready_at").Value || !strings.Contains(got[0].Label, "harbor pawn") {
		t.Errorf("it calls %+v, want at %v", got, fact(t, r, "ready_at").Value)
	}
	told(t, d, "bram", "/pour cancel")
	if got := due(d); len(got) != 0 {
		t.Errorf("a canceled pour calls %+v", got)
	}
	told(t, d, "bram", "/me set ready:p50")
	r = told(t, d, "bram", start)
	mid := monday.Add(time.Duration(fact(t, r, "demold").Value.(float64)+0.5) * time.Second)
	got := due(d)
	if len(got) != 1 || !strings.Contains(got[0].Label, "Worth a look") {
		t.Fatalf("it calls %+v", got)
	}
	if at, err := time.Parse(time.RFC3339, got[0].Value.(string)); err != nil || at.Sub(mid).Abs() > 2*time.Second {
		t.Errorf("it calls at %v, want %v", at, mid)
	}
}

// A pour found soft is called for again: by the call that is still to come, or
// by a new one.
func TestSoftPourCallsAgain(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	soft := func(after time.Duration) *chat.Reply {
		t.Helper()
		inv := calling("bram")
		inv.At, inv.Line = monday.Add(after), "/pour soft"
		ans := d.Do(t.Context(), inv)
		if ans.Reply == nil {
			t.Fatalf("refused: %v", ans.Fault)
		}
		return ans.Reply
	}
	first := comingCalls(t, d)
	soft(time.Minute)
	if got := comingCalls(t, d); len(got) != 1 || got[0].Value != first[0].Value {
		t.Errorf("before its time: %+v, want %+v", got, first)
	}
	told(t, d, "bram", "/due cancel due:#1")
	if r := soft(8 * time.Hour); !said(r, "called at 19:30") {
		t.Errorf("notes %q, want a call after a quarter of eight hours", r.Notes)
	}
	if got := comingCalls(t, d); len(got) != 1 || got[0].Value != "2026-11-23T19:30:00Z" || !strings.Contains(got[0].Label, "Look again") {
		t.Errorf("after its time: %+v", got)
	}
	told(t, d, "bram", "/pour cancel")
	if got := comingCalls(t, d); len(got) != 0 {
		t.Errorf("a canceled pour calls %+v", got)
	}
}
