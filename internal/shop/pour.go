package shop

import (
	"context"
	"time"

	"github.com/pourwright/pourwright/internal/quantity"
)

// PourState is where a pour stands.
type PourState string

// The states of a pour.
const (
	PourRunning  PourState = "running"
	PourReady    PourState = "ready"    // found ready to come out
	PourCanceled PourState = "canceled" // never happened; its answers do not count
)

// Pour is one filling of a mold under way or past. It keeps the version of the
// material that it used.
type Pour struct {
	Record
	PourPlan
	// MaterialID and MoldID are zero once that record is gone for good, MoldID
	// also where no stored mold was used.
	MaterialID, MoldID int64
	MaterialVersion    int
	Started            time.Time
	State              PourState
	Ended              time.Time // zero while it runs
	Answers            []Answer  // oldest first, without those taken back
}

// PourPlan is what was poured and what was foreseen. Zero is "not said".
type PourPlan struct {
	Material string   `json:"material"`             // its name then; untrusted text
	Mold     string   `json:"mold,omitempty"`       // likewise
	Thickest float64  `json:"thickest,omitempty"`   // mm
	Thinnest float64  `json:"thinnest,omitempty"`   // mm
	Volume   float64  `json:"volume,omitempty"`     // mL that reach the mold
	Mass     float64  `json:"mass,omitempty"`       // g of mix
	Count    int      `json:"count,omitempty"`      // parts
	Room     float64  `json:"room"`                 // °C
	Resin    *float64 `json:"resin_temp,omitempty"` // °C, the room's where not said
	MoldTemp *float64 `json:"mold_temp,omitempty"`  // °C, likewise
	// Foreseen is the forecast that the pour began with.
	Foreseen Foreseen `json:"foreseen"`
}

// Foreseen is a forecast: times in s from the pour, temperatures in °C.
type Foreseen struct {
	PotLife quantity.Range `json:"pot_life,omitzero"`
	Gel     quantity.Range `json:"gel,omitzero"`
	Demold  quantity.Range `json:"demold,omitzero"`
	Cool    quantity.Range `json:"cool,omitzero"`
	Peak    quantity.Range `json:"peak,omitzero"`
	// Physics is the median of Demold with nothing learned. Zero where answers
	// to this pour cannot teach: its section or its chemistry is not known.
	Physics float64 `json:"physics,omitempty"`
	Remind  float64 `json:"remind,omitempty"` // the later of demold and cool
}

// Answer is what a member found at the mold. One of the two times is set, in s
// from the pour.
type Answer struct {
	ReadyBy, SoftAt float64
	At              time.Time
	Shared          bool // counts, by half, for others in the shop
}

// CureLog is an answer as it teaches: with the forecast of its pour and the
// version of the material.
type CureLog struct {
	Pour            int64
	Owner           MemberID
	MaterialVersion int
	Physics         float64 // s
	ReadyBy, SoftAt float64 // s; one is zero
}

// TakeBackTime is how long an answer can be taken back.
const TakeBackTime = 10 * time.Minute

// Pours keeps pours and what was found at them. A pour is seen and changed by
// its owner; its shared answers teach others in the shop.
type Pours interface {
	// StartPour keeps a pour that begins at the stamp's time. It takes from p
	// the plan, the material with its version, and the mold. A material or mold
	// out of sight is fault.NotFound; past the limit of running ones
	// fault.LimitReached. The oldest ended give way.
	StartPour(ctx context.Context, s Stamp, p Pour) (Pour, error)
	// Pours lists the viewer's own, running ones first, newest first, at most
	// that many.
	Pours(ctx context.Context, v Viewer, most int) ([]Pour, error)
	// Pour gives one by id; fault.UnknownPour where it is out of sight.
	Pour(ctx context.Context, v Viewer, id int64) (Pour, error)
	// CancelPour ends a pour that never happened and takes its answers back.
	CancelPour(ctx context.Context, s Stamp, id int64) (Pour, error)
	// AnswerPour keeps that it was ready, or still soft, at the stamp's time. A
	// pour that was found ready takes no further answer, but shared shares the
	// answers it has: else fault.NotAllowed.
	AnswerPour(ctx context.Context, s Stamp, id int64, ready, shared bool) (Pour, error)
	// TakeBack removes the member's last answer if it is not older than
	// TakeBackTime, of that pour or, with id 0, of whichever it was; else
	// fault.NotFound. A pour found ready runs again.
	TakeBack(ctx context.Context, s Stamp, id int64) (Pour, Answer, error)
	// CureLogs gives what teaches about a material: the viewer's own answers
	// and those that others shared with the viewer's shop, oldest first, of
	// pours that are not canceled.
	CureLogs(ctx context.Context, v Viewer, material int64) ([]CureLog, error)
}
