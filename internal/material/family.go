package material

import (
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// Family is the chemistry, which decides cautions, the tint side and what may
// touch what.
type Family string

// The families. Their values are stored and typed by members.
const (
	Urethane             Family = "urethane"
	Epoxy                Family = "epoxy"
	Polyester            Family = "polyester"
	SiliconeCondensation Family = "silicone condensation"
	SiliconeAddition     Family = "silicone addition"
	UrethaneRubber       Family = "urethane rubber"
	Plaster              Family = "plaster"
	Other                Family = "other"
)

// Families lists them in the order they are offered.
func Families() []Family {
	return []Family{Urethane, UrethaneRubber, Epoxy, Polyester, SiliconeCondensation, SiliconeAddition, Plaster, Other}
}

// Rubber reports whether the cured material is soft enough to pull off a
// master.
func (f Family) Rubber() bool {
	return f == UrethaneRubber || f.Silicone()
}

// Silicone reports whether it is one of the two silicones.
func (f Family) Silicone() bool {
	return f == SiliconeCondensation || f == SiliconeAddition
}

// Isocyanate reports whether one of its liquid parts holds isocyanates.
func (f Family) Isocyanate() bool { return f == Urethane || f == UrethaneRubber }

// familyWords are the trade's other names, in lower case with single spaces.
var familyWords = map[string]Family{
	"pu": Urethane, "polyurethane": Urethane, "rigid urethane": Urethane, "urethane resin": Urethane, "rigid polyurethane": Urethane,
	"polyurethane rubber": UrethaneRubber, "flexible urethane": UrethaneRubber, "rubber urethane": UrethaneRubber, "pu rubber": UrethaneRubber,
	"epoxy resin": Epoxy, "epoxide": Epoxy,
	"polyester resin": Polyester, "unsaturated polyester": Polyester, "upr": Polyester,
	"tin": SiliconeCondensation, "tin cure": SiliconeCondensation, "tin silicone": SiliconeCondensation, "tin cure silicone": SiliconeCondensation,
	"condensation": SiliconeCondensation, "condensation cure": SiliconeCondensation, "condensation silicone": SiliconeCondensation, "condensation cure silicone": SiliconeCondensation,
	"platinum": SiliconeAddition, "platinum cure": SiliconeAddition, "platinum silicone": SiliconeAddition, "platinum cure silicone": SiliconeAddition,
	"addition": SiliconeAddition, "addition cure": SiliconeAddition, "addition silicone": SiliconeAddition, "addition cure silicone": SiliconeAddition,
	"gypsum": Plaster, "gypsum plaster": Plaster, "plaster of paris": Plaster,
}

// ParseFamily reads a family by its own or a trade name ("tin cure"), whatever
// the case and hyphens. "silicone" alone is refused, since the two kinds want
// opposite care. Near names are left to the caller. Errors: missing_option,
// ambiguous_name, not_found, each with the choices.
func ParseFamily(text string) (Family, error) {
	key := strings.Join(strings.Fields(strings.NewReplacer("-", " ", "_", " ").Replace(strings.ToLower(text))), " ")
	for _, f := range Families() {
		if key == string(f) {
			return f, nil
		}
	}
	if f, ok := familyWords[key]; ok {
		return f, nil
	}
	switch key {
	case "":
		return "", fault.New(fault.MissingOption, "the family is empty").In("family").
			Hint("give one of %s", familyList()).Choose(familyChoices()...)
	case "silicone", "silicon", "rtv":
		return "", fault.New(fault.AmbiguousName, "there are two kinds of silicone, and what stops one from curing does not stop the other").In("family").
			Hint("the label says tin or condensation cure: silicone condensation; platinum or addition cure: silicone addition").
			Choose(string(SiliconeCondensation), string(SiliconeAddition))
	case "resin":
		return "", fault.New(fault.AmbiguousName, "resin may be urethane, epoxy or polyester").In("family").
			Hint("the bulletin's first lines say which").Choose(string(Urethane), string(Epoxy), string(Polyester))
	}
	return "", fault.New(fault.NotFound, "there is no family %q", fault.Echo(text)).In("family").
		Hint("give one of %s", familyList()).Choose(familyChoices()...)
}

func familyChoices() []string {
	out := make([]string, 0, len(Families()))
	for _, f := range Families() {
		out = append(out, string(f))
	}
	return out
}

func familyList() string { return strings.Join(familyChoices(), ", ") }

// TintSideDefault is the part a colorant is stirred into: A for epoxy and the
// silicones, where A is the resin or the base. A urethane's answer is the part
// without isocyanate, which differs by maker and must be asked once, so ok is
// false for it and for families without a habit. Common practice, no source.
func TintSideDefault(f Family) (side Side, ok bool) {
	switch f {
	case Epoxy, SiliconeCondensation, SiliconeAddition:
		return SideA, true
	}
	return NoSide, false
}
