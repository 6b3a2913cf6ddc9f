package console_test

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/working"
)

// full is a reply with something in every part.
func full() *chat.Reply {
	return &chat.Reply{
		Title: "Mix 132 g A with 122 g B (240 mL)",
		Facts: []chat.Fact{
			chat.Fact{Key: "mass_a", Label: "Part A", Value: 132.0, Unit: "g", Text: "132.0 g"}.Between(131.95, 132.05),
			{Key: "cups", Label: "Cups", Value: 1, Unit: "1", Text: "1 cup"},
			{Key: "reachable", Label: "Reachable", Value: true, Text: "yes"},
			{Key: "kind", Label: "Kind", Value: "box", Text: "a box"},
			{Key: "tiny", Label: "Tiny", Value: 1.25e-9, Unit: "1", Text: "nothing"},
		},
		Steps:    []string{"Put on gloves.", "Weigh A."},
		Notes:    []string{"At the shop's 21 °C <warmer & faster>."},
		Cautions: []chat.Caution{{ID: "isocyanate", Text: "Air the room.", Full: "Long text."}},
		Working:  []working.Step{{What: "mass of A", Formula: "V·ρ", Value: "120 mL × 1.10 = 132 g", Source: working.Definition}},
		Images:   []chat.Image{{Name: "cure.png", Alt: "a curve", Data: make([]byte, 20412)}},
		Files:    []chat.File{{Name: "run.ics", Data: []byte("x")}},
		Actions:  []chat.Action{{ID: "1w.2s./batch", Label: "Show working", Do: chat.DoWorking, Line: "/batch"}},
		Terms:    []string{"pull"},
		Private:  true,
	}
}

// The expected texts are written by hand after the contract of the verb.
func TestWriteJSON(t *testing.T) {
	tests := []struct {
		name string
		ans  chat.Answer
		want string
	}{
		{"full reply", chat.Answer{Command: "batch", Reply: full()},
			`{"ok":true,"command":"batch","title":"Mix 132 g A with 122 g B (240 mL)",` +
				`"facts":[{"key":"mass_a","label":"Part A","value":132,"unit":"g","low":131.95,"high":132.05,"text":"132.0 g"},` +
				`{"key":"cups","label":"Cups","value":1,"unit":"1","text":"1 cup"},` +
				`{"key":"reachable","label":"Reachable","value":true,"unit":"","text":"yes"},` +
				`{"key":"kind","label":"Kind","value":"box","unit":"","text":"a box"},` +
				`{"key":"tiny","label":"Tiny","value":1.25e-9,"unit":"1","text":"nothing"}],` +
				`"steps":["Put on gloves.","Weigh A."],"notes":["At the shop's 21 °C <warmer & faster>."],` +
				`"cautions":[{"id":"isocyanate","text":"Air the room."}],` +
				`"working":[{"what":"mass of A","formula":"V·ρ","value":"120 mL × 1.10 = 132 g","source":"definition"}],` +
				`"images":[{"name":"cure.png","alt":"a curve","bytes":20412}],"files":[{"name":"run.ics","bytes":1}],` +
				`"actions":[{"id":"1w.2s./batch","label":"Show working"}],"private":true}`},
		{"empty lists are there", chat.Answer{Command: "volume mesh", Reply: &chat.Reply{Title: "Nothing"}},
			`{"ok":true,"command":"volume mesh","title":"Nothing","facts":[],"steps":[],"notes":[],"cautions":[],"working":[],` +
				`"images":[],"files":[],"actions":[],"private":false}`},
		{"refusal", chat.Answer{Fault: fault.New(fault.UnknownMaterial, "no material is called %q", "x").In("material").Hint("try /material list").Choose("y")},
			`{"ok":false,"error":{"code":"unknown_material","option":"material","message":"no material is called \"x\"","hint":"try /material list"}}`},
		{"refusal with what would be taken", chat.Answer{Fault: fault.New(fault.MissingOption, "which?").In("pour").Hint("say which"), Actions: []chat.Action{{ID: "1e.1./x", Label: "#1"}}},
			`{"ok":false,"error":{"code":"missing_option","option":"pour","message":"which?","hint":"say which"},"actions":[{"id":"1e.1./x","label":"#1"}]}`},
		{"refusal without an option", chat.Answer{Fault: fault.New(fault.Busy, "too much at once")},
			`{"ok":false,"error":{"code":"busy","option":"","message":"too much at once","hint":""}}`},
		{"form", chat.Answer{Command: "material edit", Private: true, Form: &chat.OpenForm{ID: "1f.1.x", Title: "Edit", Fields: []chat.Field{
			{Option: chat.Option{Name: "name", Help: "its name", Required: true}, Value: "old"}}}},
			`{"ok":true,"command":"material edit","title":"Edit","facts":[],"steps":[],"notes":[],"cautions":[],"working":[],` +
				`"images":[],"files":[],"actions":[],"private":true,"form":{"id":"1f.1.x","fields":[{"name":"name","help":"its name","required":true,"value":"old"}]}}`},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			var out bytes.Buffer
			if err := console.WriteJSON(&out, test.ans); err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(test.want+"\n", out.String()); d != "" {
				t.Errorf("JSON differs (-want +got):\n%s", d)
			}
			if bytes.Count(out.Bytes(), []byte("\n")) != 1 || !json.Valid(out.Bytes()) {
				t.Errorf("%q is not one JSON object on one line", out.String())
			}
		})
	}
}

// A number that JSON can't hold is an error of ours, not half an object.
func TestWriteJSONRefusesNaN(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1)} {
		var out bytes.Buffer
		err := console.WriteJSON(&out, chat.Answer{Reply: &chat.Reply{Facts: []chat.Fact{{Key: "x", Value: v}}}})
		if err == nil || out.Len() > 0 {
			t.Errorf("value %v: error %v, output %q", v, err, out.String())
		}
	}
}

func TestStatusOf(t *testing.T) {
	tests := []struct {
		ans  chat.Answer
		want console.Status
	}{
		{chat.Answer{Reply: &chat.Reply{}}, 0},
		{chat.Answer{Form: &chat.OpenForm{}}, 0},
		{chat.Answer{Fault: fault.New(fault.BadQuantity, "x")}, 1},
		{chat.Answer{Fault: fault.New(fault.NotAllowed, "x")}, 1},
		{chat.Answer{Fault: fault.New(fault.Busy, "x")}, 1},
		{chat.Answer{Fault: fault.New(fault.Internal, "x")}, 3},
		{chat.Answer{Fault: fault.New(fault.Unavailable, "x")}, 3},
	}
	for _, test := range tests {
		if got := console.StatusOf(test.ans); got != test.want {
			t.Errorf("%v: status %d, want %d", test.ans.Fault, got, test.want)
		}
	}
}
