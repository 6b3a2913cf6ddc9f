package library

import (
	"fmt"
	"regexp"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// LookFacts are what a recipe is expected to look like and how sure that is.
func LookFacts(p color.Prediction, floor float64) []chat.Fact {
	code := p.Code.String()
	return []chat.Fact{
		{Key: "predicted_hex", Label: "Cures to about", Value: code, Text: code},
		{Key: "floor", Label: "How sure", Value: floor, Unit: "1", Text: fmt.Sprintf("ΔE ±%.2g: about two in three parts come that near", floor)},
	}
}

// LookNotes say how sure a prediction is, what would make it surer, and what to
// look out for.
func LookNotes(p color.Prediction, floor float64, r color.Recipe, sys quantity.System) []string {
	var notes []string
	say := func(when bool, format string, args ...any) {
		if when {
			notes = append(notes, fmt.Sprintf(format, args...))
		}
	}
	for _, n := range p.Notes {
		notes = append(notes, Sentence(n))
	}
	if b := p.Behind; b != nil {
		say(true, "Light passes a wall of %s: over white it looks %s, over black %s (ΔE %s apart).",
			quantity.Text(r.Wall.MM, quantity.Length, sys), b.White.Code, b.Black.Code, tenths(b.Difference))
	}
	say(r.Wall.MM == 0 && r.Base.Kind.Opaque(), "Seen as too thick to look through. In a wall under 5 mm what lies behind shows too: give wall and backing.")
	say(true, "Expect a real part within about ΔE %.2g of this, as about two in three are. ΔE 2 is hard to see side by side, 5 is plain.", floor)
	say(floor > 5, "That is too rough for more than a match on paper. A swatch of each tint in this base, read with care in daylight beside a gray card, narrows it.")
	say(p.Load > 0, "10 %% too much tint changes the color by ΔE %s.", tenths(p.Tenth))
	say(p.Load > 0, "Pour a small test first and let it cure fully. Too much tint can soften or slow the cure; keep water-based tints out of urethanes (common practice).")
	return notes
}

func tenths(v float64) string { return fmt.Sprintf("%.1f", v) }

// Sentence makes a sentence of a clause.
func Sentence(clause string) string {
	clause = Capital(clause)
	if strings.HasSuffix(clause, ".") {
		return clause
	}
	return clause + "."
}

// LookSteps are the formulas of a prediction with their sources.
func LookSteps(r color.Recipe, p color.Prediction) []working.Step {
	var steps []working.Step
	for _, d := range r.Doses {
		if d.Tint.Dose == 0 {
			steps = working.Add(steps, d.Tint.Name, "a usual strength, for want of a swatch", "no source, our own choice", "%s of the mix", quantity.Percent(d.Part))
			continue
		}
		steps = working.Add(steps, d.Tint.Name, "k = (K_swatch − K_base)/d_swatch", "Kubelka and Munk 1931 (from memory)",
			"from its swatch at %s, then %s of the mix", quantity.Percent(d.Tint.Dose), quantity.Percent(d.Part))
	}
	steps = working.Add(steps, "layer", "K = K_base + Σ d·k, R = S/(K + S + √(K² + 2KS)); a wall by the hyperbolic form", "Kubelka and Munk 1931; Kubelka 1948, DOI 10.1364/JOSA.38.000448",
		"36 bands, 380 to 730 nm, %s base", r.Base.Kind)
	steps = working.Add(steps, "gloss", "R_seen = (1 − k1)(1 − k2)R/(1 − k2·R), k1 = 0.04, k2 = 0.60", "Saunderson 1942 (from memory); ISO 18314-2", "specular left out")
	return working.Add(steps, "color", "XYZ = Σ a·R; Lab by CIE 15; sRGB by IEC 61966-2-1", "CIE 15, D65, 2° observer",
		"L* %.1f a* %.1f b* %.1f = %s", p.Lab.L, p.Lab.A, p.Lab.B, p.Code)
}

// powders are words for a colorant that is dry.
var powders = regexp.MustCompile(`(?i)\b(powder(ed)?|dry|mica|flakes?|oxide|pearl)\b`)

// Dusty reports a tint that is stirred in as dust. One that drops is liquid.
func Dusty(asks []TintAsk) bool {
	for _, a := range asks {
		if a.WeightOf20 == 0 && (powders.MatchString(a.Name) || a.Family == string(color.Pearl) || a.Family == string(color.Metallic)) {
			return true
		}
	}
	return false
}

// TintText is how a recipe is typed: "brick red 0.31%, soot black 0.02%", or
// with refs in place of names, for buttons.
func TintText(asks []TintAsk, doses []float64, refs bool) string {
	parts := make([]string, len(asks))
	for i, a := range asks {
		name := a.Name
		if refs {
			name = chat.Ref(a.ID, a.Version)
		}
		parts[i] = fmt.Sprintf("%s %.4g%%", name, 100*doses[i])
	}
	return strings.Join(parts, ", ")
}

// Recipe writes doses for a title: "brick red 0.31 % and soot black 0.02 %".
func Recipe(asks []TintAsk, doses []float64) string {
	parts := make([]string, len(asks))
	for i, a := range asks {
		parts[i] = a.Name + " " + quantity.Percent(doses[i])
	}
	return List(parts)
}

// Asks makes asks of the tints of a blend, found by place in the palette.
func Asks(palette []shop.Tint, mixed []*color.Tint, b color.Blend) (asks []TintAsk, doses []float64) {
	for _, d := range b.Doses {
		for i, t := range mixed {
			if t == d.Tint && d.Part > 0 {
				asks = append(asks, TintAsk{Tint: palette[i], Share: d.Part})
				doses = append(doses, d.Part)
			}
		}
	}
	return asks, doses
}
