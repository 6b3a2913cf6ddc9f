package commands_test

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"log/slog"
	"path/filepath"
	"testing"
	"time"

	"github.com/pourwright/pourwright/commands"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// BenchmarkFind is the whole of a search among 10 000 materials that one shop
// shares: the line read, the shelf searched in its file, the answer made.
func BenchmarkFind(b *testing.B) {
	ctx := context.Background()
	limits := store.DefaultLimits()
	limits.Materials, limits.Total, limits.Shared = 1e6, 1e6, 1e6
	db, err := sqlite.Open(ctx, sqlite.Config{Path: filepath.Join(b.TempDir(), "find.db"), Rand: rand.Reader, Limits: limits})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		if err := db.Close(); err != nil {
			b.Error(err)
		}
	})
	fill(b, db, 10000)
	d, err := chat.New(chat.Config{Commands: commands.All(db.Books(), mesh.DeskLimits(), place), People: db, Lines: db,
		Log: slog.New(slog.NewTextHandler(io.Discard, nil)), NewRef: func() string { return "ref-1" }, Now: time.Now})
	if err != nil {
		b.Fatal(err)
	}
	for _, line := range []string{`words:"amber rigid"`, `words:"rigd ambr 00421"`, `pot_life:"10 min to 30 min"`, `hardness:"60 A to 80 D"`, `family:silicone pot_life:"up to 1 h" cost:"10 to 30"`} {
		b.Run(line, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				inv := calling("zoe")
				inv.ShopKey, inv.Line = "local:hall", "/material find "+line
				if ans := d.Do(ctx, inv); ans.Reply == nil || len(ans.Reply.Facts) < 2 {
					b.Fatalf("%+v", ans)
				}
			}
		})
	}
}

// fill shares n materials of twenty members in the hall.
func fill(b *testing.B, db *sqlite.DB, n int) {
	ctx := context.Background()
	owners := make([]shop.Viewer, 20)
	for i := range owners {
		m, err := db.Member(ctx, fmt.Sprint("local:owner", i), fmt.Sprint("owner", i), monday)
		if err != nil {
			b.Fatal(err)
		}
		hall, err := db.Shop(ctx, "local:hall", "hall", m.ID, monday)
		if err != nil {
			b.Fatal(err)
		}
		owners[i] = shop.Viewer{Member: m, Shop: hall}
	}
	kinds, colors := []string{"rigid", "flexible", "clear", "slow", "casting", "brushing", "toy"}, []string{"white", "amber", "black", "ivory", "gray"}
	err := db.Together(ctx, func(books shop.Books) error {
		for i := range n {
			p := material.Profile{Name: fmt.Sprintf("%s %s %05d", kinds[i%7], colors[i%5], i), Family: material.Families()[i%8],
				Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume}, PotLife: float64(60 + i%5000), CuredColor: colors[i%5],
				Hardness: &material.Hardness{Shore: float64(10 + i%80), Scale: []string{"A", "D", "00"}[i%3]}, Price: float64(20 + i%60), Pack: 1800}
			if _, err := books.Materials.AddMaterial(ctx, shop.Stamp{By: owners[i%20], At: monday}, p, true); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
}
