package shop

import (
	"context"

	"github.com/pourwright/pourwright/internal/material"
)

// Bulk takes what a member brings along from elsewhere, many at once. Each
// method keeps all that it is given, or nothing: a name that the member has
// already is fault.NameTaken, and past a limit it is fault.LimitReached. What
// is kept is the member's alone until they share it.
type Bulk interface {
	AddMaterials(ctx context.Context, s Stamp, all []material.Profile) error
	AddMolds(ctx context.Context, s Stamp, all []MoldProfile) error
	AddTints(ctx context.Context, s Stamp, all []TintProfile) error
	AddFormulas(ctx context.Context, s Stamp, all []FormulaProfile) error
	// KeepMarks adds to the end of an own mold's log, in the order given and
	// with the times and numbers given. A mold that is retired takes them too:
	// they are its past.
	KeepMarks(ctx context.Context, s Stamp, mold int64, marks []MoldMark) error
	// KeepPours keeps pours of the past with what was found at them. A pour
	// without a material, whose MaterialID is zero, teaches nothing.
	KeepPours(ctx context.Context, s Stamp, all []Pour) error
}
