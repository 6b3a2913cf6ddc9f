package caution

import (
	"regexp"

	"github.com/pourwright/pourwright/internal/material"
)

// Step is what the hands are doing.
type Step string

// The steps, in shop order.
const (
	NoStep    Step = ""
	Mixing    Step = "mix"       // batch, pour
	Rescuing  Step = "rescue"    // more into a cup that is off ratio
	Curing    Step = "cure"      // waiting
	PostCure  Step = "post cure" // warm
	Demolding Step = "demold"
	MoldMake  Step = "mold"    // building, brushing
	Releasing Step = "release" // release coat
	Finishing Step = "sand"    // sanding, drilling
	Degassing Step = "degas"
	Pressing  Step = "pressure"
	Cleaning  Step = "solvent"
	Storing   Step = "store" // stock added or opened
	Disposing Step = "waste" // stock finished
	Teaching  Step = "first" // first pour, class
)

// Steps lists the steps that a member can name, in shop order.
func Steps() []Step {
	return []Step{Storing, MoldMake, Releasing, Mixing, Degassing, Pressing, Rescuing, Curing, Demolding, PostCure, Finishing, Cleaning, Disposing, Teaching}
}

// Situation is what is known of the work. Zero values say nothing.
type Situation struct {
	Step   Step
	Family material.Family
	// The largest cup in g and the thickest section in mm, and the bulletin's
	// limits for them.
	Mass, MaxMass     float64
	Section, MaxDepth float64
	Leftovers         bool   // resin will be left in the cup
	Powder            bool   // a filler or dry pigment is stirred in
	OldJug            bool   // urethane of unknown age
	Trouble           []ID   // that a symptom calls for by itself
	Text              string // a member's notes or question
}

// Sections from which heat is a matter where the bulletin gives no limit, in
// mm. Common practice, no source.
const (
	epoxySection = 10.0
	otherSection = 25.0
)

// For gives the cautions that a situation calls for, the gravest first.
func For(s Situation) []Caution {
	ids := map[ID]bool{}
	add := func(list ...ID) {
		for _, id := range list {
			ids[id] = true
		}
	}
	if s.touchesUncured() {
		add(OfFamily(s.Family)...)
	}
	add(ofStep[s.Step]...)
	add(s.Trouble...)
	if s.tooMuch() {
		add(Exotherm)
	}
	if s.Leftovers {
		add(Waste)
	}
	if s.Powder {
		add(Dust)
	}
	if s.OldJug && s.Family.Isocyanate() {
		add(Mercury)
	}
	add(inText(s.Text)...)
	return pick(ids)
}

// ofStep is what a step calls for whatever the material.
var ofStep = map[Step][]ID{
	Rescuing:  {Exotherm},
	Curing:    {Exotherm, Hot},
	PostCure:  {Exotherm, Hot, Heat},
	Demolding: {Hot},
	MoldMake:  {Aerosol},
	Releasing: {Aerosol},
	Finishing: {Dust},
	Degassing: {Vacuum},
	Pressing:  {Pressure},
	Cleaning:  {Fire},
	Storing:   {Label, Contamination},
	Disposing: {Waste},
	Teaching:  {Label, Health, Children},
}

// OfStep gives what a step calls for whatever the material.
func OfStep(s Step) []Caution {
	ids := map[ID]bool{}
	for _, id := range ofStep[s] {
		ids[id] = true
	}
	return pick(ids)
}

// touchesUncured is true where liquid parts are handled, or cast urethane is
// cut or heated, which sets isocyanate free again.
func (s Situation) touchesUncured() bool {
	switch s.Step {
	case Mixing, Rescuing, MoldMake, Releasing, Degassing, Pressing, Teaching, Cleaning, NoStep:
		return true
	case Finishing, PostCure:
		return s.Family.Isocyanate()
	}
	return false
}

func (s Situation) tooMuch() bool {
	if s.MaxMass > 0 && s.Mass > s.MaxMass {
		return true
	}
	switch {
	case s.Section <= 0 || s.Family.Silicone():
		return false
	case s.MaxDepth > 0:
		return s.Section > s.MaxDepth
	case s.Family == material.Epoxy:
		return s.Section > epoxySection
	}
	return s.Section > otherSection
}

// OfFamily gives the cautions of a family's uncured parts.
func OfFamily(f material.Family) []ID {
	switch f {
	case material.Urethane:
		return []ID{Isocyanate}
	case material.UrethaneRubber:
		return []ID{Isocyanate, Amine}
	case material.Epoxy:
		return []ID{Amine}
	case material.Polyester:
		return []ID{Peroxide, Styrene}
	case material.SiliconeCondensation:
		return []ID{Tin}
	case material.Plaster:
		return []ID{Dust}
	}
	return nil
}

// endUse finds words of an end use with rules of its own: what is eaten from,
// and what is worn on or taken from the body.
var endUse = regexp.MustCompile(`(?i)\b(foods?|eat(s|ing)?|drink(s|ing)?|cups?|mugs?|bowls?|cutlery|baking|cakes?|chocolates?|candy|ice cubes?|teeth|tooth|dental|dentures?|mouth(guards?)?|pacifiers?|` +
	`masks?|skin|faces?|body|hand cast|life ?-?casts?|worn|wear(s|able|ables|ing)?|jewell?e?ry|earrings?|bracelets?|prosthe(tic|tics|sis))\b`)

// shopWords look like an end use and are not: mixing cups, dust masks.
var shopWords = regexp.MustCompile(`(?i)\b((mixing|mix|second|first|third|paper|plastic|trial|reference|this|each|per|one|two|next|last|the|its) cups?|cups? (of (resin|mix|rubber)|size|film)|(dust|fitted) masks?|masking|(wear|wearing) (gloves|goggles)|skin coats?|(mold|part|cast|mating|flat|top|bottom|back) faces?|mold body)\b`)

// textMost is how much of a text is looked at; members' notes are shorter.
const textMost = 4000

func inText(text string) []ID {
	if len(text) > textMost {
		text = text[:textMost]
	}
	if endUse.MatchString(shopWords.ReplaceAllString(text, " ")) {
		return []ID{Food, Skin}
	}
	return nil
}
