package sqlite_test

import (
	"context"
	"crypto/rand"
	"path/filepath"
	"testing"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/sqlite"
	"github.com/pourwright/pourwright/internal/store/storetest"
)

func TestMain(m *testing.M) {
	if victim() {
		return
	}
	goleak.VerifyTestMain(m)
}

func TestConformanceFile(t *testing.T) {
	storetest.Run(t, func(t testing.TB, limits store.Limits) *store.Store {
		return openFile(t, sqlite.Config{Path: filepath.Join(t.TempDir(), "test.db"), Limits: limits}).Store
	})
}

func TestConformanceMemory(t *testing.T) {
	storetest.Run(t, func(t testing.TB, limits store.Limits) *store.Store {
		return closing(t)(sqlite.Memory(context.Background(), sqlite.Config{Rand: rand.Reader, Limits: limits})).Store
	})
}

// openFile opens a database that must open, until the test's end.
func openFile(t testing.TB, cfg sqlite.Config) *sqlite.DB {
	t.Helper()
	cfg.Rand = rand.Reader
	return closing(t)(sqlite.Open(context.Background(), cfg))
}

func closing(t testing.TB) func(*sqlite.DB, error) *sqlite.DB {
	return func(db *sqlite.DB, err error) *sqlite.DB {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() {
			if err := db.Close(); err != nil {
				t.Errorf("close: %v", err)
			}
		})
		return db
	}
}

// TestStatementsArePlannedOnce: what is asked a second time, with other values,
// is not planned a second time. Planning costs several times what the answer does.
func TestStatementsArePlannedOnce(t *testing.T) {
	ctx := t.Context()
	db := closing(t)(sqlite.Memory(ctx, sqlite.Config{Rand: rand.Reader}))
	v := mustView(t, db)
	for _, name := range []string{"one", "two", "three"} {
		if _, err := db.AddMaterial(ctx, shop.Stamp{By: v, At: testTime}, profile(name), true); err != nil {
			t.Fatal(err)
		}
	}
	plans := 0
	if err := db.Plans(ctx, &plans); err != nil {
		t.Fatal(err)
	}
	ask := func(key string, id int64) {
		t.Helper()
		m, err := db.Member(ctx, key, "", testTime)
		if err != nil {
			t.Fatal(err)
		}
		v.Member = m
		if _, err := db.MaterialNames(ctx, v); err != nil {
			t.Fatal(err)
		}
		if _, err := db.Material(ctx, v, id, 0); err != nil {
			t.Fatal(err)
		}
	}
	ask("local:ada", 1)
	if plans == 0 {
		t.Fatal("the first time is not counted")
	}
	plans = 0
	ask("local:ada", 2)
	ask("local:ada", 3)
	if plans != 0 {
		t.Errorf("planned anew: the planner asked %d times", plans)
	}
}
