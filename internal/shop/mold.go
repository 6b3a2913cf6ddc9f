package shop

import (
	"context"
	"time"
)

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

// Molds keeps molds, under the rules of Materials.
type Molds interface {
	Molds(ctx context.Context, v Viewer) ([]Mold, error)
	MoldNames(ctx context.Context, v Viewer) ([]Entry, error)
	Mold(ctx context.Context, v Viewer, id int64, version int) (Mold, error)
	AddMold(ctx context.Context, s Stamp, p MoldProfile, shared bool) (Mold, error)
}
