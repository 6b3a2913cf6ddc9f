package color

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

var num = working.Num

// LoadUsual is the most tint of all kinds that a mix takes, a share of its
// mass, where the bulletin of material and tint says no less. Common practice,
// no source.
const LoadUsual = 0.02

// loadMost is where a dose stops being a dose; no source.
const loadMost = 0.20

// What stands in for a swatch; no source, our own choice.
const (
	whiteStrength = 250 // S of a white tint in 1/mm per unit of dose
	neatDose      = 0.3 // the dose at which a base of S = neatScatter looks like the neat tint
	neatScatter   = 5   // 1/mm
)

// TintSpec describes a tint by one cured swatch.
type TintSpec struct {
	Name    string
	Family  Family
	Base    *Base   // that the swatch was cast in; may be nil for a white
	Swatch  Reading // cured; of the neat tint for a masstone; may be none for a white
	Dose    float64 // of the swatch, fraction of the whole mix; unused for a masstone
	Wall    Wall    // of the swatch; zero where too thick to see through
	MaxLoad float64 // the tint maker's limit, fraction of the mix; 0 where not said
	Quality Quality
}

// Tint is what a dose of it adds to a base.
type Tint struct {
	Name    string
	Family  Family
	Quality Quality
	Dose    float64  // of the swatch; 0 where none was taken
	MaxLoad float64  // 0 where not said
	Notes   []string // what was assumed and what to mend

	base BaseKind // that it was seen in; "" where strength is assumed
	k, s Spectrum // 1/mm per unit of dose
	pale bool     // s is not 0
	weak bool     // its swatch hardly differs from its base
}

// NewTint works out a tint from its swatch. Errors: unsupported_colorant for a
// family without a model, missing_option, out_of_range, bad_color.
func NewTint(spec TintSpec, cache *Cache) (*Tint, error) {
	if err := spec.Family.Refuse(); err != nil {
		return nil, err
	}
	t := &Tint{Name: spec.Name, Family: spec.Family, Quality: spec.Quality, MaxLoad: spec.MaxLoad}
	if spec.Family == White && (spec.Swatch.None() || spec.Base == nil || spec.Base.Kind != BlackBase || spec.Wall.MM > 0) {
		t.assumeWhite(spec)
		return t, nil
	}
	if err := spec.check(); err != nil {
		return nil, err
	}
	dose := spec.Dose
	if spec.Family == NeatOnly {
		dose = neatDose * spec.Base.s[0] / neatScatter
		t.Quality = Masstone
		t.note("its strength is guessed from the neat color: cast a swatch at 0.5 %% in your base and add that")
	} else {
		t.Dose = dose
		t.warn(spec, dose)
	}
	t.base = spec.Base.Kind
	internal, notes := spec.Swatch.inside(cache)
	t.Notes = append(t.Notes, notes...)
	if spec.Family == White {
		t.scatterFrom(&internal, spec.Base, dose)
		return t, nil
	}
	seen := absorbs(&internal, &spec.Base.s, spec.Wall)
	for i := range t.k {
		t.k[i] = max(0, seen[i]-spec.Base.k[i]) / dose
	}
	return t, nil
}

func (spec *TintSpec) check() error {
	what := tintName(spec.Name)
	if spec.Base == nil {
		return fault.New(fault.MissingOption, "what base the swatch of %s was cast in is not known", what).In("base").
			Hint("name the material of the swatch")
	}
	if spec.Swatch.None() {
		return fault.New(fault.MissingOption, "the swatch of %s has no color", what).In("swatch").
			Hint("read it off the cured swatch, such as #C9837F")
	}
	if err := spec.Wall.check(); err != nil {
		return err
	}
	if err := spec.Swatch.check("swatch"); err != nil {
		return err
	}
	if spec.Family == NeatOnly {
		return nil
	}
	if !spec.Base.Kind.Opaque() && spec.Wall.MM == 0 {
		return fault.New(fault.MissingOption, "the color of a swatch in a %s base depends on how thick it is", spec.Base.Kind).In("wall").
			Hint("give the thickness of the swatch, such as 6 mm")
	}
	return CheckDose("dose", spec.Dose)
}

func tintName(name string) string {
	if name == "" {
		return "this tint"
	}
	return name
}

// CheckDose refuses a share of the mix that is no dose of a tint: less
// than 0.001 %, or more than a fifth. Error: out_of_range, naming the option.
func CheckDose(option string, dose float64) error {
	if dose >= DoseFloor && dose <= loadMost {
		return nil
	}
	return fault.New(fault.OutOfRange, "a dose of %s of the mix is outside 0.001 %% to %s", quantity.Percent(dose), quantity.Percent(loadMost)).
		In(option).Hint("most tints go in at 0.1 to %s of A and B together, such as 0.5%%", quantity.Percent(LoadUsual))
}

func (t *Tint) note(format string, args ...any) {
	t.Notes = append(t.Notes, fmt.Sprintf(format, args...))
}

// assumeWhite takes the usual strength: white in a white base tells nothing.
func (t *Tint) assumeWhite(spec TintSpec) {
	t.s, t.pale = flat(whiteStrength), true
	t.Quality = Masstone
	why := "without a swatch"
	if !spec.Swatch.None() {
		why = "which only a thick swatch in a black base shows"
	}
	t.note("a usual strength of a white tint was taken, %s", why)
}

// scatterFrom reads a white's strength off a thick swatch in a dark base.
func (t *Tint) scatterFrom(internal *Spectrum, base *Base, dose float64) {
	t.pale = true
	for i, r := range internal {
		t.s[i] = max(0, base.k[i]/Absorption(r)-base.s[i]) / dose
	}
}

// unlike is the ΔE00 that a swatch has to differ from its base by, for a
// strength to be read off it.
const unlike = 2

func (t *Tint) warn(spec TintSpec, dose float64) {
	if limit := spec.limit(); dose > limit {
		t.note("the swatch's %s is over the limit of %s: too much tint can soften the cure and change the color", quantity.Percent(dose), quantity.Percent(limit))
	}
	var s stack
	s.fill(spec.Base, nil, spec.Wall)
	if Difference(s.shade().Lab, spec.Swatch.Lab()) < unlike {
		t.weak = true
		t.note("the swatch hardly differs from its base, so the strength is not known: cast one with more tint")
	}
}

func (spec *TintSpec) limit() float64 {
	if spec.MaxLoad > 0 {
		return spec.MaxLoad
	}
	return LoadUsual
}
