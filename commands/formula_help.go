package commands

import (
	"context"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/formula"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
)

// howFormulas shows by example how a formula is written.
var howFormulas = []string{
	"A number with a unit behind it is a quantity; the decimal sign is a point. Such as: 250 ml + 2 floz",
	"let sets a name; a new line or ; begins the next one, and the last line is the result. Such as: let total = 12 * 6.2 ml; total * 1.1 g/ml",
	"input asks for a value, with its own value, its range and what it is; inputs come first. Such as: input width = 100 mm (10 mm to 1 m): inside of the box",
	"Signs are + - * / ^ and ( ), a percentage is a number, and a choice is made with ? and :. Such as: temp < 18 C and humidity < 60 % ? 2 : 1",
	"Half an inch is 1/2 in, written tight; a price by weight 5 GBP/kg; a difference of temperatures is in dC or dF. Such as: temp + 5 dC",
	`Functions take values in ( ), a material or mold by its name in quotes. Such as: batch(250 ml, "demo rigid white")`,
}

// topicsOfHelp are the words of /formula help that are no functions.
var topicsOfHelp = []string{"units", "constants", "inputs"}

func suggestFunction(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
	return chat.Narrow(typed, append(formula.FunctionNames(), topicsOfHelp...)), nil
}

// help shows how formulas are written, or one function or subject of theirs.
func (f formulaCommand) help(_ context.Context, c *chat.Call) (*chat.Reply, error) {
	word := strings.TrimSuffix(chat.Fold(c.Text("function")), "()")
	word = strings.ReplaceAll(word, " ", "_")
	switch word {
	case "":
		return formulaHelp(), nil
	case "units":
		return unitsHelp(), nil
	case "constants":
		return constantsHelp(), nil
	case "inputs", "input", "test", "tests", "inputs and tests":
		return inputsHelp(), nil
	}
	if r := groupHelp(c.Text("function")); r != nil {
		return r, nil
	}
	d, like, ok := formula.FunctionNamed(word)
	if !ok {
		refusal := fault.New(fault.NotFound, "there is no function %.40q", c.Text("function")).In("function")
		if like != "" {
			return nil, refusal.Hint("did you mean %s?", like).Choose(like)
		}
		return nil, refusal.Hint("/formula help shows them all")
	}
	return functionHelp(d), nil
}

func formulaHelp() *chat.Reply {
	r := &chat.Reply{Title: "How a formula is written", Steps: howFormulas, Quiet: true}
	groups, names := formulaGroups()
	for _, g := range groups {
		r.Facts = append(r.Facts, chat.Fact{Key: "functions", Label: library.Capital(g), Value: strings.Join(names[g], " "), Text: strings.Join(names[g], ", ")})
		r.Actions = append(r.Actions, helpButton(library.Capital(g), g))
	}
	r.Actions = append(r.Actions, helpButton("Units", "units"), helpButton("Constants", "constants"), helpButton("Inputs and tests", "inputs"))
	r.Notes = []string{"/formula help function:batch tells of one function. There are no loops, no lists and no text; a formula has at most 2000 characters and 500 parts."}
	return r
}

func helpButton(label, word string) chat.Action {
	return chat.Action{Label: label, Line: chat.FormatLine("formula help", map[string]string{"function": word}, nil)}
}

// formulaGroups are the groups of functions in order, with their names.
func formulaGroups() (groups []string, names map[string][]string) {
	names = map[string][]string{}
	for _, d := range formula.Functions() {
		if names[d.Group] == nil {
			groups = append(groups, d.Group)
		}
		names[d.Group] = append(names[d.Group], d.Name)
	}
	return groups, names
}

// groupHelp shows the functions of a group, nil where there is no such group.
func groupHelp(group string) *chat.Reply {
	r := &chat.Reply{Title: "Functions: " + chat.Fold(group), Quiet: true}
	for _, d := range formula.Functions() {
		if d.Group == chat.Fold(group) {
			r.Steps = append(r.Steps, strings.Join(d.Forms, " or ")+": "+d.Help)
		}
	}
	if len(r.Steps) == 0 {
		return nil
	}
	return r
}

func functionHelp(d formula.Doc) *chat.Reply {
	r := &chat.Reply{Title: d.Name + ": " + d.Help, Steps: d.Forms, Quiet: true}
	r.Facts = []chat.Fact{{Key: "function", Label: "Function", Value: d.Name, Text: d.Forms[0]},
		{Key: "example", Label: "For example", Value: d.Example, Text: d.Example}}
	if d.Source != "" {
		r.Facts = append(r.Facts, chat.Fact{Key: "source", Label: "By", Value: d.Source, Text: d.Source})
	}
	if d.Unsure {
		r.Notes = append(r.Notes, "It gives a range, and what is worked out with it becomes one.")
	}
	if d.Note != "" {
		r.Notes = append(r.Notes, d.Note)
	}
	if d.Reads != "" {
		r.Notes = append(r.Notes, "Without its last value it goes by the shop's "+d.Reads+", see /shop show.")
	}
	if ca, ok := caution.Get(caution.ID(d.Caution)); ok {
		r.Cautions = chat.Cautions([]caution.Caution{ca})
	}
	if strings.Contains(strings.Join(d.Forms, ""), "[") {
		r.Notes = append(r.Notes, "What stands in [ ] may be left out.")
	}
	r.Actions = []chat.Action{{Label: "Try the example", Line: chat.FormatLine("formula run", map[string]string{"text": d.Example}, nil)}}
	return r
}

func unitsHelp() *chat.Reply {
	r := &chat.Reply{Title: "Units that a formula knows, behind a number", Quiet: true}
	for d := quantity.Mass; d <= quantity.Drops; d++ {
		text := strings.Join(formula.Units(d), ", ")
		r.Facts = append(r.Facts, chat.Fact{Key: "units", Label: library.Capital(d.Name()), Value: text, Text: text})
	}
	r.Notes = []string{
		"Capitals do not matter but for K. gal, qt, pt, cup and floz are US ones unless the shop is set to imperial; oz is a weight.",
		"Written tight, two units make one: 10 g/l, 3 mm/min, 5 GBP/kg. The three capitals of a currency are a unit as well.",
		"A percentage is a number: 7 % is 0.07.",
		"A force is in N or kN and an energy in J or kJ, with these capitals.",
	}
	return r
}

func constantsHelp() *chat.Reply {
	r := &chat.Reply{Title: "What every formula knows", Quiet: true}
	for _, d := range formula.Constants() {
		r.Facts = append(r.Facts, chat.Fact{Key: "constant", Label: d.Name, Value: d.Name, Text: d.Help})
	}
	r.Notes = []string{"Those of the shop are as /shop show tells them when the formula runs; temp can be given to /formula run."}
	return r
}

func inputsHelp() *chat.Reply {
	return &chat.Reply{Title: "What a formula asks for, and the test it must pass", Quiet: true,
		Steps: []string{
			"input width = 100 mm (10 mm to 1 m): inside of the box",
			"input count (1 to 50): has no value of its own, so that it must be given",
			`/formula run name:"block mold" inputs:"width 120 mm, count 4": gives them; "width 95 mm to 105 mm" gives a range, and the result becomes one`,
			`test:"width 100 mm, count 4 -> 250 ml": must come out whenever the formula is saved, to the digits typed`,
			fmt.Sprintf("%s: names what must come out of a batch", `test:"-> mass_a 143.0 g, mass_b 132.6 g"`),
		}}
}
