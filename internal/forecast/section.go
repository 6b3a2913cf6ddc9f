package forecast

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// The options that a forecast reads, for declarations.
var (
	Thickness = chat.Option{Name: "thickness", Help: "the thickest section of the part", Like: "12 mm", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Length}, Min: 0.5, Max: 200}
	Thinnest  = chat.Option{Name: "thinnest", Help: "its thinnest section: thin parts take longer", Like: "4 mm", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Length}, Min: 0.5, Max: 200}
	WallOf    = chat.Option{Name: "wall", Help: "what the mold is made of and how thick, or open", Like: "silicone 10 mm", Suggest: suggestWall}
	Temps     = []chat.Option{
		temperature("temp", "the room's temperature, the shop's if left out", "21 C", 60),
		temperature("resin_temp", "the parts as mixed, the room's temperature if left out", "23 C", 60),
		temperature("mold_temp", "the mold as poured into, the room's temperature if left out", "35 C", 80),
	}
)

func temperature(name, help, like string, most float64) chat.Option {
	return chat.Option{Name: name, Help: help, Like: like, Kind: chat.Measure, Dims: []quantity.Dim{quantity.Temp},
		Min: -20, Max: most, Negative: true, Zero: true}
}

func suggestWall(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
	return chat.Narrow(typed, []string{"silicone 10 mm", "urethane 10 mm", "plaster 20 mm", "aluminum 10 mm", "plastic 2 mm", "silicone 10 mm, open", "open"}), nil
}

// Site is where a pour goes.
type Site struct {
	Setup cure.Setup
	Of    string // "12 mm", "harbor pawn, 14 to 5 mm"
	// Molds are the stored molds that are filled, one or several at once.
	Molds []shop.Mold
	Steps []working.Step
	Notes []string // every default that was used
	// Guessed says that the section is not known: only a volume was given.
	Guessed bool
}

// Section reads the options of a call: one of thickness, mold, molds, file, mass
// and volume (which may stand beside thickness), or coats beside thickness, with
// what goes with it. Errors are those of the options; a section that can't be
// told is missing_option.
func (d *Desk) Section(ctx context.Context, c *chat.Call, m shop.Material) (Site, error) {
	s := Site{Setup: cure.Setup{Room: c.Value("temp", c.By.Shop.Set.Temp), Resin: given(c, "resin_temp"), Mold: given(c, "mold_temp"),
		Humidity: c.By.Shop.Set.Humidity, System: c.By.System()}}
	read := s.fromThickness
	switch {
	case c.Has("coats"):
		read = func(c *chat.Call) error { return d.fromCoats(ctx, c, &s) }
	case c.Has("mold"), c.Has("molds"):
		read = func(c *chat.Call) error { return d.fromMolds(ctx, c, m, &s) }
	case c.Has("file"):
		read = func(c *chat.Call) error { return d.fromFile(ctx, c, m, &s) }
	case c.Has("mass"):
		read = s.fromMass
	case c.Has("volume") && !c.Has("thickness"):
		read = func(c *chat.Call) error { return s.fromVolume(c, m) }
	case c.Has("volume"):
		s.Setup.Volume = c.Value("volume", 0)
		s.cupOf(m, s.Setup.Volume*float64(c.Count("count", 1)), "the molds")
	}
	if err := read(c); err != nil {
		return Site{}, err
	}
	if err := s.walls(c); err != nil {
		return Site{}, err
	}
	if !c.Has("temp") {
		s.Notes = append(s.Notes, fmt.Sprintf("At the shop's %s; is your room colder?", quantity.Text(s.Setup.Room, quantity.Temp, c.By.System())))
	}
	return s, nil
}

// given is a measured option, nil where it was not given.
func given(c *chat.Call, option string) *float64 {
	if !c.Has(option) {
		return nil
	}
	v := c.Value(option, 0)
	return &v
}

func (s *Site) length(v float64) string { return quantity.Text(v, quantity.Length, s.Setup.System) }

// sections names the section, "14 to 5 mm".
func (s *Site) sections() string {
	if t := s.Setup.Thinnest; t > 0 && t < s.Setup.Thickest {
		return fmt.Sprintf("%s to %s", s.length(s.Setup.Thickest), s.length(t))
	}
	return s.length(s.Setup.Thickest)
}

func (s *Site) fromThickness(c *chat.Call) error {
	s.Setup.Thickest, s.Setup.Thinnest = c.Value("thickness", 0), c.Value("thinnest", 0)
	s.Setup.Length, s.Setup.Width = c.Value("length", 0), c.Value("width", 0)
	s.Of = s.sections()
	return nil
}

func (s *Site) fromMass(c *chat.Call) error {
	for _, o := range []string{"thinnest", "length", "width", "wall", "mold_temp"} {
		if c.Has(o) {
			return fault.New(fault.TooManyOptions, "mass asks about a cup, which has no %s", o).In(o).
				Hint("leave %s out, or give thickness for a part in a mold", o)
		}
	}
	s.Setup.InCup, s.Setup.Mass = true, c.Value("mass", 0)
	s.Of = quantity.Text(s.Setup.Mass, quantity.Mass, s.Setup.System) + " in one cup"
	return nil
}

// usualSheet is the section of a bulletin's sample in mm where it is not said;
// the model's own default.
const usualSheet = 3.0

// fromVolume stands the bulletin's own sample in for a section that is not
// known: its demold time is then the bulletin's, at these temperatures.
func (s *Site) fromVolume(c *chat.Call, m shop.Material) error {
	s.Guessed = true
	s.Setup.Thickest = usualSheet
	if m.DemoldSection > 0 {
		s.Setup.Thickest = m.DemoldSection
	}
	each := c.Value("volume", 0)
	s.cupOf(m, each*float64(c.Count("count", 1)), "the molds")
	s.Of = quantity.Text(each, quantity.Volume, s.Setup.System)
	s.Notes = append(s.Notes, fmt.Sprintf("A volume does not tell how thick the part is: times are those of a %s section, as in the bulletin, and heat is not foreseen. Give thickness as well.",
		s.length(s.Setup.Thickest)))
	return nil
}

// sides refuses the sides of a plate beside what knows its own shape.
func sides(c *chat.Call, of string) error {
	for _, o := range []string{"length", "width"} {
		if c.Has(o) {
			return fault.New(fault.TooManyOptions, "%s goes with thickness; the %s has its own shape", o, of).In(o).Hint("leave %s out", o)
		}
	}
	return nil
}

// molds finds the stored molds of the option mold, or molds, for the walls of
// the first.
func (d *Desk) molds(ctx context.Context, c *chat.Call, s *Site) (err error) {
	if c.Has("molds") {
		s.Molds, err = d.library.Molds(ctx, c, "molds")
	} else {
		s.Molds = make([]shop.Mold, 1)
		s.Molds[0], err = d.library.Mold(ctx, c, "mold", library.Offer)
	}
	return err
}

// within takes the wall about the part from a mold.
func (s *Site) within(mold shop.Mold) {
	wall, note := moldWall(mold.Family, mold.Wall)
	s.Setup.Walls = []cure.Wall{wall}
	if note != "" {
		s.Notes = append(s.Notes, note)
	}
}

// fromMolds takes sections, volume and wall of stored molds. Of several filled
// from one batch the thickest section sets how hot it gets, in the largest
// part, and the thinnest of all how long it takes.
func (d *Desk) fromMolds(ctx context.Context, c *chat.Call, m shop.Material, s *Site) error {
	if err := sides(c, "mold"); err != nil {
		return err
	}
	if err := d.molds(ctx, c, s); err != nil {
		return err
	}
	return s.fillMolds(c, m)
}

func (s *Site) fillMolds(c *chat.Call, m shop.Material) error {
	filled := 0.0
	deepest := s.Molds[0]
	for _, mold := range s.Molds {
		if mold.Thickest == 0 {
			return fault.New(fault.MissingOption, "%s does not say its thickest section, and cure times rest on it", mold.Name).In("thickness").
				Hint("give thickness in place of mold, such as thickness:\"12 mm\"")
		}
		if mold.Thickest > deepest.Thickest {
			deepest = mold
		}
		thin := mold.Thinnest
		if thin == 0 {
			thin = mold.Thickest
		}
		if s.Setup.Thinnest == 0 || thin < s.Setup.Thinnest {
			s.Setup.Thinnest = thin
		}
		s.Setup.Volume = max(s.Setup.Volume, mold.Volume)
		filled += mold.Volume * float64(mold.Cavities)
		if mold.Retired != "" {
			s.Notes = append(s.Notes, fmt.Sprintf("%s is retired: %s.", library.Capital(mold.Name), mold.Retired))
		}
	}
	s.Setup.Thickest, s.Setup.Thinnest = deepest.Thickest, c.Value("thinnest", s.Setup.Thinnest)
	s.Setup.Closed = true
	s.Of = s.moldNames() + ", " + s.sections()
	s.cupOf(m, filled, s.moldNames()+" filled once")
	s.within(deepest)
	return nil
}

// moldNames names the molds, "harbor pawn" or "harbor pawn and harbor pawn 2".
func (s *Site) moldNames() string {
	names := make([]string, len(s.Molds))
	for i, m := range s.Molds {
		names[i] = m.Name
	}
	return library.List(names)
}

// fromCoats takes one coat of a part that is brushed or slushed: thickness is
// that of all coats together, and each cures with its face open. The heat of
// those below it is gone by then.
func (d *Desk) fromCoats(ctx context.Context, c *chat.Call, s *Site) error {
	coats := c.Count("coats", 1)
	all := c.Value("thickness", 0)
	if all == 0 {
		return fault.New(fault.MissingOption, "how thick will it be, all coats together?").In("thickness").Hint("give thickness, such as thickness:\"6 mm\"")
	}
	s.Setup.Thickest = all / float64(coats)
	s.Setup.OpenTop = true
	if s.Setup.Thickest < leastSection {
		return fault.New(fault.OutOfRange, "%d coats of %s in all are less than %s each", coats, s.length(all), s.length(leastSection)).In("coats").
			Hint("give fewer coats; 1 to 2.5 mm each is usual for a thickened mix (common practice)")
	}
	s.Of = fmt.Sprintf("%d coats of %s", coats, s.length(s.Setup.Thickest))
	if !c.Has("mold") && !c.Has("molds") {
		return nil
	}
	if err := d.molds(ctx, c, s); err != nil {
		return err
	}
	s.Of = s.moldNames() + ", " + s.Of
	s.within(s.Molds[0])
	return nil
}

// leastSection is the thinnest wall in mm that a file's may be taken as: the
// model reaches no further, and an edge that runs out to nothing is no section.
const leastSection = 0.5

// fromFile takes sections, volume and surface of a mesh.
func (d *Desk) fromFile(ctx context.Context, c *chat.Call, m shop.Material, s *Site) error {
	if err := sides(c, "file"); err != nil {
		return err
	}
	p, err := d.parts.Measure(ctx, c, "file")
	if err != nil {
		return err
	}
	if p.Thickest.Mid == 0 {
		return fault.New(fault.NotWatertight, "the sections of that file can't be told: %s", p.NoThick).In("file").
			Hint("give thickness in place of file, such as thickness:\"12 mm\"")
	}
	s.Setup.Thickest = p.Thickest.Mid
	thin := p.Thinnest.Mid
	if thin < leastSection {
		thin = leastSection
		s.Notes = append(s.Notes, fmt.Sprintf("Its thinnest places run below %s and were taken as that.", s.length(leastSection)))
	}
	s.Setup.Thinnest = c.Value("thinnest", min(thin, s.Setup.Thickest))
	s.Notes = append(s.Notes, p.Findings...)
	s.Steps = p.Steps
	s.Setup.Closed = true
	s.Of = "the part, " + s.sections()
	if p.Kind == mesh.Loose {
		return nil
	}
	s.Setup.Volume, s.Setup.Area = p.CastVolume()/1000, p.Area
	if p.Outside.Area > 0 {
		s.Setup.Area = p.Outside.Area
	}
	s.cupOf(m, s.Setup.Volume, "the part")
	return nil
}

// The mass in g that one cup is answered for; beyond, the bulletin's counts.
const leastCup, mostCup = 1, 20000

// cupOf takes the mix for a volume in mL as being in one cup, for the pot life.
func (s *Site) cupOf(m shop.Material, volume float64, what string) {
	rho, ok := m.Mixed()
	if mass := volume * rho.Value; ok && mass >= leastCup && mass <= mostCup {
		s.Setup.Mass = mass
		s.Notes = append(s.Notes, fmt.Sprintf("The pot life is that of %s in one cup, enough for %s.", quantity.Text(mass, quantity.Mass, s.Setup.System), what))
		s.Steps = working.Add(s.Steps, "mix in the cup", "V·ρ", working.Definition, "%s mL × %s g/mL = %s g", working.Num(volume), working.Num(rho.Value), working.Num(mass))
	}
}

// walls reads the option wall, which wins over what a mold says.
func (s *Site) walls(c *chat.Call) error {
	if !c.Has("wall") {
		return nil
	}
	w, err := ParseWalls(c.Text("wall"), c.By.System())
	if err != nil {
		return err
	}
	s.Setup.OpenTop = s.Setup.OpenTop || w.Open
	if w.Layers != nil {
		s.Setup.Walls = w.Layers
	}
	s.Notes = append(s.Notes, w.Notes...)
	return nil
}

// Blame puts a refusal of the model in the option that the member gave: a
// thickness that came from a file is the file's.
func Blame(c *chat.Call, err error) error {
	f := fault.As(err)
	if f == nil {
		return err
	}
	for _, from := range []string{"mold", "molds", "file"} {
		if c.Has(from) && !c.Has(f.Option) && (f.Option == "thickness" || f.Option == "thinnest" || f.Option == "volume" || f.Option == "area") {
			moved := *f
			moved.Option = from
			return moved.Hint("check the %s; or give thickness in place of it, such as thickness:\"12 mm\"", from)
		}
	}
	return f
}
