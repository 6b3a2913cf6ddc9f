package cure

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// WallKind is what a wall is made of.
type WallKind string

// The walls that are known.
const (
	WallSilicone WallKind = "silicone"
	WallUrethane WallKind = "urethane"
	WallPlaster  WallKind = "plaster"
	WallAluminum WallKind = "aluminum"
	WallPlastic  WallKind = "plastic"
)

var wallStuffs = map[WallKind]stuff{
	WallSilicone: siliconeStuff, WallUrethane: urethaneStuff, WallPlaster: plasterStuff,
	WallAluminum: aluminumStuff, WallPlastic: plasticStuff,
}

// WallKinds lists them in the order they are offered.
func WallKinds() []WallKind {
	return []WallKind{WallSilicone, WallUrethane, WallPlaster, WallAluminum, WallPlastic}
}

// Wall is one layer about the part.
type Wall struct {
	Kind  WallKind
	Thick float64 // mm
}

// DefaultWall is about a part where nothing is said; common practice, no
// source.
func DefaultWall() Wall { return Wall{WallSilicone, 1000 * sheetWall} }

// Post is a warm cure after demold.
type Post struct {
	Time float64 // s
	Temp float64 // °C
}

// Setup is a pour. Zero is "not said" but for Room.
type Setup struct {
	Thickest float64 // mm, the thickest section; a cup needs none
	Thinnest float64 // mm; the demold time is that of the slower one
	// Length and Width, both in mm, or Volume in mL and Area in mm² of the
	// whole part tell how its heat can leave; without them it is a wide plate.
	// A Volume alone stands for a ball's area: no shape has less, so the true
	// part is no hotter.
	Length, Width float64
	Volume, Area  float64
	// InCup asks for a full cup of Mass in place of a part in a mold.
	InCup bool
	// Mass in the cup in g, for the pot life; the bulletin's where not said.
	Mass float64

	Walls   []Wall // outward from the part, two at most; nil is DefaultWall
	OpenTop bool   // poured open: the wider range of wall and open face counts
	Closed  bool   // a mold about the whole part, filled in one go unless OpenTop
	Bench   bool   // stands on something that takes no heat: one face cools
	Fan     bool   // moving air, or an oven with a fan

	Room        float64  // °C
	Resin, Mold *float64 // °C; the room's where not said
	Humidity    float64  // 0 to 1, relative; 0 is unknown

	Post *Post
	// Lift asks for the deepest single pour even where this one is not too
	// hot.
	Lift bool
	// System is how remarks write temperatures and lengths.
	System quantity.System
}

// span is where the model answers, and where it says that it was not tried.
type span struct{ least, triedLow, triedHigh, most float64 }

// Ranges that the model was tried on; judgement.
var (
	roomSpan  = span{0, 10, 40, 60}                 // °C
	moldSpan  = span{0, 10, 60, 80}                 // °C
	thickSpan = span{0.5, 1, 100, 200}              // mm
	massSpan  = span{1, 5, 5000, 20000}             // g
	wallSpan  = span{0.2, 0.5, 100, 300}            // mm
	plateSpan = span{0.5, 1, 1000, 5000}            // mm
	postSpan  = span{25, 25, 100, 150}              // °C
	postTime  = span{60, 60, 7 * 86400, 30 * 86400} // s
)

// place is a Setup in SI, resolved and checked.
type place struct {
	r, s, raw   float64 // m; shape as used, and before it was held to 3
	thin        float64 // m, half; zero where not said or not thinner
	walls       [2]layer
	air         float64 // K
	part0       float64
	wall0       float64
	conv        float64 // factor on the surface's heat transfer
	cup         float64 // kg for the pot life
	inCup, open bool
	outside     []string // what is beyond what the model was tried on, in words
}

// place checks a setup. Errors: out_of_range, missing_option, too_many_options
// with the option's name.
func (r Resin) place(s Setup) (place, error) {
	p := placing{s: s, p: place{inCup: s.InCup, open: s.OpenTop && !s.InCup}}
	for _, step := range []func() error{p.temperatures, func() error { return p.mass(r) }, p.section, p.wall, p.post} {
		if err := step(); err != nil {
			return place{}, err
		}
	}
	if r.PotLife < potTriedLow || r.PotLife > potTriedHigh {
		p.outside("a pot life", r.PotLife, quantity.Time)
	}
	return p.p, nil
}

// placing carries a setup through its checks.
type placing struct {
	s Setup
	p place
}

// within refuses a value outside of a span and notes one that was not tried.
func (c *placing) within(option, what string, v float64, b span, d quantity.Dim, hint string) error {
	if !(v >= b.least && v <= b.most) {
		return fault.New(fault.OutOfRange, "%s of %s is outside %s to %s", what, c.text(v, d), c.text(b.least, d), c.text(b.most, d)).
			In(option).Hint("%s", hint)
	}
	if v < b.triedLow || v > b.triedHigh {
		c.outside(what, v, d)
	}
	return nil
}

func (c *placing) outside(what string, v float64, d quantity.Dim) {
	c.p.outside = append(c.p.outside, what+" of "+c.text(v, d))
}

func (c *placing) text(v float64, d quantity.Dim) string { return quantity.Text(v, d, c.s.System) }

func (c *placing) temperatures() error {
	resin, mold := c.s.Room, c.s.Room
	if c.s.Resin != nil {
		resin = *c.s.Resin
	}
	if c.s.Mold != nil {
		mold = *c.s.Mold
	}
	for _, t := range []struct {
		option, what string
		v            float64
		b            span
		hint         string
	}{
		{"temp", "a room", c.s.Room, roomSpan, "give the room's temperature, such as 21 C"},
		{"resin_temp", "a resin", resin, roomSpan, "give the temperature of the parts as mixed, such as 23 C"},
		{"mold_temp", "a mold", mold, moldSpan, "give the mold's temperature as poured, such as 35 C"},
	} {
		if err := c.within(t.option, t.what, t.v, t.b, quantity.Temp, t.hint); err != nil {
			return err
		}
	}
	c.p.air, c.p.part0, c.p.wall0 = c.s.Room+zeroC, resin+zeroC, mold+zeroC
	c.p.conv = 1
	if c.s.Fan {
		c.p.conv = surfaceFan / surface
	}
	return nil
}

func (c *placing) mass(r Resin) error {
	c.p.cup = c.s.Mass / 1000
	if c.s.Mass == 0 {
		if c.s.InCup {
			return fault.New(fault.MissingOption, "the cup has no mass").In("mass").Hint("give what is in the cup, such as 150 g")
		}
		c.p.cup = r.PotMass
		return nil
	}
	return c.within("mass", "a cup", c.s.Mass, massSpan, quantity.Mass, "give what is in one cup, such as 150 g")
}

// section sets the part's half thickness and shape.
func (c *placing) section() error {
	if c.s.InCup {
		return nil // its radius needs the draw's density
	}
	const hint = "give the thickest section, such as 12 mm"
	if c.s.Thickest == 0 {
		return fault.New(fault.MissingOption, "the part has no thickness").In("thickness").Hint(hint)
	}
	if err := c.within("thickness", "a thickness", c.s.Thickest, thickSpan, quantity.Length, hint); err != nil {
		return err
	}
	c.p.r, c.p.s, c.p.raw = c.s.Thickest/2000, 1, 1
	if c.s.Bench {
		c.p.r *= 2
	}
	if err := c.thin(); err != nil {
		return err
	}
	return c.shape()
}

func (c *placing) thin() error {
	if c.s.Thinnest == 0 {
		return nil
	}
	const hint = "give the thinnest section, such as 3 mm"
	if err := c.within("thinnest", "a section", c.s.Thinnest, thickSpan, quantity.Length, hint); err != nil {
		return err
	}
	if c.s.Thinnest > c.s.Thickest {
		return fault.New(fault.OutOfRange, "the thinnest section of %s is thicker than the thickest of %s",
			c.text(c.s.Thinnest, quantity.Length), c.text(c.s.Thickest, quantity.Length)).In("thinnest").
			Hint("swap the two, or leave thinnest out for an even wall")
	}
	if c.s.Thinnest < c.s.Thickest {
		c.p.thin = c.s.Thinnest / 2000
	}
	return nil
}

// shape turns area and volume, or length and width, into the shape factor.
func (c *placing) shape() error {
	if err := c.size("volume", "a volume", c.s.Volume, quantity.Volume); err != nil {
		return err
	}
	if err := c.size("area", "a surface", c.s.Area, quantity.Area); err != nil {
		return err
	}
	area, volume := c.s.Area, 1000*c.s.Volume // mm², mm³
	switch l, w, t := c.s.Length, c.s.Width, c.s.Thickest; {
	case l == 0 && w == 0:
	case l == 0 || w == 0:
		missing := "length"
		if w == 0 {
			missing = "width"
		}
		return fault.New(fault.MissingOption, "a plate needs length and width together").In(missing).Hint("give both, such as length 120 mm and width 80 mm")
	default:
		for _, side := range []struct {
			option string
			v      float64
		}{{"length", l}, {"width", w}} {
			if err := c.within(side.option, "a side", side.v, plateSpan, quantity.Length, "give the side of the part, such as 120 mm"); err != nil {
				return err
			}
		}
		volume, area = l*w*t, 2*(l*w+l*t+w*t)
		if c.s.Bench {
			area -= l * w
		}
	}
	switch {
	case volume > 0 && area > 0:
		c.p.s, c.p.raw = ShapeFactor(1000*c.p.r, area, volume)
	case volume > 0:
		c.p.s, _ = ShapeFactor(1000*c.p.r, ballArea(volume), volume)
		c.p.raw = c.p.s
	}
	return nil
}

// size refuses what no part has; zero is "not said".
func (c *placing) size(option, what string, v float64, d quantity.Dim) error {
	const most = 1e9
	if v >= 0 && v <= most {
		return nil
	}
	return fault.New(fault.OutOfRange, "%s of %s is none that a part has", what, c.text(v, d)).In(option).
		Hint("give that of the whole part, or leave it out")
}

// ballArea is the surface of a ball, the least that a volume can have.
func ballArea(volume float64) float64 { return math.Cbrt(36 * math.Pi * volume * volume) }

func (c *placing) wall() error {
	if c.s.InCup {
		c.p.walls[0] = layer{plasticStuff, cupWall}
		return nil
	}
	walls := c.s.Walls
	if walls == nil {
		walls = []Wall{DefaultWall()}
	}
	if len(walls) > len(c.p.walls) {
		return fault.New(fault.TooManyOptions, "%d layers of wall are given and two are known", len(walls)).In("wall").
			Hint("give the layer at the part and the one outside of it, such as silicone 6 mm, plaster 20 mm")
	}
	for i, w := range walls {
		m, ok := wallStuffs[w.Kind]
		if !ok {
			return fault.New(fault.NotFound, "there is no wall of %q", string(w.Kind)).In("wall").
				Hint("give silicone, urethane, plaster, aluminum or plastic with its thickness, such as silicone 10 mm, or open").Choose(wallNames()...)
		}
		if err := c.within("wall", "a wall", w.Thick, wallSpan, quantity.Length, "give the wall's thickness, such as silicone 10 mm"); err != nil {
			return err
		}
		c.p.walls[i] = layer{m, w.Thick / 1000}
	}
	return nil
}

func wallNames() []string {
	var names []string
	for _, k := range WallKinds() {
		names = append(names, string(k))
	}
	return names
}

func (c *placing) post() error {
	if c.s.Post == nil {
		return nil
	}
	const hint = "give time and temperature from the bulletin, such as 4 h at 65 C"
	if err := c.within("post", "a post cure", c.s.Post.Temp, postSpan, quantity.Temp, hint); err != nil {
		return err
	}
	return c.within("post", "a post cure", c.s.Post.Time, postTime, quantity.Time, hint)
}
