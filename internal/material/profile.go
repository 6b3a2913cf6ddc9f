// Package material is the profile of a two-part casting material: what its
// technical bulletin says, each number with the condition it was measured
// under, and the checks of those numbers against each other.
//
// It leaves out who may see a profile and where it is kept (package shop).
package material

import "github.com/pourwright/pourwright/internal/quantity"

// Side is one of the two parts, or neither.
type Side string

// The two sides. The zero value means the bulletin or the owner has not said.
const (
	NoSide Side = ""
	SideA  Side = "A"
	SideB  Side = "B"
)

// Span is a shelf time as a bulletin says it. Months are calendar months, to
// be counted with the day clamped to the month's end; Days are added after.
type Span struct {
	Months int `json:"months,omitempty"`
	Days   int `json:"days,omitempty"`
}

// Hardness is a Shore reading. Scale is "00", "A" or "D"; the scales are
// different tests without an exact conversion (ISO 48-4, ASTM D2240).
type Hardness struct {
	Shore float64 `json:"shore"`
	Scale string  `json:"scale"`
}

// Profile is one version of a material. Zero means "not said" for every
// number but the temperatures, which are pointers for that reason.
type Profile struct {
	Name   string         `json:"name"`
	Family Family         `json:"family"`
	Ratio  quantity.Ratio `json:"ratio"`

	DensityA     float64 `json:"density_a,omitempty"`     // g/mL, part A
	DensityB     float64 `json:"density_b,omitempty"`     // g/mL, part B
	DensityMixed float64 `json:"density_mixed,omitempty"` // g/mL, mixed or cured

	PotLife     float64  `json:"pot_life,omitempty"`      // s
	PotLifeMass float64  `json:"pot_life_mass,omitempty"` // g in the cup of the bulletin
	PotLifeTemp *float64 `json:"pot_life_temp,omitempty"` // °C

	Demold        float64 `json:"demold,omitempty"`         // s
	DemoldSection float64 `json:"demold_section,omitempty"` // mm, thickness of the bulletin's sample
	FullCure      float64 `json:"full_cure,omitempty"`      // s

	Hardness   *Hardness `json:"hardness,omitempty"`
	CuredColor string    `json:"cured_color,omitempty"` // "#F2EFE6", "clear" or a word
	TintSide   Side      `json:"tint_side,omitempty"`
	MaxTint    float64   `json:"max_tint,omitempty"` // fraction of the mix

	MinTemp  *float64 `json:"min_temp,omitempty"`  // °C
	MaxTemp  *float64 `json:"max_temp,omitempty"`  // °C
	MaxDepth float64  `json:"max_depth,omitempty"` // mm in one pour
	MaxMass  float64  `json:"max_mass,omitempty"`  // g in one cup

	ShelfLife   Span `json:"shelf_life,omitzero"`
	ShelfOpened Span `json:"shelf_opened,omitzero"`

	Price float64 `json:"price,omitempty"`  // in the shop's currency, for one pack
	Pack  float64 `json:"pack,omitempty"`   // g, A and B together
	PackA float64 `json:"pack_a,omitempty"` // g, where the bulletin splits them
	PackB float64 `json:"pack_b,omitempty"` // g

	Heat  float64 `json:"heat,omitempty"` // J/g of mix, heat of reaction
	Notes string  `json:"notes,omitempty"`
	Link  string  `json:"link,omitempty"`
}
