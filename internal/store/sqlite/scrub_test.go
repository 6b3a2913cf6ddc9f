package sqlite

import (
	"bytes"
	"context"
	"crypto/rand"
	"fmt"
	mathrand "math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func opened(t *testing.T) *DB {
	t.Helper()
	db, err := Open(t.Context(), Config{Path: filepath.Join(t.TempDir(), "scrub.db"), Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	return db
}

// held counts a text in the bytes of the database's files.
func held(t *testing.T, db *DB, text string) (n int) {
	t.Helper()
	for _, path := range []string{db.path, db.path + "-wal"} {
		data, err := os.ReadFile(path)
		if err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
		n += bytes.Count(data, []byte(text))
	}
	return n
}

// Rows that were moved between pages leave copies that secure_delete does not
// overwrite; a scrub does away with them.
func TestScrub(t *testing.T) {
	const trace = "zqxtrace"
	db := opened(t)
	must := func(query string, args ...any) {
		t.Helper()
		if _, err := db.eng.Writer.ExecContext(t.Context(), query, args...); err != nil {
			t.Fatalf("%s: %v", query, err)
		}
	}
	must("CREATE TABLE heap (id INTEGER PRIMARY KEY, owner INTEGER, k TEXT)")
	must("CREATE INDEX heap_k ON heap (k)")
	must("BEGIN")
	r := mathrand.New(mathrand.NewPCG(1, 2))
	for i := range 2000 {
		owner, text := 1, "other"
		if r.IntN(3) == 0 {
			owner, text = 2, trace
		}
		must("INSERT INTO heap (owner, k) VALUES (?, ?)", owner, fmt.Sprintf("%08d %s %s", r.IntN(1e8), text, strings.Repeat("n", r.IntN(300))))
		if r.IntN(10) == 0 {
			must("UPDATE heap SET k = k || 'x' WHERE id = ?", r.IntN(i+1))
		}
	}
	must("COMMIT")
	must("DELETE FROM heap WHERE owner = 2")
	must("PRAGMA wal_checkpoint(TRUNCATE)")
	t.Logf("%d copies are left by secure_delete and an empty log", held(t, db, trace))
	if err := db.scrub(t.Context()); err != nil {
		t.Fatal(err)
	}
	if n := held(t, db, trace); n != 0 {
		t.Errorf("%d copies are left", n)
	}
	if held(t, db, "other") == 0 {
		t.Error("what was not deleted is gone")
	}
}

// A reader in the way keeps the log: the member is gone all the same, is told,
// and the next try cleans up.
func TestEraseWithAReaderInTheWay(t *testing.T) {
	const trace = "zqxtrace"
	db, ctx := opened(t), t.Context()
	at := time.Date(2026, 11, 20, 9, 30, 0, 0, time.UTC)
	viewer := func() shop.Viewer {
		m, err := db.Member(ctx, "local:nora", trace, at)
		if err != nil {
			t.Fatal(err)
		}
		s, err := db.Shop(ctx, "local:hall", "The Hall", m.ID, at)
		if err != nil {
			t.Fatal(err)
		}
		return shop.Viewer{Member: m, Shop: s}
	}
	v := viewer()
	p := material.Profile{Name: trace, Family: material.Epoxy, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByWeight}, PotLife: 600}
	if _, err := db.AddMaterial(ctx, shop.Stamp{By: v, At: at}, p, false); err != nil {
		t.Fatal(err)
	}
	reading, err := db.eng.Reader.BeginTx(context.WithoutCancel(ctx), nil)
	if err != nil {
		t.Fatal(err)
	}
	var n int
	if err := reading.QueryRow("SELECT count(*) FROM material").Scan(&n); err != nil || n != 1 {
		t.Fatalf("%d, %v", n, err)
	}
	err = db.Erase(ctx, shop.Stamp{By: v, At: at})
	if f := fault.As(err); f == nil || f.Code != fault.Busy || !strings.Contains(f.Message, "is erased") || f.HintText() == "" {
		t.Errorf("with a reader in the way: %v", err)
	}
	if all, err := db.Materials(ctx, v); err != nil || len(all) != 0 {
		t.Errorf("still kept: %v, %v", all, err)
	}
	if err := reading.Rollback(); err != nil {
		t.Fatal(err)
	}
	if err := db.Erase(ctx, shop.Stamp{By: viewer(), At: at}); err != nil {
		t.Fatal(err)
	}
	if n := held(t, db, trace); n != 0 {
		t.Errorf("%d copies are left", n)
	}
}
