package mix

import (
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Amounts of a first pour, in g. Common practice, no source: 50 to 60 g on a
// scale that shows 1 g, 20 g only on one that shows 0.1 g.
const (
	trialCoarse = 60.0
	trialFine   = 20.0
	fineStep    = 0.1
)

// Trial is a first pour, for one or for a class.
type Trial struct {
	Cup    Cup // for each person; volumes where the material has no weights
	People int
	// ByVolume is true where the cup is measured in mL; NoWeights says why.
	ByVolume  bool
	NoWeights string
	// A and B are what the class uses: g, or mL where ByVolume.
	A, B float64
	// TooSmall is true where even this cup is below the scale's least batch;
	// the cup has then been raised to that batch if that is at most 250 g.
	Raised   bool
	TooSmall bool
	Density  float64
}

// TrialMass is the total of a first cup for a scale step in g.
func TrialMass(step float64) float64 {
	if step <= fineStep+1e-12 {
		return trialFine
	}
	return trialCoarse
}

// trialMost is the largest first cup: beyond it a beginner holds too much heat.
const trialMost = 250.0

// FirstPour works out a trial cup for each of people (1 to 60). A cup below
// the least batch of the scale is raised to it, up to 250 g. step is in g;
// zero is DefaultStep. Errors: out_of_range, and those of New.
func FirstPour(m material.Profile, people int, step float64) (Trial, error) {
	if step == 0 {
		step = DefaultStep
	}
	if people < 1 || people > 60 {
		return Trial{}, fault.New(fault.OutOfRange, "%d people are outside 1 to 60", people).In("people").Hint("give the size of one class, such as 8")
	}
	mass := TrialMass(step)
	t := Trial{People: people}
	if r, ok := m.ByWeight(); ok {
		if least := MinBatch(r, step, TolLow); least > mass {
			mass, t.Raised = min(ceilTo(least, 5), trialMost), true
		}
	}
	if m.MaxMass > 0 {
		mass = min(mass, m.MaxMass)
	}
	b, err := trialBatch(m, mass, step)
	if err != nil {
		return Trial{}, err
	}
	t.Cup, t.NoWeights, t.TooSmall, t.Density = b.Cups[0], b.NoWeights, b.TooSmall, b.Density
	t.ByVolume = b.NoWeights != ""
	n := float64(people)
	if t.ByVolume {
		t.A, t.B = n*t.Cup.VolumeA, n*t.Cup.VolumeB
	} else {
		t.A, t.B = clean(n*t.Cup.A), clean(n*t.Cup.B)
	}
	return t, nil
}

// trialBatch takes mL for grams where the profile has no density at all: for a
// trial cup measured by volume the difference does not matter.
func trialBatch(m material.Profile, mass, step float64) (Batch, error) {
	_, weigh := m.ByWeight()
	_, dense := m.Mixed()
	if !weigh && !dense && m.Ratio.By == quantity.ByVolume {
		none := 0.0
		return New(Want{Profile: m, Volume: mass, Waste: &none, Step: step})
	}
	return New(Want{Profile: m, Mass: mass, Step: step})
}

func ceilTo(v, step float64) float64 {
	n := int(v / step)
	if float64(n)*step < v-1e-9 {
		n++
	}
	return float64(n) * step
}
