package commands

import (
	"slices"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/quantity"
)

func init() { register("plan", newPlan) }

type planCommand struct{ deps }

// mostCopies bounds what is typed; the plan itself bounds the fillings.
const mostCopies = 20000

func newPlan(d deps) chat.Command {
	p := planCommand{d}
	run := p.runOptions()
	again := slices.Concat(run, []chat.Option{
		{Name: "since", Help: "when the run began: your pours into these molds count from then on", Like: "2026-11-30 09:00"},
		{Name: "made", Help: "or the good parts that you have by now", Kind: chat.Count, Zero: true, Like: "12"},
	})
	return chat.Command{
		Name:  "plan",
		Help:  "a run of many copies: when to pour what, when it is done, what a part costs",
		About: "A run is planned by the long end of the cure times, in which nine pours in ten are ready, with release coats, working hours and nights. Nothing is kept of it: its buttons hold what it was asked with, and a new plan takes what you logged with /pour since it began.",
		Asks: []chat.Ask{
			{Question: "When are 24 pawns done with my two molds?", Line: `/plan run material:"demo rigid white" molds:"harbor pawn, harbor pawn 2" copies:24`},
			{Question: "Can I have 60 by tomorrow noon?", Line: `/plan run material:"demo rigid white" molds:"harbor pawn, harbor pawn 2" copies:60 by:"tomorrow 12:00" hours:09:00-17:00`},
			{Question: "What does one of them cost me?", Line: `/plan cost material:"demo rigid white" mold:"harbor pawn" mold_cost:18 consumables:0.05`},
		},
		Subs: []chat.Sub{
			{Name: "run", Help: "when to pour what, and when all of it is done", Computes: true, Slow: true, Run: p.run, Options: run,
				Forms: []chat.Form{{Title: "A run", Options: []string{"material", "molds", "copies", "by", "hours"}}}},
			{Name: "replan", Help: "go on with a run after something changed", Computes: true, Slow: true, Run: p.replan, Options: again,
				Forms: []chat.Form{{Name: "changed", Title: "What changed?", Pressed: true, Options: []string{"molds", "copies", "made", "people", "hours"}}}},
			{Name: "remind", Help: "be called for every step of a run", Slow: true, Writes: true, Run: p.remind, Options: again},
			{Name: "unremind", Help: "take the calls of a run back", Writes: true, Run: p.unremind,
				Options: []chat.Option{{Name: "dues", Help: "their numbers", Like: "#7, #8", Required: true, Length: 2000}}},
			{Name: "cost", Help: "what a good part costs: resin, tint, its share of the mold, hands", Computes: true, Run: p.cost, Options: p.costOptions(),
				Forms: []chat.Form{{Title: "The cost of a part", Options: []string{"material", "mold", "mold_cost", "consumables", "labor"}}}},
		},
	}
}

func (p planCommand) runOptions() []chat.Option {
	return []chat.Option{
		{Name: "material", Help: "what you pour", Like: "demo rigid white", Required: true, Suggest: p.library.SuggestMaterial},
		{Name: "molds", Help: "the molds you fill again and again", Like: "harbor pawn, harbor pawn 2", Required: true, Length: 1000, Suggest: p.library.SuggestMolds},
		{Name: "copies", Help: "good parts wanted", Like: "24", Required: true, Kind: chat.Count, Max: mostCopies},
		{Name: "by", Help: "when you need them", Like: "tomorrow 18:00"},
		{Name: "hours", Help: "when hands work, or any; cures go on over night", Like: "09:00-17:00", Length: 60},
		{Name: "people", Help: "pairs of hands, 1 if left out", Like: "2", Kind: chat.Count, Min: 1, Max: 20},
		{Name: "pour_time", Help: "how long one cup keeps a pair of hands busy, all in all", Like: "8 min", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Time}, Bare: "min", Min: 30, Max: 8 * 3600},
		{Name: "start", Help: "when you begin, now if left out", Like: "tomorrow 9:00"},
		{Name: "scrap", Help: "share of parts that is spoiled, in place of what you logged", Like: "5%", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Number}, Percent: true, Zero: true, Max: 0.9},
		{Name: "coat_first", Help: "yes puts every release coat that the run needs on before it", Kind: chat.YesNo},
		{Name: "cup_size", Help: "most mix that one cup takes", Like: "200 ml", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Volume}},
		{Name: "tint", Help: "each tint with its percent of the mix", Like: "brick red 0.5%", Suggest: p.library.SuggestTints},
		roomOption,
	}
}

// planLine is this run as another sub of the command, with what it was asked
// with pinned, and some of it changed.
func planLine(c *chat.Call, sub string, change map[string]string) string {
	line := map[string]string{}
	order := []string{"material", "molds", "copies", "by", "hours", "people", "pour_time", "start", "scrap", "coat_first", "cup_size", "tint", "temp", "since", "made"}
	for _, o := range order {
		if text := c.Meant(o); text != "" {
			line[o] = text
		}
	}
	for name, text := range change {
		line[name] = text
		if text == "" {
			delete(line, name)
		}
	}
	return chat.FormatLine("plan "+sub, line, order)
}
