package chat_test

import (
	"fmt"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
)

// BenchmarkDo is the dispatcher's own share of an answer: the line parsed, the
// caller found in memory, options read, buttons made.
func BenchmarkDo(b *testing.B) {
	desk := newBench(b, chat.Rate{})
	for _, c := range []struct {
		name string
		inv  chat.Invocation
	}{
		{"line", line(ada(), `/mix material:white volume:"250 ml" waste:10% pot:"3 min, 100 g, 23 C"`)},
		{"press", pressed(ada(), "1w.1./mix material:white mass:100g")},
		{"refusal", line(ada(), "/mix matreial:white")},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				desk.Do(b.Context(), c.inv)
				desk.log.Reset()
			}
		})
	}
}

// BenchmarkNearest is a name with three slips among as many as a shop shares.
func BenchmarkNearest(b *testing.B) {
	for _, n := range []int{500, 10000} {
		names := make([]string, n)
		for i := range names {
			names[i] = fmt.Sprintf("demo %s number %c%d", []string{"rigid white", "amber rubber", "clear epoxy", "tin silicone"}[i%4], 'a'+i%26, i)
		}
		b.Run(fmt.Sprint(n, " names"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				chat.Nearest("dmeo rigid whiet", names)
			}
		})
	}
}
