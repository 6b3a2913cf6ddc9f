package shop

import "context"

// Tint is a stored colorant.
type Tint struct {
	Record
	TintProfile
}

// TintProfile is a colorant by its cured swatch. Zero means "not said". What
// the base cured to is kept beside its reference: the swatch keeps its meaning
// when the material is edited, gone, or not shared with who uses the tint.
type TintProfile struct {
	Name        string  `json:"name"`
	Family      string  `json:"family"`                 // colored, white, masstone, metallic, pearl, fluorescent, glow
	Base        int64   `json:"base,omitempty"`         // the material that the swatch was cast in
	BaseVersion int     `json:"base_version,omitempty"` // and its version then
	BaseName    string  `json:"base_name,omitempty"`    // its name then
	BaseColor   string  `json:"base_color,omitempty"`   // what it cured to: a code, clear or amber
	Dose        float64 `json:"dose,omitempty"`         // of the swatch, fraction of the whole mix
	Swatch      string  `json:"swatch,omitempty"`       // #RRGGBB
	Quality     string  `json:"quality,omitempty"`      // how the swatch was read
	Wall        float64 `json:"wall,omitempty"`         // mm, thickness of the swatch; 0 is too thick to see through
	WeightOf20  float64 `json:"weight_of_20,omitempty"` // g, twenty drops
}

// Tints keeps tints, under the rules of Materials.
type Tints interface {
	Tints(ctx context.Context, v Viewer) ([]Tint, error)
	TintNames(ctx context.Context, v Viewer) ([]Entry, error)
	Tint(ctx context.Context, v Viewer, id int64, version int) (Tint, error)
	TintHistory(ctx context.Context, v Viewer, id int64) ([]Version, error)
	AddTint(ctx context.Context, s Stamp, p TintProfile, shared bool) (Tint, error)
	EditTint(ctx context.Context, s Stamp, id int64, base int, p TintProfile) (Tint, error)
	RemoveTint(ctx context.Context, s Stamp, id int64) error
}
