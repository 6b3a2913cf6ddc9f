package mix

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Filler is a solid stirred into the mix.
type Filler struct {
	Name    string
	Density float64 // g/mL of the grain, not of the heap
	PHR     float64 // parts per hundred of resin mix (A and B together), by weight
	Source  string  // of the density
	Note    string  // what to mind with it, or ""
	Damp    bool    // it holds water, which foams urethane
}

// fillerRow is a filler that needs no density typed.
type fillerRow struct {
	name    string
	words   []string
	density float64
	source  string
	note    string
	damp    bool
}

const (
	handbook = "CRC Handbook of Chemistry and Physics, from memory"
	settles  = "It settles: keep stirring, pour cool and thick."
)

var fillers = []fillerRow{
	{"microspheres", []string{"microsphere", "microballoons", "glass bubbles", "hollow spheres"}, 0.15, working.CommonPractice,
		"Their density differs by grade from 0.1 to 0.6 g/mL: give the bulletin's, such as microspheres 20 phr 0.25 g/ml.", false},
	{"calcium carbonate", []string{"chalk", "marble dust", "whiting", "limestone"}, 2.71, handbook, "", true},
	{"aluminum powder", []string{"aluminium powder", "aluminum", "aluminium"}, 2.70, handbook, "Fine metal dust burns: no sparks, no heap.", false},
	{"bronze powder", []string{"bronze"}, 8.8, working.CommonPractice, settles, false},
	{"brass powder", []string{"brass"}, 8.5, working.CommonPractice, settles + " Never with peroxide.", false},
	{"copper powder", []string{"copper"}, 8.96, handbook, settles + " Never with peroxide.", false},
	{"iron powder", []string{"iron"}, 7.87, handbook, settles + " Never with peroxide.", false},
	{"silica sand", []string{"sand", "quartz"}, 2.65, handbook, settles, true},
	{"fumed silica", []string{"silica thickener"}, 2.2, handbook, "A few phr make a paste: add it a little at a time.", false},
	{"talc", []string{"talcum"}, 2.75, handbook, "", true},
	{"alumina trihydrate", []string{"ath", "aluminum hydroxide"}, 2.42, handbook, "", true},
	{"glass fiber", []string{"milled glass", "milled fiber"}, 2.55, working.CommonPractice, "It itches and harms lungs: gloves, and the respirator that its SDS asks for.", false},
	{"wood flour", []string{"sawdust"}, 1.5, working.CommonPractice, "Wood holds water: bake it dry the same day.", true},
}

// FillerNames lists the fillers that need no density, for completion.
func FillerNames() []string {
	out := make([]string, len(fillers))
	for i, f := range fillers {
		out[i] = f.name
	}
	return out
}

var phrText = regexp.MustCompile(`(?i)(\d+(?:[.,]\d+)?)\s*phr\b`)

// ParseFiller reads "microspheres 20 phr", "50 phr chalk", or any name with
// its grain density, "pumice 30 phr 2.4 g/ml". Errors: bad_quantity, not_found
// (an unknown filler without a density), out_of_range.
func ParseFiller(text string) (Filler, error) {
	const hint = "give name and parts per hundred of resin, such as microspheres 20 phr"
	m := phrText.FindStringSubmatchIndex(text)
	if m == nil || len(text) > 200 {
		return Filler{}, fault.New(fault.BadQuantity, "the filler %q has no phr", fault.Echo(text)).In("filler").Hint(hint)
	}
	phr, err := strconv.ParseFloat(strings.Replace(text[m[2]:m[3]], ",", ".", 1), 64)
	if err != nil {
		return Filler{}, fault.New(fault.BadQuantity, "%q is no number", fault.Echo(text[m[2]:m[3]])).In("filler").Hint(hint)
	}
	f := Filler{PHR: phr}
	name, density, err := splitDensity(text[:m[0]] + " " + text[m[1]:])
	if err != nil {
		return Filler{}, err
	}
	row, ok := fillerNamed(name)
	switch {
	case ok:
		f.Name, f.Density, f.Source, f.Note, f.Damp = row.name, row.density, row.source, row.note, row.damp
	case name == "":
		return Filler{}, fault.New(fault.BadQuantity, "the filler has no name").In("filler").Hint(hint)
	case density == 0:
		return Filler{}, fault.New(fault.NotFound, "there is no filler %q with a known density", fault.Echo(name)).In("filler").
			Hint("add its grain density, such as %s %s phr 2.4 g/ml", fault.Echo(name), num(phr)).Choose(FillerNames()...)
	default:
		f.Name = name
	}
	if density > 0 {
		f.Density, f.Source = density, "as typed"
	}
	return f, f.check()
}

// splitDensity takes a trailing density off a filler's text; 0 where there is
// none.
func splitDensity(text string) (name string, density float64, err error) {
	fields := strings.Fields(strings.ReplaceAll(text, ";", " "))
	for i := range fields {
		if fields[i][0] < '0' || fields[i][0] > '9' {
			continue
		}
		typed := strings.TrimRight(strings.Join(fields[i:], " "), ",")
		q, _, err := quantity.Parse(typed, quantity.Want{Option: "filler", Dims: []quantity.Dim{quantity.Density}, Bare: quantity.GramPerMilliliter})
		if err != nil {
			return "", 0, err
		}
		return strings.Trim(strings.Join(fields[:i], " "), " ,"), q.Value, nil
	}
	return strings.Trim(strings.Join(fields, " "), " ,"), 0, nil
}

func fillerNamed(name string) (fillerRow, bool) {
	key := strings.ToLower(name)
	for _, f := range fillers {
		if key == f.name {
			return f, true
		}
		for _, w := range f.words {
			if key == w {
				return f, true
			}
		}
	}
	return fillerRow{}, false
}

func (f Filler) check() error {
	if !(f.PHR > 0) || f.PHR > 2000 {
		return fault.New(fault.OutOfRange, "a filler load of %s phr is outside 0 to 2000", num(f.PHR)).In("filler").Hint("give parts per hundred of resin, such as 20 phr")
	}
	if !(f.Density >= 0.01) || f.Density > 20 {
		return fault.New(fault.OutOfRange, "a filler density of %s g/mL is outside 0.01 to 20", num(f.Density)).In("filler").Hint("give the density of the grain, such as 2.71 g/ml")
	}
	return nil
}

// Equal spheres thrown together fill 0.64 of the space (Bernal and Mason 1960,
// Nature 188:910, from memory): past about 0.6 there is no liquid left to pour.
// Above 0.4 a mix is a paste (common practice).
const (
	PackingLimit  = 0.60
	PourableLimit = 0.40
)

// specific is the volume in mL that 1 g of resin takes with its filler.
func (f Filler) specific(resin float64) float64 { return 1/resin + f.PHR/(100*f.Density) }

// Resin is the mass of A and B in g that fills volume mL together with the
// filler: V/(1/ρr + phr/(100·ρf)), from the resin's density in g/mL.
func (f Filler) Resin(volume, resin float64) float64 { return volume / f.specific(resin) }

// Mixed is the density of resin with filler in g/mL.
func (f Filler) Mixed(resin float64) float64 { return (1 + f.PHR/100) / f.specific(resin) }

// Share is the part of the volume that is filler.
func (f Filler) Share(resin float64) float64 { return f.PHR / (100 * f.Density) / f.specific(resin) }

// PHRByVolume is the load of a filler that was measured by heaped volume,
// parts of powder to parts of resin: 100·(vp·ρbulk)/(vr·ρr). The heap's bulk
// density counts here, the grain's density for the space it takes.
func PHRByVolume(resinParts, powderParts, bulk, resin float64) float64 {
	return 100 * powderParts * bulk / (resinParts * resin)
}

// FillerSide is the part that a filler is stirred into before the parts meet:
// the one without isocyanate where the profile says which, else the larger
// one, as a few grams of catalyst wet nothing. Common practice, no source.
func FillerSide(m material.Profile) material.Side {
	r, ok := m.ByVolume()
	if !ok {
		r = m.Ratio
	}
	switch {
	case r.A > smallPart*r.B:
		return material.SideA
	case r.B > smallPart*r.A:
		return material.SideB
	case m.TintSide != material.NoSide:
		return m.TintSide
	case r.A > r.B:
		return material.SideA
	}
	return material.SideB
}

// smallPart: below a third of the other a part is too small to take filler.
const smallPart = 3.0

func (f Filler) String() string { return fmt.Sprintf("%s %s phr", f.Name, num(f.PHR)) }
