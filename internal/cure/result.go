package cure

import (
	"math"

	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Result is what a pour will do. Ranges are p10, p50 and p90 over the draws:
// times in s from the pour, temperatures in °C, lengths in mm. A time of 30
// days means "not within 30 days".
type Result struct {
	PotLife quantity.Range // of the cup
	// Gel runs from the core's p10 to the skin's p90.
	Gel, GelCore, GelSkin quantity.Range
	// Demold is that of the slower of thickest and thinnest section, with what
	// was learned; ThickDemold and ThinDemold are those two. Edge and Corner
	// are of the thickest section.
	Demold, ThickDemold, ThinDemold quantity.Range
	Edge, Corner                    quantity.Range
	// Physics is Demold's p50 with nothing learned: the Pred of a Log.
	Physics float64
	// Ready is the conversion from which it may be demolded, of the middle draw.
	Ready float64
	// Cool is when the face is below 45 °C for good (or within 3 °C of a
	// warmer room).
	Cool     quantity.Range
	FullCure quantity.Range // zero where the bulletin gives none, or the room is below 15 °C
	Peak     quantity.Range
	PeakAt   quantity.Range
	FacePeak quantity.Range // at the mold

	// MaxLift is the deepest single pour, zero where it was not looked for.
	// Lifts is how many pours this thickness takes.
	// Nine draws in ten stay at 100 °C or below in it, five at LiftEven; a
	// bulletin's depth is both.
	MaxLift, LiftEven float64
	Lifts             int
	// LiftFrom says what MaxLift rests on.
	LiftFrom LiftBasis
	// OneGo says that the mold is closed and too small for lifts: they are
	// those of an open pour then.
	OneGo bool

	Title  quantity.Range // the demold range to lead with: Demold, or the bulletin's
	Remind float64        // when to call people back: the later of demold and cool

	OwnLogs, SharedLogs int
	Remarks             []Remark // most pressing first
	Assumed             []string // what was taken of the setup, in words
	Curves              Curves
	Steps               []working.Step
}

// CoolFace is the temperature in °C of a part's face below which it can be
// handled; judgement.
const CoolFace = coolFace - zeroC

// LiftBasis is what the deepest pour rests on.
type LiftBasis string

// The bases of MaxLift.
const (
	LiftNone  LiftBasis = ""
	LiftDepth LiftBasis = "bulletin"
	LiftModel LiftBasis = "model"
)

// Has reports whether a remark was made.
func (r *Result) Has(f Flag) bool {
	for _, m := range r.Remarks {
		if m.Flag == f {
			return true
		}
	}
	return false
}

// RoundOut widens a range of times to what a person can act on: whole minutes
// below 30 min, 5 min below 3 h, half hours above. A low end below a minute is
// cut to 10 s.
func RoundOut(r quantity.Range) quantity.Range {
	low := math.Floor(r.Low/outStep(r.Low)) * outStep(r.Low)
	high := math.Ceil(r.High/outStep(r.High)) * outStep(r.High)
	return quantity.Range{Low: low, Mid: min(max(r.Mid, low), high), High: high}
}

// about is a single time in the steps of RoundOut: it is no surer than a range.
func about(t float64) float64 { return math.Round(t/outStep(t)) * outStep(t) }

func outStep(t float64) float64 {
	switch {
	case t < 60:
		return 10
	case t < 30*60:
		return 60
	case t < 3*3600:
		return 5 * 60
	}
	return 30 * 60
}
