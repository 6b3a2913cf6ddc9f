package shape

import (
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/working"
)

// Solid is a measured body.
type Solid struct {
	Kind   Kind
	Volume float64    // mL
	Area   float64    // mm², the whole surface, bases included
	Box    [3]float64 // mm, x, y, z of the body as it stands
	// Thickest is the diameter of the largest sphere inside, in mm: it rules
	// heat and cure. All kinds have it in closed form.
	Thickest float64
	// Curvature is the integral of mean curvature M in mm, which the exact
	// shell on the outside needs (Steiner); zero where it is not known.
	Curvature float64
	Notes     []string
	Steps     []working.Step
}

// Measure works a solid out from its sizes, named or in order. Errors:
// not_found (kind); missing_option, bad_quantity and out_of_range, each in
// option size with what the kind takes.
func Measure(k Kind, given []Size) (Solid, error) {
	r, ok := infoOf(k)
	if !ok {
		_, err := ParseKind(string(k))
		if err == nil {
			err = fault.New(fault.NotFound, "there is no shape %q", fault.Echo(string(k))).In("kind")
		}
		return Solid{}, err
	}
	s := newSizes(r.Info, given)
	out := r.measure(s)
	s.done()
	if s.err != nil {
		return Solid{}, s.err
	}
	out.Kind = k
	out.Notes = s.notes
	return out, nil
}

// ml turns mm³ into mL.
func ml(mm3 float64) float64 { return mm3 / 1000 }

// worked adds the two steps that every solid shows.
func (s Solid) worked(formula, format string, args ...any) Solid {
	s.Steps = working.Add(nil, "volume", formula, mensuration, format+" = %s mL", append(args, num(s.Volume))...)
	s.Steps = append(s.Steps, working.Step{What: "thickest section", Formula: "diameter of the largest sphere inside", Value: num(s.Thickest) + " mm", Source: "plane geometry of the section"})
	return s
}
