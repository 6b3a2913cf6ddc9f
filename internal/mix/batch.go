package mix

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Batch is what to weigh or measure. Totals are sums over the cups as the
// scale shows them; an amount that cannot be told is zero.
type Batch struct {
	MassA, MassB, MassFiller, MassTotal float64 // g
	VolumeA, VolumeB, VolumeTotal       float64 // mL
	// NoWeights says why there are no masses of A and B: the batch is measured
	// by volume. "" where there are.
	NoWeights string

	Waste Waste
	Cups  []Cup
	Pace  Pace // how the cups' starts were counted

	RatioError float64 // (B/A)/(rB/rA) − 1 by rounding to the scale
	MinBatch   float64 // g; below it this scale is too coarse for 2 %
	TooSmall   bool    // the cup is below MinBatch

	Density float64 // g/mL of the mix with its filler; zero where unknown
	Basis   string  // what Density rests on
	Cost    float64 // in the profile's currency; zero where unknown

	// OverMass is true where a cup holds more than the bulletin allows in one,
	// PastPotMass where it holds more than the pot life was measured on.
	OverMass, PastPotMass bool
	// PotLifeSplit is true where the pot life, not the cup, asked for cups;
	// TooFast where it is too short to pour even one filling in time.
	PotLifeSplit, TooFast bool
	// Trap is the error that measuring on the wrong basis would make (Trap).
	Trap float64

	Notes []string
	Steps []working.Step
}

// New works out a batch. Errors: missing_option, too_many_options and
// out_of_range with the option's name; not_found where the profile lacks a
// density that the question needs.
func New(w Want) (Batch, error) {
	if w.Step == 0 {
		w.Step = DefaultStep
	}
	if err := w.check(); err != nil {
		return Batch{}, err
	}
	if w.PotLife > 0 {
		w.Profile.PotLife = w.PotLife
	}
	b := builder{w: w}
	if err := b.densities(); err != nil {
		return Batch{}, err
	}
	if err := b.amounts(); err != nil {
		return Batch{}, err
	}
	b.cups()
	b.judge()
	return b.out, nil
}

// builder carries what the stages of New share.
type builder struct {
	w      Want
	r      quantity.Ratio // by weight, or by volume where byVol
	byVol  bool           // the answer is in mL
	resin  float64        // g/mL of A and B mixed; zero where unknown
	volume float64        // mL of mix, waste included; zero where unknown
	mass   float64        // g of A and B; zero where unknown
	cupsN  int
	out    Batch
}

// densities finds the basis that the answer can be given on.
func (b *builder) densities() error {
	p := b.w.Profile
	mixed, okMixed := p.Mixed()
	wt, okW := p.ByWeight()
	b.r, b.byVol = wt, !okW
	if !okW {
		b.r = p.Ratio
		b.out.NoWeights = "The ratio is by volume and the profile has no density of each part, so A and B cannot be weighed: measure them by volume, or add density_a and density_b."
	}
	if okMixed {
		b.resin = mixed.Value
		b.out.Basis = mixed.Basis
		b.out.Steps = append(b.out.Steps, mixed.Step)
	}
	b.out.Trap = Trap(p.Ratio, p.DensityA, p.DensityB)
	needsDensity := b.w.Filler != nil || (b.w.Volume > 0 && !b.byVol) || (b.w.Mass > 0 && (b.byVol || b.w.CupSize > 0))
	if needsDensity && !okMixed {
		hint := "add density_a and density_b with /material edit"
		if b.w.Volume > 0 && !b.byVol && b.w.Filler == nil {
			hint += ", or give mass in place of volume"
		}
		return fault.New(fault.NotFound, "%s has no density, so %s", p.Name, b.whyDensity()).In("material").Hint("%s", hint)
	}
	b.out.Density = b.resin
	return b.fillerLimits()
}

func (b *builder) whyDensity() string {
	switch {
	case b.w.Filler != nil:
		return "the room its filler takes cannot be told"
	case b.w.Mass > 0 && !b.byVol:
		return "its mass cannot be split into cups by volume"
	case b.byVol:
		return "a mass cannot be turned into volumes of A and B"
	}
	return "a volume cannot be turned into grams"
}

func (b *builder) fillerLimits() error {
	f := b.w.Filler
	if f == nil {
		return nil
	}
	share := f.Share(b.resin)
	if share > PackingLimit {
		return fault.New(fault.OutOfRange, "%s would fill %s of the volume, and past about 60 %% there is no liquid left to pour", f, quantity.Percent(share)).
			In("filler").Hint("give less, such as %s %s phr", f.Name, num(math.Floor(f.phrAt(PourableLimit, b.resin))))
	}
	if share > PourableLimit {
		b.note("At " + quantity.Percent(share) + " filler by volume this is a paste, not a pour (common practice: up to 40 %).")
	}
	if f.Damp && b.w.Profile.Family.Isocyanate() {
		b.note("Dry the filler first: water in it foams urethane.")
	}
	if f.Note != "" {
		b.note(f.Note)
	}
	b.out.Density = f.Mixed(b.resin)
	b.out.Steps = working.Add(b.out.Steps, "density with filler", "(1 + f/100)/(1/ρr + f/(100·ρf))", "sum of mass over sum of volume; filler "+f.Source,
		"(1 + %s/100)/(1/%s + %s/(100 × %s)) = %s g/mL", num(f.PHR), num(b.resin), num(f.PHR), num(f.Density), num(b.out.Density))
	return nil
}

// phrAt is the load that takes a share of the volume.
func (f Filler) phrAt(share, resin float64) float64 {
	return share / (1 - share) / resin * 100 * f.Density
}

// amounts finds the volume and mass of mix that are needed.
func (b *builder) amounts() error {
	w := b.w
	if w.Mass > 0 {
		b.mass = w.Mass
		if w.Filler != nil {
			b.mass = w.Mass / (1 + w.Filler.PHR/100)
			b.out.Steps = working.Add(b.out.Steps, "A and B together", "M/(1 + f/100)", working.Definition, "%s/(1 + %s/100) = %s g", num(w.Mass), num(w.Filler.PHR), num(b.mass))
		}
		if b.out.Density > 0 {
			b.volume = w.Mass / b.out.Density
		}
		b.cupsN = b.cupCount(b.volume)
	} else {
		b.addWaste()
		if b.resin > 0 {
			b.mass = b.volume * b.resin
			if w.Filler != nil {
				b.mass = w.Filler.Resin(b.volume, b.resin)
				b.out.Steps = working.Add(b.out.Steps, "A and B together", "V/(1/ρr + f/(100·ρf))", working.Definition, "%s mL with %s: %s g", num(b.volume), w.Filler, num(b.mass))
			} else {
				b.out.Steps = working.Add(b.out.Steps, "mass of the mix", "V·ρ", working.Definition, "%s mL × %s g/mL = %s g", num(b.volume), num(b.resin), num(b.mass))
			}
		}
	}
	if b.cupsN > maxCups {
		return fault.New(fault.OutOfRange, "that would be %d cups, more than %d", b.cupsN, maxCups).In("cup_size").Hint("give a larger cup, or mix in several runs")
	}
	return nil
}

// addWaste settles waste and cups together, since each depends on the other:
// more cups leave more film, and more film may ask for one more cup. Cups only
// grow, so it ends.
func (b *builder) addWaste() {
	w := b.w
	b.cupsN = 1
	for {
		if w.Waste != nil {
			b.out.Waste = givenWaste(w.Volume, *w.Waste)
		} else {
			b.out.Waste = DefaultWaste(w.Volume, b.cupsN, w.CupSize)
		}
		b.volume = w.Volume + b.out.Waste.Volume
		n := b.cupCount(b.volume)
		if n <= b.cupsN || n > maxCups {
			b.cupsN = max(n, b.cupsN)
			break
		}
		b.cupsN = n
	}
	if b.out.Waste.tight(w.Volume) {
		b.note("For so small a batch casters who do not know their cup allow about " + quantity.Percent(WasteBand(w.Volume).Usual) + " (common practice): give waste if cup and stick keep more than usual.")
	}
	b.out.Steps = append(b.out.Steps, b.out.Waste.Steps...)
	b.out.Steps = working.Add(b.out.Steps, "volume to mix", "V + waste", working.Definition, "%s + %s = %s mL", num(w.Volume), num(b.out.Waste.Volume), num(b.volume))
}

// cupCount is the least number of cups for a volume of mix, by the cup's size
// and by the pot life.
func (b *builder) cupCount(volume float64) int {
	n := 1
	if b.w.CupSize > 0 && volume > 0 {
		// The slack keeps 500 mL in cups of 250 at two.
		n = int(min(math.Ceil(volume/b.w.CupSize-1e-9), maxCups+1))
	}
	p := b.w.Profile
	if b.w.Fills > 1 && p.PotLife > 0 {
		per := max(FillsPerCup(p.PotLife, PaceOf(p)), 1)
		if byPot := (b.w.Fills + per - 1) / per; byPot > n {
			b.out.PotLifeSplit = true
			n = byPot
		}
	}
	return max(n, 1)
}

func (b *builder) note(text string) { b.out.Notes = append(b.out.Notes, text) }

// volumes gives the mL of A and B in given grams, where both densities are
// known.
func volumes(p material.Profile, a, b float64) (va, vb float64) {
	if p.DensityA > 0 && p.DensityB > 0 {
		return a / p.DensityA, b / p.DensityB
	}
	return 0, 0
}
