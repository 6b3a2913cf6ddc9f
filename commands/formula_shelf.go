package commands

import (
	"context"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/formula"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file does what /formula does with the shelf.

func formulaEditOptions(one chat.Option, fields map[string]chat.Option) []chat.Option {
	options := []chat.Option{one}
	for _, f := range library.FormulaFields() {
		o := fields[f.Name]
		o.Required = false
		options = append(options, o)
	}
	return append(options, chat.Option{Name: "clear", Help: "values to forget, by option name", Like: "test"})
}

// typed gives a formula's present values to a form.
func (f formulaCommand) typed(ctx context.Context, c *chat.Call) (map[string]string, error) {
	if !c.Has("formula") {
		return nil, fault.New(fault.MissingOption, "formula is missing: its name").In("formula").Hint(`such as formula:"block mold"`)
	}
	kept, err := f.library.Formula(ctx, c, "formula", library.Take)
	return map[string]string{"name": kept.Name, "text": kept.Text, "about": kept.About, "test": kept.Test}, err
}

func (f formulaCommand) save(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	var p shop.FormulaProfile
	if err := library.SetGiven(c, library.FormulaFields(), &p); err != nil {
		return nil, err
	}
	ready, out, err := f.library.CheckFormula(ctx, c, p, f.pot(ctx, c))
	if err != nil {
		return nil, err
	}
	kept, err := f.Formulas.AddFormula(ctx, c.Stamp(), p, false)
	if err != nil {
		return nil, fmt.Errorf("save a formula: %w", err)
	}
	r := f.card(c, kept)
	r.Title = fmt.Sprintf("Saved %q", kept.Name)
	proved(r, kept, ready, out)
	r.Actions = append(r.Actions, f.sharing.Offer(kept.Record)...)
	return r, nil
}

// proved tells what the formula gave when it was saved.
func proved(r *chat.Reply, kept shop.Formula, ready library.Ready, out *formula.Result) {
	switch {
	case out != nil && len(ready.Inputs()) > 0:
		r.Notes = append(r.Notes, library.Sentence("With its own values it gives: "+gives(*out)))
	case out != nil:
		r.Notes = append(r.Notes, library.Sentence("It gives: "+gives(*out)))
	}
	if kept.Test == "" {
		r.Notes = append(r.Notes, "It has no test yet: /formula edit with test keeps one, and then no change of it can go wrong unseen.")
	} else {
		r.Notes = append(r.Notes, "Its test came out right.")
	}
}

// card shows a formula as it is written.
func (f formulaCommand) card(c *chat.Call, kept shop.Formula) *chat.Reply {
	r := &chat.Reply{Title: kept.Name}
	if kept.About != "" {
		r.Title += ": " + kept.About
	}
	for _, line := range strings.FieldsFunc(kept.Text, func(r rune) bool { return r == '\n' || r == ';' }) {
		if line = strings.TrimSpace(line); line != "" {
			r.Steps = append(r.Steps, line)
		}
	}
	for _, field := range library.FormulaFields() {
		if fact, ok := field.Show(&kept.FormulaProfile, c.By.System()); ok && field.Name != "text" && field.Name != "name" {
			r.Facts = append(r.Facts, fact)
		}
	}
	if p, err := formula.Compile(kept.Text, c.By.System()); err == nil {
		for _, in := range p.Inputs() {
			text := in.Text(c.By.System())
			r.Facts = append(r.Facts, chat.Fact{Key: "input", Label: "Asks for", Value: in.Name, Text: text})
		}
	}
	r.Notes = append(r.Notes, fmt.Sprintf("Version %d, %s.", kept.Version, library.Standing(c, kept.Record)))
	pinned := chat.Ref(kept.ID, 0)
	r.Actions = append(r.Actions, chat.Action{Label: "Run it", Do: chat.DoForm, Form: "kept", Line: chat.FormatLine("formula run", map[string]string{"name": pinned}, nil)})
	if c.By.MayChange(kept.Record) {
		r.Actions = append(r.Actions, chat.Action{Label: "Edit", Do: chat.DoForm, Line: chat.FormatLine("formula edit", map[string]string{"formula": pinned}, nil)})
	}
	return r
}

func (f formulaCommand) show(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kept, err := f.library.Formula(ctx, c, "formula", library.Take)
	if err != nil {
		return nil, err
	}
	r := f.card(c, kept)
	return r, f.sharing.Tell(ctx, c, r, kept.Record)
}

func (f formulaCommand) list(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	all, err := f.Formulas.Formulas(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list formulas: %w", err)
	}
	r := &chat.Reply{Title: fmt.Sprintf("%d formulas on your shelf", len(all))}
	switch len(all) {
	case 0:
		r.Title, r.Notes = "No formulas on your shelf", []string{"/formula save keeps one; /formula help shows how it is written."}
	case 1:
		r.Title = "1 formula on your shelf"
	}
	for _, kept := range all {
		var parts []string
		if kept.About != "" {
			parts = append(parts, kept.About)
		}
		text := strings.Join(append(parts, library.Badges(c, kept.Record)...), ", ")
		if text == "" {
			text = fmt.Sprintf("version %d", kept.Version)
		}
		r.Facts = append(r.Facts, chat.Fact{Key: "formula", Label: kept.Name, Value: kept.Name, Text: text})
		if len(r.Actions) < 5 {
			r.Actions = append(r.Actions, chat.Action{Label: kept.Name, Line: chat.FormatLine("formula show", map[string]string{"formula": chat.Ref(kept.ID, 0)}, nil)})
		}
	}
	return r, f.sharing.TellList(ctx, c, r)
}

func (f formulaCommand) edit(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kept, err := f.library.Formula(ctx, c, "formula", library.Offer)
	if err != nil {
		return nil, err
	}
	p := kept.FormulaProfile
	for _, name := range library.ClearNames(c) {
		if err := library.ClearOne(library.FormulaFields(), &p, name, "clear:test"); err != nil {
			return nil, err
		}
	}
	if err := library.SetGiven(c, library.FormulaFields(), &p); err != nil {
		return nil, err
	}
	var ready library.Ready
	var out *formula.Result
	if c.By.MayChange(kept.Record) { // else the store refuses, whatever is wrong with it
		if ready, out, err = f.library.CheckFormula(ctx, c, p, f.pot(ctx, c)); err != nil {
			return nil, err
		}
	}
	now, err := f.Formulas.EditFormula(ctx, c.Stamp(), kept.ID, kept.Version, p)
	if err != nil {
		return nil, fmt.Errorf("edit a formula: %w", err)
	}
	r := f.card(c, now)
	r.Title = fmt.Sprintf("Changed %q, now version %d", now.Name, now.Version)
	proved(r, now, ready, out)
	r.Actions = append(r.Actions, f.sharing.Offer(now.Record)...)
	return r, nil
}

func (f formulaCommand) history(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kept, err := f.library.Formula(ctx, c, "formula", library.Offer)
	if err != nil {
		return nil, err
	}
	versions, err := f.Formulas.FormulaHistory(ctx, c.By, kept.ID)
	if err != nil {
		return nil, fmt.Errorf("list a formula's versions: %w", err)
	}
	return library.History(c, "formula", kept.Name, kept.ID, versions), nil
}

func (f formulaCommand) remove(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kept, err := f.library.Formula(ctx, c, "formula", library.Offer)
	if err != nil {
		return nil, err
	}
	if !c.Yes("sure", false) {
		return library.AskRemove(c, "formula", "formula", kept.Name, kept.Record, "It leaves your shelf and, if shared, the shop's. Copies that others made stay theirs.")
	}
	if err := f.Formulas.RemoveFormula(ctx, c.Stamp(), kept.ID); err != nil {
		return nil, fmt.Errorf("remove a formula: %w", err)
	}
	return &chat.Reply{Title: fmt.Sprintf("Removed %q", kept.Name)}, nil
}
