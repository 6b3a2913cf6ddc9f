package demo

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/shop"
)

// addTints puts ada's tints on the shelf, each known by a careful swatch in the
// base, with a drop of 0.045 g. They are invented: their colors are of the kind
// that such tints give in a white base.
func addTints(ctx context.Context, to shop.Tints, stamp shop.Stamp, base shop.Material) error {
	for _, t := range []shop.TintProfile{
		{Name: "brick red", Dose: 0.005, Swatch: "#C9837F"},
		{Name: "sea blue", Dose: 0.005, Swatch: "#7F9DC0"},
		{Name: "primrose yellow", Dose: 0.005, Swatch: "#E6CF7E"},
		{Name: "soot black", Dose: 0.002, Swatch: "#8E8E8E"},
		{Name: "leaf green", Dose: 0.005, Swatch: "#86AC8B"},
	} {
		t.Family, t.Quality, t.WeightOf20 = "colored", "careful", 0.9
		t.Base, t.BaseVersion, t.BaseName, t.BaseColor = base.ID, base.Version, base.Name, base.CuredColor
		if _, err := to.AddTint(ctx, stamp, t, true); err != nil {
			return fmt.Errorf("add %s: %w", t.Name, err)
		}
	}
	return nil
}
