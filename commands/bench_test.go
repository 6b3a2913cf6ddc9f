package commands_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
)

// BenchmarkAnswer is a whole answer less its transport: the line read, the
// caller and the profile fetched from a database in memory, the sums, the
// buttons.
func BenchmarkAnswer(b *testing.B) {
	d := desk(b)
	for _, c := range []struct{ name, line string }{
		{"batch", `/batch material:"demo rigid white" volume:"250 ml"`},
		{"cure", `/cure material:"demo rigid white" mold:"harbor pawn"`},
		{"cure_epoxy", `/cure material:"demo casting epoxy" thickness:"10 mm"`},
		{"batch_mold", `/batch material:"demo rigid white" mold:"harbor pawn" count:12`},
		{"batch_near_name", `/batch material:"demo rigid whiet" volume:"250 ml"`},
		{"first", `/first material:"demo rigid white"`},
		{"safety", `/safety material:"demo rigid white"`},
		{"term", `/term word:"pot life"`},
		{"help", "/help topic:scale"},
		{"shop_show", "/shop show"},
		{"tint_look", `/tint look base:"demo rigid white" tints:"brick red 0.2%"`},
		{"tint_match", `/tint match base:"demo rigid white" target:#D9A8A0 mass:"200 g"`},
		{"batch_tint", `/batch material:"demo rigid white" volume:"250 ml" tint:"brick red 0.5%"`},
	} {
		inv := calling("bram")
		inv.Line = c.line
		b.Run(c.name, func(b *testing.B) { answers(b, d, inv) })
	}
}

func answers(b *testing.B, d *chat.Dispatcher, inv chat.Invocation) {
	b.ReportAllocs()
	for b.Loop() {
		d.Do(b.Context(), inv)
	}
}
