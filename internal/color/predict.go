package color

import (
	"fmt"
	"math"
	"slices"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Most is the number of tints that one mix may hold.
const Most = 4

// Dose is a share of the whole mix by mass: 0.01 is 1 %.
type Dose struct {
	Tint *Tint
	Part float64
}

// Recipe is a tinted mix and the wall it is looked at in.
type Recipe struct {
	Base    *Base
	Doses   []Dose
	Wall    Wall    // zero: too thick to see through
	MaxLoad float64 // all tints together; 0 is the least that the tints and LoadUsual allow
}

// Prediction is the color that a recipe is expected to cure to.
type Prediction struct {
	Shade
	Base   Shade   // without tint, at the same wall
	Load   float64 // of all tints, fraction of the mix
	Tenth  float64 // ΔE00 if every dose were 10 % too much
	Floor  float64 // ΔE00 that about two in three real parts come within
	Notes  []string
	Behind *Behind // where the backing shows through
}

// Behind is the same part over white and over black.
type Behind struct {
	White, Black Shade
	Difference   float64 // ΔE00
}

// showsThrough is the ΔE00 between white and black backing from which both are
// worth showing.
const showsThrough = 2

// Predict works out a recipe of up to four tints; none is the bare base. A wall
// without a backing is looked at over white. Lab is within 0.01 of the exact
// solution of the model; how far the model is from a real part is Floor.
//
// Errors: missing_option (wall, in a base that light passes), out_of_range
// (doses), too_many_options, unsupported_colorant.
func Predict(r Recipe) (Prediction, error) {
	if err := r.check(); err != nil {
		return Prediction{}, err
	}
	var m stack
	m.fill(r.Base, r.Doses, r.Wall)
	p := Prediction{Shade: m.shade(), Load: r.load(), Notes: r.notes()}
	p.Behind = behind(&m)
	p.Tenth = r.tenth(p.Lab)
	m.fill(r.Base, nil, r.Wall)
	p.Base = m.shade()
	p.Floor = max(Floor(r.read()...), r.carried(p.Lab))
	if p.Clipped {
		p.Notes = append(p.Notes, "no screen can show this color; the nearest one stands for it")
	}
	return p, nil
}

func (r *Recipe) load() (sum float64) {
	for _, d := range r.Doses {
		sum += d.Part
	}
	return sum
}

// read lists the qualities that the prediction rests on.
func (r *Recipe) read() []Quality {
	out := []Quality{r.Base.Quality}
	for _, d := range r.Doses {
		if d.Part > 0 {
			out = append(out, d.Tint.Quality)
		}
	}
	return out
}

// tenth is how far the color moves with a tenth more of everything.
func (r *Recipe) tenth(from Lab) float64 {
	more := make([]Dose, len(r.Doses))
	for i, d := range r.Doses {
		more[i] = Dose{d.Tint, 1.1 * d.Part}
	}
	var m stack
	m.fill(r.Base, more, r.Wall)
	return Difference(from, m.lab())
}

// behind compares backings, nil where none shows through.
func behind(m *stack) *Behind {
	if m.wall == 0 {
		return nil
	}
	over := *m
	var b Behind
	over.backing = WhiteBacking.reflectance()
	b.White = over.shade()
	over.backing = BlackBacking.reflectance()
	b.Black = over.shade()
	if b.Difference = Difference(b.White.Lab, b.Black.Lab); b.Difference <= showsThrough {
		return nil
	}
	return &b
}

func (r *Recipe) check() error {
	if err := checkWall(r.Base, r.Wall); err != nil {
		return err
	}
	if len(r.Doses) > Most {
		return fault.New(fault.TooManyOptions, "%d tints in one mix are more than %d", len(r.Doses), Most).In("tints").
			Hint("give up to %d tints", Most)
	}
	for _, d := range r.Doses {
		if !(d.Part >= 0) {
			return fault.New(fault.OutOfRange, "a dose of %s of %s is no amount", quantity.Percent(d.Part), d.Tint.Name).In("tints").
				Hint("give a share of the mix, such as %s 0.5%%", d.Tint.Name)
		}
	}
	if load := r.load(); load > loadMost || math.IsNaN(load) {
		return fault.New(fault.OutOfRange, "%s of tint is more than %s of the mix", quantity.Percent(load), quantity.Percent(loadMost)).In("tints").
			Hint("most mixes take up to %s in all", quantity.Percent(r.limit()))
	}
	return nil
}

// checkWall asks for a wall where the color hangs on it.
func checkWall(b *Base, w Wall) error {
	if b == nil {
		return fault.New(fault.MissingOption, "the base is missing").In("base").Hint("name the material that the tint goes into")
	}
	if err := w.check(); err != nil {
		return err
	}
	if !b.Kind.Opaque() && w.MM == 0 {
		return fault.New(fault.MissingOption, "light passes the %s base, so its color depends on the thickness", b.Kind).In("wall").
			Hint("give the thickness of the part, such as 6 mm, and what lies behind it with backing: white or black")
	}
	return nil
}

// limit is the most tint that this mix takes.
func (r *Recipe) limit() float64 {
	limit := LoadUsual
	if r.MaxLoad > 0 {
		limit = r.MaxLoad
	}
	for _, d := range r.Doses {
		if most := d.Tint.MaxLoad; most > 0 && d.Part > 0 {
			limit = min(limit, most)
		}
	}
	return limit
}

// lightens tells that a white tint is in it, which makes a clear base opaque.
func (r *Recipe) lightens() bool {
	return slices.ContainsFunc(r.Doses, func(d Dose) bool { return d.Tint.pale && d.Part > 0 })
}

// farDose is the ratio to its swatch's dose beyond which a tint is only
// guessed at.
const farDose = 10

func (r *Recipe) notes() []string {
	notes := append([]string(nil), r.Base.Notes...)
	if !r.Base.Kind.Opaque() && !r.lightens() {
		notes = append(notes, "the model is weak for parts that light passes: take this as a direction and cast a test")
	}
	if limit, load := r.limit(), r.load(); load > limit*(1+1e-9) {
		notes = append(notes, fmt.Sprintf("%s of tint is over the limit of %s: it can soften or slow the cure", quantity.Percent(load), quantity.Percent(limit)))
	}
	for _, d := range r.Doses {
		t := d.Tint
		notes = append(notes, t.about()...)
		if d.Part == 0 {
			continue
		}
		if t.Dose > 0 && (d.Part > farDose*t.Dose || d.Part < t.Dose/farDose) {
			notes = append(notes, fmt.Sprintf("%s is asked for at %s and known at %s only: a swatch nearer to it tells more", tintName(t.Name), quantity.Percent(d.Part), quantity.Percent(t.Dose)))
		}
		if t.base != "" && t.base != r.Base.Kind {
			notes = append(notes, fmt.Sprintf("%s was seen in a %s base, this one is %s: expect more error and cast a test", tintName(t.Name), t.base, r.Base.Kind))
		}
	}
	return notes
}

// about are the tint's own notes with its name.
func (t *Tint) about() []string {
	out := make([]string, len(t.Notes))
	for i, n := range t.Notes {
		out[i] = tintName(t.Name) + ": " + n
	}
	return out
}
