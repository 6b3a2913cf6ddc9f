package shape_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/shape"
)

func BenchmarkMeasure(b *testing.B) {
	for _, k := range shape.Kinds() {
		given := sizes(b, k.Example)
		b.Run(string(k.Kind), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := shape.Measure(k.Kind, given); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
