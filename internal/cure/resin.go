package cure

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Resin is what the model needs of a material: SI, kelvin, J, zero for what
// the bulletin does not say. It is comparable, so it can key a cache.
type Resin struct {
	Family material.Family

	Cond, Rho, Cp float64 // W/(m K), kg/m³, J/(kg K)
	Heat          float64 // J/kg
	E             float64 // J/mol
	B             float64 // autocatalysis
	Order         int     // 1 or 2

	PotLife float64 // s
	PotMass float64 // kg
	Temp    float64 // K, of the bulletin
	AtGel   bool    // PotLife is a gel time

	Demold float64 // s
	Sheet  float64 // m, the bulletin's section

	FullCure float64 // s
	MaxDepth float64 // m
	MaxMass  float64 // kg
	MinTemp  float64 // K
	MaxTemp  float64 // K

	// What was assumed, which widens the range.
	SheetAssumed, MassAssumed, TempAssumed bool
}

// Assumed is a figure that the bulletin left out: what it is for, and what was
// taken in its place.
type Assumed struct {
	Option string // of /material, where the figure belongs
	Ask    string // a question in plain words
	Used   string // what was taken, "100 g"
	Widens bool   // the range is wider for it
}

// Defaults for what a bulletin leaves out.
const (
	defaultTemp  = 296.15 // K, 23 °C, where most bulletins measure
	defaultMass  = 0.100  // kg; common practice, no source
	defaultSheet = 0.003  // m; judgement
	// defaultDemold is the conversion at demold where no time is given;
	// judgement.
	defaultDemold = 0.85
)

// Activation energies in J/mol. Seven published urethanes average 62 (Sultan
// and Busnel 2006, doi 10.1007/s10973-005-7026-8), one of castor oil 56
// (Milanese et al. 2011), epoxy-amines 44 to 60 (Barral et al. 1995); a
// thermoset set of DSC runs fits 57. The silicones' 50 is judgement.
const (
	resinE    = 57e3
	siliconeE = 50e3
	energyLow = 34e3
	energyTop = 80e3
	energySD  = 10e3
)

// Heats of cure in J/kg of mix. Urethane: 55 to 72 kJ a mole of bonds (Sultan
// and Busnel 2006) times 2.5 to 3.5 mol/kg, the split by speed is judgement.
// Epoxy: about 105 kJ an equivalent, from memory, as for polyester. Silicone:
// judgement; DSC of a solid grade gave a quarter of it.
const (
	urethaneFast   = 200e3
	urethaneMedium = 180e3
	urethaneSlow   = 160e3
	epoxyHeat      = 380e3
	polyesterHeat  = 300e3
	siliconeHeat   = 10e3
)

// Pot lives in s that part the speeds of a urethane; judgement.
const (
	fastPot   = 5 * 60
	mediumPot = 15 * 60
)

// chemistry is what a family sets. The range of b is given by low and high,
// drawn evenly or, where wide, on a log scale.
type chemistry struct {
	e, b, low, high float64
	wide            bool
	order           int
	part            stuff
}

// chemistryOf gives a family's law. Conductivity, density and heat capacity
// of a rigid urethane: property tables after Cardarelli 2018 and Brydson 1999;
// of silicone as of a mold. Autocatalysis: a thermoset DSC set needs b = 72
// and platinum silicone n = 1; the rest is judgement.
func chemistryOf(f material.Family) (c chemistry, ok bool) {
	resin := stuff{0.20, 1080, 1850}
	rubber := stuff{siliconeStuff.k, 1150, siliconeStuff.cp}
	switch f {
	case material.Urethane, material.UrethaneRubber:
		return chemistry{resinE, 3, 1, 5, false, 2, resin}, true
	case material.Epoxy, material.Polyester:
		return chemistry{resinE, 17, 3, 100, true, 2, stuff{0.20, 1080, 1900}}, true
	case material.SiliconeAddition:
		return chemistry{siliconeE, 20, 20.0 / 3, 100.0 / 3, false, 1, rubber}, true
	case material.SiliconeCondensation:
		return chemistry{siliconeE, 3, 1, 5, false, 1, rubber}, true
	}
	return chemistry{}, false
}

// HeatOf is the heat of cure in J/kg taken for a family whose bulletin gives
// none; a urethane's goes by its pot life in s. Zero where there is no model.
func HeatOf(f material.Family, potLife float64) float64 {
	switch f {
	case material.Urethane, material.UrethaneRubber:
		switch {
		case potLife < fastPot:
			return urethaneFast
		case potLife <= mediumPot:
			return urethaneMedium
		}
		return urethaneSlow
	case material.Epoxy:
		return epoxyHeat
	case material.Polyester:
		return polyesterHeat
	case material.SiliconeAddition, material.SiliconeCondensation:
		return siliconeHeat
	}
	return 0
}

// HeatOfMix is the heat of cure in J/kg of a mix at its exact ratio, from the
// heat of an equivalent in kJ and the equivalent weights of both parts in g:
// epoxide and amine hydrogen, or isocyanate and hydroxyl.
func HeatOfMix(perEquivalent, weightA, weightB float64) float64 {
	return 1e6 * perEquivalent / (weightA + weightB)
}

// FromProfile reads a material's profile. The second result lists what was
// assumed. Errors: missing_option where the pot life or a known family is
// missing, not_found for plaster, out_of_range for a pot life that the model
// does not reach.
func FromProfile(p material.Profile) (Resin, []Assumed, error) {
	c, ok := chemistryOf(p.Family)
	if !ok {
		return Resin{}, nil, noChemistry(p)
	}
	if err := checkPot(p); err != nil {
		return Resin{}, nil, err
	}
	b := filling{p: p}
	b.r = Resin{Family: p.Family, Cond: c.part.k, Rho: c.part.rho, Cp: c.part.cp, E: c.e, B: c.b, Order: c.order,
		PotLife: p.PotLife, Demold: p.Demold, FullCure: p.FullCure, MaxDepth: p.MaxDepth / 1000, MaxMass: p.MaxMass / 1000}
	b.density()
	b.heat()
	b.cup()
	b.sheet()
	if p.MinTemp != nil {
		b.r.MinTemp = *p.MinTemp + zeroC
	}
	if p.MaxTemp != nil {
		b.r.MaxTemp = *p.MaxTemp + zeroC
	}
	return b.r, b.assumed, nil
}

func noChemistry(p material.Profile) error {
	if p.Family == material.Plaster {
		return fault.New(fault.NotFound, "there is no cure estimate for plaster: it sets by taking up water, which this model does not know").
			In("material").Hint("go by the setting time on the bag")
	}
	return fault.New(fault.MissingOption, "%s has no known chemistry, and a guess could take a hot resin for a mild one", named(p)).
		In("family").Hint("set its family with /material edit: the bulletin's first lines say urethane, epoxy, polyester or which silicone").
		Choose(string(material.Urethane), string(material.UrethaneRubber), string(material.Epoxy), string(material.Polyester),
			string(material.SiliconeCondensation), string(material.SiliconeAddition))
}

func named(p material.Profile) string {
	if p.Name == "" {
		return "the material"
	}
	return p.Name
}

// Pot lives in s that the model was tried on, and those beyond for which it
// still answers, with a remark; judgement.
const (
	potTriedLow  = 60
	potTriedHigh = 8 * 3600
	potLeast     = 20
	potMost      = 24 * 3600
)

func checkPot(p material.Profile) error {
	switch {
	case p.PotLife == 0:
		return fault.New(fault.MissingOption, "%s has no pot life, and nothing else tells how fast it cures", named(p)).
			In("pot_life").Hint("copy it from the bulletin with its mass and temperature: /material edit, pot_life 3 min, 100 g, 23 C")
	case !(p.PotLife >= potLeast && p.PotLife <= potMost):
		return fault.New(fault.OutOfRange, "a pot life of %s is outside the %s to %s that this estimate reaches",
			text(p.PotLife, quantity.Time), text(potLeast, quantity.Time), text(potMost, quantity.Time)).
			In("pot_life").Hint("check the pot life in the bulletin; otherwise go by its own times")
	}
	return nil
}

func text(v float64, d quantity.Dim) string { return quantity.Text(v, d, quantity.Metric) }

// filling collects a resin and what had to be assumed for it.
type filling struct {
	p       material.Profile
	r       Resin
	assumed []Assumed
}

func (b *filling) assume(option, ask, used string, widens bool) {
	b.assumed = append(b.assumed, Assumed{option, ask, used, widens})
}

func (b *filling) density() {
	if d, ok := b.p.Mixed(); ok {
		b.r.Rho = 1000 * d.Value
		return
	}
	b.assume("density_mixed", "What is the density of the mix?", text(b.r.Rho/1000, quantity.Density), false)
}

func (b *filling) heat() {
	if b.p.Heat > 0 {
		b.r.Heat = 1000 * b.p.Heat
		return
	}
	b.r.Heat = HeatOf(b.p.Family, b.p.PotLife)
	b.assume("heat", "How much heat does the cure give off, in joules a gram?", text(b.r.Heat/1000, quantity.Number)+" J/g, as usual for "+string(b.p.Family), false)
}

func (b *filling) cup() {
	b.r.PotMass = b.p.PotLifeMass / 1000
	if b.r.PotMass == 0 {
		b.r.PotMass, b.r.MassAssumed = defaultMass, true
		b.assume("pot_life_mass", "How much was in the cup for the pot life in the bulletin? The same resin gels sooner in a bigger cup.", "100 g", true)
	}
	b.r.Temp = defaultTemp
	if t := b.p.PotLifeTemp; t != nil && !math.IsNaN(*t) {
		b.r.Temp = *t + zeroC
		return
	}
	b.r.TempAssumed = true
	b.assume("pot_life_temp", "At what temperature was the pot life in the bulletin measured?", "23 °C", true)
}

func (b *filling) sheet() {
	b.r.Sheet = b.p.DemoldSection / 1000
	if b.p.Family == material.Polyester { // its times are the bulletin's own
		if b.r.Sheet == 0 {
			b.r.Sheet = defaultSheet
		}
		return
	}
	if b.p.Demold == 0 {
		b.r.Sheet, b.r.SheetAssumed = defaultSheet, true
		b.assume("demold", "After what time does the bulletin say it may come out, and how thick was that sample?", "85 % cured, a guess", true)
		return
	}
	if b.r.Sheet == 0 {
		b.r.Sheet, b.r.SheetAssumed = defaultSheet, true
		b.assume("demold_section", "How thick was the sample for the demold time in the bulletin? Thin ones take longer.", "3 mm", true)
	}
}
