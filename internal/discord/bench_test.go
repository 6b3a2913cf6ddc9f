package discord

import (
	"slices"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord/fake"
)

// BenchmarkBatch is one /batch from the service's JSON to the bytes that go
// back, with a database file behind it. It reports the median besides the mean.
func BenchmarkBatch(b *testing.B) {
	desk := demoDesk(b)
	raw := fake.With(b, fake.Example(b, "02_slash_subcommand_strings"), map[string]any{
		"data": map[string]any{"id": "715000000000000401", "name": "batch", "type": 1, "options": []any{
			map[string]any{"type": 3, "name": "material", "value": "demo rigid white"},
			map[string]any{"type": 3, "name": "volume", "value": "250 ml"}}}})
	var times []time.Duration
	b.ReportAllocs()
	for b.Loop() {
		began := time.Now()
		i, _, err := Decode(raw)
		if err != nil {
			b.Fatal(err)
		}
		inv, _ := toInvocation(i, testTime)
		inv.MemberKey, inv.ShopKey = "local:ada", asAda(chat.Invocation{}).ShopKey
		desk.Foresee(b.Context(), inv)
		ans := desk.Do(b.Context(), inv)
		if ans.Reply == nil {
			b.Fatal(ans.Fault)
		}
		if _, err := marshal(callback{Type: answerMessage, Data: render(ans, 0).message}); err != nil {
			b.Fatal(err)
		}
		times = append(times, time.Since(began))
	}
	slices.Sort(times)
	b.ReportMetric(float64(times[len(times)/2].Nanoseconds()), "median-ns/op")
}

// BenchmarkDecode reads each example once.
func BenchmarkDecode(b *testing.B) {
	var all [][]byte
	for _, name := range fake.Examples("") {
		all = append(all, fake.Example(b, name))
	}
	b.ReportAllocs()
	for b.Loop() {
		for _, raw := range all {
			if i, _, _ := Decode(raw); i == nil {
				b.Fatal("not decoded")
			}
		}
	}
}
