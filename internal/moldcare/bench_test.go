package moldcare_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/moldcare"
)

func BenchmarkEstimate(b *testing.B) {
	for name, n := range map[string]int{"10 molds": 10, "500 molds": 500} {
		var lives []moldcare.Life
		for i := range n {
			lives = append(lives, moldcare.Life{Entry: float64(i % 7), End: float64(20 + i%60), Failed: i%3 == 0})
		}
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := moldcare.Estimate(moldcare.PriorOf(moldcare.Condensation), lives, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
