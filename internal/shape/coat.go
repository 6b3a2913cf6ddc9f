package shape

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/working"
)

// One coat of thixotropic rubber or slushed resin, in mm. Common practice, no
// source.
const (
	CoatThin  = 1.0
	CoatThick = 2.5
)

const steiner = "Steiner's formula for parallel bodies, from memory"

// Side is which side of a surface is coated.
type Side string

// The sides.
const (
	Outer Side = "outer" // a brushed mold on a master
	Inner Side = "inner" // a hollow part turned by hand in its mold
	All   Side = "all"   // everything the area counts, flat
)

// ParseSide reads a side; "" is outer. Error: not_found.
func ParseSide(text string) (Side, error) {
	switch s := Side(kindKey(text)); s {
	case "":
		return Outer, nil
	case Outer, Inner, All:
		return s, nil
	}
	return "", fault.New(fault.NotFound, "there is no side %q", fault.Echo(text)).In("side").Hint("give outer, inner or all").Choose("outer", "inner", "all")
}

// CoatWant is a surface to be coated.
type CoatWant struct {
	Area  float64 // mm²
	Wall  float64 // mm, finished, all coats together
	Coats int     // zero asks for as many as the wall needs
	Side  Side    // "" is Outer
	// Curvature is the integral of mean curvature M in mm, and Inside the
	// volume in mL within the surface; zero where they are not known.
	Curvature float64
	Inside    float64
	Through   int // holes that go through the body, as in a ring
}

// Coat is what a coating takes.
type Coat struct {
	Volume  float64 // mL, all coats
	Coats   int
	PerCoat float64 // mL, the mean coat
	First   float64 // mL of the first coat: about a fifth more on a bare surface inside
	Each    float64 // mm a coat
	Exact   bool    // the curve of the surface was counted
	Notes   []string
	Steps   []working.Step
}

// firstMore is the extra share of a slushed first coat, which has to wet a bare
// mold. Common practice, no source.
const firstMore = 0.2

// maxCoats bounds a coat count; nobody brushes more.
const maxCoats = 100

// Shell is the volume in mL of a uniform wall t mm on the outside of a convex
// body: A·t + M·t² + 4πt³/3, area A in mm², integral of mean curvature M in
// mm. It is exact for convex bodies and an estimate for others (Steiner).
func Shell(area, curvature, t float64) float64 { return pierced(area, curvature, t, 0) }

// pierced is Shell for a body with holes through it: each takes its share of
// the corner term, (4π/3)(1 − holes)·t³. A negative t gives the layer inside,
// as a negative volume.
func pierced(area, curvature, t float64, holes int) float64 {
	return ml(area*t + curvature*t*t + 4*math.Pi/3*float64(1-holes)*t*t*t)
}

// CoatsFor is the number of coats for a wall, ceil(t/t_coat), in mm.
func CoatsFor(wall, coat float64) int { return int(math.Ceil(wall/coat - 1e-9)) }

// Measure works a coating out. Errors: out_of_range in options area, wall and
// coats.
func (w CoatWant) Measure() (Coat, error) {
	if err := w.check(); err != nil {
		return Coat{}, err
	}
	c := Coat{Coats: w.Coats}
	if c.Coats == 0 {
		c.Coats = CoatsFor(w.Wall, CoatThick)
		c.Steps = working.Add(c.Steps, "coats", "ceil(t/t_coat)", working.CommonPractice, "ceil(%s/%s) = %d", num(w.Wall), num(CoatThick), c.Coats)
	}
	w.volume(&c)
	c.Each = w.Wall / float64(c.Coats)
	c.PerCoat = c.Volume / float64(c.Coats)
	c.First = c.PerCoat
	if w.Side == Inner && c.Coats > 1 {
		c.First = c.PerCoat * (1 + firstMore)
		c.Notes = append(c.Notes, "Give the first coat about a fifth more, it has to wet the bare mold; turn past gel, and pour the next once the last no longer moves but is still tacky.")
	}
	c.Steps = working.Add(c.Steps, "each coat", "V/coats", working.Definition, "%s/%d = %s mL, %s mm", num(c.Volume), c.Coats, num(c.PerCoat), num(c.Each))
	switch {
	case c.Each > CoatThick*(1+1e-9):
		c.Notes = append(c.Notes, num(c.Each)+" mm in one coat runs off upright faces: 1 to 2.5 mm holds (common practice), that is "+num(float64(CoatsFor(w.Wall, CoatThick)))+" coats.")
	case c.Each < CoatThin*(1-1e-9):
		c.Notes = append(c.Notes, num(c.Each)+" mm a coat is thin: 1 to 2.5 mm is usual (common practice).")
	}
	return c, nil
}

func (w CoatWant) check() error {
	switch {
	case !(w.Area > 0) || w.Area > 1e10:
		return fault.New(fault.OutOfRange, "an area of %s mm² is outside 0 to 10000 m²", num(w.Area)).In("area").Hint("give it such as 850 cm2")
	case !(w.Wall >= 0.1) || w.Wall > 200:
		return fault.New(fault.OutOfRange, "a wall of %s mm is outside 0.1 to 200 mm", num(w.Wall)).In("wall").Hint("give the finished wall, such as 8 mm")
	case w.Coats < 0 || w.Coats > maxCoats:
		return fault.New(fault.OutOfRange, "%d coats are outside 1 to %d", w.Coats, maxCoats).In("coats").Hint("give it such as 4")
	}
	return nil
}

func (w CoatWant) volume(c *Coat) {
	a, m, t := w.Area, w.Curvature, w.Wall
	flat := ml(a * t)
	switch {
	case m <= 0 || w.Side == All:
		c.Volume = flat
		c.Steps = working.Add(c.Steps, "coating", "A·t", working.Definition, "%s mm² × %s mm = %s mL", num(a), num(t), num(flat))
		switch w.Side {
		case Inner:
			c.Notes = append(c.Notes, "Area times thickness is right for flat and gently curved work; inside a small round mold it is too much, for a 50 mm ball with 8 mm of wall by two fifths.")
		case Outer, "":
			c.Notes = append(c.Notes, "Area times thickness is right for flat and gently curved work; on the outside of a small round master it falls short, a 50 mm ball with 8 mm by a quarter.")
		}
	case w.Side == Inner:
		c.Volume, c.Exact = -pierced(a, m, -t, w.Through), true
		if c.Volume <= 0 || c.Volume > flat || (w.Inside > 0 && c.Volume > w.Inside) {
			c.Volume, c.Exact = flat, false
		}
		c.Steps = working.Add(c.Steps, "coating inside", "A·t − M·t² + 4πt³/3, at most A·t", steiner, "A = %s mm², M = %s mm, t = %s mm: %s mL", num(a), num(m), num(t), num(c.Volume))
	default:
		c.Volume, c.Exact = pierced(a, m, t, w.Through), true
		c.Steps = working.Add(c.Steps, "coating outside", "A·t + M·t² + 4πt³/3", steiner, "A = %s mm², M = %s mm, t = %s mm: %s mL", num(a), num(m), num(t), num(c.Volume))
	}
	if w.Side == Inner && w.Inside > 0 && c.Volume >= w.Inside {
		c.Volume = w.Inside
		c.Notes = append(c.Notes, "A wall this thick fills the part: cast it solid.")
	}
}
