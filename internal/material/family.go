package material

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
