package shop

import (
	"context"
	"time"
)

// Container is a jug or a pack. What is said of it, its owner says; the members
// of its shop open it and draw from it where it is shared.
type Container struct {
	Record
	ContainerPlan
	MaterialID int64     // zero once that record is gone for good
	OpenedOn   time.Time // a day, in UTC at midnight; zero while it is sealed
	Finished   time.Time // zero while it stands on the shelf
	Call       int64     // the due that calls before it is too old; zero without

	UsedA, UsedB float64 // g drawn so far
	Reckoned     float64 // g of those that pours drew, unweighed, since the last weighing
	UsedAt       time.Time
}

// ContainerPlan is what is said of a container. Zero is "not said".
type ContainerPlan struct {
	Material string    `json:"material"` // its name then; untrusted text
	Part     string    `json:"part"`     // A, B or kit
	A        float64   `json:"a,omitempty"`
	B        float64   `json:"b,omitempty"`   // g when it was added
	Lot      string    `json:"lot,omitempty"` // untrusted text
	Bought   time.Time `json:"bought,omitzero"`
	UseBy    time.Time `json:"use_by,omitzero"` // the day on the label
	Tare     float64   `json:"tare,omitempty"`  // g of the empty container
	Low      float64   `json:"low,omitempty"`   // g at which to be told
}

// Name tells a container from others, "demo rigid white A", "demo rigid clear pack".
func (p ContainerPlan) Name() string {
	if p.Part == "kit" {
		return p.Material + " pack"
	}
	return p.Material + " " + p.Part
}

// Left is what is in it, in g of A and of B.
func (c Container) Left() (a, b float64) { return max(c.A-c.UsedA, 0), max(c.B-c.UsedB, 0) }

// LeftAll is both together.
func (c Container) LeftAll() float64 {
	a, b := c.Left()
	return a + b
}

// What happens to a container.
const (
	StockOpened   = "open"
	StockUsed     = "use"
	StockWeighed  = "weigh"
	StockPoured   = "pour"
	StockFinished = "finish"
)

// StockEvent is one thing that happened to a container.
type StockEvent struct {
	What string
	At   time.Time
	By   string  // whose hand it was, "" once that member is erased; untrusted text
	A, B float64 // g drawn; of a weighing, how far the book was off
	Pour int64   // that drew it, zero where none is kept
}

// StockDraw is what is taken out of one container.
type StockDraw struct {
	Container int64
	What      string  // StockUsed, StockWeighed or StockPoured
	A, B      float64 // g
	Pour      int64   // of StockPoured
	// Opened is the day on which a sealed one counts as opened.
	Opened time.Time
}

// ContainerChange is one change; what is nil stays.
type ContainerChange struct {
	Opened    *time.Time // it is open since that day: anyone who sees it may say so
	Call      *int64     // the due that belongs to it: who opened it
	Finished  bool       // it is empty, or thrown away
	Shared    *bool
	Tare, Low *float64
}

// Stock keeps containers. Whoever sees one sees what happened to it, opens it
// and draws from it; the rest is its owner's alone (else fault.NotAllowed).
type Stock interface {
	// Containers lists those in sight that are not finished, and the viewer's
	// own finished ones, by number: of the materials with these ids, or of all.
	Containers(ctx context.Context, v Viewer, of ...int64) ([]Container, error)
	// ContainerLog lists what happened to one, newest first.
	ContainerLog(ctx context.Context, v Viewer, id int64, most int) ([]StockEvent, error)
	// AddContainer keeps a new one; it takes the plan, the material, the day it
	// was opened and whether it is shared from c.
	AddContainer(ctx context.Context, s Stamp, c Container) (Container, error)
	// ChangeContainer carries out a change. One that is finished takes none.
	ChangeContainer(ctx context.Context, s Stamp, id int64, change ContainerChange) (Container, error)
	// DrawStock takes amounts out of containers, and opens those that are
	// sealed. More than is left is fault.NotEnoughStock. Draws of a pour are
	// given back when that is canceled.
	DrawStock(ctx context.Context, s Stamp, draws []StockDraw) ([]Container, error)
	// UndoStock takes the last thing that happened to a container back, by whom
	// it was, if it is not older than TakeBackTime; else fault.NotFound. What a
	// pour drew goes back with the pour: fault.NotAllowed.
	UndoStock(ctx context.Context, s Stamp, id int64) (Container, StockEvent, error)
	// RemoveContainer hides it, with its log.
	RemoveContainer(ctx context.Context, s Stamp, id int64) error
}
