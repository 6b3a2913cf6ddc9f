// Package pgtest gives tests databases of their own on a Postgres server: the
// one that POURWRIGHT_POSTGRES names, by the address of a user who may create
// databases. Without it those tests say so and are skipped.
package pgtest

import (
	"context"
	"crypto/rand"
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver "pgx"

	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/postgres"
)

// Variable names the environment variable with the server's address.
const Variable = "POURWRIGHT_POSTGRES"

// patience is for the making and dropping of one database.
const patience = time.Minute

// Server is the address that tests may use; without one the test is skipped.
func Server(t testing.TB) string {
	t.Helper()
	server := os.Getenv(Variable)
	if server == "" {
		t.Skipf("%s is not set; give it the address of a Postgres user who may create databases", Variable)
	}
	return server
}

// Empty makes a database with nothing in it, until the end of the test, and
// gives its address.
func Empty(t testing.TB) string {
	t.Helper()
	address := create(t)
	t.Cleanup(func() { drop(t, address) })
	return address
}

// Migrated gives a database whose tables are up to date and empty, until the
// end of the test. Making one takes longer than most tests, so that it is
// emptied for the next one; Main drops it.
func Migrated(t testing.TB) string {
	t.Helper()
	address := spare.take()
	if address == "" {
		address = create(t)
		db, err := postgres.Open(t.Context(), postgres.Config{URL: address, Rand: rand.Reader})
		if err == nil {
			err = db.Close()
		}
		if err != nil {
			t.Fatalf("migrate a database for tests: %v", err)
		}
	}
	t.Cleanup(func() {
		if err := empty(address); err != nil {
			t.Errorf("empty a database of tests: %v", err)
			drop(t, address)
			return
		}
		spare.give(address)
	})
	return address
}

// spare are the addresses of databases that no test uses.
var spare shelf

type shelf struct {
	mu   sync.Mutex
	free []string
}

func (s *shelf) take() (address string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if n := len(s.free); n > 0 {
		address, s.free = s.free[n-1], s.free[:n-1]
	}
	return address
}

func (s *shelf) give(address string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.free = append(s.free, address)
}

// Main runs a package's tests and drops what they shared:
//
//	func TestMain(m *testing.M) { goleak.VerifyTestMain(pgtest.Main{M: m}) }
type Main struct{ M *testing.M }

// Run fills what goleak takes for a testing.M.
func (m Main) Run() int {
	code := m.M.Run()
	for address := spare.take(); address != ""; address = spare.take() {
		ctx, cancel := context.WithTimeout(context.Background(), patience)
		err := run(ctx, os.Getenv(Variable), dropping(address))
		cancel()
		if err != nil {
			fmt.Fprintln(os.Stderr, "drop a database of tests:", err)
			code = max(code, 1)
		}
	}
	return code
}

func create(t testing.TB) (address string) {
	t.Helper()
	server := Server(t)
	u, err := url.Parse(server)
	if err != nil {
		t.Fatalf("%s is no address", Variable)
	}
	name := strings.ToLower(fmt.Sprintf("pourwright_test_%d_%.10s", os.Getpid(), rand.Text()))
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	if err := run(ctx, server, "CREATE DATABASE "+name+" TEMPLATE template0"); err != nil {
		t.Fatal(err)
	}
	u.Path = "/" + name
	return u.String()
}

func drop(t testing.TB, address string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	if err := run(ctx, Server(t), dropping(address)); err != nil {
		t.Error(err)
	}
}

// dropping is the statement that drops the database of an address made here.
func dropping(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		panic("an address made here can't be read: " + err.Error())
	}
	return "DROP DATABASE IF EXISTS " + strings.TrimPrefix(u.Path, "/") + " WITH (FORCE)"
}

// empty takes all rows out and lets the ids begin anew. TRUNCATE would make new
// files for each table and index, which takes ten times as long.
func empty(address string) error {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	return run(ctx, address, `DO $$
		DECLARE name text;
		BEGIN
			FOR name IN SELECT tablename FROM pg_tables WHERE schemaname = current_schema() AND tablename <> '`+store.Postgres.VersionTable()+`'
				ORDER BY tablename <> 'member', tablename <> 'shop' -- most rows go with these
			LOOP EXECUTE 'DELETE FROM ' || quote_ident(name); END LOOP;
			PERFORM setval(format('%I.%I', schemaname, sequencename)::regclass, 1, false) FROM pg_sequences
				WHERE schemaname = current_schema() AND last_value IS NOT NULL AND sequencename NOT LIKE '`+store.Postgres.VersionTable()+`%';
		END $$`)
}

// Exec carries out a statement on a database that is named by its address.
func Exec(t testing.TB, address, statement string) {
	t.Helper()
	if err := run(t.Context(), address, statement); err != nil {
		t.Fatal(err)
	}
}

func run(ctx context.Context, address, statement string) error {
	db, err := sql.Open("pgx", address)
	if err != nil {
		return fmt.Errorf("connect for tests: %w", err)
	}
	defer db.Close()
	if _, err := db.ExecContext(ctx, statement); err != nil {
		return fmt.Errorf("%s: %w", statement, err)
	}
	return nil
}
