package sqlite_test

import (
	"context"
	"crypto/rand"
	"path/filepath"
	"testing"

	"go.uber.org/goleak"

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
