package commands_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
)

func TestHelpShowsAQuestionOfEachCommand(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "newcomer", "/help")
	if ans.Private {
		t.Error("help is private, want it for the channel to read")
	}
	for _, cmd := range d.Commands() {
		if cmd.Name == "help" {
			continue
		}
		if !slices.ContainsFunc(ans.Reply.Steps, func(s string) bool { return strings.Contains(s, "/"+cmd.Name) }) {
			t.Errorf("/help does not lead to /%s", cmd.Name)
		}
	}
}

// An example's button answers whoever presses, and them alone.
func TestHelpExamplesCanBePressed(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "bram", "/help topic:first")
	got := press(t, d, "cleo", ans, "What do I need for a class of eight?")
	if got.Reply == nil || !got.Private || !strings.HasPrefix(got.Reply.Title, "A class of 8 with demo rigid white") {
		t.Errorf("pressed: %+v", got)
	}
}

func TestHelpTopics(t *testing.T) {
	d := desk(t)
	for _, c := range []struct{ name, topic, title, note string }{
		{"a command", "safety", "/safety: ", "For example: /safety"},
		{"a command with its slash", "/safety", "/safety: ", ""},
		{"a command without case", "SAFETY", "/safety: ", ""},
		{"a command with subs", "shop", "/shop: ", "Managers set them"},
		{"a sub", "shop faq", "/shop faq: ", ""},
		{"a sub that only one command has", "erase", "/me erase: ", ""},
		{"a word of questions", "scale", `What can be asked about "scale"`, ""},
		{"a sub that several have is a word", "show", `What can be asked about "show"`, ""},
		{"a slip in a command", "saftey", "/safety: ", `"saftey" was read as "safety"`},
		{"a slip in a sub", "shop fqa", "/shop faq: ", `"shop fqa" was read as "shop faq"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := told(t, d, "bram", `/help topic:"`+c.topic+`"`)
			if !strings.HasPrefix(r.Title, c.title) {
				t.Errorf("title %q, want it to begin with %q", r.Title, c.title)
			}
			if c.note != "" && !said(r, c.note) {
				t.Errorf("notes %q, want %q", r.Notes, c.note)
			}
		})
	}
	refused(t, d, "bram", "/help topic:xylophone", fault.NotFound, "topic")
}

// What a question's own words are about goes before what its command is about.
func TestHelpPutsTheQuestionFirst(t *testing.T) {
	d := desk(t)
	r := told(t, d, "bram", "/help topic:class")
	if len(r.Steps) == 0 || !strings.Contains(r.Steps[0], "class of eight") {
		t.Errorf("steps %q, want the question about a class first", r.Steps)
	}
}

func TestHelpPageListsEveryOption(t *testing.T) {
	golden(t, "help_first", ask(t, desk(t), "bram", "/help topic:first"))
}

func TestHelpCompletesTopics(t *testing.T) {
	d := desk(t)
	inv := calling("bram")
	inv.Command, inv.Raw = "help", map[string]string{"topic": "shop f"}
	got, err := d.Complete(t.Context(), inv, "topic")
	if err != nil || len(got) == 0 || got[0].Value != "shop faq" {
		t.Errorf("got %v, %v; want shop faq first", got, err)
	}
}

// A new shop has no demo materials: its examples must be ones that work there.
func TestHelpInAnEmptyShop(t *testing.T) {
	d := desk(t)
	inv := calling("dora")
	inv.ShopKey, inv.ShopName, inv.Line = "local:new", "New", "/help"
	before := d.Do(t.Context(), inv).Reply
	for _, step := range before.Steps {
		if strings.Contains(step, "demo ") || strings.Contains(step, "harbor pawn") {
			t.Errorf("an empty shelf is offered %q", step)
		}
	}
	inv.Line = `/material add name:"dora clear" family:epoxy ratio:"2:1 vol" pot_life:"30 min" density_a:"1.15, 0.97"`
	if ans := d.Do(t.Context(), inv); ans.Fault != nil {
		t.Fatal(ans.Fault)
	}
	inv.Line = "/help"
	after := d.Do(t.Context(), inv).Reply
	if !slices.ContainsFunc(after.Steps, func(s string) bool { return strings.Contains(s, `/batch material:"dora clear" volume`) }) {
		t.Errorf("steps %q do not use what is on the shelf", after.Steps)
	}
	for _, a := range after.Actions {
		press := inv
		press.Line, press.Press = "", a.ID
		if ans := d.Do(t.Context(), press); ans.Fault != nil {
			t.Errorf("%s: %v", a.Label, ans.Fault)
		}
	}
}

// A newcomer's first question comes first; files and odd sums
// come after what is poured every day.
func TestHelpBeginsWhereNewcomersDo(t *testing.T) {
	steps := told(t, desk(t), "ada", "/help").Steps
	place := func(line string) int {
		return slices.IndexFunc(steps, func(s string) bool { return strings.Contains(s, " "+line) })
	}
	order := []string{"/first ", "/batch ", "/cure ", "/pour start ", "/data export "}
	for i, line := range order {
		if place(line) < 0 || i > 0 && place(line) <= place(order[i-1]) {
			t.Errorf("%s is at %d of\n%s\nwant the order %q", line, place(line), strings.Join(steps, "\n"), order)
		}
	}
}

func TestHelpTakesASentence(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/help topic:"my part is still sticky"`)
	if all := strings.Join(r.Steps, " "); !strings.Contains(all, "/trouble symptom:") {
		t.Errorf("help for a sentence shows %q", all)
	}
	refused(t, d, "ada", `/help topic:"xyzzy plugh"`, fault.NotFound, "topic")
}
