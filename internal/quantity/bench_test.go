package quantity_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/quantity"
)

func BenchmarkParse(b *testing.B) {
	for _, text := range []string{"250 ml", "1 lb 4 oz", "2 3/8 in", "1h20"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, _, err := quantity.Parse(text, quantity.Want{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkText(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		quantity.Text(1318, quantity.Mass, quantity.US)
	}
}
