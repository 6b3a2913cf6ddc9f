package commands

import (
	"context"
	"fmt"
	"math"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
)

func init() { register("ratio", newRatio) }

type ratioCommand struct{ deps }

func newRatio(d deps) chat.Command {
	r := ratioCommand{d}
	one := chat.Option{Name: "material", Help: "what was poured", Like: "demo rigid white", Required: true, Suggest: d.library.SuggestMaterial}
	amount := func(name, help, like string, required bool) chat.Option {
		return chat.Option{Name: name, Help: help, Like: like, Required: required, Kind: chat.Measure,
			Dims: []quantity.Dim{quantity.Mass, quantity.Volume}, Zero: true}
	}
	density := func(name, help, like string) chat.Option {
		return chat.Option{Name: name, Help: help, Like: like, Required: true, Kind: chat.Measure, Dims: []quantity.Dim{quantity.Density}}
	}
	step := chat.Option{Name: "scale_step", Help: "smallest step your scale shows", Like: "0.1 g", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}}
	return chat.Command{
		Name:  "ratio",
		Help:  "turn a ratio into weights, check a cup, rescue it, use up what is left",
		About: "A ratio by volume and one by weight are different numbers wherever A and B differ in density; mixing them up spoils more casts than anything else.",
		Asks: []chat.Ask{
			{Question: "The jug says 1:1 by volume. What does my scale have to show?", Line: `/ratio convert ratio:"1:1 vol" density_a:1.10 density_b:1.02`},
			{Question: "I poured 110 g A and 92 g B. Is that all right?", Line: `/ratio check material:"demo rigid white" a:"110 g" b:"92 g"`},
			{Question: "I put in too much A and have not stirred. Can I save it?", Line: `/ratio rescue material:"demo rigid clear" a:"100 g" b:"70 g" since:"1 min"`},
			{Question: "What is the largest batch from what is left in both jugs?", Line: `/ratio split material:"demo rigid white" a_left:"610 g" b_left:"480 g"`},
		},
		Subs: []chat.Sub{
			{Name: "convert", Help: "a ratio by volume as weights, or the other way round", Computes: true, Run: r.convert, Options: []chat.Option{
				{Name: "ratio", Help: "A:B with vol or wt", Like: "1:1 vol", Kind: chat.Parts, Required: true},
				density("density_a", "density of part A, from the bulletin", "1.10"), density("density_b", "density of part B, from the bulletin", "1.02"),
			}},
			{Name: "check", Help: "was that within tolerance?", Computes: true, Run: r.check, Options: []chat.Option{
				one, amount("a", "part A in the cup", "110 g", true), amount("b", "part B in the cup", "102 g", true),
			}},
			{Name: "rescue", Help: "what to add to a cup that is off, while it is still liquid", Computes: true, Run: r.rescue, Options: []chat.Option{
				one, amount("a", "part A in the cup", "110 g", true), amount("b", "part B in the cup", "92 g", true),
				{Name: "since", Help: "time since A met B; 0 if not stirred yet", Like: "1 min", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Time}, Zero: true},
				step,
			}},
			{Name: "split", Help: "the largest batch from what is left", Computes: true, Run: r.split, Options: []chat.Option{
				one, amount("a_left", "part A left in the jug", "610 g", true), amount("b_left", "part B left in the jug", "480 g", true), step,
			}},
		},
	}
}

func (ratioCommand) convert(_ context.Context, c *chat.Call) (*chat.Reply, error) {
	ratio := c.Ratio("ratio")
	conv, err := mix.Convert(ratio, c.Value("density_a", 0), c.Value("density_b", 0))
	if err != nil {
		return nil, err
	}
	title := fmt.Sprintf("%s is A 100 g + B %s g", ratio.Text(), short(100*conv.Weight))
	if ratio.By == quantity.ByWeight {
		// By weight it is what was typed; by volume is what was asked.
		title += fmt.Sprintf(", or A 100 mL + B %s mL", short(100*conv.Volume))
	}
	r := &chat.Reply{
		Title: title,
		Facts: []chat.Fact{
			{Key: "ratio_weight", Label: "By weight", Value: conv.Weight, Unit: "1", Text: "A 100 g + B " + short(100*conv.Weight) + " g"},
			{Key: "ratio_volume", Label: "By volume", Value: conv.Volume, Unit: "1", Text: "A 100 mL + B " + short(100*conv.Volume) + " mL"},
		},
		Working: conv.Steps,
	}
	if math.Abs(conv.Trap) > mix.TolLow {
		wrong := "Weighed as it stands"
		if ratio.By == quantity.ByWeight {
			wrong = "Measured by volume as it stands"
		}
		r.Notes = append(r.Notes, fmt.Sprintf("%s, the mix would have %s.", wrong, trapText(conv.Trap)))
	}
	return r, nil
}

// short writes a number with four significant digits at most.
func short(v float64) string { return quantity.Text(v, quantity.Number, quantity.Metric) }

func (rc ratioCommand) check(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := rc.library.Material(ctx, c, "material", library.Offer)
	if err != nil {
		return nil, err
	}
	got, err := mix.Judge(m.Profile, c.Measure("a"), c.Measure("b"))
	if err != nil {
		return nil, err
	}
	r := &chat.Reply{
		Title:   fmt.Sprintf("%s: %s", offText(got.Off), verdictText(got)),
		Facts:   []chat.Fact{offFact("off_ratio", "Off ratio", got.Off)},
		Working: got.Steps,
		Notes: []string{"The tolerance of 2 to 5 % is common practice; the bulletin's own figure wins.",
			fmt.Sprintf("Against %s, the profile's version %d.", m.Ratio.Text(), m.Version)},
	}
	if got.Trap {
		r.Notes = append([]string{"That is just the error of measuring this ratio on the wrong basis: by weight where the bulletin means volume, or the reverse."}, r.Notes...)
	}
	if got.Short != material.NoSide && got.Verdict != mix.OnRatio {
		r.Actions = append(r.Actions, chat.Action{Label: "Rescue it", Line: chat.FormatLine("ratio rescue",
			map[string]string{"material": chat.Ref(m.ID, m.Version), "a": c.Text("a"), "b": c.Text("b")}, []string{"material", "a", "b"})})
	}
	return r, nil
}

func offFact(key, label string, off float64) chat.Fact {
	return chat.Fact{Key: key, Label: label, Value: off, Unit: "1", Text: offText(off)}
}

func offText(off float64) string {
	switch {
	case math.Abs(off) < 5e-5:
		return "On ratio"
	case off > 0:
		return quantity.Percent(off) + " too much B"
	}
	return quantity.Percent(-off) + " too little B"
}

func verdictText(got mix.Check) string {
	switch got.Verdict {
	case mix.OnRatio:
		return "within tolerance"
	case mix.Doubtful:
		return "at the edge, expect it softer or slower"
	}
	return "outside any usual tolerance, don't pour it"
}

func (rc ratioCommand) rescue(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := rc.library.Material(ctx, c, "material", library.Offer)
	if err != nil {
		return nil, err
	}
	want := mix.RescueWant{Profile: m.Profile, A: c.Measure("a"), B: c.Measure("b"), Step: c.Value("scale_step", c.By.Shop.Set.ScaleStep)}
	if c.Has("since") {
		since := c.Value("since", 0)
		want.Since = &since
	}
	got, err := mix.Rescue(want)
	if err != nil {
		return nil, err
	}
	r := &chat.Reply{
		Title:    rescueTitle(c, want, got),
		Facts:    rescueFacts(c, want, got),
		Working:  got.Steps,
		Cautions: chat.Cautions(caution.For(caution.Situation{Step: caution.Rescuing, Family: m.Family, Mass: got.MassTotal, MaxMass: m.MaxMass})),
	}
	if got.Fine {
		r.Notes = append(r.Notes, "It is within 2 % as it is: stirring well does more for it than adding.")
	} else {
		r.Steps = []string{"Add it now, before anything thickens.", "Stir from the start again, scrape wall and bottom, change to a second cup, stir 5 s more.", "If it warms or thickens, stop: don't pour it into the mold."}
	}
	if got.UnstirredUnder > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("With a pot life of %s this works only if A and B have not been stirred yet.", quantity.Text(got.UnstirredUnder, quantity.Time, c.By.System())))
	}
	if want.Since == nil {
		r.Notes = append(r.Notes, "You gave no time since A met B; past half the pot life it is too late.")
	}
	return r, nil
}

func rescueTitle(c *chat.Call, w mix.RescueWant, got mix.Rescued) string {
	switch {
	case got.AddA == 0 && got.AddB == 0:
		return "Nothing to add: it is on ratio"
	case got.AddA > 0:
		return "Add " + amountText(c, got.AddA, w.Step, got.ByVolume) + " of A"
	}
	return "Add " + amountText(c, got.AddB, w.Step, got.ByVolume) + " of B"
}

// amountText writes grams as the scale shows them, or milliliters.
func amountText(c *chat.Call, v, step float64, byVolume bool) string {
	if byVolume {
		return quantity.Text(v, quantity.Volume, c.By.System())
	}
	return quantity.TextStep(v, step, c.By.System())
}

// amountFact is an amount that is weighed, or measured where there are no
// weights.
func amountFact(c *chat.Call, key, label string, v, step float64, byVolume bool) chat.Fact {
	d := quantity.Mass
	if byVolume {
		d = quantity.Volume
	}
	return chat.Num(key, label, v, d, c.By.System()).Says(amountText(c, v, step, byVolume))
}

func rescueFacts(c *chat.Call, w mix.RescueWant, got mix.Rescued) []chat.Fact {
	facts := []chat.Fact{
		amountFact(c, "add_a", "Add A", got.AddA, w.Step, got.ByVolume),
		amountFact(c, "add_b", "Add B", got.AddB, w.Step, got.ByVolume),
		offFact("off_ratio", "Now", got.Before),
		offFact("off_ratio_after", "Afterwards", got.After),
	}
	if got.MassTotal > 0 {
		facts = append(facts, chat.Num("mass_total", "Then in the cup", got.MassTotal, quantity.Mass, c.By.System()))
	}
	return facts
}

func (rc ratioCommand) split(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := rc.library.Material(ctx, c, "material", library.Offer)
	if err != nil {
		return nil, err
	}
	step := c.Value("scale_step", c.By.Shop.Set.ScaleStep)
	got, err := mix.LargestBatch(m.Profile, c.Measure("a_left"), c.Measure("b_left"), step)
	if err != nil {
		return nil, err
	}
	r := &chat.Reply{
		Title: fmt.Sprintf("Mix %s A with %s B", amountText(c, got.A, step, got.ByVolume), amountText(c, got.B, step, got.ByVolume)),
		Facts: []chat.Fact{
			amountFact(c, "use_a", "Part A", got.A, step, got.ByVolume),
			amountFact(c, "use_b", "Part B", got.B, step, got.ByVolume),
			amountFact(c, "left_a", "A left over", got.LeftA, step, got.ByVolume),
			amountFact(c, "left_b", "B left over", got.LeftB, step, got.ByVolume),
		},
		Working:  got.Steps,
		Cautions: chat.Cautions(caution.For(caution.Situation{Step: caution.Mixing, Family: m.Family, Mass: got.MassTotal, MaxMass: m.MaxMass, Leftovers: got.LeftA > 0 || got.LeftB > 0})),
	}
	if got.MassTotal > 0 {
		r.Facts = append(r.Facts, chat.Num("mass_total", "All in the cups", got.MassTotal, quantity.Mass, c.By.System()))
	}
	if got.VolumeTotal > 0 {
		r.Facts = append(r.Facts, chat.Num("volume_total", "That is", got.VolumeTotal, quantity.Volume, c.By.System()))
	}
	switch got.Limit {
	case material.SideA:
		r.Notes = append(r.Notes, "Part A runs out first.")
	case material.SideB:
		r.Notes = append(r.Notes, "Part B runs out first.")
	}
	r.Notes = append(r.Notes, fmt.Sprintf("At %s, the profile's version %d. What clings to the jugs can't be poured: leave a little margin.", m.Ratio.Text(), m.Version))
	return r, nil
}
