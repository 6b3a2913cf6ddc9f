package caution

import "slices"

// ID names a caution for good; replies and checks rest on these words.
type ID string

// The cautions, the gravest first; replies show them in this order.
const (
	Isocyanate    ID = "isocyanate"
	Amine         ID = "amine"
	Peroxide      ID = "peroxide"
	Styrene       ID = "styrene"
	Tin           ID = "tin"
	Mercury       ID = "mercury"
	Exotherm      ID = "exotherm"
	Hot           ID = "hot"
	Pressure      ID = "pressure"
	Vacuum        ID = "vacuum"
	Heat          ID = "heat"
	Fire          ID = "fire"
	Aerosol       ID = "aerosol"
	Contamination ID = "contamination"
	Dust          ID = "dust"
	Food          ID = "food"
	Skin          ID = "skin"
	Health        ID = "health"
	Children      ID = "children"
	Label         ID = "label"
	Waste         ID = "waste"
)

// Caution is one warning.
type Caution struct {
	ID    ID
	Title string
	Text  string // one or two sentences for a reply
	Full  string // everything, ending with Deferral
}

// All gives every caution, the gravest first.
func All() []Caution { return slices.Clone(cautions) }

// Get gives one by its id.
func Get(id ID) (Caution, bool) {
	for _, c := range cautions {
		if c.ID == id {
			return c, true
		}
	}
	return Caution{}, false
}

// pick gives the cautions in their order, each once.
func pick(ids map[ID]bool) []Caution {
	var out []Caution
	for _, c := range cautions {
		if ids[c.ID] {
			out = append(out, c)
		}
	}
	return out
}
