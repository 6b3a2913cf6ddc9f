package shop

import (
	"context"

	"github.com/pourwright/pourwright/internal/material"
)

// Material is a stored profile.
type Material struct {
	Record
	material.Profile
}

// Materials keeps material profiles. Each method sees only what the viewer
// may: own ones and those shared with the viewer's shop. Writes by anyone but
// the owner are fault.NotAllowed; a record out of sight is fault.NotFound.
type Materials interface {
	// Materials lists the visible ones, own first, then by name without case.
	Materials(ctx context.Context, v Viewer) ([]Material, error)
	// MaterialNames lists the same without their profiles, in the same order.
	MaterialNames(ctx context.Context, v Viewer) ([]Entry, error)
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
