package reference

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/ical"
	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/quantity"
)

// planForms are runs of many copies and what a part costs.
var planForms = map[string]computes{
	// Each mold is handled in turn with the others: one cup fills them all.
	"planning: copies demold_min handle_min molds": func(e entry) (any, error) {
		cure := int(math.Round(60 * e.num("demold_min")))
		j := plan.Job{Copies: int(e.num("copies")), People: 1, PerCup: int(e.num("molds")), Open: plan.Always(), Hands: plan.Hands{Batch: int(math.Round(60 * e.num("handle_min")))}}
		for range int(e.num("molds")) {
			j.Molds = append(j.Molds, plan.Mold{Cavities: 1, Cure: plan.Times{Low: cure, Mid: cure, High: cure}, Every: 100000})
		}
		p, err := plan.Make(j, nil)
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"min": float64(p.Finish.High) / 60})
	},
	"planning: every pulls": func(e entry) (any, error) {
		every := int(e.num("every"))
		return e.pick(map[string]float64{"coats": float64(plan.Coats(int(e.num("pulls")), every, every))})
	},
	"planning: molds molds_per_cup": func(e entry) (any, error) {
		return e.pick(map[string]float64{"cups": float64(plan.Batches(int(e.num("molds")), int(e.num("molds_per_cup"))))})
	},
	"planning: high low mode": func(e entry) (any, error) {
		mean, _ := plan.Pert(e.num("low"), e.num("mode"), e.num("high"))
		return e.pick(map[string]float64{"min": mean})
	},
	"planning: high low": func(e entry) (any, error) {
		_, sd := plan.Pert(e.num("low"), (e.num("low")+e.num("high"))/2, e.num("high"))
		return e.pick(map[string]float64{"min": sd})
	},
	"cost: consumables mold_cost mold_pulls resin_ml resin_per_ml": func(e entry) (any, error) {
		n := e.num("mold_pulls")
		c := plan.Costs{Currency: "XXX", Material: e.num("resin_ml") * e.num("resin_per_ml"), Mold: e.num("mold_cost"), Pulls: quantity.Range{Low: n, Mid: n, High: n}, Cavities: 1, Consumables: e.num("consumables")}
		return e.pick(map[string]float64{"currency": c.Of().Each.Mid})
	},
	"cost: cost_per_pull good_rate": func(e entry) (any, error) {
		return e.pick(map[string]float64{"currency": plan.PerGood(e.num("cost_per_pull"), e.num("good_rate"))})
	},
	"cost: kit_price kit_us_gal": func(e entry) (any, error) {
		q, _, err := quantity.Parse(fmt.Sprintf("%g gal", e.num("kit_us_gal")), quantity.Want{Option: "pack", Dims: []quantity.Dim{quantity.Volume}, System: quantity.US})
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"currency/mL": plan.UnitPrice(e.num("kit_price"), q.Value)})
	},
	"dates: rule": func(e entry) (any, error) {
		if rule := e.text("rule"); rule != "content line length before folding" {
			return nil, fmt.Errorf("no calendar rule is known as %q", rule)
		}
		return e.pick(map[string]float64{"octets": longestLine()})
	},
}

// longestLine is the longest line of a calendar file whose texts are long.
func longestLine() float64 {
	at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	data, err := ical.Write("x", at, []ical.Event{{ID: "x", From: at, To: at, Title: strings.Repeat("x", 500), Text: strings.Repeat("y", 500)}})
	if err != nil {
		return math.NaN()
	}
	longest := 0
	for line := range bytes.SplitSeq(data, []byte("\r\n")) {
		longest = max(longest, len(line))
	}
	return float64(longest)
}
