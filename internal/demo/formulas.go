package demo

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/shop"
)

// addFormulas puts a formula of ada's on the shelf: what many ask before they
// build a mold box.
func addFormulas(ctx context.Context, to shop.Formulas, stamp shop.Stamp) error {
	p := shop.FormulaProfile{
		Name:  "block mold rubber",
		About: "silicone round a master in a box, with 12 mm of wall",
		Text: `input length = 60 mm (5 mm to 1 m): of the master
input width = 40 mm (5 mm to 1 m)
input height = 20 mm (5 mm to 1 m)
let wall = 12 mm
let around = box(length + 2 * wall, width + 2 * wall, height + 2 * wall)
let rubber = around - box(length, width, height)
batch(rubber, "demo tin silicone")`,
		Test: "length 60 mm, width 40 mm, height 20 mm -> mass_a 224.0 g, mass_b 17.9 g",
	}
	if _, err := to.AddFormula(ctx, stamp, p, true); err != nil {
		return fmt.Errorf("add %s: %w", p.Name, err)
	}
	return nil
}
