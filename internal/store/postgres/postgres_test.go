package postgres_test

import (
	"crypto/rand"
	"testing"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/postgres"
	"github.com/pourwright/pourwright/internal/store/postgres/pgtest"
	"github.com/pourwright/pourwright/internal/store/storetest"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(pgtest.Main{M: m}) }

func TestConformance(t *testing.T) {
	pgtest.Server(t)
	storetest.Run(t, func(t testing.TB, limits store.Limits) *store.Store {
		return open(t, postgres.Config{URL: pgtest.Migrated(t), Limits: limits}).Store
	})
}

// open opens a database that must open, until the test's end.
func open(t testing.TB, cfg postgres.Config) *postgres.DB {
	t.Helper()
	cfg.Rand = rand.Reader
	db, err := postgres.Open(t.Context(), cfg)
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
