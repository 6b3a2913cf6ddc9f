package transfer_test

import (
	"context"

	"github.com/pourwright/pourwright/internal/shop"
)

// Books with nothing in them, for fuzzing: a database would be most of the
// time. What is written to a real one is the round trip's matter.
// The stores of the interfaces are named apart from their methods.
type (
	keepsMaterials = shop.Materials
	keepsMolds     = shop.Molds
	keepsTints     = shop.Tints
	keepsFormulas  = shop.Formulas
	keepsPours     = shop.Pours
	keepsStock     = shop.Stock

	noMaterials struct{ keepsMaterials }
	noMolds     struct{ keepsMolds }
	noTints     struct{ keepsTints }
	noFormulas  struct{ keepsFormulas }
	noPours     struct{ keepsPours }
	noStock     struct{ keepsStock }
	noBulk      struct{ shop.Bulk }
)

func (noMaterials) Materials(context.Context, shop.Viewer) ([]shop.Material, error) { return nil, nil }
func (noMolds) Molds(context.Context, shop.Viewer) ([]shop.Mold, error)             { return nil, nil }
func (noTints) Tints(context.Context, shop.Viewer) ([]shop.Tint, error)             { return nil, nil }
func (noFormulas) Formulas(context.Context, shop.Viewer) ([]shop.Formula, error)    { return nil, nil }
func (noPours) Pours(context.Context, shop.Viewer, int) ([]shop.Pour, error)        { return nil, nil }

func (noStock) Containers(context.Context, shop.Viewer, ...int64) ([]shop.Container, error) {
	return nil, nil
}

func paperBooks() shop.Books {
	return shop.Books{Materials: noMaterials{}, Molds: noMolds{}, Tints: noTints{}, Formulas: noFormulas{}, Pours: noPours{}, Stock: noStock{}, Bulk: noBulk{}}
}
