package shop

import (
	"context"
	"time"
)

// Mold is a stored mold.
type Mold struct {
	Record
	MoldProfile
	Tally MoldTally
}

// MoldTally is what was counted at a mold since it was added.
type MoldTally struct {
	Good, Spoiled int
	Late          int  // of both: pulled with the release coat overdue
	LastLate      bool // the last pull was one of them
	Coats         int
	SinceCoat     int       // pulls since the last of them
	CoatAt        time.Time // zero without one
}

// PullsSoFar are all the pulls that a mold has had.
func (m Mold) PullsSoFar() int { return m.Pulls + m.Tally.Good + m.Tally.Spoiled }

// CoatedAt is how many pulls it had had at its last release coat.
func (m Mold) CoatedAt() int {
	if m.Tally.Coats > 0 {
		return m.PullsSoFar() - m.Tally.SinceCoat
	}
	return m.LastCoat
}

// MoldMark is one entry of a mold's log.
type MoldMark struct {
	What   string // MarkGood, MarkSpoiled or MarkCoat
	Number int    // pulls so far, with it
	Late   bool
	Why    string // untrusted text
	At     time.Time
}

// What a mark says.
const (
	MarkGood    = "good"
	MarkSpoiled = "spoiled"
	MarkCoat    = "coat"
)

// MoldProfile is what a member says of a mold. Zero means "not said".
type MoldProfile struct {
	Name         string    `json:"name"`
	Family       string    `json:"family"`              // condensation, addition, urethane, latex, plaster, other
	Volume       float64   `json:"volume"`              // mL, one cavity
	Cavities     int       `json:"cavities"`            // 1 or more
	Thickest     float64   `json:"thickest,omitempty"`  // mm
	Thinnest     float64   `json:"thinnest,omitempty"`  // mm
	Wall         float64   `json:"wall,omitempty"`      // mm of rubber
	Pulls        int       `json:"pulls,omitempty"`     // when it was added; later ones are in the tally
	LastCoat     int       `json:"last_coat,omitempty"` // pulls at the last release coat then
	ReleaseEvery int       `json:"release_every,omitempty"`
	MadeOn       time.Time `json:"made_on,omitzero"`
	Cost         float64   `json:"cost,omitempty"`    // in the shop's currency
	Retired      string    `json:"retired,omitempty"` // torn, stuck, degraded, lost, other; "" = in use
	RetiredNote  string    `json:"retired_note,omitempty"`
	Notes        string    `json:"notes,omitempty"`
}

// Molds keeps molds, under the rules of Materials.
type Molds interface {
	Molds(ctx context.Context, v Viewer) ([]Mold, error)
	MoldNames(ctx context.Context, v Viewer) ([]Entry, error)
	Mold(ctx context.Context, v Viewer, id int64, version int) (Mold, error)
	MoldHistory(ctx context.Context, v Viewer, id int64) ([]Version, error)
	AddMold(ctx context.Context, s Stamp, p MoldProfile, shared bool) (Mold, error)
	EditMold(ctx context.Context, s Stamp, id int64, base int, p MoldProfile) (Mold, error)
	RemoveMold(ctx context.Context, s Stamp, id int64) error
}

// Pulls keeps the log of molds: their pulls and release coats. Whoever sees a
// mold sees its log; its owner alone writes there, and not once it is retired
// (else fault.NotAllowed).
type Pulls interface {
	// PullMold counts a pull. It is late where the release coat was due.
	PullMold(ctx context.Context, s Stamp, id int64, good bool, why string) (Mold, error)
	// CoatMold keeps that a release coat was put on.
	CoatMold(ctx context.Context, s Stamp, id int64) (Mold, error)
	// UndoMark takes the last mark back if it is not older than TakeBackTime;
	// else fault.NotFound.
	UndoMark(ctx context.Context, s Stamp, id int64) (Mold, MoldMark, error)
	// MoldMarks lists the log, newest first, at most that many.
	MoldMarks(ctx context.Context, v Viewer, id int64, most int) ([]MoldMark, error)
}
