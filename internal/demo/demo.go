// Package demo fills an empty store with a shop to try things in: Kettle Lane
// Makers' Hall, where board-game pieces, cabinet knobs and model-railway
// viaducts are cast. Its members, materials, tints, formulas and molds are all invented.
//
//	shop, err := demo.Seed(ctx, store, at)
package demo

import (
	"context"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// The keys that the demo's shop and members are found by.
const (
	ShopKey = "local:kettle-lane"
	Ada     = "local:ada" // manages the shop
	Bram    = "local:bram"
	Cleo    = "local:cleo"
)

// Seed puts the demo shop into a store in one transaction, stamped with at.
// A store that has it already is refused by its own rules and left as it was
// (fault.NameTaken).
func Seed(ctx context.Context, store shop.Together, at time.Time) error {
	err := store.Together(ctx, func(b shop.Books) error {
		stamp, err := people(ctx, b.People, at)
		if err != nil {
			return err
		}
		kept := map[string]shop.Material{}
		for _, p := range materials() {
			if kept[p.Name], err = b.Materials.AddMaterial(ctx, stamp[Ada], p, true); err != nil {
				return fmt.Errorf("add %s: %w", p.Name, err)
			}
		}
		if err := addTints(ctx, b.Tints, stamp[Ada], kept["demo rigid white"]); err != nil {
			return err
		}
		if err := addFormulas(ctx, b.Formulas, stamp[Ada]); err != nil {
			return err
		}
		if err := addStock(ctx, b.Stock, stamp[Ada], kept); err != nil {
			return err
		}
		for _, m := range molds() {
			if _, err := b.Molds.AddMold(ctx, stamp[m.owner], m.MoldProfile, true); err != nil {
				return fmt.Errorf("add %s: %w", m.Name, err)
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("seed the demo shop: %w", err)
	}
	return nil
}

// people makes the members and their shop, and gives each member's stamp.
func people(ctx context.Context, to shop.People, at time.Time) (map[string]shop.Stamp, error) {
	stamp := map[string]shop.Stamp{}
	var hall shop.Shop
	for _, m := range []struct{ key, name string }{{Ada, "ada"}, {Bram, "bram"}, {Cleo, "cleo"}} {
		member, err := to.Member(ctx, m.key, m.name, at)
		if err != nil {
			return nil, err
		}
		if m.key == Ada {
			if hall, err = to.Shop(ctx, ShopKey, "Kettle Lane Makers' Hall", member.ID, at); err != nil {
				return nil, err
			}
			hall.Set = settings()
		}
		stamp[m.key] = shop.Stamp{By: shop.Viewer{Member: member, Shop: hall}, At: at}
	}
	return stamp, to.SetShop(ctx, stamp[Ada], hall.Set)
}

func settings() shop.Settings {
	set := shop.NewSettings()
	set.Units = "metric"
	set.Temp = 21
	set.Humidity = 0.5
	set.Zone = "Europe/London"
	set.Currency = "GBP"
	set.ScaleStep = 0.1
	return set
}
