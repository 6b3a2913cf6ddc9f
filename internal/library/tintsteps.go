package library

import (
	"fmt"
	"strings"
	"unicode"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// amount is what is weighed or counted of a tint, for its fact.
func (t *Tinting) amount(i int, sys quantity.System) string {
	x := t.Tints[i]
	switch {
	case t.TooLittle():
		return quantity.Text(x.Batch, quantity.Mass, sys) + ", too little to weigh"
	case t.counts(i):
		return dropText(t.neatDrops(i))
	case t.AtOnce:
		return t.grams(x.Batch, sys)
	case x.Letdown > 1:
		text := fmt.Sprintf("%s of a 1:%d letdown", t.grams(x.Weigh, sys), x.Letdown)
		if len(t.Cups) > 1 {
			text += " a cup"
		}
		return text
	case len(t.Cups) > 1:
		return t.grams(x.Shown, sys) + " a cup"
	}
	return t.grams(x.Shown, sys)
}

func (t *Tinting) grams(v float64, sys quantity.System) string {
	return quantity.TextStep(v, t.Step, sys)
}

// Before is what is done with the tint before the first cup: letdowns to make,
// or the whole tint side to tint.
func (t *Tinting) Before(sys quantity.System) []string {
	var steps []string
	if t.AtOnce {
		var parts []string
		for i, x := range t.Tints {
			if t.counts(i) {
				parts = append(parts, dropText(t.neatDrops(i))+" "+t.Asks[i].Name)
				continue
			}
			parts = append(parts, t.grams(x.Batch, sys)+" "+t.Asks[i].Name)
		}
		return []string{fmt.Sprintf("Weigh out %s %s for all cups, stir in %s and go on until no streak is left. One cup's tint alone would be too little for the scale.",
			t.grams(t.side(), sys), t.Side, List(parts))}
	}
	for i, x := range t.Tints {
		if t.counts(i) || !t.Feasible {
			continue
		}
		for _, s := range x.Stock {
			of := t.Asks[i].Name
			if s.Of > 1 {
				of = fmt.Sprintf("the 1:%d", s.Of)
			}
			steps = append(steps, fmt.Sprintf("Make a 1:%d letdown of %s: stir %s of %s into %s %s. Label it; keep it as you keep part %s.",
				s.Letdown, t.Asks[i].Name, t.grams(s.Take, sys), of, t.grams(s.Side, sys), t.Side, t.Side))
		}
	}
	return steps
}

// Cup says how a cup's tint side goes in with its tint: "97.6 g B, stir in 4.0 g
// of the 1:10 letdown of brick red until no streak is left".
func (t *Tinting) Cup(n int, sys quantity.System) string {
	cup, share := t.Cups[n], t.share[n]*float64(len(t.Cups))
	if t.AtOnce {
		return fmt.Sprintf("%s of the tinted %s", t.grams(cup.Side*(t.SideTinted/(t.side()/float64(len(t.Cups)))), sys), t.Side)
	}
	if t.TooLittle() {
		return fmt.Sprintf("%s %s, with less tint than this scale can weigh", t.grams(cup.Side, sys), t.Side)
	}
	side := cup.Side
	var parts []string
	for i, x := range t.Tints {
		name := t.Asks[i].Name
		switch {
		case t.counts(i):
			parts = append(parts, dropText(t.neatDrops(i)*t.share[n])+" "+name)
		case x.Letdown > 1 && t.Feasible:
			side -= x.Carries * share
			parts = append(parts, fmt.Sprintf("%s of the 1:%d letdown of %s", t.grams(x.Weigh*share, sys), x.Letdown, name))
		default:
			text := t.grams(x.PerCup*share, sys) + " " + name
			if d := t.neatDrops(i) * t.share[n]; d >= 10 {
				text += " (about " + dropText(d) + ")"
			}
			parts = append(parts, text)
		}
	}
	return fmt.Sprintf("%s %s, stir in %s until no streak is left", t.grams(side, sys), t.Side, List(parts))
}

// Ahead fills several cups with their tinted sides before the clock begins:
// tint stirred in while the cups wait their turn costs pot life.
func (t *Tinting) Ahead(sys quantity.System) []string {
	if len(t.Cups) < 2 {
		return nil
	}
	var steps []string
	first, alike := t.Cup(0, sys), true
	for n := range t.Cups {
		text := t.Cup(n, sys)
		alike = alike && text == first
		steps = append(steps, fmt.Sprintf("Cup %d: weigh in %s.", n+1, text))
	}
	if alike {
		steps = []string{fmt.Sprintf("Into each of the %d cups: weigh in %s.", len(t.Cups), first)}
	}
	last := len(steps) - 1
	steps[last] += " All of this before the clock begins."
	return steps
}

// List writes "a, b and c".
func List(parts []string) string { return enumerated(parts, "and") }

// enumerated is a list with a word before its last part.
func enumerated(parts []string, word string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	last := len(parts) - 1
	return strings.Join(parts[:last], ", ") + " " + word + " " + parts[last]
}

// Capital makes a label of a name.
func Capital(s string) string {
	r := []rune(s)
	if len(r) == 0 {
		return s
	}
	r[0] = unicode.ToUpper(r[0])
	return string(r)
}

// Title is the answer of a dose in one sentence.
func (t *Tinting) Title(sys quantity.System) string {
	if t.TooLittle() {
		return fmt.Sprintf("%s of tint, %s of the mix, is too little to weigh", Capital(quantity.Text(t.Mass(), quantity.Mass, sys)), quantity.Percent(t.Load))
	}
	parts := make([]string, len(t.Tints))
	for i, x := range t.Tints {
		text := t.amount(i, sys)
		if t.AtOnce || t.counts(i) || x.Letdown == 1 {
			text += " " + t.Asks[i].Name
		} else {
			text += " of " + t.Asks[i].Name
		}
		parts[i] = text
	}
	return fmt.Sprintf("Stir %s into part %s: %s of the mix", List(parts), t.Side, quantity.Percent(t.Load))
}

// Already says what drops that are in the batch make of its first tint, and
// what is still to add.
func (t *Tinting) Already(drops int, sys quantity.System) string {
	drop := Drop(t.Asks[0].Tint)
	if drop == 0 {
		return fmt.Sprintf("What %s make can't be told: nobody has weighed a drop of %s (/tint drops).", quantity.Count(drops, "drop", "drops"), t.Asks[0].Name)
	}
	in, want := float64(drops)*drop, t.Tints[0].Batch
	are := "are"
	if drops == 1 {
		are = "is"
	}
	text := fmt.Sprintf("%s %s %s, %s of the mix", quantity.Count(drops, "drop", "drops"), are, quantity.Text(in, quantity.Mass, sys), quantity.Percent(in/t.Total))
	switch left := (want - in) / drop; {
	case left >= 0.5:
		return text + fmt.Sprintf(": %s more to add.", dropText(left))
	case left <= -0.5:
		return text + fmt.Sprintf(": %s too many already. More A and B would bring it back.", dropText(-left))
	}
	return text + ": that is the dose."
}

// Other is what goes into a cup after its tint side: "103.8 g A". filler is the
// part of the cup's resin that is neither A nor B.
func (t *Tinting) Other(n int, filler float64, sys quantity.System) string {
	other := material.SideA
	if t.Side == material.SideA {
		other = material.SideB
	}
	return fmt.Sprintf("%s %s", t.grams(t.Cups[n].Resin-t.Cups[n].Side-filler, sys), other)
}

// Hands are the steps from the jug to the mixed cups.
func (t *Tinting) Hands(sys quantity.System) []string {
	if t.TooLittle() {
		return nil
	}
	steps := []string{"Gloves on, eyes covered, air moving away from you. Shake or stir the tint first: it settles."}
	steps = append(steps, t.Before(sys)...)
	each := "Tare the cup, weigh in "
	if len(t.Cups) > 1 {
		each = "Into each cup: weigh in "
	}
	return append(steps, each+t.Cup(0, sys)+".",
		fmt.Sprintf("Then add %s and mix as usual. Tint never goes in after the parts have met.", t.Other(0, 0, sys)))
}
