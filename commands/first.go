package commands

import (
	"context"
	"fmt"
	"strconv"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

func init() { register("first", newFirst) }

type firstCommand struct{ deps }

func newFirst(d deps) chat.Command {
	f := firstCommand{d}
	return chat.Command{
		Name:  "first",
		Help:  "a first pour step by step, for one or for a class",
		About: "A small cup teaches as much as a large one and costs little when it goes wrong. The amounts are the least that the shop's scale can weigh well enough.",
		Asks: []chat.Ask{
			{Question: "I have never poured this, how do I begin?", Line: `/first material:"demo rigid white"`},
			{Question: "What do I need for a class of eight?", Line: `/first material:"demo rigid white" people:8`},
		},
		Subs: []chat.Sub{{Computes: true, Run: f.run, Options: []chat.Option{
			{Name: "material", Help: "what is poured", Like: "demo rigid white", Required: true, Suggest: d.library.SuggestMaterial},
			{Name: "people", Help: "for a class: how many pour, the teacher not counted", Like: "8", Kind: chat.Count, Max: 60},
			{Name: "step", Help: "only this step of the pour", Like: "1", Kind: chat.Count, Max: 50},
		}}},
	}
}

// lesson is a first pour worked out for a shop.
type lesson struct {
	mix.Trial
	m     shop.Material
	sys   quantity.System
	scale float64 // g, the scale's step
}

func (f firstCommand) run(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := f.library.Material(ctx, c, "material", library.Take)
	if err != nil {
		return nil, err
	}
	l := lesson{m: m, sys: c.By.System(), scale: c.By.Shop.Set.ScaleStep}
	if l.Trial, err = mix.FirstPour(m.Profile, c.Count("people", 1), l.scale); err != nil {
		return nil, err
	}
	l.note(c)
	if c.Has("step") {
		return l.step(c.Count("step", 1), c.Has("people"))
	}
	if c.Has("people") {
		return l.class(), nil
	}
	return l.pour(), nil
}

// note says which defaults the amounts rest on, and what the room is like.
func (l lesson) note(c *chat.Call) {
	if l.NoWeights != "" {
		c.Note(l.NoWeights)
	} else {
		c.Note(fmt.Sprintf("For the shop's scale, which shows steps of %s.", quantity.Text(l.scale, quantity.Mass, l.sys)))
	}
	if l.Raised {
		c.Note("A smaller cup would be too little for this scale to get the ratio right.")
	}
	if l.TooSmall {
		c.Note("This scale is too coarse for so small a cup: the ratio may be off by more than 2 %. Borrow a finer scale, or measure by volume where the bulletin allows it.")
	}
	if room := c.By.Shop.Set.Temp; l.m.MinTemp != nil && room < *l.m.MinTemp {
		c.Note(fmt.Sprintf("The shop's room, %s, is colder than the %s that the bulletin asks for: warm the room, the jugs and the mold first.",
			quantity.Text(room, quantity.Temp, l.sys), quantity.Text(*l.m.MinTemp, quantity.Temp, l.sys)))
	}
}

// amount writes grams as the scale shows them, or mL where nothing is weighed.
func (l lesson) amount(v float64) string {
	if l.ByVolume {
		return quantity.Text(v, quantity.Volume, l.sys)
	}
	return quantity.TextStep(v, l.scale, l.sys)
}

// cup is A and B of one cup, g or mL.
func (l lesson) cup() (a, b float64) {
	if l.ByVolume {
		return l.Cup.VolumeA, l.Cup.VolumeB
	}
	return l.Cup.A, l.Cup.B
}

func (l lesson) first() caution.First {
	a, b := l.cup()
	return caution.First{Profile: l.m.Profile, People: l.People, A: l.amount(a), B: l.amount(b), ByVolume: l.ByVolume, System: l.sys}
}

// facts are the cup and the bulletin's pot life.
func (l lesson) facts() []chat.Fact {
	a, b := l.cup()
	kind, dim, half := "mass", quantity.Mass, l.scale/2
	if l.ByVolume {
		kind, dim, half = "volume", quantity.Volume, 0
	}
	of := func(key, label string, v, within float64) chat.Fact {
		f := chat.Num(kind+key, label, v, dim, l.sys).Says(l.amount(v))
		if within > 0 {
			f = f.Between(v-within, v+within)
		}
		return f
	}
	facts := []chat.Fact{of("_a", "Part A in a cup", a, half), of("_b", "Part B in a cup", b, half), of("_total", "In a cup", a+b, 2*half)}
	if r, ok := l.m.ByWeight(); ok && !l.ByVolume {
		facts = append(facts, chat.Share("ratio_error", "Ratio off by rounding", mix.OffRatio(a, b, r)).Says(ratioErrorText(mix.OffRatio(a, b, r))))
	}
	if l.m.PotLife > 0 {
		f := chat.Num("bulletin_pot_life", "Pot life by the bulletin", l.m.PotLife, quantity.Time, l.sys)
		if l.m.PotLifeMass > 0 {
			f.Text += " with " + quantity.Text(l.m.PotLifeMass, quantity.Mass, l.sys)
		}
		if l.m.PotLifeTemp != nil {
			f.Text += " at " + quantity.Text(*l.m.PotLifeTemp, quantity.Temp, l.sys)
		}
		facts = append(facts, f)
	}
	return facts
}

func (l lesson) line(more map[string]string) string {
	raw := map[string]string{"material": chat.Ref(l.m.ID, l.m.Version)}
	for name, value := range more {
		raw[name] = value
	}
	return chat.FormatLine("first", raw, []string{"material", "people", "step"})
}

// pour is the whole of a first pour.
func (l lesson) pour() *chat.Reply {
	f := l.first()
	return &chat.Reply{
		Title: fmt.Sprintf("A first pour of %s: %s of A with %s of B", l.m.Name, f.A, f.B),
		Facts: l.facts(), Steps: f.Steps(), Cautions: chat.Cautions(f.Cautions()), Working: l.working(),
		Actions: []chat.Action{
			{Label: "Step by step", Line: l.line(map[string]string{"step": "1"})},
			{Label: "For a class of 8", Line: l.line(map[string]string{"people": "8"})},
		},
	}
}

// class is the card of whoever teaches.
func (l lesson) class() *chat.Reply {
	f := l.first()
	r := &chat.Reply{
		Title: fmt.Sprintf("A class of %d with %s: %s of A and %s of B in each cup", l.People, l.m.Name, f.A, f.B),
		Facts: l.facts(), Cautions: chat.Cautions(f.Cautions()), Working: l.working(),
		Notes:   []string{"Have some more of each than the class uses: cups are spilled."},
		Actions: []chat.Action{{Label: "The pour, step by step", Line: l.line(map[string]string{"step": "1", "people": strconv.Itoa(l.People)})}},
	}
	key, dim := "mass", quantity.Mass
	if l.ByVolume {
		key, dim = "volume", quantity.Volume
	}
	r.Facts = append(r.Facts,
		chat.Num("class_"+key+"_a", "Part A for all", l.A, dim, l.sys).Says(l.amount(l.A)),
		chat.Num("class_"+key+"_b", "Part B for all", l.B, dim, l.sys).Says(l.amount(l.B)),
		chat.Whole("gloves", "Pairs of gloves", caution.GlovePairs(l.People), strconv.Itoa(caution.GlovePairs(l.People))))
	for _, item := range f.Shopping() {
		r.Steps = append(r.Steps, fmt.Sprintf("Have ready: %d × %s", item.Count, item.What))
	}
	for _, ca := range f.Cautions() {
		r.Steps = append(r.Steps, "[ ] Said aloud and understood: "+ca.Title)
	}
	return r
}

// step is one step of the pour, to read with gloves on.
func (l lesson) step(n int, class bool) (*chat.Reply, error) {
	f := l.first()
	steps := f.Steps()
	if n > len(steps) {
		return nil, fault.New(fault.OutOfRange, "the pour has %d steps, there is no step %d", len(steps), n).In("step").Hint("give 1 to %d", len(steps))
	}
	at := func(n int) string {
		more := map[string]string{"step": strconv.Itoa(n)}
		if class {
			more["people"] = strconv.Itoa(l.People)
		}
		return l.line(more)
	}
	r := &chat.Reply{
		Title: fmt.Sprintf("Step %d of %d: %s", n, len(steps), steps[n-1]),
		Facts: l.facts(), Working: l.working(),
		Cautions: chat.Cautions(caution.For(caution.Situation{Step: caution.Mixing, Family: l.m.Family})),
	}
	if n == 1 {
		r.Cautions = chat.Cautions(f.Cautions())
	}
	if n < len(steps) {
		r.Actions = append(r.Actions, chat.Action{Label: "Next", Do: chat.DoReplace, Line: at(n + 1)})
	}
	if n > 1 {
		r.Actions = append(r.Actions, chat.Action{Label: "Back", Do: chat.DoReplace, Line: at(n - 1)})
	}
	return r, nil
}

func (l lesson) working() []working.Step {
	a, b := l.cup()
	steps := working.Add(nil, "size of a first cup", "60 g, or 20 g on a scale that shows 0.1 g", working.CommonPractice, "%s", l.amount(a+b))
	if r, ok := l.m.ByWeight(); ok && !l.ByVolume {
		steps = working.Add(steps, "mass of A and B", "M·wA/(wA + wB), M·wB/(wA + wB)", working.Definition,
			"weight ratio %s:%s, both rounded together to %s g: %s g and %s g", working.Num(r.A), working.Num(r.B), working.Num(l.scale), working.Num(a), working.Num(b))
	}
	if l.People > 1 {
		steps = working.Add(steps, "for the class", "n·A, n·B", working.Definition, "%d × %s and %d × %s", l.People, l.amount(a), l.People, l.amount(b))
		steps = working.Add(steps, "pairs of gloves", "2(n + 1) + n/2, rounded up", working.CommonPractice, "two for each and the teacher, a spare for every two: %d", caution.GlovePairs(l.People))
	}
	return steps
}
