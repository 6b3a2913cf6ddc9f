package commands

import (
	"context"
	"fmt"
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/part"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/stock"
	"github.com/pourwright/pourwright/internal/working"
)

func init() { register("batch", newBatch) }

type batchCommand struct{ deps }

func newBatch(d deps) chat.Command {
	b := batchCommand{d}
	return chat.Command{
		Name:  "batch",
		Help:  "how much A and B to measure for a cavity, a mold, a file or a cup",
		About: "volume, mold and file are what must reach the mold, so waste is added; mass is everything in the cup, so nothing is. Amounts are rounded to the scale together, so that the ratio stays as true as the scale can show it.",
		Asks: []chat.Ask{
			{Question: "How much A and B do I mix for this cavity?", Line: `/batch material:"demo rigid white" volume:"250 ml"`},
			{Question: "How much for twelve pawns from this mold?", Line: `/batch material:"demo rigid white" mold:"harbor pawn" count:12`},
			{Question: "I want 60 g in the cup, how much of each?", Line: `/batch material:"demo casting epoxy" mass:"60 g"`},
		},
		Subs: []chat.Sub{{
			Help: "how much A and B to measure", Computes: true, Run: b.run,
			OneOf: [][]string{{"volume", "mass", "mold", "file"}},
			Forms: []chat.Form{{Title: "A batch", Options: []string{"material", "volume", "count", "cup_size", "waste"}}},
			Options: append([]chat.Option{
				{Name: "material", Help: "what you pour", Like: "demo rigid white", Required: true, Suggest: d.library.SuggestMaterial},
				{Name: "volume", Help: "what one part takes; waste is added", Like: "250 ml", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Volume}},
				{Name: "mass", Help: "all that will be in the cup; nothing is added", Like: "250 g", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}},
				{Name: "mold", Help: "a mold of yours or the shop's, filled once unless count says more", Like: "harbor pawn", Suggest: d.library.SuggestMold},
				{Name: "file", Help: "a 3-D file of the part: STL, OBJ, 3MF or PLY", Kind: chat.Attachment},
				{Name: "count", Help: "parts wanted", Like: "12", Kind: chat.Count},
				{Name: "waste", Help: "share of the volume that never reaches the part, in place of the usual rule", Like: "10%", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Number}, Percent: true, Negative: true, Zero: true, Min: -0.5, Max: 3},
				{Name: "cup_size", Help: "most mix that one cup takes", Like: "200 ml", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Volume}},
				{Name: "scale_step", Help: "smallest step your scale shows", Like: "0.1 g", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}},
				{Name: "filler", Help: "a filler and its parts per hundred resin", Like: "microspheres 20 phr", Suggest: suggestFiller},
				{Name: "tint", Help: "each tint with its amount: percent of the mix, grams or drops", Like: "brick red 0.5%", Suggest: d.library.SuggestTints},
				roomOption,
			}, part.Options...),
		}},
	}
}

// roomOption is the temperature of the room, in every command that it matters
// to.
var roomOption = chat.Option{Name: "temp", Help: "the room's temperature, the shop's if left out", Like: "21 C",
	Kind: chat.Measure, Dims: []quantity.Dim{quantity.Temp}, Min: -20, Max: 60, Negative: true, Zero: true}

func suggestFiller(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
	name, _, _ := strings.Cut(typed, " ")
	out := chat.Narrow(name, mix.FillerNames())
	for i := range out {
		out[i].Value += " 20 phr"
	}
	return out, nil
}

// order is what a batch is for, in words and numbers.
type order struct {
	want   mix.Want
	fills  string // "12 parts = 2 fills of 6", "" where nothing is counted
	steps  []working.Step
	notes  []string
	thick  float64 // mm, the thickest section; zero where unknown
	made   forecast.Batch
	retire string         // why the mold is retired, "" if it is not
	part   *part.Measured // of a file

	tints []library.TintAsk
	stir  *library.Tinting // how they get into the cups; nil without tint
}

func (b batchCommand) run(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := b.library.Material(ctx, c, "material", library.Offer)
	if err != nil {
		return nil, err
	}
	o, err := b.order(ctx, c)
	if err != nil {
		return nil, err
	}
	o.want.Profile = m.Profile
	if err := b.fill(c, &o.want); err != nil {
		return nil, err
	}
	if err := b.tints(ctx, c, m, &o); err != nil {
		return nil, err
	}
	made, err := b.cures.Batch(ctx, o.want, c.Value("temp", c.By.Shop.Set.Temp), c.By.System())
	if err != nil {
		return nil, err
	}
	o.made = made
	batch := made.Batch
	if batch.NoWeights == "" {
		notes, err := b.batchStock(ctx, c, m, stock.Amount{A: batch.MassA, B: batch.MassB})
		if err != nil {
			return nil, err
		}
		o.notes = append(notes, o.notes...)
	}
	if len(o.tints) == 0 {
		return b.reply(c, m, o, batch), nil
	}
	if o.stir, err = stirInto(m, o, batch); err != nil {
		return nil, err
	}
	r := b.reply(c, m, o, batch)
	r.Working = append(r.Working, o.stir.Steps...)
	r.Notes = append(append(o.stir.Warnings, r.Notes...), o.stir.Notes...)
	return r, b.colored(c, m, o.stir, "material", r)
}

// tints reads the tints of a batch. Of a mass they take their part: mass is
// everything in the cup.
func (b batchCommand) tints(ctx context.Context, c *chat.Call, m shop.Material, o *order) (err error) {
	if !c.Has("tint") {
		return nil
	}
	if o.tints, err = b.library.Tints(ctx, c, "tint"); err != nil {
		return err
	}
	for _, a := range o.tints {
		if err := library.Miscible(a.Tint, m, "tint"); err != nil {
			return err
		}
	}
	if o.want.Mass > 0 {
		o.want.Mass, err = library.ResinOf(o.tints, o.want.Mass, "tint")
	}
	return err
}

// stirInto works out how the tints get into the cups of a batch.
func stirInto(m shop.Material, o order, b mix.Batch) (*library.Tinting, error) {
	side, note, err := library.TintSide(m, "material")
	if err != nil {
		return nil, err
	}
	if _, err := library.SideShare(m, side, "material"); err != nil {
		return nil, err
	}
	job := library.TintJob{Material: m, Side: side, Asks: o.tints, Step: o.want.Step}
	resin := 0.0
	for _, cup := range b.Cups {
		one := library.TintCup{Resin: cup.Total(), Side: cup.B}
		if side == material.SideA {
			one.Side = cup.A
		}
		resin += one.Resin
		job.Cups = append(job.Cups, one)
	}
	if job.Doses, err = library.DosesOf(o.tints, resin, "tint"); err != nil {
		return nil, err
	}
	stir, err := library.Stir(job)
	if err == nil && note != "" {
		stir.Notes = append(stir.Notes, note)
	}
	return stir, err
}

// order reads what must be filled, from a volume, a mass, a mold or a file.
func (b batchCommand) order(ctx context.Context, c *chat.Call) (order, error) {
	if c.Has("resize") && !c.Has("file") {
		return order{}, fault.New(fault.TooManyOptions, "only a file can be resized").In("resize").Hint("leave resize out, or attach the file")
	}
	count := c.Count("count", 1)
	switch {
	case c.Has("mass"):
		if c.Has("count") {
			return order{}, fault.New(fault.TooManyOptions, "mass is everything in the cup, so count can't change it").In("count").
				Hint("give volume for one part with count:%d, or mass alone", count)
		}
		return order{want: mix.Want{Mass: c.Value("mass", 0)}}, nil
	case c.Has("volume"):
		return counted(order{}, c.Value("volume", 0), count, c.Has("count"), "volume of one part"), nil
	case c.Has("mold"):
		return b.fromMold(ctx, c)
	}
	p, err := b.parts.Measure(ctx, c, "file")
	if err != nil {
		return order{}, err
	}
	if err := p.NeedVolume("file"); err != nil {
		return order{}, err
	}
	o := order{steps: p.Steps, notes: p.Findings, thick: p.Thickest.Mid, part: &p}
	return counted(o, p.CastVolume()/1000, count, c.Has("count"), "volume of the part in the file"), nil
}

// counted multiplies one part's volume by the parts wanted.
func counted(o order, each float64, count int, said bool, what string) order {
	o.want.Volume = each * float64(count)
	if !said {
		return o
	}
	o.want.Fills = count
	o.fills = quantity.Count(count, "part", "parts")
	o.steps = working.Add(o.steps, "what must reach the molds", "n·V", working.Definition, "%d × %s mL (%s) = %s mL",
		count, working.Num(each), what, working.Num(o.want.Volume))
	return o
}

// fromMold fills all cavities once, or as often as the parts wanted ask for.
func (b batchCommand) fromMold(ctx context.Context, c *chat.Call) (order, error) {
	m, err := b.library.Mold(ctx, c, "mold", library.Offer)
	if err != nil {
		return order{}, err
	}
	parts := c.Count("count", m.Cavities)
	fills := (parts + m.Cavities - 1) / m.Cavities
	o := order{want: mix.Want{Volume: m.Volume * float64(parts), Fills: fills, FillVolume: m.Volume * float64(m.Cavities)}, thick: m.Thickest, retire: m.Retired}
	if m.Cavities > 1 || c.Has("count") {
		o.fills = quantity.Count(parts, "part", "parts") + " = " + fillsOf(fills, m.Cavities)
		if spare := fills*m.Cavities - parts; spare > 0 {
			o.notes = append(o.notes, fmt.Sprintf("The last fill leaves %s empty; count:%d fills them all.", quantity.Count(spare, "cavity", "cavities"), fills*m.Cavities))
		}
	}
	o.notes = append(o.notes, coatNotes(m, fills)...)
	o.steps = working.Add(o.steps, "what must reach the mold", "n·V", working.Definition, "%d × %s mL (one cavity of %s) = %s mL",
		parts, working.Num(m.Volume), m.Name, working.Num(o.want.Volume))
	return o, nil
}

func fillsOf(fills, cavities int) string {
	if fills == 1 {
		return fmt.Sprintf("1 fill of %d", cavities)
	}
	return fmt.Sprintf("%d fills of %d", fills, cavities)
}

// fill adds what the other options say.
func (b batchCommand) fill(c *chat.Call, w *mix.Want) error {
	w.Step = c.Value("scale_step", c.By.Shop.Set.ScaleStep)
	w.CupSize = c.Value("cup_size", 0)
	if c.Has("waste") {
		v := c.Value("waste", 0)
		w.Waste = &v
	}
	if c.Has("filler") {
		f, err := mix.ParseFiller(c.Text("filler"))
		if err != nil {
			return err
		}
		w.Filler = &f
	}
	return nil
}

func (b batchCommand) reply(c *chat.Call, m shop.Material, o order, batch mix.Batch) *chat.Reply {
	r := &chat.Reply{
		Title:   batchTitle(c, o, batch),
		Facts:   batchFacts(c, o, batch),
		Steps:   batchSteps(c, m, o, batch),
		Notes:   batchNotes(c, m, o, batch),
		Working: append(o.steps, batch.Steps...),
	}
	if o.part != nil {
		r.Images = b.picture(c, *o.part)
	}
	r.Actions = batchActions(c, m, o, batch)
	biggest := 0.0
	for _, cup := range batch.Cups {
		biggest = math.Max(biggest, cup.Total())
	}
	r.Cautions = chat.Cautions(caution.For(caution.Situation{
		Step: caution.Mixing, Family: m.Family, Mass: biggest, MaxMass: m.MaxMass, Section: o.thick, MaxDepth: m.MaxDepth,
		Powder: o.want.Filler != nil || library.Dusty(o.tints), Text: m.Notes,
	}))
	return r
}

func batchTitle(c *chat.Call, o order, b mix.Batch) string {
	var title string
	sys := c.By.System()
	if b.NoWeights != "" {
		title = fmt.Sprintf("Mix %s A with %s B", quantity.Text(b.VolumeA, quantity.Volume, sys), quantity.Text(b.VolumeB, quantity.Volume, sys))
	} else {
		title = fmt.Sprintf("Mix %s A with %s B", quantity.TextStep(b.MassA, o.want.Step, sys), quantity.TextStep(b.MassB, o.want.Step, sys))
	}
	if f := o.want.Filler; f != nil {
		title += fmt.Sprintf(" and %s %s", quantity.TextStep(b.MassFiller, o.want.Step, sys), f.Name)
	}
	if b.VolumeTotal > 0 {
		title += " (" + quantity.Text(b.VolumeTotal, quantity.Volume, sys) + ")"
	}
	if o.stir != nil {
		title += ", tinted with " + library.Recipe(o.tints, o.stir.Doses)
	}
	if o.fills != "" {
		title += ", " + o.fills
	}
	return title
}

func batchFacts(c *chat.Call, o order, b mix.Batch) []chat.Fact {
	sys, step := c.By.System(), o.want.Step
	var facts []chat.Fact
	add := func(f chat.Fact, said bool) {
		if said {
			facts = append(facts, f)
		}
	}
	weighed := func(key, label string, v float64) chat.Fact {
		half := step / 2
		return chat.Num(key, label, v, quantity.Mass, sys).Says(quantity.TextStep(v, step, sys)).Between(v-half, v+half)
	}
	add(weighed("mass_a", "Part A", b.MassA), b.NoWeights == "")
	add(weighed("mass_b", "Part B", b.MassB), b.NoWeights == "")
	add(weighed("mass_filler", "Filler", b.MassFiller), o.want.Filler != nil)
	total := b.MassTotal
	if o.stir != nil {
		facts = append(facts, o.stir.Facts(sys)...)
		total += o.stir.Mass()
	}
	add(chat.Whole("cups", "Cups", len(b.Cups), cupsText(b)), true)
	pot := o.made.Cup.PotLife
	add(chat.Num("pot_life", "Pot life of a cup", pot.Mid, quantity.Time, sys).Between(pot.Low, pot.High).Says(timeSpan(pot, sys)), o.made.Known)
	add(chat.Share("waste_fraction", "Waste added", b.Waste.Fraction).Says(wasteText(b.Waste, sys)), o.want.Mass == 0)
	add(chat.Num("volume_a", "Part A by volume", b.VolumeA, quantity.Volume, sys), b.VolumeA > 0)
	add(chat.Num("volume_b", "Part B by volume", b.VolumeB, quantity.Volume, sys), b.VolumeB > 0)
	add(chat.Num("mass_total", "All in the cups", total, quantity.Mass, sys).Says(quantity.TextStep(total, step, sys)), total > 0)
	add(chat.Num("volume_total", "Volume mixed", b.VolumeTotal, quantity.Volume, sys), b.VolumeTotal > 0)
	add(chat.Share("ratio_error", "Ratio off by rounding", b.RatioError).Says(ratioErrorText(b.RatioError)), b.NoWeights == "")
	if o.stir != nil {
		facts = append(append(facts, library.LoadFact(o.stir.Load, library.Limit(o.stir.Material))), o.stir.DropFacts()...)
	}
	currency := c.By.Shop.Set.Currency
	add(chat.Fact{Key: "cost", Label: "Cost", Value: b.Cost, Unit: currency, Text: fmt.Sprintf("%.2f %s", b.Cost, currency)}, b.Cost > 0 && currency != "")
	add(chat.Num("min_batch", "Least batch for this scale", b.MinBatch, quantity.Mass, sys), b.MinBatch > 0)
	return facts
}

// wasteText is the amount and the rule that decided it.
func wasteText(w mix.Waste, sys quantity.System) string {
	text := quantity.Text(w.Volume, quantity.Volume, sys) + ": " + w.Rule
	if share := quantity.Percent(w.Fraction); !strings.Contains(w.Rule, share) {
		text += ", " + share
	}
	return text
}

func cupsText(b mix.Batch) string {
	if len(b.Cups) == 1 {
		return "1 cup"
	}
	why := "by the cup's size"
	if b.PotLifeSplit {
		why = "so that each is poured in time"
	}
	return fmt.Sprintf("%d cups, %s", len(b.Cups), why)
}

func ratioErrorText(e float64) string {
	if math.Abs(e) < 5e-5 {
		return "none that a scale shows"
	}
	return fmt.Sprintf("%+.2f %% B", 100*e)
}

// batchSteps is what the hands do, in shop order.
func batchSteps(c *chat.Call, m shop.Material, o order, b mix.Batch) []string {
	sys, step := c.By.System(), o.want.Step
	steps := []string{"Gloves on, eyes covered, air moving away from you. Have mold, cups, stick and a second cup ready before A meets B."}
	if o.want.Filler != nil {
		steps = append(steps, fmt.Sprintf("Stir the dry filler into part %s before A meets B, or share it between both if it gets too thick.", mix.FillerSide(m.Profile)))
	}
	if o.stir != nil {
		steps = append(append(steps, o.stir.Before(sys)...), o.stir.Ahead(sys)...)
	}
	for i, cup := range b.Cups {
		line := "Tare the cup, weigh in "
		amounts := quantity.TextStep(cup.A, step, sys) + " A, then " + quantity.TextStep(cup.B, step, sys) + " B"
		switch {
		case o.stir != nil && len(b.Cups) > 1:
			line, amounts = "Add ", o.stir.Other(i, cup.Filler, sys)
		case o.stir != nil:
			amounts = o.stir.Cup(i, sys) + ", then add " + o.stir.Other(i, cup.Filler, sys)
		}
		if b.NoWeights != "" {
			line = "Measure "
			amounts = quantity.Text(cup.VolumeA, quantity.Volume, sys) + " A and " + quantity.Text(cup.VolumeB, quantity.Volume, sys) + " B"
		}
		if cup.Filler > 0 {
			amounts += ", with " + quantity.TextStep(cup.Filler, step, sys) + " " + o.want.Filler.Name
		}
		if len(b.Cups) > 1 {
			line = fmt.Sprintf("Cup %d of %d, begin at %s: %s", i+1, len(b.Cups), startText(cup.Start), lowerFirst(line))
		}
		steps = append(steps, line+amounts+".")
	}
	stir := b.Pace.Mix
	return append(steps,
		fmt.Sprintf("Stir about %s without whipping air in, scraping wall and bottom; pour over into the second cup and stir 5 s more.", quantity.Text(math.Round((stir-10)/5)*5, quantity.Time, sys)),
		"Pour a thin stream at the lowest corner of the mold and let it rise.")
}

func startText(s float64) string {
	if s == 0 {
		return "the start"
	}
	return quantity.Text(math.Round(s/5)*5, quantity.Time, quantity.Metric)
}

func lowerFirst(s string) string { return strings.ToLower(s[:1]) + s[1:] }

// batchNotes says how sure the answer is and what to look out for, the gravest
// first.
func batchNotes(c *chat.Call, m shop.Material, o order, b mix.Batch) []string {
	sys := c.By.System()
	var notes []string
	say := func(when bool, format string, args ...any) {
		if when {
			notes = append(notes, fmt.Sprintf(format, args...))
		}
	}
	say(o.retire != "", "This mold is retired: %s.", o.retire)
	say(b.NoWeights != "", "%s", b.NoWeights)
	temp := c.Value("temp", c.By.Shop.Set.Temp)
	say(m.MinTemp != nil && temp < *m.MinTemp, "Too cold for this material: %s, and its bulletin asks for %s or more. Warm room, mold and both parts first.",
		quantity.Text(temp, quantity.Temp, sys), quantity.Text(deref(m.MinTemp), quantity.Temp, sys))
	say(m.MaxTemp != nil && temp > *m.MaxTemp, "Too warm for this material: %s, and its bulletin allows %s at most.",
		quantity.Text(temp, quantity.Temp, sys), quantity.Text(deref(m.MaxTemp), quantity.Temp, sys))
	say(b.TooSmall, "Too small for a scale that shows %s: half a step is more than %s of the smaller part. Mix at least %s, or use a finer scale.",
		quantity.TextStep(o.want.Step, o.want.Step, sys), quantity.Percent(mix.TolLow), quantity.Text(b.MinBatch, quantity.Mass, sys))
	say(b.OverMass, "A cup would hold more than the %s that the bulletin allows in one. Use cup_size to split it.", quantity.Text(m.MaxMass, quantity.Mass, sys))
	notes = append(notes, potNotes(c, m, o, b)...)
	say(math.Abs(b.Trap) > mix.TolLow && m.Ratio.By == quantity.ByVolume && b.NoWeights == "",
		"The ratio %s is turned into weights with both densities. Weighing it as it stands would put %s into the mix.", m.Ratio.Text(), trapText(b.Trap))
	say(math.Abs(b.Trap) > mix.TolLow && m.Ratio.By == quantity.ByWeight,
		"The ratio %s holds on a scale only. Measured by volume it would put %s into the mix.", m.Ratio.Text(), trapText(b.Trap))
	say(!c.Has("temp") && (m.MinTemp != nil || m.MaxTemp != nil || o.made.Known), "At the shop's %s; is your room colder?", quantity.Text(temp, quantity.Temp, sys))
	say(!c.Has("scale_step") && b.NoWeights == "", "Rounded to the shop's scale step of %s.", quantity.TextStep(o.want.Step, o.want.Step, sys))
	notes = append(notes, o.notes...)
	notes = append(notes, b.Notes...)
	say(b.Basis != "", "Rests on the %s in the profile, version %d; air and shrinkage are left out.", b.Basis, m.Version)
	return notes
}

// batchActions lead on: when it comes out, and the pour itself. A mass in a cup
// says nothing of the part.
func batchActions(c *chat.Call, m shop.Material, o order, b mix.Batch) []chat.Action {
	var actions []chat.Action
	if c.Has("mold") || o.part != nil && o.part.Thickest.Mid > 0 {
		actions = append(actions, leadAction(c, m, "When can it come out?", "cure", "mold", "file", "unit", "resize", "temp"))
	}
	if o.made.Known && (len(actions) > 0 || c.Has("volume")) {
		actions = append(actions, startAction(c, m, o, b))
	}
	return actions
}

// potNotes tell how long a cup gives, and when it is too much for one.
func potNotes(c *chat.Call, m shop.Material, o order, b mix.Batch) []string {
	sys := c.By.System()
	pot, mass := quantity.Text(m.PotLife, quantity.Time, sys), quantity.Text(m.PotLifeMass, quantity.Mass, sys)
	if o.made.Known {
		pot = timeSpan(o.made.Cup.PotLife, sys)
	}
	var notes []string
	say := func(when bool, format string, args ...any) {
		if when {
			notes = append(notes, fmt.Sprintf(format, args...))
		}
	}
	say(b.TooFast, "The pot life of %s is too short to stir and pour even one filling at an easy pace: have everything ready and pour at once.", pot)
	if !o.made.Known {
		say(o.made.Why != "", "The pot life of this cup can't be foreseen: %s. Go by the bulletin's.", o.made.Why)
		say(b.PastPotMass && !b.OverMass, "The bulletin's pot life of %s is for %s; a fuller cup heats itself and sets sooner.", pot, mass)
		return notes
	}
	notes = append(notes, calmNotes(c, m, o, b)...)
	say(m.PotLifeMass > 0 && m.PotLifeTemp != nil, "A cup of %s gives %s here; the bulletin's %s are for %s at %s. Cups and starts go by the short end.",
		quantity.Text(o.made.Mass, quantity.Mass, sys), pot, quantity.Text(m.PotLife, quantity.Time, sys), mass, quantity.Text(deref(m.PotLifeTemp), quantity.Temp, sys))
	say(m.PotLifeMass == 0 || m.PotLifeTemp == nil, "A cup of %s gives %s here, if the bulletin's %s are for 100 g at 23 °C as usual: say pot_life_mass and pot_life_temp to narrow it.",
		quantity.Text(o.made.Mass, quantity.Mass, sys), pot, quantity.Text(m.PotLife, quantity.Time, sys))
	return notes
}

// A cup that would run away is worth splitting into few cups of an amount that
// can be mixed. Where none such stays calm, a resin that waits long enough to
// be left standing goes by the bulletin's own cup. Common practice, no source.
const (
	leastCalm  = 25.0    // g
	mostSplit  = 20.0    // cups
	waits      = 10 * 60 // s of pot life
	runsAwayAt = 120.0   // °C
)

// calmNotes warn of a cup that runs away if it is left standing, and split it
// where that helps.
func calmNotes(c *chat.Call, m shop.Material, o order, b mix.Batch) []string {
	cup, mass := o.made.Cup, o.made.Mass
	if cup.Calm == 0 || mass <= cup.Calm {
		return nil
	}
	sys := c.By.System()
	weight := func(g float64) string { return quantity.Text(g, quantity.Mass, sys) }
	left := fmt.Sprintf("left standing, a cup of %s may reach %s inside", weight(mass), quantity.Text(math.Round(cup.Peak.High), quantity.Temp, sys))
	fits := func(most float64) bool { return most >= leastCalm && math.Ceil(mass/most) <= mostSplit }
	switch calm := math.Floor(cup.Calm/5) * 5; {
	case fits(calm):
		return []string{fmt.Sprintf("Too much for one cup: %s. Mix %.0f cups of at most %s, and each stays at 100 °C or below.%s",
			left, math.Ceil(mass/calm), weight(calm), cupSize(m, calm))}
	case cup.Peak.High > runsAwayAt && m.PotLife >= waits && mass > m.PotLifeMass && fits(m.PotLifeMass):
		return []string{fmt.Sprintf("Too much for one cup if it has to wait: %s. Mix %.0f cups of at most %s one after another, the amount that the bulletin's pot life is for, and spread what is left thin while it is cool and liquid.%s",
			left, math.Ceil(mass/m.PotLifeMass), weight(m.PotLifeMass), cupSize(m, m.PotLifeMass))}
	}
	return []string{library.Capital(left) + ". Pour it out within the pot life, and spread what is left thin while it is cool and liquid."}
}

// cupSize is the option that splits a batch into cups of a mass in g.
func cupSize(m shop.Material, mass float64) string {
	rho, ok := m.Mixed()
	if !ok {
		return ""
	}
	return fmt.Sprintf(" cup_size:\"%.0f ml\" does it.", math.Floor(mass/rho.Value))
}

func deref(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

func trapText(trap float64) string {
	if trap > 0 {
		return quantity.Percent(trap) + " too much B"
	}
	return quantity.Percent(-trap) + " too little B"
}
