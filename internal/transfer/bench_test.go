package transfer_test

import (
	"crypto/rand"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
	"github.com/pourwright/pourwright/internal/transfer"
)

// rows are so many of a kind, as a spreadsheet saves them.
func rows(kind transfer.Kind, n int) []byte {
	var b strings.Builder
	if kind == transfer.Pulls {
		b.WriteString("mold,what,why,at\n")
		for i := range n {
			fmt.Fprintf(&b, "pawn,good,,2026-11-%02dT%02d:%02d:%02dZ\n", 1+i/86400, i/3600%24, i/60%60, i%60)
		}
		return []byte(b.String())
	}
	b.WriteString("name,family,ratio,density_a_g_ml,density_b_g_ml,pot_life_s,pot_life_mass_g,pot_life_temp_c,demold_s,demold_section_mm,full_cure_s,hardness,cured_color,tint_side,min_temp_c,shelf_opened,price,pack_g,notes\n")
	for i := range n {
		fmt.Fprintf(&b, "bench white %d,urethane,1:1 vol,1.10,1.02,3 min,100,23,12 min,6,86400,74 D,#F2EFE6,B,18,4 months,42.00,1800,\"stir B first, batch %d\"\n", i, i)
	}
	return []byte(b.String())
}

// BenchmarkImport brings ten thousand rows into a database on the disk: read,
// judged, held against what is kept, and written in one transaction.
func BenchmarkImport(b *testing.B) {
	for _, kind := range []transfer.Kind{transfer.Materials, transfer.Pulls} {
		b.Run(fmt.Sprintf("10000 %s", kind), func(b *testing.B) {
			data := rows(kind, 10000)
			w := &world{ctx: b.Context()}
			var err error
			if w.DB, err = sqlite.Open(w.ctx, sqlite.Config{Path: filepath.Join(b.TempDir(), "bench.db"), Rand: rand.Reader, Limits: plenty()}); err != nil {
				b.Fatal(err)
			}
			defer func() { _ = w.Close() }()
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			n := 0
			for b.Loop() {
				b.StopTimer()
				n++
				v := w.viewer(b, fmt.Sprint("member ", n), "hall")
				if kind == transfer.Pulls {
					if _, err := w.AddMold(w.ctx, by(v), shop.MoldProfile{Name: "pawn", Family: "latex", Volume: 6, Cavities: 1}, false); err != nil {
						b.Fatal(err)
					}
				}
				b.StartTimer()
				if done := w.imported(b, v, data, kind, transfer.Choice{}).Parts[0].Done; done.Added != 10000 {
					b.Fatalf("%+v", done)
				}
			}
		})
	}
}
