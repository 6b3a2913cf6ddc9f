package commands

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/part"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shape"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// This file answers what a new mold takes: rubber, patience and care.

// The kinds of molds that are built.
const (
	blockMold   = "block"
	brushedMold = "brushed"
	twoPartMold = "two-part"
)

// brushedWall is the wall of a brushed mold where none is said, in mm (common
// practice: 6 to 12, no source).
const brushedWall = 8.0

func (d moldCommand) buildSub() chat.Sub {
	made := make([]chat.Choice, len(moldcare.Masters()))
	for i, m := range moldcare.Masters() {
		made[i] = chat.Choice{Value: string(m)}
	}
	length := []quantity.Dim{quantity.Length}
	return chat.Sub{
		Name: "build", Help: "rubber for a new mold, whether it sets on the master, and when to cast in it", Computes: true, Run: d.build,
		OneOf: [][]string{{"file", "master"}},
		Options: append([]chat.Option{
			{Name: "kind", Help: "how it is built", Kind: chat.OneWord, Required: true, Like: blockMold, Choices: []chat.Choice{
				{Value: blockMold, Label: "block: poured round the master in a box"}, {Value: brushedMold, Label: "brushed: coats on the master, with a jacket"},
				{Value: twoPartMold, Label: "two-part: a box poured in two halves"}}},
			{Name: "material", Help: "the rubber", Like: "demo tin silicone", Required: true, Suggest: d.library.SuggestMaterial},
			{Name: "made_of", Help: "what the master is made of: some stop the rubber from setting", Kind: chat.OneWord, Like: "printed UV", Choices: made},
			{Name: "file", Help: "a 3-D file of the master", Kind: chat.Attachment},
			{Name: "master", Help: "or what it takes up; for a brushed mold its surface", Like: "60 ml", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Volume, quantity.Area}},
			{Name: "box", Help: "inside of the box, l x w x h; from the file and the wall if left out", Like: "84 x 64 x 47 mm"},
			{Name: "wall", Help: "rubber round the master; 10 mm, brushed 8 mm, if left out", Like: "12 mm", Kind: chat.Measure, Dims: length, Min: 0.5, Max: 200},
			{Name: "coats", Help: "of a brushed mold; as the wall needs if left out", Like: "4", Kind: chat.Count, Min: 1, Max: 100},
			{Name: "temp", Help: "the room; the shop's if left out", Like: "21 C", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Temp}, Min: -20, Max: 60, Negative: true, Zero: true},
		}, part.Options...),
	}
}

// builds is a mold on paper.
type builds struct {
	kind   string
	rubber float64 // mL
	pours  int     // that its rubber is mixed for one by one
	wall   float64 // mm, negative where unknown
	facts  []chat.Fact
	notes  []string
	steps  []working.Step
}

func (d moldCommand) build(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := d.library.Material(ctx, c, "material", library.Offer)
	if err != nil {
		return nil, err
	}
	family, ok := moldcare.OfRubber(m.Family)
	if !ok {
		return nil, fault.New(fault.OutOfRange, "%s is of the family %s: no mold is made of it", m.Name, m.Family).In("material").
			Hint("name a silicone or a urethane rubber, such as material:%q", "demo tin silicone")
	}
	var found *part.Measured
	if c.Has("file") {
		p, err := d.parts.Measure(ctx, c, "file")
		if err != nil {
			return nil, err
		}
		for _, f := range p.Findings {
			c.Note(f)
		}
		found = &p
	}
	b, err := d.size(c, found)
	if err != nil {
		return nil, err
	}
	master, err := moldcare.ParseMaster(c.Text("made_of"))
	if err != nil {
		return nil, err
	}
	contact := moldcare.Meets(family, master)
	room := c.Value("temp", c.By.Shop.Set.Temp)
	times := moldcare.Rubber{Family: family, Demold: m.Demold, FullCure: m.FullCure, Room: room}.Times()
	return d.built(c, m, b, contact, times, found)
}

// size works out the rubber from the box, or from the surface.
func (d moldCommand) size(c *chat.Call, found *part.Measured) (builds, error) {
	kind := c.Text("kind")
	area := c.Measure("master").Dim == quantity.Area
	switch {
	case kind == brushedMold && c.Has("box"):
		return builds{}, fault.New(fault.TooManyOptions, "a brushed mold has no box").In("box").Hint("leave box out, or say kind:block")
	case kind != brushedMold && c.Has("coats"):
		return builds{}, fault.New(fault.TooManyOptions, "only a brushed mold has coats").In("coats").Hint("leave coats out, or say kind:brushed")
	case kind == brushedMold && c.Has("master") && !area:
		return builds{}, fault.New(fault.BadQuantity, "a brushed mold goes by the master's surface, and a volume does not tell it").In("master").
			Hint(`give the area, such as master:"850 cm2", or attach the master's file`)
	case kind != brushedMold && area:
		return builds{}, fault.New(fault.BadQuantity, "a %s mold goes by what the master takes up, and an area does not tell it", kind).In("master").
			Hint(`give the volume, such as master:"60 ml"`)
	case kind == brushedMold:
		return brushed(c, found)
	}
	return boxed(c, kind, found)
}

func brushed(c *chat.Call, found *part.Measured) (builds, error) {
	w := shape.CoatWant{Wall: c.Value("wall", brushedWall), Coats: c.Count("coats", 0), Side: shape.Outer, Area: c.Value("master", 0)}
	b := builds{kind: brushedMold}
	if found != nil {
		found.Surface(&w)
		b.steps = found.Steps
	}
	got, err := w.Measure()
	if err != nil {
		if f := fault.As(err); f != nil && f.Option == "area" {
			f.Option = "master"
		}
		return b, err
	}
	sys := c.By.System()
	b.rubber, b.pours, b.wall = got.Volume, got.Coats, w.Wall
	b.steps = append(b.steps, got.Steps...)
	b.facts = []chat.Fact{
		chat.Whole("coats", "Coats", got.Coats, fmt.Sprintf("%d of %s", got.Coats, quantity.Text(got.Each, quantity.Length, sys))),
		chat.Num("per_coat", "Each coat", got.PerCoat, quantity.Volume, sys),
		chat.Num("area", "Surface", w.Area, quantity.Area, sys),
	}
	b.notes = append(got.Notes, "Leave the face that it stands on out of the area. A brushed mold needs a thickener in its rubber, and a rigid jacket that holds its shape.")
	if !c.Has("wall") {
		b.notes = append(b.notes, "Taken with a wall of 8 mm; 6 to 12 mm is usual (common practice, no source).")
	}
	return b, nil
}

func boxed(c *chat.Call, kind string, found *part.Measured) (builds, error) {
	b := builds{kind: kind, pours: 1}
	w := shape.BlockWant{Master: c.Value("master", 0)}
	if found != nil {
		if err := found.NeedVolume("file"); err != nil {
			return b, err
		}
		w.Master, w.Size, b.steps = found.Outer/1000, found.Size, found.Steps
	}
	wall := c.Value("wall", shape.WallUsual)
	switch {
	case c.Has("box") && c.Has("wall"):
		return b, fault.New(fault.TooManyOptions, "box and wall are given together, and each tells the other").In("wall").Hint("keep the one that you know")
	case c.Has("box"):
		sizes, err := readSizes(c, "box")
		if err != nil {
			return b, err
		}
		if len(sizes) != 3 {
			return b, fault.New(fault.BadQuantity, "a box has three inside lengths, %q has %d", c.Text("box"), len(sizes)).In("box").Hint(`such as box:"84 x 64 x 47 mm"`)
		}
		w.Box = [3]float64{sizes[0].MM, sizes[1].MM, sizes[2].MM}
	case found == nil:
		return b, fault.New(fault.MissingOption, "box is missing: the inside of the mold box").In("box").
			Hint("such as box:%q, the master with 10 to 15 mm on every side, or attach the master's file", "84 x 64 x 47 mm")
	default:
		w.Box = shape.BoxRound(found.Size, wall, wall, wall)
		b.steps = working.Add(b.steps, "box", "(l + 2w)(b + 2w)(h + 2w)", working.CommonPractice, "w = %s mm: %s × %s × %s mm",
			working.Num(wall), working.Num(w.Box[0]), working.Num(w.Box[1]), working.Num(w.Box[2]))
		b.notes = append(b.notes, fmt.Sprintf("The box has %s of rubber on every side, above and below too; 10 to 15 mm is usual, 25 for large or heavy masters (common practice, no source).",
			quantity.Text(wall, quantity.Length, c.By.System())))
	}
	got, err := w.Measure()
	if err != nil {
		return b, err
	}
	sys := c.By.System()
	b.rubber, b.wall = got.Rubber, got.Wall
	b.steps, b.notes = append(b.steps, got.Steps...), append(b.notes, got.Notes...)
	b.facts = []chat.Fact{
		chat.Fact{Key: "box", Label: "Box inside", Value: fmt.Sprintf("%.0f x %.0f x %.0f mm", w.Box[0], w.Box[1], w.Box[2]),
			Text: fmt.Sprintf("%s × %s × %s", lengthText(w.Box[0], sys), lengthText(w.Box[1], sys), lengthText(w.Box[2], sys))},
		chat.Num("box_volume", "Box", got.Box, quantity.Volume, sys),
		chat.Num("master_volume", "Master", w.Master, quantity.Volume, sys),
	}
	if got.Wall >= 0 {
		b.facts = append(b.facts, chat.Num("wall", "Thinnest wall of rubber", got.Wall, quantity.Length, sys))
	}
	if kind == twoPartMold {
		b.pours = 2
		b.facts = append(b.facts, chat.Num("half", "Each half", got.Rubber/2, quantity.Volume, sys))
		b.notes = append(b.notes, "The halves are taken as equal: they are where the parting line runs at half the master's volume.")
	}
	return b, nil
}

func lengthText(mm float64, sys quantity.System) string {
	return quantity.Text(mm, quantity.Length, sys)
}

// built makes the answer.
func (d moldCommand) built(c *chat.Call, m shop.Material, b builds, contact moldcare.Contact, times moldcare.Ready, found *part.Measured) (*chat.Reply, error) {
	sys, step := c.By.System(), c.By.Shop.Set.ScaleStep
	batch, err := cupEach(mix.Want{Profile: m.Profile, Volume: b.rubber, Step: step}, b.pours)
	if err != nil {
		return nil, err
	}
	r := &chat.Reply{
		Title:   fmt.Sprintf("The %s mold takes %s of %s", b.kind, quantity.Text(b.rubber, quantity.Volume, sys), m.Name),
		Facts:   []chat.Fact{chat.Num("volume", "Rubber", b.rubber, quantity.Volume, sys)},
		Working: append(append(b.steps, batch.Steps...), times.Steps...),
		Notes:   b.notes,
	}
	if batch.NoWeights == "" {
		r.Facts = append(r.Facts, weighedFact("mass_a", "Part A, with waste", batch.MassA, step, sys), weighedFact("mass_b", "Part B, with waste", batch.MassB, step, sys))
	} else {
		r.Notes = append(r.Notes, batch.NoWeights)
	}
	r.Facts = append(r.Facts, chat.Whole("cups", "Cups", len(batch.Cups), b.cups(batch)))
	if times.Known {
		r.Facts = append(r.Facts, hoursFact("demold", "Take it off the master after", times.Demold, sys), hoursFact("first_cast", "First cast after", times.FirstCast, sys))
	}
	r.Facts = append(r.Facts, chat.Fact{Key: "inhibition_risk", Label: "Risk that it does not set", Value: string(contact.Risk), Text: string(contact.Risk) + ": " + contact.Why})
	r.Facts = append(r.Facts, b.facts...)
	r.Steps = buildSteps(c, m, b, contact, times, batch)
	r.Notes = append(r.Notes, buildNotes(c, m, contact, times, batch)...)
	if err := sizeAhead(c, r, m, found); err != nil {
		return nil, err
	}
	r.Notes = append(r.Notes, masterNote)
	r.Cautions = molding(m)
	r.Actions = append(d.buildActions(c, m), masterAction())
	if found != nil {
		r.Images = d.picture(c, *found)
	}
	return r, nil
}

// cupEach mixes a cup for each pour. The waste goes by the cups and is in them,
// so their size is found in a second go, a little roomy for the scale's steps.
func cupEach(w mix.Want, pours int) (mix.Batch, error) {
	w.CupSize = cupOf(w.Volume, pours)
	batch, err := mix.New(w)
	if err != nil || batch.VolumeTotal == 0 || len(batch.Cups) == pours {
		return batch, err
	}
	const roomy = 1 + 1/200.0 // below 1 + 1/pours, so that no cup is saved
	w.CupSize = batch.VolumeTotal / float64(pours) * roomy
	return mix.New(w)
}

// cups says what each cup is for.
func (b builds) cups(batch mix.Batch) string {
	switch n := len(batch.Cups); {
	case n == 1:
		return "1 cup"
	case b.kind == brushedMold && n == b.pours:
		return fmt.Sprintf("%d cups, one a coat", n)
	case n == b.pours:
		return fmt.Sprintf("%d cups, one for each half", n)
	}
	return cupsText(batch)
}

func weighedFact(key, label string, g, step float64, sys quantity.System) chat.Fact {
	return chat.Num(key, label, g, quantity.Mass, sys).Says(quantity.TextStep(g, step, sys)).Between(g-step/2, g+step/2)
}

func hoursFact(key, label string, r quantity.Range, sys quantity.System) chat.Fact {
	return chat.Num(key, label, r.Mid, quantity.Time, sys).Between(r.Low, r.High).
		Says(fmt.Sprintf("%s (%s)", quantity.Text(r.Mid, quantity.Time, sys), timeSpan(r, sys)))
}

// buildSteps are what the hands do, in order.
func buildSteps(c *chat.Call, m shop.Material, b builds, contact moldcare.Contact, times moldcare.Ready, batch mix.Batch) []string {
	sys := c.By.System()
	var steps []string
	say := func(when bool, format string, args ...any) {
		if when {
			steps = append(steps, fmt.Sprintf(format, args...))
		}
	}
	say(contact.Patch(), "Patch test first: a spoonful of mixed rubber on a hidden spot of the master, another in a clean cup. Wait for both. Wet on the master and hard in the cup means that the master stops it: seal and test again, or take a rubber that sets on it.")
	say(contact.Seal, "Seal the master's pores and let it dry.")
	say(true, "Release on the master, let it sit and wipe it as its label says.")
	switch b.kind {
	case twoPartMold:
		say(true, "Bed the master in clay up to the parting line, with at least four keys, and set the box round it.")
	case blockMold:
		say(true, "Fix the master in the box so that it can't float, and seal every joint.")
	}
	weigh := "Weigh A, then B"
	if batch.NoWeights == "" {
		weigh = fmt.Sprintf("Weigh %s of A and %s of B in all, in %s", quantity.TextStep(batch.MassA, c.By.Shop.Set.ScaleStep, sys), quantity.TextStep(batch.MassB, c.By.Shop.Set.ScaleStep, sys), b.cups(batch))
	}
	say(true, "%s. Stir 2 to 3 min, scrape wall and bottom, and pour over into a second cup.", weigh)
	switch b.kind {
	case brushedMold:
		say(true, "Brush the first coat thin into every detail. Each next coat goes on once the last no longer moves and is still tacky.")
		say(true, "Build the rigid jacket on the cured rubber before you take anything off.")
	case twoPartMold:
		say(true, "Pour a thin stream into the lowest corner up to the parting line; let it cure, turn it, take the clay off, and give the rubber two coats of release: rubber sticks to rubber. Then pour the second half.")
	default:
		say(true, "Pour a thin stream into the lowest corner of the box and let it rise over the master.")
	}
	say(times.Known, "Leave it alone for %s, then take it off.", timeSpan(times.Demold, sys))
	say(m.Family.Silicone() && contact.Risk != moldcare.RiskLow, "Feel the face that met the master: a wet skin is rubber that was stopped.")
	return steps
}

func buildNotes(c *chat.Call, m shop.Material, contact moldcare.Contact, times moldcare.Ready, batch mix.Batch) []string {
	sys := c.By.System()
	var notes []string
	say := func(when bool, format string, args ...any) {
		if when {
			notes = append(notes, fmt.Sprintf(format, args...))
		}
	}
	family, _ := moldcare.OfRubber(m.Family)
	say(!c.Has("made_of"), "Say what the master is made of with made_of: some masters stop some rubbers from setting.")
	say(contact.Risk == moldcare.RiskHigh, "%s. Condensation cure sets on most such masters.", library.Capital(contact.Why))
	say(times.Known && times.Stated, "The time to take it off is the bulletin's, stretched for the room of %s.", quantity.Text(c.Value("temp", c.By.Shop.Set.Temp), quantity.Temp, sys))
	say(times.Known && !times.Stated, "The profile has no demold time, so 16 to 24 h are taken (common practice, no source).")
	say(!times.Known, "The profile has no demold time, and none is common to its kind: see the bulletin.")
	say(family == moldcare.Condensation, "It then stands open for 3 days before its first cast, or 4 h at %s, until what it gives off has left: cast sooner, it spoils the cast's skin and its own (common practice, no source).",
		quantity.TextRange(quantity.Range{Low: moldcare.WarmRestLow, Mid: moldcare.WarmRestLow, High: moldcare.WarmRestHigh}, quantity.Temp, sys))
	say(family == moldcare.Addition, "A day after the pour it can be filled; at full cure it has its strength (common practice, no source).")
	say(m.MaxMass > 0 && batch.OverMass, "A cup would hold more than the %s that the bulletin allows in one: mix in smaller ones.", quantity.Text(m.MaxMass, quantity.Mass, sys))
	notes = append(notes, "Waste added: "+wasteText(batch.Waste, sys)+". If you degas it, take a cup of three to five times the volume.",
		"The rubber's bulletin wins over all of this.")
	return notes
}

func (d moldCommand) buildActions(c *chat.Call, m shop.Material) []chat.Action {
	family, _ := moldcare.OfRubber(m.Family)
	line := map[string]string{"family": string(family)}
	if c.Has("wall") {
		line["wall"] = c.Meant("wall")
	}
	if m.Name == "" || family == "" {
		return nil
	}
	return []chat.Action{
		{Label: "Save as a mold", Do: chat.DoForm, Line: chat.FormatLine("mold add", line, nil)},
		{Label: "What is a patch test?", Line: chat.FormatLine("term", map[string]string{"word": "cure inhibition test"}, nil)},
	}
}
