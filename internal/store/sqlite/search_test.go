package sqlite_test

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// shelfOf fills a database with n materials that twenty members share in one
// shop, as different as those of bulletins.
func shelfOf(t testing.TB, n int) (*sqlite.DB, shop.Viewer) {
	t.Helper()
	ctx := context.Background()
	db := openFile(t, sqlite.Config{Path: filepath.Join(t.TempDir(), "shelf.db"), Limits: plenty()})
	v := mustView(t, db)
	owners := make([]shop.Viewer, 20)
	for i := range owners {
		m, err := db.Member(ctx, fmt.Sprint("local:owner", i), fmt.Sprint("owner", i), testTime)
		if err != nil {
			t.Fatal(err)
		}
		owners[i] = shop.Viewer{Member: m, Shop: v.Shop}
	}
	kinds := []string{"rigid", "flexible", "clear", "slow", "casting", "brushing", "toy", "knob"}
	colors := []string{"white", "amber", "black", "ivory", "gray"}
	families := material.Families()
	scales := []string{"A", "D", "00"}
	err := db.Together(ctx, func(b shop.Books) (err error) {
		for i := range n {
			p := profile(fmt.Sprintf("%s %s %05d", kinds[i%len(kinds)], colors[i%len(colors)], i))
			p.Family = families[i%len(families)]
			p.PotLife = float64(60 + i%5000)
			p.CuredColor = colors[i%len(colors)]
			p.Price, p.Pack = float64(20+i%60), 1800
			if i%10 != 0 {
				p.Demold = p.PotLife * 5
				p.Hardness = &material.Hardness{Shore: float64(10 + i%80), Scale: scales[i%3]}
			}
			_, more := b.Materials.AddMaterial(ctx, shop.Stamp{By: owners[i%len(owners)], At: testTime}, p, true)
			err = errors.Join(err, more)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return db, v
}

func between(low, high float64) shop.Bounds { return shop.Bounds{Low: &low, High: &high} }

// BenchmarkSearch looks through 10 000 materials that a shop shares.
func BenchmarkSearch(b *testing.B) {
	db, v := shelfOf(b, 10000)
	ctx := context.Background()
	for name, q := range map[string]shop.MaterialQuery{
		"one word":  {Words: []string{"amber"}, Most: 20},
		"two words": {Words: []string{"flexible", "amber"}, Most: 20},
		"nothing":   {Words: []string{"nothing"}, Most: 20},
		"pot life":  {PotLife: between(600, 1800), Sort: shop.SortPotLife, Most: 20},
		"hardness":  {Hardness: []shop.ShoreBounds{{Scale: "A", Bounds: between(60, 100)}, {Scale: "D", Bounds: between(0, 80)}}, Sort: shop.SortHardness, Most: 20},
		"all":       {Words: []string{"clear"}, PotLife: between(60, 3000), Demold: between(60, 6000), Cost: between(10, 30), Sort: shop.SortPotLife, Most: 20},
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := db.SearchMaterials(ctx, v, q); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	b.Run("names", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := db.SearchNames(ctx, v, shop.MaterialQuery{}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("names by list", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := db.MaterialNames(ctx, v); err != nil {
				b.Fatal(err)
			}
		}
	})
}
