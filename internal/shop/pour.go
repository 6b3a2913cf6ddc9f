package shop

import (
	"context"
	"time"

	"github.com/pourwright/pourwright/internal/quantity"
)

// PourState is where a pour stands.
type PourState string

// The states of a pour. The last three are its ends.
const (
	PourRunning  PourState = "running"
	PourReady    PourState = "ready"    // found ready to come out, still in the mold
	PourDone     PourState = "done"     // out of the mold, its pulls counted
	PourFailed   PourState = "failed"   // never set; it counts no pull and teaches nothing
	PourCanceled PourState = "canceled" // never happened; its answers do not count
)

// Ended reports that nothing more is waited for.
func (s PourState) Ended() bool { return s != PourRunning && s != PourReady }

// Pour is one filling of a mold, or of several at once, under way or past. It
// keeps the version of the material that it used. Shared means that the members
// of its shop see that it runs; what was found and noted at it stays with its
// owner.
type Pour struct {
	Record
	PourPlan
	// MaterialID and MoldID are zero once that record is gone for good, MoldID
	// also where no stored mold was used.
	MaterialID, MoldID int64
	MaterialVersion    int
	Started            time.Time
	State              PourState
	Ended              time.Time // when it was found ready, or ended; zero while it runs
	CoatsOn            int       // of a part built in coats; the first is on from the start
	CoatAt             time.Time // when the last of them went on; zero is Started
	Good, Spoiled      int       // parts, once it is done
	Answers            []Answer  // oldest first, without those taken back
	// Log is what happened to it, oldest first, without what was taken back.
	// Its owner alone has it.
	Log []PourEvent
}

// CoatedAt is when the clock of the coat that is curing began: the start of a
// pour that is built at once.
func (p Pour) CoatedAt() time.Time {
	if p.CoatAt.IsZero() {
		return p.Started
	}
	return p.CoatAt
}

// PourPlan is what was poured and what was foreseen. Zero is "not said".
type PourPlan struct {
	Material string   `json:"material"`             // its name then; untrusted text
	Mold     string   `json:"mold,omitempty"`       // likewise; of several, the first
	Fills    []Fill   `json:"fills,omitempty"`      // where several molds were filled
	Thickest float64  `json:"thickest,omitempty"`   // mm; of a part built in coats, of one
	Thinnest float64  `json:"thinnest,omitempty"`   // mm
	Volume   float64  `json:"volume,omitempty"`     // mL that reach the mold, one part's where all are alike, else the mean
	Mass     float64  `json:"mass,omitempty"`       // g of mix
	Count    int      `json:"count,omitempty"`      // parts
	Room     float64  `json:"room"`                 // °C
	Resin    *float64 `json:"resin_temp,omitempty"` // °C, the room's where not said
	MoldTemp *float64 `json:"mold_temp,omitempty"`  // °C, likewise
	Tint     string   `json:"tint,omitempty"`       // as a recipe, "brick red 0.5 %"; untrusted text
	Doses    []Dose   `json:"doses,omitempty"`
	Coats    int      `json:"coats,omitempty"` // brushed or slushed in so many; 0 is poured at once
	Where    string   `json:"where,omitempty"` // where it stands; untrusted text
	// Foreseen is the forecast that the pour began with, of one coat where
	// there are several.
	Foreseen Foreseen `json:"foreseen"`
}

// Fill is one mold of several that were filled together.
type Fill struct {
	Mold   int64   `json:"mold"`   // its number, which no other ever gets
	Name   string  `json:"name"`   // its name then; untrusted text
	Volume float64 `json:"volume"` // mL of one cavity
	Count  int     `json:"count"`  // parts
}

// InMolds lists the stored molds that a pour filled, one or several.
func (p Pour) InMolds() []Fill {
	if len(p.Fills) > 0 || p.Mold == "" {
		return p.Fills
	}
	return []Fill{{Mold: p.MoldID, Name: p.Mold, Volume: p.Volume, Count: p.Count}}
}

// Dose is one tint of a mix.
type Dose struct {
	Tint    int64   `json:"tint"`
	Version int     `json:"version"`
	Name    string  `json:"name"`  // its name then; untrusted text
	Share   float64 `json:"share"` // of the whole mix
}

// Foreseen is a forecast: times in s from the pour, or from the last coat,
// temperatures in °C.
type Foreseen struct {
	PotLife  quantity.Range `json:"pot_life,omitzero"`
	Gel      quantity.Range `json:"gel,omitzero"`
	Demold   quantity.Range `json:"demold,omitzero"`
	Cool     quantity.Range `json:"cool,omitzero"`
	Peak     quantity.Range `json:"peak,omitzero"`
	FullCure quantity.Range `json:"full_cure,omitzero"`
	// Physics is the median of Demold with nothing learned. Zero where answers
	// to this pour cannot teach: its section or its chemistry is not known.
	Physics float64 `json:"physics,omitempty"`
	Remind  float64 `json:"remind,omitempty"` // the later of demold and cool
}

// Answer is what a member found at the mold. One of the two times is set, in s
// from the pour: ready by then at the latest, soft until then at least.
type Answer struct {
	ReadyBy, SoftAt float64
	At              time.Time // when it was seen
	Shared          bool      // counts, by half, for others in the shop
}

// Look is what a member found at a pour.
type Look struct {
	Ready, Shared bool
	At            time.Time // when it was seen; zero is the time it is told
}

// What happens to a pour. The first two leave an Answer as well.
const (
	EventReady    = "ready"
	EventSoft     = "soft"
	EventDone     = "done"
	EventFailed   = "failed"
	EventCanceled = "canceled"
	EventCoat     = "coat" // the next coat is on
	EventNote     = "note"
)

// PourEvent is one thing that happened to a pour.
type PourEvent struct {
	What string
	At   time.Time
	// Readied says that the pour was not found ready before it was done, so
	// that its end counts as "ready by then".
	Readied       bool
	Good, Spoiled int    // parts, of done
	Pulls         int    // that it counted
	Why           string // of done and failed; untrusted text
	Text, Photo   string // of a note; untrusted text, a link
}

// PourEnd is how a pour ends.
type PourEnd struct {
	State         PourState // PourDone, PourFailed or PourCanceled
	Good, Spoiled int       // parts, of PourDone
	Why           string
	At            time.Time  // when it was out, of PourDone; zero is the time it is told
	Pulls         []PourPull // to be counted, of PourDone
}

// PourPull is a pull of one of the molds of a pour.
type PourPull struct {
	Mold int64
	Good bool
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

// TakeBackTime is how long what was said of a pour or a mold can be taken back.
const TakeBackTime = 10 * time.Minute

// Pours keeps pours and what was found at them. A pour is changed by its owner
// alone; the members of its shop see it where it is shared.
type Pours interface {
	// StartPour keeps a pour that begins at the stamp's time. It takes from p
	// the plan, the material with its version, the molds, and whether it is
	// shared. A material or mold out of sight is fault.NotFound; past the limit
	// of running ones fault.LimitReached. The oldest ended give way.
	StartPour(ctx context.Context, s Stamp, p Pour) (Pour, error)
	// Pours lists the viewer's own, running ones first, newest first, at most
	// that many, without their logs.
	Pours(ctx context.Context, v Viewer, most int) ([]Pour, error)
	// Running lists what is in a mold and in sight of the viewer: running, or
	// found ready and not done; the viewer's own, and those that others share
	// with the viewer's shop. Oldest first, the newest of them where there are
	// more than most. Without answers and logs.
	Running(ctx context.Context, v Viewer, most int) ([]Pour, error)
	// Pour gives one by id; fault.UnknownPour where it is out of sight.
	Pour(ctx context.Context, v Viewer, id int64) (Pour, error)
	// CureLogs gives what teaches about a material: the viewer's own answers
	// and those that others shared with the viewer's shop, oldest first, of
	// pours that were neither canceled nor failed.
	CureLogs(ctx context.Context, v Viewer, material int64) ([]CureLog, error)
}

// PourLog keeps what happens to pours. Each entry is the owner's alone to make,
// at the stamp's time (else fault.NotAllowed), and all it did is taken back
// with it.
type PourLog interface {
	// AnswerPour keeps that a running pour was ready, or still soft. One that
	// was found ready takes no further answer but that it was ready earlier
	// still, which stands in the place of that; shared shares the answers it
	// has: else fault.NotAllowed. What was seen before the pour, in the future,
	// or ready before it was soft is fault.BadTime.
	AnswerPour(ctx context.Context, s Stamp, id int64, look Look) (Pour, error)
	// EndPour ends a pour. Done counts the pulls, and is an answer as well where
	// it was not found ready before; out before the last answer is
	// fault.BadTime. The calls still to come for it end. One that has ended can
	// still be canceled; else fault.NotAllowed.
	EndPour(ctx context.Context, s Stamp, id int64, end PourEnd) (Pour, error)
	// CoatPour keeps that the next coat is on; with all of them on it is
	// fault.NotAllowed. The calls to come for the pour end: the next is
	// FollowUp's.
	CoatPour(ctx context.Context, s Stamp, id int64) (Pour, error)
	// NotePour keeps a note, a link to a photo, or both, also of one that ended.
	NotePour(ctx context.Context, s Stamp, id int64, text, photo string) (Pour, error)
	// FollowUp adds a call that the last entry of a pour's log calls for: it is
	// withdrawn when that is taken back.
	FollowUp(ctx context.Context, s Stamp, id int64, d Due) (Due, error)
	// ShowPour lets the members of a pour's shop see it, or not, whatever
	// became of it.
	ShowPour(ctx context.Context, s Stamp, id int64, shared bool) (Pour, error)
	// TakeBack takes the member's last entry back if it is not older than
	// TakeBackTime, of that pour or, with id 0, of whichever it was; else
	// fault.NotFound.
	TakeBack(ctx context.Context, s Stamp, id int64) (Pour, PourEvent, error)
}
