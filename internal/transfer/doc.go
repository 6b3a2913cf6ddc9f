// Package transfer takes a member's things out as a file and back in: profiles
// of materials, molds, tints and formulas, and the logs of molds and pours, as
// CSV for a spreadsheet or as JSON.
//
// One table of columns per kind (materials.go, molds.go …) says how each value
// is named, written and read, for both formats alike. A file is read in two
// steps: Read turns a stranger's bytes into rows of cells, within limits, and
// Look holds the rows against what the member keeps and says of each what
// would happen. Import looks again and writes, all or nothing.
//
//	file, err := transfer.Read(data, transfer.Materials)
//	plan, err := desk.Look(ctx, viewer, at, file)           // writes nothing
//	done, err := desk.Import(ctx, stamp, file, transfer.Choice{OnClash: transfer.Skip})
//
// A file holds the newest versions and no ids. Whose a thing was and who could
// see it is left out too: what is brought along is the member's alone.
package transfer

import (
	"slices"

	"github.com/pourwright/pourwright/internal/shop"
)

// Schema is what a JSON file says of itself. It changes when a column changes
// its meaning or goes; a new column or kind does not change it.
const Schema = "pourwright/1"

// Kind is what rows are.
type Kind string

// The kinds, in the order in which they are brought along: a tint names its
// base, a pull its mold, a pour both.
const (
	Materials Kind = "materials"
	Molds     Kind = "molds"
	Tints     Kind = "tints"
	Formulas  Kind = "formulas"
	Pulls     Kind = "pulls"
	Pours     Kind = "pours"

	// Containers name their material. Their log stays behind.
	Containers Kind = "containers"
)

// Kinds lists them in that order.
func Kinds() []Kind { return []Kind{Materials, Molds, Tints, Formulas, Pulls, Pours, Containers} }

// One is what a single row of the kind is called.
func (k Kind) One() string { return string(k[:len(k)-1]) }

func known(name string) bool { return slices.Contains(Kinds(), Kind(name)) }

// Format is how a file is written.
type Format string

// The formats.
const (
	CSV  Format = "csv"
	JSON Format = "json"
)

// Limits of a stranger's file. Ten thousand rows of everything a profile can
// say take some 5 MB (common practice, no source).
const (
	MaxBytes  = 16 << 20
	maxRows   = 20000
	maxCells  = 100     // of a row
	maxCell   = 8 << 10 // bytes: what a whole profile may take
	maxList   = 256 << 10
	maxDepth  = 8             // of nested JSON
	maxValues = 125 * maxRows // of JSON, names too: twice what a pour's columns come to, and its lists
	maxSkip   = 1000          // of one JSON value that is left out
)

// Desk carries things out of the books and into them.
type Desk struct {
	books  shop.Books
	checks Checks
}

// Checks are judgments that belong to other packages. Nil takes everything.
type Checks struct {
	Tint    func(shop.TintProfile) error
	Formula func(shop.FormulaProfile) error
}

// New makes a desk over the books.
func New(books shop.Books, checks Checks) *Desk { return &Desk{books, checks} }
