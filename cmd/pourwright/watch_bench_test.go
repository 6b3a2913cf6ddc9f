package main

import (
	"crypto/rand"
	"log/slog"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/ops"
)

// BenchmarkWatched is one call without and with somebody who counts: an answer
// of the demo shop, and the shortest refusal there is.
func BenchmarkWatched(b *testing.B) {
	at := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	p := program{Now: time.Now, Rand: rand.Reader}
	db, err := p.openDemo(b.Context(), at)
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	metrics := ops.New("bench", time.Now)
	for _, call := range []struct{ name, line string }{
		{"answer", `/batch material:"demo rigid white" volume:"250 ml"`},
		{"refusal", "/nothing"},
	} {
		for _, who := range []struct {
			name  string
			watch chat.Observer
		}{{"nobody", nil}, {"metrics", metrics}} {
			b.Run(call.name+"/"+who.name, func(b *testing.B) {
				desk, err := p.newDesk(db, slog.New(slog.DiscardHandler), mesh.DeskLimits(), chat.Rate{}, "", who.watch)
				if err != nil {
					b.Fatal(err)
				}
				(&watch{metrics: metrics}).know(&p, desk, db, &wayIn{part: "gateway"}, nil)
				inv := chat.Invocation{At: at, MemberKey: "local:ada", MemberName: "ada", ShopKey: "local:kettle-lane", Line: call.line}
				b.ReportAllocs()
				for b.Loop() {
					desk.Do(b.Context(), inv)
				}
			})
		}
	}
}
