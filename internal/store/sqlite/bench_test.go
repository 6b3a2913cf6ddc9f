package sqlite_test

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// BenchmarkOpenAndLook is what one shot of a command costs the store: open a
// file that is there, find member and shop, list the names, read one, close.
func BenchmarkOpenAndLook(b *testing.B) {
	for _, n := range []int{10, 1000} {
		b.Run(fmt.Sprint(n, " records"), func(b *testing.B) {
			ctx := context.Background()
			path := filepath.Join(b.TempDir(), "bench.db")
			filled(b, path, n)
			b.ReportAllocs()
			for b.Loop() {
				db, err := sqlite.Open(ctx, sqlite.Config{Path: path, Rand: rand.Reader})
				if err != nil {
					b.Fatal(err)
				}
				if err := errors.Join(look(ctx, db), db.Close()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkLook is the same in a program that keeps running.
func BenchmarkLook(b *testing.B) {
	for _, n := range []int{10, 1000} {
		b.Run(fmt.Sprint(n, " records"), func(b *testing.B) {
			ctx := context.Background()
			path := filepath.Join(b.TempDir(), "bench.db")
			filled(b, path, n)
			db := openFile(b, sqlite.Config{Path: path})
			b.ReportAllocs()
			for b.Loop() {
				if err := look(ctx, db); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func look(ctx context.Context, db *sqlite.DB) error {
	v, err := viewer(ctx, db)
	if err != nil {
		return err
	}
	names, err := db.MaterialNames(ctx, v)
	if err != nil {
		return err
	}
	_, err = db.Material(ctx, v, names[len(names)-1].ID, 0)
	return err
}

// BenchmarkAdd is one write with its interaction, synced to the disk.
func BenchmarkAdd(b *testing.B) {
	ctx := context.Background()
	db := openFile(b, sqlite.Config{Path: filepath.Join(b.TempDir(), "bench.db"), Limits: plenty()})
	v, err := viewer(ctx, db)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		n++
		name := fmt.Sprint("record ", n)
		if _, err := db.AddMaterial(ctx, shop.Stamp{By: v, At: testTime, Interaction: name}, profile(name), true); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSaveLine is what a button of a reply costs: the first time for a
// line, and again for one that is there.
func BenchmarkSaveLine(b *testing.B) {
	for _, again := range []bool{false, true} {
		b.Run(fmt.Sprintf("again=%v", again), func(b *testing.B) {
			ctx := context.Background()
			db := openFile(b, sqlite.Config{Path: filepath.Join(b.TempDir(), "bench.db")})
			v, err := viewer(ctx, db)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			n := 0
			for b.Loop() {
				if !again {
					n++
				}
				if _, err := db.SaveLine(ctx, shop.Stamp{By: v, At: testTime}, fmt.Sprint("/term word:", n)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
