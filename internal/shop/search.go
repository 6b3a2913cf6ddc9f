package shop

import (
	"context"

	"github.com/pourwright/pourwright/internal/material"
)

// Bounds are the least and the most of a figure, both counted in; nil is open.
type Bounds struct{ Low, High *float64 }

// Open reports whether neither is set.
func (b Bounds) Open() bool { return b.Low == nil && b.High == nil }

// ShoreBounds are bounds of a reading on one Shore scale. Readings of different
// scales are never compared: there is no exact conversion.
type ShoreBounds struct {
	Scale string
	Bounds
}

// MaterialSort is by which figure what was found is sorted.
type MaterialSort string

// The orders; the smaller figure first, equal ones own first and then by name.
const (
	SortName     MaterialSort = "" // how well the words fit, own first, then by name
	SortPotLife  MaterialSort = "pot life"
	SortHardness MaterialSort = "hardness"
	SortDemold   MaterialSort = "demold"
	SortCost     MaterialSort = "cost"
)

// MaterialQuery is what is looked for among the materials that a viewer may
// see. Zero asks for nothing in particular.
type MaterialQuery struct {
	Words    []string          // each is part of the name, the family or the cured color, without case
	Families []material.Family // one of them
	Hardness []ShoreBounds     // within one of them
	PotLife  Bounds            // s
	Demold   Bounds            // s
	Cost     Bounds            // of a kilogram, in the shop's currency
	IDs      []int64           // one of them, in place of the words
	Sort     MaterialSort
	Most     int // how many are given in full
}

// MaterialsFound is what a search came to.
type MaterialsFound struct {
	Materials []Material // the first of them
	All       int        // how many there are
	// Silent fit as far as they say, but do not state a figure that was asked
	// for. They are not among the others.
	Silent int
}

// MaterialSearch looks through many profiles without reading them all. What is
// out of sight is never found or counted.
type MaterialSearch interface {
	SearchMaterials(ctx context.Context, v Viewer, q MaterialQuery) (MaterialsFound, error)
	// SearchNames gives id and name of all that fit but for the words.
	SearchNames(ctx context.Context, v Viewer, q MaterialQuery) ([]Entry, error)
}
