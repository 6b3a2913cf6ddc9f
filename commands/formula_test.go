package commands_test

import (
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
)

// blockMold is a formula as members write it.
const blockMold = `/formula save name:"knob box" about:"rubber round a master" text:"` +
	`input length = 60 mm (5 mm to 1 m): of the master; input width = 40 mm (5 mm to 1 m); input height = 20 mm (5 mm to 1 m)\n` +
	`let wall = 10 mm\n` +
	`box(length + 2 * wall, width + 2 * wall, height + 2 * wall) - box(length, width, height)" ` +
	`test:"length 60 mm, width 40 mm, height 20 mm -> 144 ml"`

// saved is blockMold with its line breaks.
func saved() string { return strings.ReplaceAll(blockMold, `\n`, "\n") }

func TestFormulaRun(t *testing.T) {
	d := desk(t)
	golden(t, "formula_sum", ask(t, d, "ada", `/formula run text:"250 ml + 2 floz"`))
	r := told(t, d, "ada", `/formula run text:"250 ml + 2 floz"`)
	if f := fact(t, r, "result"); math.Abs(f.Value.(float64)-309.147059125) > 1e-9 || f.Unit != "mL" {
		t.Errorf("result: %+v", f)
	}
	golden(t, "formula_batch", ask(t, d, "bram", `/formula run text:"let v = box(10 cm, 5 cm, 5 cm); batch(v, 'demo rigid white')"`))
	batch := told(t, d, "bram", `/formula run text:"batch(250 ml, 'demo rigid white')"`)
	plain := told(t, d, "bram", `/batch material:"demo rigid white" volume:"250 ml"`)
	for _, key := range []string{"mass_a", "mass_b", "volume_total", "cost"} {
		if a, b := fact(t, batch, key), fact(t, plain, key); a.Value != b.Value || a.Unit != b.Unit {
			t.Errorf("%s: %v %s by formula, %v %s by /batch", key, a.Value, a.Unit, b.Value, b.Unit)
		}
	}
	if len(batch.Cautions) == 0 {
		t.Error("a batch of urethane without its caution")
	}
	if typed := told(t, d, "bram", `/formula run text:"batch(250 ml, '1:1 vol', 1.10 g/ml, 1.02 g/ml)"`); !said(typed, "SDS") || said(typed, "version") {
		t.Errorf("a mix that nobody keeps: notes %q", typed.Notes)
	}
	if tiny := told(t, d, "bram", `/formula run text:"batch(2 ml, 'demo rigid white')"`); !said(tiny, "Too small for a scale") {
		t.Errorf("too small a batch: notes %q", tiny.Notes)
	}
	cups := press(t, d, "bram", ask(t, d, "bram", `/formula run text:"batch(250 ml, 'demo rigid white')"`), "Cups and pot life")
	if cups.Reply == nil || fact(t, cups.Reply, "mass_a").Value != fact(t, batch, "mass_a").Value {
		t.Errorf("the same batch by /batch: %+v, %v", cups.Reply, cups.Fault)
	}
	life := told(t, d, "ada", `/formula run text:"pot_life('demo rigid white', 100 g) / 2"`)
	if f := fact(t, life, "result"); f.Low == nil || f.High == nil || !(*f.Low < f.Value.(float64) && f.Value.(float64) < *f.High) || f.Unit != "s" || !said(life, "rests on", "pot life of 100 g") {
		t.Errorf("half a pot life: %+v, notes %q", f, life.Notes)
	}
	warm := told(t, d, "ada", `/formula run text:"temp > 25 C ? 1 : 2" temp:"30 C"`)
	if fact(t, warm, "result").Value != 1.0 || !said(warm, "a room of 30 °C") {
		t.Errorf("a warm room: %+v %q", warm.Facts, warm.Notes)
	}
	cost := told(t, d, "ada", `/formula run text:"18 GBP / mold_life('harbor pawn')"`)
	if f := fact(t, cost, "result"); f.Unit != "GBP" || f.Low == nil {
		t.Errorf("cost of a pull: %+v", f)
	}
}

// A formula runs for whoever types it, with what that member may see.
func TestFormulaSeesAsItsMember(t *testing.T) {
	d := desk(t)
	told(t, d, "cleo", `/material add name:"cleo's own" family:urethane ratio:"1:1 vol" density_a:1.1 density_b:1 pot_life:"3 min"`)
	told(t, d, "cleo", `/formula run text:"density(\"cleo's own\")"`)
	for _, as := range []string{"ada", "bram"} {
		f := refused(t, d, as, `/formula run text:"1 ml * density(\"cleo's own\")"`, fault.UnknownMaterial, "text").Fault
		if !strings.Contains(f.Message, "column") {
			t.Errorf("without its place: %q", f.Message)
		}
	}
	near := refused(t, d, "ada", `/formula run text:"density('demo rigit white')"`, fault.UnknownMaterial, "text")
	if len(near.Actions) != 0 || !strings.Contains(near.Fault.HintText(), "demo rigid white") {
		t.Errorf("a near name: buttons %q, hint %q", labels(near.Actions), near.Fault.HintText())
	}
	refused(t, d, "ada", `/formula run text:"mold_pulls('no such mold')"`, fault.UnknownMold, "text")
}

func TestFormulaShelf(t *testing.T) {
	d := desk(t)
	golden(t, "formula_save", ask(t, d, "ada", saved()))
	refused(t, d, "ada", saved(), fault.NameTaken, "name")
	golden(t, "formula_show", ask(t, d, "ada", `/formula show formula:"knob box"`))
	run := ask(t, d, "ada", `/formula run name:"knob box" inputs:"length 8 cm, height 1 in"`)
	golden(t, "formula_kept", run)
	want := (100.0*60*45.4 - 80*40*25.4) / 1000
	if got := fact(t, run.Reply, "result").Value.(float64); math.Abs(got-want) > 1e-9 {
		t.Errorf("the mold takes %v mL, want %v", got, want)
	}
	again := press(t, d, "ada", run, "Run again")
	if again.Form == nil || len(again.Form.Fields) != 2 {
		t.Fatalf("run again: %+v, %v", again.Form, again.Fault)
	}
	filled := map[string]string{}
	for _, f := range again.Form.Fields {
		filled[f.Name] = f.Value
	}
	if filled["inputs"] != "length 8 cm, height 1 in" {
		t.Errorf("run again begins with %q", filled)
	}
	filled["inputs"] = ""
	if ans := send(t, d, "ada", again.Form, filled); ans.Reply == nil || math.Abs(fact(t, ans.Reply, "result").Value.(float64)-144) > 1e-9 {
		t.Errorf("run again with its own values: %+v, %v", ans.Reply, ans.Fault)
	}

	if f := refused(t, d, "ada", `/formula edit formula:"knob box" text:"5 ml"`, fault.FormulaError, "test").Fault; !strings.Contains(f.Message, "no input") {
		t.Errorf("an edit that its test forbids: %q", f.Message)
	}
	refused(t, d, "ada", `/formula edit formula:"knob box" text:"5 ml + 2 g"`, fault.FormulaError, "text")
	changed := told(t, d, "ada", `/formula edit formula:"knob box" text:"input length = 60 mm; length * 2" test:"length 10 mm -> 20 mm"`)
	if !strings.Contains(changed.Title, "version 2") {
		t.Errorf("edited: %q", changed.Title)
	}
	told(t, d, "ada", `/formula edit formula:"knob box" clear:test`)
	refused(t, d, "ada", `/formula edit formula:"knob box" clear:text`, fault.UnknownOption, "clear")
	if r := told(t, d, "ada", `/formula history formula:"knob box"`); len(r.Facts) != 3 {
		t.Errorf("history: %+v", r.Facts)
	}
	// the pinned button of the first run still runs what it ran
	if old := press(t, d, "ada", run, "Show working"); old.Reply == nil || len(old.Reply.Working) < 4 {
		t.Errorf("the working of version 1: %+v, %v", old.Reply, old.Fault)
	}
	refused(t, d, "bram", `/formula show formula:"knob box"`, fault.UnknownFormula, "formula")
	if r := told(t, d, "ada", `/formula list`); fact(t, r, "formula").Value == nil {
		t.Errorf("list: %+v", r.Facts)
	}
	sure := ask(t, d, "ada", `/formula remove formula:"knob box"`)
	if ans := press(t, d, "ada", sure, "Remove it"); ans.Reply == nil {
		t.Errorf("remove: %v", ans.Fault)
	}
	refused(t, d, "ada", `/formula run name:"knob box"`, fault.UnknownFormula, "name")
}

func TestFormulaRefusals(t *testing.T) {
	d := desk(t)
	refused(t, d, "ada", `/formula run text:"250 ml + 2 g"`, fault.FormulaError, "text")
	refused(t, d, "ada", `/formula run text:"`+strings.Repeat("1+", 1000)+`1"`, fault.FormulaLimit, "text")
	refused(t, d, "ada", `/formula run`, fault.MissingOption, "name")
	refused(t, d, "ada", `/formula run text:"input w = 5 mm; w" inputs:"h 3 mm"`, fault.FormulaError, "inputs")
	refused(t, d, "ada", `/formula run text:"input w (1 mm to 5 mm); w"`, fault.MissingOption, "inputs")
	refused(t, d, "ada", `/formula save name:x text:"5 ml" test:"-> 6 ml"`, fault.FormulaError, "test")
	refused(t, d, "ada", `/formula help function:batsh`, fault.NotFound, "function")
	told(t, d, "ada", `/formula save name:"divided" text:"input w = 1 mm; 1 / (w / 1 mm)"`)
	if f := refused(t, d, "ada", `/formula run name:divided inputs:"w 0 mm"`, fault.FormulaError, "name").Fault; !strings.Contains(f.Message, `in "divided", line 1, column 19`) {
		t.Errorf("of a kept formula: %q", f.Message)
	}
}

func TestFormulaHelp(t *testing.T) {
	d := desk(t)
	golden(t, "formula_help", ask(t, d, "ada", "/formula help"))
	for _, word := range []string{"batch", "units", "constants", "inputs", "shapes", "Room and air", "pot life", "cylinder()"} {
		if r := told(t, d, "ada", `/formula help function:"`+word+`"`); len(r.Facts)+len(r.Steps) == 0 {
			t.Errorf("help on %s says nothing", word)
		}
	}
	try := press(t, d, "ada", ask(t, d, "ada", `/formula help function:batch`), "Try the example")
	if try.Reply == nil || fact(t, try.Reply, "mass_a").Unit != "g" {
		t.Errorf("the example of batch: %v", try.Fault)
	}
}

// What is typed is completed: names of formulas, functions, units, names set.
func TestFormulaSuggestions(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", saved())
	for _, c := range []struct{ sub, option, typed, want string }{
		{"run", "name", "kno", "knob box"}, {"show", "formula", "box", "knob box"},
		{"run", "text", "let a = cyl", "let a = cylinder("}, {"save", "text", "250 m", "250 mL"}, {"help", "function", "bat", "batch"},
	} {
		inv := calling("ada")
		inv.Command, inv.Sub, inv.Raw = "formula", c.sub, map[string]string{c.option: c.typed}
		got, err := d.Complete(t.Context(), inv, c.option)
		found := false
		for _, ch := range got {
			found = found || ch.Value == c.want
		}
		if err != nil || !found {
			t.Errorf("%s %s:%q is completed to %v, %v, want %q among them", c.sub, c.option, c.typed, got, err, c.want)
		}
	}
}

// A form asks for a formula, and a typed one can be saved with one press.
func TestFormulaSaveIt(t *testing.T) {
	d := desk(t)
	ran := ask(t, d, "ada", "/formula run text:\"input w = 10 mm\nw ^ 2\"")
	form := press(t, d, "ada", ran, "Save it")
	if form.Form == nil {
		t.Fatalf("save it: %+v", form)
	}
	ans := send(t, d, "ada", form.Form, map[string]string{"name": "square", "text": "input w = 10 mm\nw ^ 2", "about": "", "test": "w 2 cm -> 4 cm2"})
	if ans.Reply == nil || ans.Reply.Title != `Saved "square"` {
		t.Fatalf("saved: %+v, %v", ans.Reply, ans.Fault)
	}
	if r := told(t, d, "ada", `/formula run name:square inputs:"w 3 cm"`); math.Abs(fact(t, r, "result").Value.(float64)-900) > 1e-9 {
		t.Errorf("square: %+v", r.Facts)
	}
}
