// Package part measures the file a member attaches: it asks for the unit where
// the file cannot tell it, and remembers what it measured, so that a button
// works when the file is gone and a unit is asked for once.
package part

import (
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/shop"
)

// Limits bound a stranger's file.
type Limits = mesh.Limits

// Desk measures files.
type Desk struct {
	measures shop.Measures
	limits   Limits
}

// New makes a desk that remembers in measures.
func New(measures shop.Measures, limits Limits) *Desk {
	return &Desk{measures: measures, limits: limits}
}
