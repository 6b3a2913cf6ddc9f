package postgres_test

import (
	"fmt"
	"sync"
	"testing"

	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/postgres"
	"github.com/pourwright/pourwright/internal/store/postgres/pgtest"
)

// The benchmarks are those of store/sqlite: a look finds member and shop, lists
// the names and reads one; an addition is one write with its interaction.

func BenchmarkLook(b *testing.B) {
	for _, n := range []int{10, 1000} {
		b.Run(fmt.Sprint(n, " records"), func(b *testing.B) {
			db := open(b, postgres.Config{URL: pgtest.Migrated(b), Limits: plenty()})
			v := viewer(b, db, "ada")
			err := db.Together(b.Context(), func(books shop.Books) error {
				for i := range n {
					if _, err := books.Materials.AddMaterial(b.Context(), shop.Stamp{By: v, At: testTime}, profile(fmt.Sprint("record ", i)), true); err != nil {
						return err
					}
				}
				return nil
			})
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				v := viewer(b, db, "ada")
				names, err := db.MaterialNames(b.Context(), v)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := db.Material(b.Context(), v, names[len(names)-1].ID, 0); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkAdd is with one program, and with several that wait for one another.
func BenchmarkAdd(b *testing.B) {
	for _, programs := range []int{1, 4} {
		b.Run(fmt.Sprint(programs, " programs"), func(b *testing.B) {
			address := pgtest.Migrated(b)
			dbs := make([]*postgres.DB, programs)
			for i := range dbs {
				dbs[i] = open(b, postgres.Config{URL: address, Limits: plenty()})
			}
			v := viewer(b, dbs[0], "ada")
			b.ReportAllocs()
			b.ResetTimer()
			var all sync.WaitGroup
			for i, db := range dbs {
				all.Go(func() {
					for n := i; n < b.N; n += programs {
						name := fmt.Sprint("record ", n)
						if _, err := db.AddMaterial(b.Context(), shop.Stamp{By: v, At: testTime, Interaction: name}, profile(name), true); err != nil {
							b.Error(err)
							return
						}
					}
				})
			}
			all.Wait()
		})
	}
}
