package chat_test

import (
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

func BenchmarkNearest(b *testing.B) {
	names := make([]string, 500)
	for i := range names {
		names[i] = "demo rigid white number " + string(rune('a'+i%26))
	}
	b.ReportAllocs()
	for b.Loop() {
		chat.Nearest("dmeo rigid whiet", names)
	}
}
