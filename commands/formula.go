package commands

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/formula"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func init() { register("formula", newFormula) }

type formulaCommand struct {
	deps
	sharing library.Sharing[shop.FormulaProfile]
}

func newFormula(d deps) chat.Command {
	f := formulaCommand{d, d.library.ShareFormulas(d.Books)}
	fields := map[string]chat.Option{}
	for _, field := range library.FormulaFields() {
		fields[field.Name] = field.Option
	}
	text := fields["text"]
	text.Required = false
	inputs := chat.Option{Name: "inputs", Help: "values for what it asks for; the rest keep their own", Like: "width 12 cm, height 2 in", Length: 500}
	one := chat.Option{Name: "formula", Help: "its name", Like: "block mold", Required: true, Suggest: d.library.SuggestFormula}
	return chat.Command{
		Name:  "formula",
		Help:  "sums of your own, with units, to keep and to share",
		About: "A number with a unit behind it is a quantity, and units are watched: a length and a weight do not add up. Lines of input ask for values, let sets a name, the last line is the result. /formula help shows the rest. There are no loops, and a formula changes nothing.",
		Asks: []chat.Ask{
			{Question: "What is 250 ml and 2 fluid ounces?", Line: `/formula run text:"250 ml + 2 floz"`},
			{Question: "What can a formula do?", Line: `/formula help`},
			{Question: "How much larger must the master be?", Line: `/formula run text:"150 mm * oversize(0.4 %, 0.2 %)"`},
			{Question: "How is a batch worked out in a formula?", Line: `/formula help function:batch`},
		},
		Subs: append([]chat.Sub{
			{Name: "run", Help: "work a formula out, one that is kept or one typed here", Computes: true, Slow: true, Run: f.run,
				OneOf: [][]string{{"name", "text"}},
				Forms: []chat.Form{{Title: "Run a formula", Options: []string{"text", "inputs"}}, {Name: "kept", Title: "Run a formula", Options: []string{"name", "inputs"}}},
				Options: []chat.Option{{Name: "name", Help: "a formula of yours or the shop's", Like: "block mold", Suggest: d.library.SuggestFormula},
					text, inputs, roomOption}},
			{Name: "save", Help: "keep a formula", Writes: true, Slow: true, Run: f.save,
				Forms:   []chat.Form{{Title: "A formula", Options: []string{"name", "text", "about", "test"}}},
				Options: []chat.Option{fields["name"], fields["text"], fields["about"], fields["test"]}},
			{Name: "help", Help: "how formulas are written; functions, units and constants", Computes: true, Run: f.help,
				Options: []chat.Option{{Name: "function", Help: "a function, or units, constants, shapes, inputs", Like: "batch", Suggest: suggestFunction}}},
			{Name: "list", Help: "the formulas you can use here", Computes: true, Run: f.list},
			{Name: "show", Help: "a formula as it is written", Options: []chat.Option{one}, Computes: true, Run: f.show},
			{Name: "edit", Help: "change a formula of yours; it becomes its next version", Writes: true, Slow: true, Run: f.edit,
				Options: formulaEditOptions(one, fields),
				Forms:   []chat.Form{{Title: "Change the formula", Options: []string{"name", "text", "about", "test"}, Fill: f.typed}}},
			{Name: "history", Help: "the versions of a formula", Options: []chat.Option{one}, Run: f.history},
			{Name: "remove", Help: "take a formula of yours off the shelf", Writes: true, Run: f.remove,
				Options: []chat.Option{one, {Name: "sure", Kind: chat.YesNo, Help: "yes removes it"}}},
		}, f.sharing.Subs()...),
	}
}

// pot tells pot lives to a formula, by the same model as /cure.
func (f formulaCommand) pot(ctx context.Context, c *chat.Call) library.PotLife {
	return func(m material.Profile, mass, room float64) (quantity.Range, error) {
		cup, err := f.cures.Cup(ctx, m, mass, room, c.By.System())
		return cup.PotLife, err
	}
}

// run works a formula out.
func (f formulaCommand) run(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	text, kept, err := f.text(ctx, c)
	if err != nil {
		return nil, err
	}
	ready, err := f.library.Prepare(ctx, c, text, f.pot(ctx, c))
	if err != nil {
		return nil, within(kept, err)
	}
	ready.Set.Temp = c.Value("temp", ready.Set.Temp)
	given, notes, err := ready.Given(c.Text("inputs"), c.By.System())
	if err != nil {
		return nil, err
	}
	ready.Set.Given = given
	out, err := ready.Run(ready.Set)
	if err != nil {
		return nil, within(kept, err)
	}
	r := formulaReply(c, kept, ready, out)
	for _, n := range notes {
		c.Note(n)
	}
	f.roundOff(c, r, text, kept)
	if out.Batch == nil {
		return r, nil
	}
	if m := mixed(ready, out.Batch); m.ID != 0 && out.Batch.MassTotal > 0 {
		r.Actions = append(r.Actions, chat.Action{Label: "Cups and pot life", Line: chat.FormatLine("batch",
			map[string]string{"material": chat.Ref(m.ID, m.Version), "mass": fmt.Sprintf("%.6g g", out.Batch.MassTotal)}, nil)})
	}
	return r, nil
}

// text is the formula that is asked for, and its name if it is a kept one.
func (f formulaCommand) text(ctx context.Context, c *chat.Call) (text, name string, err error) {
	if !c.Has("name") {
		return c.Text("text"), "", nil
	}
	kept, err := f.library.Formula(ctx, c, "name", library.Take)
	if err != nil {
		return "", "", err
	}
	if !c.By.MayChange(kept.Record) {
		c.Note(fmt.Sprintf("The formula is %s's: look at it with /formula show before you pour by it.", kept.OwnerOf))
	}
	return kept.Text, kept.Name, nil
}

// within tells that a refusal is of a kept formula's text, which was not typed
// here.
func within(kept string, err error) error {
	if f := fault.As(err); f != nil && kept != "" && f.Option == "text" {
		f.Option, f.Message = "name", fmt.Sprintf("in %q, %s", kept, f.Message)
	}
	return err
}

// formulaReply is what a formula gave.
func formulaReply(c *chat.Call, kept string, ready library.Ready, out formula.Result) *chat.Reply {
	r := &chat.Reply{Title: library.Capital(gives(out)), Working: out.Working()}
	switch {
	case kept != "":
		r.Title = kept + ": " + gives(out)
	case out.Batch == nil:
		r.Title = "Result: " + gives(out)
	}
	for _, v := range out.Values {
		fact := chat.Fact{Key: v.Key, Label: v.Label, Value: v.Is, Unit: v.Unit, Text: v.Text}
		if v.Unsure {
			fact = fact.Between(v.Low, v.High)
		}
		r.Facts = append(r.Facts, fact)
	}
	if len(out.Rests) > 0 {
		text := "The result is a range" + spreadOf(ready) + ". It rests on " + strings.Join(out.Rests, "; ") + "."
		if !out.Sure {
			text += " At an end of that the answer is the other one."
		}
		r.Notes = append(r.Notes, text)
	}
	if out.Batch != nil {
		m, b := mixed(ready, out.Batch), out.Batch.Batch
		if m.ID == 0 {
			b.Basis = "" // of no profile
			r.Notes = append(r.Notes, "What this mix is made of is not known here: its SDS and bulletin say what to mind, /safety the usual cautions.")
		}
		r.Notes = append(r.Notes, batchNotes(c, m, order{want: mix.Want{Step: out.Batch.Step}}, b)...)
	}
	if own := ready.Set.Given.Own; len(own) > 0 {
		r.Notes = append(r.Notes, "Not given, so the formula's own: "+strings.Join(own, ", ")+".")
	}
	if read := ready.National(); len(read) > 0 {
		r.Notes = append(r.Notes, "Read as "+strings.Join(read, ", ")+".")
	}
	r.Notes = append(r.Notes, shopNotes(c, ready)...)
	for _, d := range ready.Calls() {
		if d.Note != "" && !slices.Contains(r.Notes, d.Note) {
			r.Notes = append(r.Notes, d.Note)
		}
	}
	r.Cautions = formulaCautions(ready, out)
	return r
}

// spreadOf says what the ends of a range are; a band that practice or judgement
// gives has no shares below and above it.
func spreadOf(ready library.Ready) string {
	if slices.ContainsFunc(ready.Calls(), func(d formula.Doc) bool { return d.Band }) {
		return ""
	}
	return ", 10 to 90 %"
}

// mixed is the material of a batch: one that is kept, or a ratio that was typed.
func mixed(ready library.Ready, b *formula.Batch) shop.Material {
	for _, m := range ready.Materials {
		if m.Name == b.Material.Name {
			return m
		}
	}
	return shop.Material{Profile: b.Material}
}

// gives is the result in one line.
func gives(out formula.Result) string {
	if out.Batch == nil {
		return out.Values[0].Text
	}
	verb, a, b := "mix", "mass_a", "mass_b"
	if out.Batch.NoWeights != "" {
		verb, a, b = "measure", "volume_a", "volume_b"
	}
	text := map[string]string{}
	for _, v := range out.Values {
		text[v.Key] = v.Text
	}
	return fmt.Sprintf("%s %s A with %s B of %s", verb, text[a], text[b], out.Batch.Material.Name)
}

// shopNotes say which of the shop's figures the formula used.
func shopNotes(c *chat.Call, ready library.Ready) []string {
	sys, set := c.By.System(), ready.Set
	var used []string
	for _, name := range ready.Uses() {
		switch name {
		case "temp":
			whose := "the shop's "
			if c.Has("temp") {
				whose = "a room of "
			}
			used = append(used, "temp is "+whose+quantity.Text(set.Temp, quantity.Temp, sys))
		case "humidity":
			used = append(used, "humidity is the shop's "+quantity.Percent(set.Humidity))
		case "altitude":
			used = append(used, library.AltitudeTaken(c.By.Shop.Set.Altitude, sys))
		case "scale_step":
			used = append(used, "scale_step is the shop's "+quantity.Text(set.ScaleStep, quantity.Mass, sys))
		}
	}
	if len(used) == 0 {
		return nil
	}
	return []string{library.Sentence(strings.Join(used, ", "))}
}

// formulaCautions are those of the materials that the formula works with, and of
// the functions that it calls.
func formulaCautions(ready library.Ready, out formula.Result) []chat.Caution {
	var all []chat.Caution
	seen := map[string]bool{}
	add := func(list []chat.Caution) {
		for _, ca := range list {
			if !seen[ca.ID] {
				seen[ca.ID] = true
				all = append(all, ca)
			}
		}
	}
	for _, m := range ready.Materials {
		s := caution.Situation{Step: caution.Mixing, Family: m.Family, MaxMass: m.MaxMass, MaxDepth: m.MaxDepth, Text: m.Notes}
		if out.Batch != nil && out.Batch.Material.Name == m.Name {
			s.Mass = out.Batch.MassTotal
		}
		add(chat.Cautions(caution.For(s)))
	}
	for _, d := range ready.Calls() {
		if ca, ok := caution.Get(caution.ID(d.Caution)); ok {
			add(chat.Cautions([]caution.Caution{ca}))
		}
	}
	return all
}

// roundOff adds what usually comes next.
func (f formulaCommand) roundOff(c *chat.Call, r *chat.Reply, text, kept string) {
	raw := map[string]string{}
	if c.Has("inputs") {
		raw["inputs"] = c.Raw["inputs"]
	}
	if kept == "" {
		raw["text"] = text
		r.Actions = append(r.Actions,
			chat.Action{Label: "Save it", Do: chat.DoForm, Line: chat.FormatLine("formula save", map[string]string{"text": text}, nil)},
			chat.Action{Label: "Run again", Do: chat.DoForm, Line: chat.FormatLine("formula run", raw, []string{"text"})})
		return
	}
	raw["name"] = c.Meant("name")
	r.Actions = append(r.Actions,
		chat.Action{Label: "Run again", Do: chat.DoForm, Form: "kept", Line: chat.FormatLine("formula run", raw, []string{"name"})},
		chat.Action{Label: "Show the formula", Line: chat.FormatLine("formula show", map[string]string{"formula": c.Meant("name")}, nil)})
}
