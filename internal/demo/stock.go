package demo

import (
	"context"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// addStock puts ada's jugs on the shop's shelf.
func addStock(ctx context.Context, to shop.Stock, stamp shop.Stamp, kept map[string]shop.Material) error {
	opened := time.Date(2026, 10, 20, 0, 0, 0, 0, time.UTC)
	for _, row := range []struct {
		material, part string
		a, b           float64 // g
		opened         time.Time
	}{
		{"demo rigid white", "A", 610, 0, opened},
		{"demo rigid white", "B", 0, 480, opened},
		{"demo rigid clear", "kit", 1000, 800, time.Time{}}, // its pack of 1.8 kg by the ratio
		{"demo tin silicone", "A", 700, 0, time.Time{}},
		{"demo tin silicone", "B", 0, 56, time.Time{}},
	} {
		c := shop.Container{MaterialID: kept[row.material].ID, OpenedOn: row.opened,
			ContainerPlan: shop.ContainerPlan{Material: row.material, Part: row.part, A: row.a, B: row.b}}
		c.Shared = true
		if _, err := to.AddContainer(ctx, stamp, c); err != nil {
			return fmt.Errorf("add %s: %w", c.Name(), err)
		}
	}
	return nil
}
