package shop

import (
	"context"
	"time"

	"github.com/pourwright/pourwright/internal/material"
)

// Record is what every owned thing has in common.
type Record struct {
	ID      int64
	Owner   MemberID
	OwnerOf string // the owner's name, for "bram's"; untrusted text
	Shared  bool   // seen by the members of Shop
	Shop    ID
	Version int // 1 for the first
	Created time.Time
	Edited  time.Time
}

// Material is a stored profile.
type Material struct {
	Record
	material.Profile
}

// Version is one line of a record's history.
type Version struct {
	Number int
	At     time.Time
	By     string // name of the member; untrusted text
}

// Mold is a stored mold.
type Mold struct {
	Record
	MoldProfile
}

// MoldProfile is what a member says of a mold. Zero means "not said".
type MoldProfile struct {
	Name         string    `json:"name"`
	Family       string    `json:"family"`              // condensation, addition, urethane, latex, plaster, other
	Volume       float64   `json:"volume"`              // mL, one cavity
	Cavities     int       `json:"cavities"`            // 1 or more
	Thickest     float64   `json:"thickest,omitempty"`  // mm
	Thinnest     float64   `json:"thinnest,omitempty"`  // mm
	Wall         float64   `json:"wall,omitempty"`      // mm of rubber
	Pulls        int       `json:"pulls,omitempty"`     // so far
	LastCoat     int       `json:"last_coat,omitempty"` // pulls at the last release coat
	ReleaseEvery int       `json:"release_every,omitempty"`
	MadeOn       time.Time `json:"made_on,omitzero"`
	Cost         float64   `json:"cost,omitempty"`    // in the shop's currency
	Retired      string    `json:"retired,omitempty"` // torn, stuck, degraded, lost, other; "" = in use
	Notes        string    `json:"notes,omitempty"`
}

// Materials keeps material profiles. Each method sees only what the viewer
// may: own ones and those shared with the viewer's shop. Writes by anyone but
// the owner are fault.NotAllowed; a record out of sight is fault.NotFound.
type Materials interface {
	// Materials lists the visible ones, own first, then by name without case.
	Materials(ctx context.Context, v Viewer) ([]Material, error)
	// Material gives one by id; version 0 is the newest.
	Material(ctx context.Context, v Viewer, id int64, version int) (Material, error)
	// MaterialHistory lists its versions, newest first.
	MaterialHistory(ctx context.Context, v Viewer, id int64) ([]Version, error)
	// AddMaterial stores version 1; a second of the owner's with that name
	// (without case) is fault.NameTaken; past the row limit fault.LimitReached.
	AddMaterial(ctx context.Context, s Stamp, p material.Profile, shared bool) (Material, error)
	// EditMaterial stores a new version. base is the version edited: another
	// edit since then is fault.NotAllowed with a message that says so.
	EditMaterial(ctx context.Context, s Stamp, id int64, base int, p material.Profile) (Material, error)
	// RemoveMaterial hides it; its versions stay for pours that used them.
	RemoveMaterial(ctx context.Context, s Stamp, id int64) error
}

// Molds keeps molds, under the same rules.
type Molds interface {
	Molds(ctx context.Context, v Viewer) ([]Mold, error)
	Mold(ctx context.Context, v Viewer, id int64, version int) (Mold, error)
	AddMold(ctx context.Context, s Stamp, p MoldProfile, shared bool) (Mold, error)
}

// People keeps members and shops.
type People interface {
	// Member finds or makes the member with that key and keeps its last name.
	Member(ctx context.Context, key, name string, at time.Time) (Member, error)
	// Shop finds or makes the shop with that key. by, if not zero, becomes a
	// manager of a shop made here.
	Shop(ctx context.Context, key, name string, by MemberID, at time.Time) (Shop, error)
	// Manages reports whether the member manages the shop by our own list.
	Manages(ctx context.Context, m MemberID, s ID) (bool, error)
	SetPrefs(ctx context.Context, s Stamp, p Prefs) error
	SetShop(ctx context.Context, s Stamp, set Settings) error
	SetManager(ctx context.Context, s Stamp, member MemberID, on bool) error
	Managers(ctx context.Context, v Viewer) ([]Member, error)
}

// FAQ is one question a shop's managers answer once for all.
type FAQ struct {
	Topic  string
	Answer string
	By     string
	At     time.Time
}

// FAQs keeps a shop's answers.
type FAQs interface {
	FAQs(ctx context.Context, v Viewer) ([]FAQ, error)
	SetFAQ(ctx context.Context, s Stamp, topic, answer string) error // an empty answer removes it
}

// Measures remembers what was measured in a file, by the hash of its bytes, so
// that a button works when the file is gone and a unit is asked for once.
type Measures interface {
	Measure(ctx context.Context, hash string) (json []byte, ok bool, err error)
	SaveMeasure(ctx context.Context, s Stamp, hash string, json []byte) error
}

// Lines keeps command lines that do not fit a button.
type Lines interface {
	Line(ctx context.Context, id string) (line string, ok bool, err error)
	SaveLine(ctx context.Context, s Stamp, line string) (id string, err error)
}

// Own answers for a member's data as a whole.
type Own interface {
	// Export gives everything held about the member as indented JSON.
	Export(ctx context.Context, v Viewer) ([]byte, error)
	// Erase removes it. Shared records go too.
	Erase(ctx context.Context, s Stamp) error
}
