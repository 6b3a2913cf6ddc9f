package library

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/formula"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func (l *Library) formulaKind() kind[shop.Formula] {
	return kind[shop.Formula]{"formula", fault.UnknownFormula, l.formulas.FormulaNames, l.formulas.Formula}
}

// Formula finds the formula that the option names, and pins its version in the
// buttons of the reply.
func (l *Library) Formula(ctx context.Context, c *chat.Call, option string, use Use) (shop.Formula, error) {
	f, err := find(ctx, c, l.formulaKind(), option, use)
	if err == nil {
		c.Pin(option, chat.Ref(f.ID, f.Version))
	}
	return f, err
}

// SuggestFormula completes a formula's name.
func (l *Library) SuggestFormula(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
	return suggest(ctx, c, l.formulaKind(), typed)
}

// PotLife tells how long a cup of a mass in g stays pourable, in s, in a room of
// °C.
type PotLife func(m material.Profile, mass, room float64) (quantity.Range, error)

// Ready is a formula with all that a run of it needs.
type Ready struct {
	*formula.Program
	Set       formula.Setting
	Materials []shop.Material // those it names
}

// Prepare reads a formula's text and finds what it names. Errors: those of
// formula.Compile; unknown_material, unknown_mold and ambiguous_name in option
// text, with the place.
func (l *Library) Prepare(ctx context.Context, c *chat.Call, text string, pot PotLife) (Ready, error) {
	p, err := l.programs.Compile(text, c.By.System())
	if err != nil {
		return Ready{}, err
	}
	set := c.By.Shop.Set
	r := Ready{Program: p, Set: formula.Setting{
		Temp: set.Temp, Humidity: set.Humidity, Altitude: set.Altitude.M, ScaleStep: set.ScaleStep,
		Currency: set.Currency, System: c.By.System(), PotLife: pot,
	}}
	for _, t := range p.Things() {
		if err := l.fetch(ctx, c, p, &t, &r); err != nil {
			return Ready{}, err
		}
		r.Set.Things = append(r.Set.Things, t)
	}
	return r, nil
}

// fetch finds a thing that a formula names, as the member who runs it sees it.
func (l *Library) fetch(ctx context.Context, c *chat.Call, p *formula.Program, t *formula.Thing, r *Ready) error {
	var err error
	if t.Kind == formula.AMold {
		var m shop.Mold
		if m, err = meant(ctx, c, l.moldKind(), "text", t.Name, Offer); err == nil {
			t.Mold, err = l.moldFacts(ctx, c, m, t.Life)
		}
	} else {
		var m shop.Material
		if m, err = meant(ctx, c, l.materialKind(), "text", t.Name, Offer); err == nil {
			t.Material = m.Profile
			r.Materials = append(r.Materials, m)
		}
	}
	if f := fault.As(err); f != nil {
		// Its choices are names, and would take the place of the whole text.
		return fault.New(f.Code, "%s: %s", p.Where(*t), f.Message).In("text").Hint("%s", f.HintText())
	}
	return err
}

// moldFacts are what a formula can ask of a mold.
func (l *Library) moldFacts(ctx context.Context, c *chat.Call, m shop.Mold, life bool) (formula.MoldFacts, error) {
	facts := formula.MoldFacts{Name: m.Name, Volume: m.Volume, Cavities: m.Cavities, Pulls: m.PullsSoFar()}
	if !life {
		return facts, nil
	}
	all, err := l.molds.Molds(ctx, c.By)
	if err != nil {
		return facts, fmt.Errorf("list molds: %w", err)
	}
	o, err := LifeAhead(m, all, c.By, moldcare.LateWear, ctx.Done())
	if err == nil {
		facts.Life = o.Median()
	}
	return facts, err
}

// maxFormulaText is what a command line takes of a formula; what is longer than
// a formula may be is refused by the reader, with its place.
const maxFormulaText = 6000

// FormulaField is a line of a formula's profile.
type FormulaField = Field[shop.FormulaProfile]

// FormulaFields are the lines of a formula's profile.
func FormulaFields() []FormulaField {
	name := formulaText("name", "Name", "what you call it", "block mold", 80, func(p *formulaProfile) *string { return &p.Name })
	name.Required, name.Clear = true, nil
	text := formulaText("text", "Formula", "one line after another, or ; between them; the last is the result", "input width = 10 cm; box(width, 5 cm, 2 in)", maxFormulaText, func(p *formulaProfile) *string { return &p.Text })
	text.Required, text.Long, text.Clear, text.Suggest = true, true, nil, SuggestFormulaText
	return []FormulaField{name, text,
		formulaText("about", "What it answers", "what it answers, for those you share it with", "rubber for a block mold", 300, func(p *formulaProfile) *string { return &p.About }),
		formulaText("test", "Test", "inputs, an arrow and the result that must come out", "width 10 cm -> 254 ml", 500, func(p *formulaProfile) *string { return &p.Test }),
	}
}

type formulaProfile = shop.FormulaProfile

func formulaText(name, label, help, like string, length int, at func(*formulaProfile) *string) FormulaField {
	return FormulaField{
		Option: chat.Option{Name: name, Help: help, Like: like, Length: length},
		Set:    func(c *chat.Call, p *formulaProfile) error { *at(p) = c.Text(name); return nil },
		Show: func(p *formulaProfile, _ quantity.System) (chat.Fact, bool) {
			return chat.Fact{Key: name, Label: label, Value: *at(p), Text: *at(p)}, *at(p) != ""
		},
		Clear: func(p *formulaProfile) { *at(p) = "" },
		Copy:  copying(at),
	}
}

// SuggestFormulaText completes the word of a formula that is being typed:
// functions, units, constants and names that were set.
func SuggestFormulaText(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
	var out []chat.Choice
	for _, c := range formula.Complete(typed) {
		out = append(out, chat.Choice{Value: c.Text, Label: c.Word})
	}
	return out, nil
}

// CheckFormula reads a formula that is to be kept and holds it to its test. One
// whose inputs all have a value is worked out as well, so that what is kept is
// known to give something.
func (l *Library) CheckFormula(ctx context.Context, c *chat.Call, p shop.FormulaProfile, pot PotLife) (r Ready, out *formula.Result, err error) {
	if r, err = l.Prepare(ctx, c, p.Text, pot); err != nil {
		return r, nil, err
	}
	if p.Test != "" {
		if err := r.Try(p.Test, r.Set); err != nil {
			return r, nil, err
		}
	}
	if r.Set.Given, _, err = r.Given("", c.By.System()); err != nil {
		return r, nil, nil // something must be given first
	}
	made, err := r.Run(r.Set)
	return r, &made, err
}
