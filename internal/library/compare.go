package library

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// ComparedMost is how many materials stand side by side.
const ComparedMost = 4

// further are the options that may hold one more material each.
var further = []string{"second", "third", "fourth"}

// CompareOptions name the materials: a list in one option, or one in each.
func CompareOptions(one chat.Option) []chat.Option {
	one.Help = "the first, or all of them with commas between"
	one.Like = "demo rigid white, demo rigid clear"
	options := []chat.Option{one}
	for i, name := range further {
		options = append(options, chat.Option{Name: name, Help: fmt.Sprintf("material number %d", i+2), Suggest: one.Suggest})
	}
	return options
}

// Compared finds the materials that a call names, two to four, and pins them.
// Errors: unknown_material, ambiguous_name, missing_option for one alone,
// too_many_options for more than four or for one that is named twice.
func (l *Library) Compared(ctx context.Context, c *chat.Call) ([]shop.Material, error) {
	entries, err := l.materials.MaterialNames(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list materials: %w", err)
	}
	var all []shop.Material
	for _, option := range append([]string{"material"}, further...) {
		if !c.Has(option) {
			continue
		}
		var pinned []string
		for _, name := range listed(c.Text(option), entries) {
			m, err := meant(ctx, c, l.materialKind(), option, name, Take)
			if err != nil {
				return nil, err
			}
			if slices.ContainsFunc(all, func(o shop.Material) bool { return o.ID == m.ID }) {
				return nil, fault.New(fault.TooManyOptions, "%s is named twice", m.Name).In(option).Hint("name each material once")
			}
			if len(all) == ComparedMost {
				return nil, fault.New(fault.TooManyOptions, "more than %d materials do not fit side by side", ComparedMost).In(option).
					Hint("leave some out, or compare them in two turns")
			}
			all, pinned = append(all, m), append(pinned, chat.Ref(m.ID, m.Version))
		}
		c.Pin(option, strings.Join(pinned, ", "))
	}
	if len(all) < 2 {
		return nil, fault.New(fault.MissingOption, "there is nothing to compare with").In("second").
			Hint(`name two to four materials, such as material:"demo rigid white, demo rigid clear"`)
	}
	return all, nil
}

// listed cuts a list of names at its commas, unless all of it is one name.
func listed(typed string, entries []shop.Entry) []string {
	if slices.ContainsFunc(entries, func(e shop.Entry) bool { return chat.Fold(e.Name) == chat.Fold(typed) }) {
		return []string{typed}
	}
	return quantity.SplitList(typed)
}

// Fill is what the cost of a fill is worked out for.
type Fill struct {
	Volume float64 // mL
	Text   string  // "100 mL", "one fill of the harbor pawn, 37.2 mL"
}

// compareFirst are the lines that decide between materials, in order; the rest
// follows as a bulletin has it.
var compareFirst = []string{"family", "ratio", "pot_life", "demold", "full_cure", "hardness", "cured_color", "cost_kg", "cost_fill", "min_temp", "max_depth"}

// Compare puts materials side by side: what differs first. The facts are the
// same for a program, their keys ending in the number of the material.
func Compare(c *chat.Call, all []shop.Material, fill Fill) (*chat.Table, []chat.Fact) {
	t := &chat.Table{}
	rows := map[string]*chat.TableRow{}
	var keys []string
	cell := func(key, label string, i int, text string) {
		if rows[key] == nil {
			rows[key] = &chat.TableRow{Label: label, Cells: make([]string, len(all))}
			keys = append(keys, key)
		}
		rows[key].Cells[i] = text
	}
	var facts []chat.Fact
	for i, m := range all {
		t.Things = append(t.Things, m.Name)
		typed := Typed(m.Profile, c.By.System())
		for _, f := range comparedFacts(c, m.Profile, fill) {
			if text := typed[f.Key]; strings.Contains(text, ", ") && withConditions[f.Key] != "" {
				cell(f.Key, withConditions[f.Key], i, text)
			} else if f.Key != "name" && !conditions[f.Key] {
				cell(f.Key, f.Label, i, f.Text)
			}
			f.Key, f.Label = fmt.Sprintf("%s_%d", f.Key, i+1), f.Label+", "+m.Name
			facts = append(facts, f)
		}
	}
	slices.SortStableFunc(keys, func(a, b string) int { return place(a) - place(b) })
	for _, differs := range []bool{true, false} {
		for _, key := range keys {
			row := rows[key]
			row.Differs = slices.ContainsFunc(row.Cells, func(text string) bool { return text != row.Cells[0] })
			if row.Differs == differs {
				t.Rows = append(t.Rows, *row)
			}
		}
	}
	return t, facts
}

func place(key string) int {
	if i := slices.Index(compareFirst, key); i >= 0 {
		return i
	}
	return len(compareFirst)
}

// withConditions are the lines that are shown with what they were measured
// under, or with their second part; conditions are what stands there.
var (
	withConditions = map[string]string{"pot_life": "Pot life", "demold": "Demold", "density_a": "Densities A, B", "pack": "Pack"}
	conditions     = map[string]bool{"pot_life_mass": true, "pot_life_temp": true, "demold_section": true, "density_b": true, "pack_a": true, "pack_b": true}
)

// comparedFacts are what a profile says, and what follows from it.
func comparedFacts(c *chat.Call, p material.Profile, fill Fill) []chat.Fact {
	var facts []chat.Fact
	currency := c.By.Shop.Set.Currency
	money := func(key, label string, v float64) chat.Fact {
		return chat.Fact{Key: key, Label: label, Value: v, Unit: currency, Text: strings.TrimSpace(fmt.Sprintf("%.2f %s", v, currency))}
	}
	for _, f := range MaterialFields() {
		fact, ok := f.Show(&p, c.By.System())
		if !ok {
			continue
		}
		if f.Name == "price" {
			fact = money("price", fact.Label, p.Price)
		}
		facts = append(facts, fact)
	}
	perGram, priced := p.PricePerGram()
	if !priced {
		return facts
	}
	facts = append(facts, money("cost_kg", "Cost of 1 kg", 1000*perGram))
	if d, ok := p.Mixed(); ok {
		facts = append(facts, money("cost_fill", "Cost of "+fill.Text, perGram*d.Value*fill.Volume))
	}
	return facts
}

// Unlike tells what keeps two figures from being compared as they stand.
func Unlike(all []shop.Material) []string {
	var notes []string
	differ := func(of func(material.Profile) string) bool {
		return slices.ContainsFunc(all, func(m shop.Material) bool { return of(m.Profile) != of(all[0].Profile) })
	}
	if differ(func(p material.Profile) string {
		if p.PotLifeTemp == nil {
			return number(p.PotLifeMass)
		}
		return number(p.PotLifeMass) + " at " + number(*p.PotLifeTemp)
	}) {
		notes = append(notes, "Their pot lives were not measured in the same mass and at the same temperature: more in the cup, or warmer, is shorter.")
	}
	if differ(func(p material.Profile) string { return number(p.DemoldSection) }) {
		notes = append(notes, "Their demold times were not measured on the same thickness: /cure works them out for the same part.")
	}
	if differ(func(p material.Profile) string {
		if p.Hardness == nil {
			return ""
		}
		return p.Hardness.Scale
	}) {
		notes = append(notes, "Their hardness is not read on the same Shore scale: those are separate tests without an exact conversion."+overlaps(all))
	}
	return notes
}

// overlaps tells each hardness that is on both the scales A and D, as a band on
// the other one.
func overlaps(all []shop.Material) string {
	other := map[string]string{"A": "D", "D": "A"}
	var bands []string
	for _, m := range all {
		if m.Hardness == nil {
			continue
		}
		r, err := material.ShoreOverlap(*m.Hardness, other[m.Hardness.Scale])
		band := fmt.Sprintf("%s may be %.0f to %.0f %s", m.Hardness, r.Low, r.High, other[m.Hardness.Scale])
		if err == nil && !slices.Contains(bands, band) {
			bands = append(bands, band)
		}
	}
	if len(bands) == 0 {
		return ""
	}
	return " Where A and D meet, " + strings.Join(bands, ", ") + " (common practice, no source)."
}
