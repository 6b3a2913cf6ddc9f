package postgres_test

import (
	"crypto/rand"
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/postgres"
	"github.com/pourwright/pourwright/internal/store/postgres/pgtest"
)

// Programs that find the same empty database all get it with its tables.
func TestOpenAtOnce(t *testing.T) {
	address := pgtest.Empty(t)
	dbs, errs := make([]*postgres.DB, 5), make([]error, 5)
	var all sync.WaitGroup
	for i := range dbs {
		all.Go(func() { dbs[i], errs[i] = postgres.Open(t.Context(), postgres.Config{URL: address, Rand: rand.Reader}) })
	}
	all.Wait()
	for i, db := range dbs {
		if errs[i] != nil {
			t.Errorf("program %d: %v", i, errs[i])
			continue
		}
		viewer(t, db, fmt.Sprint("member", i))
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	}
}

// What is not ours, or too new, is refused and left as it is.
func TestRefusesSchemas(t *testing.T) {
	for _, c := range []struct{ name, statement, want string }{
		{"another program's", "CREATE TABLE ledger (id int)", "another program"},
		{"a newer one", fmt.Sprintf("CREATE TABLE %[1]s (id int, version_id bigint, is_applied boolean, tstamp timestamp);"+
			"INSERT INTO %[1]s VALUES (1, 9999, true, now())", store.Postgres.VersionTable()), "newer pourwright (schema 9999"},
	} {
		t.Run(c.name, func(t *testing.T) {
			address := pgtest.Empty(t)
			pgtest.Exec(t, address, c.statement)
			_, err := postgres.Open(t.Context(), postgres.Config{URL: address})
			if !fault.Is(err, fault.Unavailable) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q", err, c.want)
			}
			pgtest.Exec(t, address, `DO $$ BEGIN IF EXISTS (SELECT 1 FROM pg_tables WHERE tablename = 'member') THEN RAISE 'it was written to'; END IF; END $$`)
		})
	}
}

// TestSchemasInStep: both databases' migrations end with the same number, so
// that neither is forgotten.
func TestSchemasInStep(t *testing.T) {
	one, err := store.SchemaVersion(store.SQLite)
	if err != nil {
		t.Fatal(err)
	}
	two, err := store.SchemaVersion(store.Postgres)
	if err != nil {
		t.Fatal(err)
	}
	if one != two {
		t.Errorf("SQLite's schema is %d and Postgres' is %d: a migration goes into both folders, under one number", one, two)
	}
}

// The doctor's lines, on a database where all is well but for how the server
// is set up, which is not this test's to say.
func TestCheck(t *testing.T) {
	address := pgtest.Migrated(t)
	db := open(t, postgres.Config{URL: address})
	for _, f := range db.Check(t.Context()) {
		if !f.OK && !strings.Contains(f.What, "is off") {
			t.Errorf("finds %+v", f)
		}
		if !f.OK && f.Do == "" {
			t.Errorf("%q says nothing to do", f.What)
		}
	}
	pgtest.Exec(t, address, "INSERT INTO "+store.Postgres.VersionTable()+" (version_id, is_applied) VALUES (9999, true)")
	ill := 0
	for _, f := range db.Check(t.Context()) {
		if !f.OK && strings.Contains(f.What, "schema 9999") && f.Do != "" {
			ill++
		}
	}
	if ill != 1 {
		t.Errorf("%d lines about a schema that is too new", ill)
	}
	pgtest.Exec(t, address, "DELETE FROM "+store.Postgres.VersionTable()+" WHERE version_id = 9999")
}
