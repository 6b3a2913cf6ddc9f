package forecast_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/quantity"
)

// BenchmarkCup is a cup asked for the first time, of a material known or not,
// and one that was asked for before.
func BenchmarkCup(b *testing.B) {
	ask := func(b *testing.B, d *forecast.Desk, mass float64) {
		if _, err := d.Cup(b.Context(), white(), mass, 21, quantity.Metric); err != nil {
			b.Fatal(err)
		}
	}
	b.Run("new material", func(b *testing.B) {
		for b.Loop() {
			ask(b, desk(), 276)
		}
	})
	b.Run("new mass", func(b *testing.B) {
		d, mass := desk(), 20.0
		ask(b, d, mass)
		for b.Loop() {
			if mass *= 1.02; mass > 2000 {
				mass, d = 20, desk()
			}
			ask(b, d, mass)
		}
	})
	b.Run("known", func(b *testing.B) {
		d := desk()
		ask(b, d, 276)
		b.ReportAllocs()
		for b.Loop() {
			ask(b, d, 276)
		}
	})
}
