package library

import (
	"fmt"
	"math"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// Facts are the doses with what is weighed of each, in the terms of the
// contract.
func (t *Tinting) Facts(sys quantity.System) []chat.Fact {
	var facts []chat.Fact
	for i, x := range t.Tints {
		half := t.Step / 2 / float64(x.Letdown) / t.Total * float64(len(t.Cups))
		if t.AtOnce {
			half = t.Step / 2 / t.Total
		}
		f := chat.Share(fmt.Sprintf("dose_%d", i+1), Capital(t.Asks[i].Name), x.Dose)
		facts = append(facts, f.Between(max(x.Dose-half, 0), x.Dose+half).Says(f.Text+": "+t.amount(i, sys)))
	}
	mass := t.Mass()
	half := t.Step / 2
	all := chat.Num("mass_tint", "Tint in all", mass, quantity.Mass, sys).Between(max(mass-half, 0), mass+half)
	if t.neat() {
		all.Text = t.grams(mass, sys)
	}
	facts = append(facts, all)
	if n := t.LetdownParts(); n > 1 && !t.TooLittle() {
		text := fmt.Sprintf("1:%d", n)
		if t.AtOnce {
			text += ", if you tint cup by cup"
		}
		facts = append(facts, chat.Whole("letdown_parts", "Letdown", n, text))
	}
	return facts
}

// neat reports that all tint is weighed as it is.
func (t *Tinting) neat() bool {
	for i, x := range t.Tints {
		if t.TooLittle() || t.counts(i) || x.Letdown > 1 && !t.AtOnce {
			return false
		}
	}
	return true
}

// DropFacts are the same doses counted in drops, of the tints whose drop was
// weighed.
func (t *Tinting) DropFacts() []chat.Fact {
	var facts []chat.Fact
	for i := range t.Tints {
		if n := t.neatDrops(i); n > 0 {
			f := chat.Fact{Key: fmt.Sprintf("drops_%d", i+1), Label: Capital(t.Asks[i].Name) + " in drops", Value: n, Unit: "1", Text: dropText(n)}
			if len(t.Cups) > 1 {
				f.Text += fmt.Sprintf(", %s a cup", dropText(n/float64(len(t.Cups))))
			}
			facts = append(facts, f.Between(n-0.5, n+0.5))
		}
	}
	return facts
}

// LoadFact is the tint of the mix beside the limit: the material's, or the one
// that was asked for.
func LoadFact(load, limit float64) chat.Fact {
	return chat.Share("load", "Tint of the mix", load).Says(fmt.Sprintf("%s, limit %s", quantity.Percent(load), quantity.Percent(limit)))
}

// Limit is the most tint that a material takes, by its profile or by common
// practice.
func Limit(m shop.Material) float64 {
	if m.MaxTint > 0 {
		return m.MaxTint
	}
	return color.LoadUsual
}

func dropText(n float64) string {
	if n < 0.5 {
		return "less than a drop"
	}
	return quantity.Text(math.Round(n), quantity.Drops, quantity.Metric)
}
