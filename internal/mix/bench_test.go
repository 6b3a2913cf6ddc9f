package mix_test

import (
	"fmt"
	"testing"

	"github.com/pourwright/pourwright/internal/mix"
)

func BenchmarkNew(b *testing.B) {
	for _, volume := range []float64{25, 250, 25000} {
		b.Run(fmt.Sprintf("%vmL", volume), func(b *testing.B) {
			b.ReportAllocs()
			w := mix.Want{Profile: rigid(), Volume: volume, Step: 0.1}
			for b.Loop() {
				if _, err := mix.New(w); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
