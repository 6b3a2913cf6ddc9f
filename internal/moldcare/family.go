package moldcare

import (
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
)

// Family is what a mold is made of.
type Family string

// The families. Their values are stored and typed by members.
const (
	Condensation Family = "condensation" // silicone, tin cure
	Addition     Family = "addition"     // silicone, platinum cure
	Urethane     Family = "urethane"     // rubber
	Latex        Family = "latex"
	Plaster      Family = "plaster"
	Other        Family = "other"
)

// Families lists them in the order they are offered.
func Families() []Family { return []Family{Condensation, Addition, Urethane, Latex, Plaster, Other} }

// ParseFamily reads a family by its own name or that of the rubber, whatever
// the case. "silicone" alone is refused: the two kinds last differently and
// want opposite care. Errors: ambiguous_name, missing_option, not_found.
func ParseFamily(text string) (Family, error) {
	key := strings.Join(strings.Fields(strings.ToLower(text)), " ")
	for _, f := range Families() {
		if key == string(f) || key == string(f)+" rubber" {
			return f, nil
		}
	}
	m, err := material.ParseFamily(text)
	if f, ok := OfRubber(m); err == nil && ok {
		return f, nil
	}
	if fault.Is(err, fault.AmbiguousName) && key != "resin" {
		return "", fault.New(fault.AmbiguousName, "there are two kinds of silicone, and their molds last differently").In("family").
			Hint("the label says tin or condensation cure: condensation; platinum or addition cure: addition").
			Choose(string(Condensation), string(Addition))
	}
	code, what := fault.NotFound, "no mold family is called that"
	if key == "" {
		code, what = fault.MissingOption, "the family is empty"
	}
	var names []string
	for _, f := range Families() {
		names = append(names, string(f))
	}
	return "", fault.New(code, "%s", what).In("family").Hint("give one of %s", strings.Join(names, ", ")).Choose(names...)
}

// OfRubber is the family of a mold made of a material of that family; ok is
// false where no mold is made of it.
func OfRubber(m material.Family) (f Family, ok bool) {
	switch m {
	case material.SiliconeCondensation:
		return Condensation, true
	case material.SiliconeAddition:
		return Addition, true
	case material.UrethaneRubber:
		return Urethane, true
	case material.Plaster:
		return Plaster, true
	}
	return "", false
}

// Material is the family of the material that a mold of f is made of, for its
// cautions; material.Other where there is none of its own.
func (f Family) Material() material.Family {
	switch f {
	case Condensation:
		return material.SiliconeCondensation
	case Addition:
		return material.SiliconeAddition
	case Urethane:
		return material.UrethaneRubber
	case Plaster:
		return material.Plaster
	}
	return material.Other
}

// Prior is what is believed of the life of a family's molds before any pull is
// counted: the median life in pulls and the Weibull shape, each log-normal with
// its middle and the ends of its 90 % range.
type Prior struct {
	Median, MedianLow, MedianHigh float64 // pulls
	Shape, ShapeLow, ShapeHigh    float64
	Source                        string
}

// The priors. The two silicones follow what casters report of molds for
// urethane casts, the others are a guess with a wide range.
const (
	practice  = "common practice, no source"
	judgement = "judgement, no source"
)

// PriorOf gives the prior of a family. An unknown family has that of Other.
func PriorOf(f Family) Prior {
	p := Prior{Shape: 2, ShapeLow: 1.2, ShapeHigh: 3.5, Source: judgement}
	switch f {
	case Condensation:
		p.Median, p.MedianLow, p.MedianHigh, p.Source = 30, 12, 75, practice
	case Addition:
		p.Median, p.MedianLow, p.MedianHigh, p.Source = 50, 20, 125, practice
	case Urethane:
		p.Median, p.MedianLow, p.MedianHigh = 60, 20, 180
	case Latex:
		p.Median, p.MedianLow, p.MedianHigh = 25, 8, 80
	case Plaster:
		p.Median, p.MedianLow, p.MedianHigh = 15, 4, 55
	default:
		p.Median, p.MedianLow, p.MedianHigh = 30, 8, 110
	}
	return p
}

// z90 is the standard normal's 95 % point: a 90 % range lies that many standard
// deviations to either side (tables of the normal distribution).
const z90 = 1.6448536269514722

// spread is the standard deviation of the logarithm for the ends of a 90 % range.
func spread(low, high float64) float64 { return math.Log(high/low) / (2 * z90) }
