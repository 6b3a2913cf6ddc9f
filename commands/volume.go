package commands

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/part"
	"github.com/pourwright/pourwright/internal/plot"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shape"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

func init() { register("volume", newVolume) }

type volumeCommand struct{ deps }

func newVolume(d deps) chat.Command {
	v := volumeCommand{d}
	length := []quantity.Dim{quantity.Length}
	file := chat.Option{Name: "file", Help: "a 3-D file: STL, OBJ, 3MF or PLY", Kind: chat.Attachment}
	needFile := file
	needFile.Required = true
	material := func(help string) chat.Option {
		return chat.Option{Name: "material", Help: help, Like: "demo tin silicone", Suggest: d.library.SuggestMaterial}
	}
	return chat.Command{
		Name:  "volume",
		Help:  "how much a cavity, a shape, a file, a mold box or a brushed coat takes",
		About: "By formula, by filling it with water or grain, by weighing a solid cast, or from a 3-D file. Rubber for a block mold is the box less the master; a coat is its area times the wall, with the curve of the surface counted where it is known.",
		Asks: []chat.Ask{
			{Question: "My cavity is a simple shape. How much does it hold?", Line: `/volume shape kind:cylinder size:"d 30 mm h 12 mm"`},
			{Question: "I filled the mold with water and weighed it.", Line: `/volume fill mass:"153.2 g" with:water temp:"20 C"`},
			{Question: "I have a good cast. How much resin is that?", Line: `/volume part mass:"86.4 g" material:"demo rigid white"`},
			{Question: "How much rubber for a block mold?", Line: `/volume box box:"84 x 64 x 47 mm" master:"60 ml" material:"demo tin silicone"`},
			{Question: "How much rubber for a brushed mold?", Line: `/volume coat area:"850 cm2" wall:"8 mm" coats:4 material:"demo tin silicone"`},
		},
		Subs: []chat.Sub{
			{Name: "shape", Help: "a simple solid by its sizes", Computes: true, Run: v.shape, Options: []chat.Option{
				{Name: "kind", Help: "box, cylinder, frustum, cap, torus and more", Like: "cylinder", Required: true, Suggest: suggestKind},
				{Name: "size", Help: "its sizes, by name or in order", Like: "d 30 mm h 12 mm", Required: true},
			}},
			{Name: "fill", Help: "a cavity by what was filled into it", Computes: true, Run: v.fill, OneOf: [][]string{{"mass", "volume"}}, Options: []chat.Option{
				{Name: "mass", Help: "what went in, weighed", Like: "153 g", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}},
				{Name: "volume", Help: "what went in, read in a measuring cup", Like: "240 ml", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Volume}},
				{Name: "with", Help: "what it was filled with", Kind: chat.OneWord, Like: "water",
					Choices: []chat.Choice{{Value: "water"}, {Value: "rice"}, {Value: "sand"}, {Value: "other"}}},
				{Name: "density", Help: "of the filling, where it is not water", Like: "0.85 g/ml", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Density}},
				{Name: "temp", Help: "of the water; the room's if left out", Like: "20 C", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Temp}, Min: -50, Max: 150, Negative: true, Zero: true},
			}},
			{Name: "part", Help: "a cavity by weighing a solid cast from it", Computes: true, Run: v.part, Options: []chat.Option{
				{Name: "mass", Help: "the cast, trimmed", Like: "86.4 g", Required: true, Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}},
				{Name: "material", Help: "what it was cast from", Like: "demo rigid white", Required: true, Suggest: d.library.SuggestMaterial},
			}},
			{Name: "mesh", Help: "a 3-D file: volume, size, holes, thickest and thinnest section", Computes: true, Run: v.mesh, Options: append([]chat.Option{needFile}, part.Options...)},
			{Name: "box", Help: "rubber for a block mold round a master", Computes: true, Run: v.box, OneOf: [][]string{{"master", "file"}}, Options: append([]chat.Option{
				{Name: "box", Help: "inside of the box, l x w x h", Like: "84 x 64 x 47 mm", Required: true},
				{Name: "master", Help: "what the master takes up", Like: "60 ml", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Volume}},
				file, material("the rubber, to have it in grams of A and B"),
			}, part.Options...)},
			{Name: "coat", Help: "rubber for a brushed mold, or resin for a hollow cast", Computes: true, Run: v.coat, OneOf: [][]string{{"area", "file"}}, Options: append([]chat.Option{
				{Name: "wall", Help: "finished wall, all coats together", Like: "8 mm", Required: true, Kind: chat.Measure, Dims: length},
				{Name: "area", Help: "the surface to cover", Like: "850 cm2", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Area}},
				file,
				{Name: "coats", Help: "how many; as the wall needs if left out", Like: "4", Kind: chat.Count, Min: 1, Max: 100},
				{Name: "side", Help: "outer for a brushed mold, inner for a hollow cast, all for every face", Kind: chat.OneWord, Like: "outer",
					Choices: []chat.Choice{{Value: "outer"}, {Value: "inner"}, {Value: "all"}}},
				material("what is brushed or turned, to have it in grams of A and B"),
				roomOption,
			}, part.Options...)},
		},
	}
}

func suggestKind(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
	var names []string
	for _, k := range shape.Kinds() {
		names = append(names, string(k.Kind))
	}
	return chat.Narrow(typed, names), nil
}

// batchOf is the button that goes on to a batch for a volume in mL; the form
// asks for the material.
func batchOf(ml float64) chat.Action {
	return chat.Action{Label: "Size a batch for it", Do: chat.DoForm,
		Line: chat.FormatLine("batch", map[string]string{"volume": short(ml) + " ml"}, nil)}
}

func volumeFact(c *chat.Call, ml float64) chat.Fact {
	return chat.Num("volume", "Volume", ml, quantity.Volume, c.By.System())
}

func (v volumeCommand) shape(_ context.Context, c *chat.Call) (*chat.Reply, error) {
	kind, err := shape.ParseKind(c.Text("kind"))
	if err != nil {
		return nil, nearKind(c.Text("kind"), err)
	}
	sizes, err := readSizes(c, "size")
	if err != nil {
		return nil, err
	}
	s, err := shape.Measure(kind, sizes)
	if err != nil {
		return nil, err
	}
	sys := c.By.System()
	r := &chat.Reply{
		Title: fmt.Sprintf("The %s holds %s", s.Kind, quantity.Text(s.Volume, quantity.Volume, sys)),
		Facts: append([]chat.Fact{volumeFact(c, s.Volume), chat.Num("area", "Surface", s.Area, quantity.Area, sys)}, append(boxFacts(c, s.Box),
			chat.Num("thickest", "Thickest section", s.Thickest, quantity.Length, sys))...),
		Notes:   append(s.Notes, "A length that is off by 1 % puts the volume off by 3 %."),
		Working: s.Steps,
		Actions: []chat.Action{batchOf(s.Volume)},
	}
	return r, nil
}

func nearKind(typed string, err error) error {
	f := fault.As(err)
	if f == nil {
		return err
	}
	var names []string
	for _, ch := range f.Choices() {
		names = append(names, ch.Value)
	}
	again := fault.New(f.Code, "%s", f.Message).In("kind").Hint("%s", f.HintText())
	if near := chat.Nearest(typed, names); len(near) > 0 {
		again.Hint("did you mean %s?", near[0])
		names = near
	}
	return again.Choose(names...)
}

// readSizes reads lengths by name or in order.
func readSizes(c *chat.Call, option string) ([]shape.Size, error) {
	named, notes, err := quantity.ParseSize(c.Text(option), quantity.Want{Option: option, Dims: []quantity.Dim{quantity.Length}, System: c.By.System()})
	if err != nil {
		return nil, err
	}
	for _, n := range notes {
		c.Note(n)
	}
	sizes := make([]shape.Size, len(named))
	for i, n := range named {
		sizes[i] = shape.Size{Name: n.Name, MM: n.Value}
	}
	return sizes, nil
}

func boxFacts(c *chat.Call, box [3]float64) []chat.Fact {
	sys := c.By.System()
	return []chat.Fact{
		chat.Num("bbox_x", "Size in x", box[0], quantity.Length, sys),
		chat.Num("bbox_y", "Size in y", box[1], quantity.Length, sys),
		chat.Num("bbox_z", "Size in z", box[2], quantity.Length, sys),
	}
}

func (v volumeCommand) fill(_ context.Context, c *chat.Call) (*chat.Reply, error) {
	w := shape.FillWant{With: c.Text("with"), Mass: c.Value("mass", 0), Volume: c.Value("volume", 0), Density: c.Value("density", 0), Temp: c.Value("temp", c.By.Shop.Set.Temp)}
	f, err := w.Measure()
	if err != nil {
		return nil, err
	}
	sys := c.By.System()
	r := &chat.Reply{
		Title:   "The cavity holds " + quantity.Text(f.Volume.Mid, quantity.Volume, sys),
		Facts:   []chat.Fact{volumeFact(c, f.Volume.Mid).Says(rangeText(f.Volume, quantity.Volume, sys)).Between(f.Volume.Low, f.Volume.High)},
		Notes:   f.Notes,
		Working: f.Steps,
		Actions: []chat.Action{batchOf(f.Volume.Mid)},
	}
	if w.With == "" {
		c.Note("Taken as filled with water.")
	}
	water := w.With == "" || w.With == "water"
	if water && w.Mass > 0 {
		if rho, err := shape.WaterDensity(w.Temp); err == nil {
			r.Facts = append(r.Facts, chat.Num("density", "Density of the water", rho, quantity.Density, sys))
		}
		if !c.Has("temp") {
			c.Note(fmt.Sprintf("The water was taken to be at the shop's %s.", quantity.Text(w.Temp, quantity.Temp, sys)))
		}
	} else if w.Density > 0 {
		r.Facts = append(r.Facts, chat.Num("density", "Density of the filling", w.Density, quantity.Density, sys))
	}
	return r, nil
}

// rangeText writes the middle and its bounds.
func rangeText(r quantity.Range, d quantity.Dim, sys quantity.System) string {
	return quantity.Text(r.Mid, d, sys) + " (" + quantity.TextRange(r, d, sys) + ")"
}

func (v volumeCommand) part(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := v.library.Material(ctx, c, "material", library.Take)
	if err != nil {
		return nil, err
	}
	rho, ok := m.Cured()
	if !ok {
		return nil, fault.New(fault.NotFound, "%s has no density in its profile", m.Name).In("material").
			Hint("add density_mixed, or density_a and density_b, with /material edit")
	}
	mass := c.Value("mass", 0)
	ml := shape.Part(mass, rho.Value)
	// A cast shrinks as it sets, so the liquid's density is a few percent low.
	band := 0.01
	if !rho.Stated {
		band = 0.04
		c.Note("The density is that of the liquid parts; cured it is a few percent higher, so the cavity may be a few percent smaller.")
	}
	sys := c.By.System()
	volume := quantity.Range{Low: ml * (1 - band), Mid: ml, High: ml * (1 + band/4)}
	return &chat.Reply{
		Title: "The cast takes " + quantity.Text(ml, quantity.Volume, sys),
		Facts: []chat.Fact{
			volumeFact(c, ml).Says(rangeText(volume, quantity.Volume, sys)).Between(volume.Low, volume.High),
			chat.Num("density", "Density", rho.Value, quantity.Density, sys),
		},
		Notes: []string{
			"Right for a solid cast only: a hollow cast or a print with infill weighs less than its outside takes.",
			fmt.Sprintf("Rests on the %s in the profile, version %d.", rho.Basis, m.Version),
		},
		Working: append([]working.Step{rho.Step}, working.Add(nil, "volume", "V = m/ρ", working.Definition, "%s g/%s g/mL = %s mL", working.Num(mass), working.Num(rho.Value), working.Num(ml))...),
		Actions: []chat.Action{{Label: "Size a batch for it", Line: chat.FormatLine("batch",
			map[string]string{"material": chat.Ref(m.ID, m.Version), "volume": short(ml) + " ml"}, []string{"material"})}},
	}, nil
}

func (v volumeCommand) mesh(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	p, err := v.parts.Measure(ctx, c, "file")
	if err != nil {
		return nil, err
	}
	sys := c.By.System()
	r := &chat.Reply{Notes: p.Findings, Working: p.Steps, Images: v.picture(c, p)}
	if p.Kind == mesh.Loose {
		r.Title = "Loose faces, no solid: size and area only"
	} else {
		r.Title = meshTitle(p, sys)
		r.Facts = append(r.Facts, meshVolume(c, p))
		r.Actions = append(r.Actions, batchOf(p.CastVolume()/1000))
	}
	r.Facts = append(r.Facts, meshThickness(c, p)...)
	r.Facts = append(r.Facts, boxFacts(c, p.Size)...)
	r.Facts = append(r.Facts,
		chat.Num("area", "Surface", p.Area, quantity.Area, sys),
		chat.Whole("open_edges", "Open edges", p.Topology.OpenEdges, fmt.Sprint(p.Topology.OpenEdges)),
		chat.Whole("shells", "Pieces", p.Topology.Shells, fmt.Sprint(p.Topology.Shells)),
		chat.Whole("triangles", "Triangles", p.Triangles, fmt.Sprint(p.Triangles)))
	if p.NoThick != "" && p.Kind != mesh.Loose {
		r.Notes = append(r.Notes, library.Capital(p.NoThick)+".")
	}
	return r, nil
}

func meshTitle(p part.Measured, sys quantity.System) string {
	about := ""
	if p.Kind == mesh.About {
		about = "about "
	}
	title := "The part takes " + about + quantity.Text(p.CastVolume()/1000, quantity.Volume, sys)
	if p.Hollow > 1e-9*p.Volume {
		title += " cast solid"
	}
	return title
}

// meshVolume is the volume of the part as it is in the file: a sealed hollow
// is not counted.
func meshVolume(c *chat.Call, p part.Measured) chat.Fact {
	sys := c.By.System()
	f := volumeFact(c, p.Volume/1000)
	if p.Kind == mesh.About || p.High > p.Low {
		f = f.Between(p.Low/1000, p.High/1000)
		f.Text = rangeText(quantity.Range{Low: p.Low / 1000, Mid: p.Volume / 1000, High: p.High / 1000}, quantity.Volume, sys)
	}
	return f
}

func meshThickness(c *chat.Call, p part.Measured) []chat.Fact {
	if p.NoThick != "" {
		return nil
	}
	sys := c.By.System()
	facts := []chat.Fact{chat.Num("thickest", "Thickest section", p.Thickest.Mid, quantity.Length, sys).Between(p.Thickest.Low, p.Thickest.High)}
	if p.Thinnest.Mid > 0 {
		facts = append(facts, chat.Num("thinnest", "Thinnest wall", p.Thinnest.Mid, quantity.Length, sys).Between(p.Thinnest.Low, p.Thinnest.High))
	}
	return facts
}

// picture shows the part of the option file, where the file came with the call.
func (d deps) picture(c *chat.Call, p part.Measured) []chat.Image {
	view, ok := d.parts.View(c, "file", p)
	if !ok {
		return nil
	}
	sys := c.By.System()
	length := func(mm float64) string { return quantity.Text(mm, quantity.Length, sys) }
	pic := plot.Part{Triangles: view.Triangles(), Corner: view.Corner}
	for k, mm := range p.Size {
		pic.Sizes[k] = length(mm)
	}
	if p.NoThick == "" {
		pic.Thickest = plot.Ball{Center: view.ThickAt, Diameter: p.Thickest.Mid, Text: length(p.Thickest.Mid)}
		if p.Thinnest.Mid > 0 {
			pic.Thinnest = length(p.Thinnest.Mid)
		}
	}
	for _, h := range p.Holes {
		if !h.Crack && p.Kind != mesh.Loose { // a crack has no opening, and loose faces have nothing but rims
			pic.Holes = append(pic.Holes, plot.Hole{Center: h.Center, Across: h.Extent, Text: length(h.Extent)})
		}
	}
	data, err := pic.PNG()
	if err != nil {
		c.Note("The part could not be drawn: its faces have no size, or too many lie over one another.")
		return nil
	}
	return []chat.Image{{Name: "part.png", Alt: pic.Alt(), Data: data}}
}

func (v volumeCommand) box(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	sizes, err := readSizes(c, "box")
	if err != nil {
		return nil, err
	}
	if len(sizes) != 3 {
		return nil, fault.New(fault.BadQuantity, "a box has three inside lengths, %q has %d", c.Text("box"), len(sizes)).In("box").Hint(`such as box:"84 x 64 x 47 mm"`)
	}
	w := shape.BlockWant{Box: [3]float64{sizes[0].MM, sizes[1].MM, sizes[2].MM}, Master: c.Value("master", 0)}
	var steps []working.Step
	if c.Has("file") {
		p, err := v.parts.Measure(ctx, c, "file")
		if err != nil {
			return nil, err
		}
		if err := p.NeedVolume("file"); err != nil {
			return nil, err
		}
		w.Master, w.Size, steps = p.Outer/1000, p.Size, p.Steps
		for _, f := range p.Findings {
			c.Note(f)
		}
	}
	b, err := w.Measure()
	if err != nil {
		return nil, err
	}
	sys := c.By.System()
	r := &chat.Reply{
		Title:   "The block mold takes " + quantity.Text(b.Rubber, quantity.Volume, sys) + " of rubber",
		Facts:   []chat.Fact{volumeFact(c, b.Rubber), chat.Num("box_volume", "Box", b.Box, quantity.Volume, sys), chat.Num("master_volume", "Master", w.Master, quantity.Volume, sys)},
		Notes:   append(b.Notes, "10 to 15 mm of rubber on every side is usual (common practice, no source)."),
		Working: append(steps, b.Steps...),
	}
	if b.Wall >= 0 {
		r.Facts = append(r.Facts, chat.Num("wall", "Thinnest wall of rubber", b.Wall, quantity.Length, sys))
	}
	m, err := v.named(ctx, c)
	if err != nil {
		return nil, err
	}
	return r, weighed(c, r, m, b.Rubber, 1)
}

// named is the material that was named, nil where none was.
func (v volumeCommand) named(ctx context.Context, c *chat.Call) (*shop.Material, error) {
	if !c.Has("material") {
		return nil, nil
	}
	m, err := v.library.Material(ctx, c, "material", library.Take)
	return &m, err
}

// weighed adds grams of A and B for a volume in mL, where a material is named.
func weighed(c *chat.Call, r *chat.Reply, m *shop.Material, ml float64, coats int) error {
	if m == nil {
		r.Notes = append(r.Notes, "Name the rubber with material to have it in grams of A and B.")
		return nil
	}
	step := c.By.Shop.Set.ScaleStep
	b, err := mix.New(mix.Want{Profile: m.Profile, Volume: ml, CupSize: cupOf(ml, coats), Step: step})
	if err != nil {
		return err
	}
	sys := c.By.System()
	if b.NoWeights != "" {
		r.Notes = append(r.Notes, b.NoWeights)
	} else {
		each := chat.Num("mass_a", "Part A, with waste", b.MassA, quantity.Mass, sys).Says(quantity.TextStep(b.MassA, step, sys)).Between(b.MassA-step/2, b.MassA+step/2)
		other := chat.Num("mass_b", "Part B, with waste", b.MassB, quantity.Mass, sys).Says(quantity.TextStep(b.MassB, step, sys)).Between(b.MassB-step/2, b.MassB+step/2)
		r.Facts = append(r.Facts, each, other)
	}
	r.Working = append(r.Working, b.Steps...)
	r.Notes = append(r.Notes, "Waste added: "+wasteText(b.Waste, sys)+".")
	r.Actions = append(r.Actions, chat.Action{Label: "Size the batch", Line: chat.FormatLine("batch",
		map[string]string{"material": chat.Ref(m.ID, m.Version), "volume": short(ml) + " ml"}, []string{"material"})})
	r.Cautions = molding(*m)
	return nil
}

func molding(m shop.Material) []chat.Caution {
	step := caution.Mixing
	if m.Family.Rubber() {
		step = caution.MoldMake
	}
	return chat.Cautions(caution.For(caution.Situation{Step: step, Family: m.Family, Text: m.Notes}))
}
