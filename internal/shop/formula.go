package shop

import "context"

// Formula is a stored formula.
type Formula struct {
	Record
	FormulaProfile
}

// FormulaProfile is a formula as its member wrote it. Inputs and their ranges
// stand in the head of the text, so a text copied elsewhere is whole; package
// formula reads it. All of it is untrusted text.
type FormulaProfile struct {
	Name  string `json:"name"`
	Text  string `json:"text"`
	About string `json:"about,omitempty"` // what it answers
	Test  string `json:"test,omitempty"`  // inputs and the result they must give
}

// Formulas keeps formulas, under the rules of Materials.
type Formulas interface {
	Formulas(ctx context.Context, v Viewer) ([]Formula, error)
	FormulaNames(ctx context.Context, v Viewer) ([]Entry, error)
	Formula(ctx context.Context, v Viewer, id int64, version int) (Formula, error)
	FormulaHistory(ctx context.Context, v Viewer, id int64) ([]Version, error)
	AddFormula(ctx context.Context, s Stamp, p FormulaProfile, shared bool) (Formula, error)
	EditFormula(ctx context.Context, s Stamp, id int64, base int, p FormulaProfile) (Formula, error)
	RemoveFormula(ctx context.Context, s Stamp, id int64) error
}
