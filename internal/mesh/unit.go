package mesh

import (
	"fmt"
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// Unit is a unit of length that a mesh file may use. Zero means not known.
type Unit int

// The units of the 3MF core specification, 3.4.1.
const (
	Unit0 Unit = iota
	Micron
	Millimeter
	Centimeter
	Inch
	Foot
	Meter
)

var unitNames = [...]string{"", "micron", "millimeter", "centimeter", "inch", "foot", "meter"}

// MM is one unit in millimeters. Exact: an inch is 25.4 mm and a foot 304.8 mm
// by definition (international yard and pound agreement of 1959; NIST SP 811,
// appendix B, from memory). For Unit0 it is 1.
func (u Unit) MM() float64 {
	switch u {
	case Micron:
		return 1e-3
	case Centimeter:
		return 10
	case Inch:
		return 25.4
	case Foot:
		return 304.8
	case Meter:
		return 1000
	}
	return 1
}

// String is the name used in 3MF files, "" for Unit0.
func (u Unit) String() string {
	if u < 0 || int(u) >= len(unitNames) {
		return ""
	}
	return unitNames[u]
}

// ParseUnit reads a name or the usual short form of a unit, in any case.
func ParseUnit(s string) (Unit, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "micron", "microns", "um", "µm", "μm", "micrometer", "micrometers":
		return Micron, nil
	case "millimeter", "millimeters", "millimetre", "millimetres", "mm":
		return Millimeter, nil
	case "centimeter", "centimeters", "centimetre", "centimetres", "cm":
		return Centimeter, nil
	case "inch", "inches", "in", `"`, "″":
		return Inch, nil
	case "foot", "feet", "ft", "'":
		return Foot, nil
	case "meter", "meters", "metre", "metres", "m":
		return Meter, nil
	}
	return Unit0, fault.New(fault.BadQuantity, "%q is not a unit of length for a mesh", clean([]byte(s), 24)).
		Hint("type mm, cm, m, inch, foot or micron").
		Choose("mm", "inch", "cm", "m", "foot", "micron")
}

// Guess is what the size of a mesh suggests about its unit.
type Guess struct {
	Unit       Unit        // the likeliest, never Unit0
	Ask        bool        // the maker should be asked before any number is trusted
	Candidates []Candidate // likeliest first, Unit among them
	Note       string      // why, one sentence; may be empty
}

// Candidate is a unit with the size in millimeters that the mesh would have.
type Candidate struct {
	Unit Unit
	Size [3]float64
}

// The bounds of the guess, in file units of the longest side. Heuristic, common
// practice, no source: castings in a shop are mostly 12 mm to 1 m long, drawn in
// millimeters, sometimes in inches, seldom in meters.
const (
	meterBelow = 0.5
	inchBelow  = 12
	askAbove   = 1000
)

// GuessUnit judges the extents of a mesh (file units, each 0 or more) and the
// text of its header. Outside 12 to 1000 it asks. A wrong guess between inch
// and millimeter costs a factor of 16387 in volume, so the caller should
// remember the answer by the file's hash.
func GuessUnit(size [3]float64, header string) Guess {
	long := max(size[0], size[1], size[2])
	g := Guess{}
	switch {
	case long < meterBelow:
		g.Ask, g.Candidates = true, list(size, Meter, Inch, Centimeter, Millimeter)
	case long < inchBelow:
		g.Ask, g.Candidates = true, list(size, Inch, Millimeter, Centimeter, Meter)
	case long <= askAbove:
		g.Candidates = list(size, Millimeter, Inch, Centimeter)
	default:
		g.Ask, g.Candidates = true, list(size, Millimeter, Micron, Inch)
		g.Note = "too large for millimeters to be likely"
	}
	if u := headerUnit(header); u != Unit0 {
		g.prefer(size, u)
		g.Note = "the header of the file says " + u.String()
	} else if note := inchNote(size, long); note != "" {
		g.Note = note
	}
	g.Unit = g.Candidates[0].Unit
	return g
}

func list(size [3]float64, units ...Unit) []Candidate {
	out := make([]Candidate, len(units))
	for i, u := range units {
		out[i] = Candidate{u, scale(size, u.MM())}
	}
	return out
}

// prefer puts u first. A header is a hint only: it is asked about when the size
// pointed elsewhere.
func (g *Guess) prefer(size [3]float64, u Unit) {
	if g.Candidates[0].Unit != u {
		g.Ask = true
	}
	out := list(size, u)
	for _, c := range g.Candidates {
		if c.Unit != u {
			out = append(out, c)
		}
	}
	g.Candidates = out
}

// headerUnit finds "UNITS=mm" or the like, which some programs write.
func headerUnit(header string) Unit {
	h := strings.ToLower(header)
	for _, key := range []string{"units=", "unit=", "units:", "unit:"} {
		if _, rest, ok := strings.Cut(h, key); ok {
			if f := strings.FieldsFunc(rest, func(r rune) bool { return r == ' ' || r == ',' || r == ';' }); len(f) > 0 {
				if u, err := ParseUnit(f[0]); err == nil {
					return u
				}
			}
		}
	}
	return Unit0
}

// inchNote says when the sides lie on a sixteenth-inch grid: drawn in inches,
// or exported in millimeters from a drawing in inches.
func inchNote(size [3]float64, long float64) string {
	mm := scale(size, 1/25.4)
	switch {
	case long >= inchBelow && onGrid(mm) && !onWhole(size):
		return fmt.Sprintf("made from inch (%s x %s x %s)", inches(mm[0]), inches(mm[1]), inches(mm[2]))
	case long >= meterBelow && long < inchBelow && onGrid(size):
		return "every side is a whole number of sixteenths, as in a drawing in inches"
	}
	return ""
}

// onGrid reports whether every side is a whole number of sixteenths, within
// what float32 coordinates can hold, and at least one sixteenth long.
func onGrid(s [3]float64) bool {
	for _, x := range s {
		n := x * 16
		if n < 0.99 || math.Abs(n-math.Round(n)) > 1e-4+2e-7*n*16 {
			return false
		}
	}
	return true
}

// onWhole reports whether every side is a whole number of millimeters, which
// speaks for a drawing in millimeters even if 25.4 divides it (127, 254).
func onWhole(s [3]float64) bool {
	for _, x := range s {
		if math.Abs(x-math.Round(x)) > 1e-4 {
			return false
		}
	}
	return true
}

func inches(x float64) string { return fmt.Sprintf("%.4g", math.Round(x*16)/16) }
