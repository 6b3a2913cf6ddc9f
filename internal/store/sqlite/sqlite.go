// Package sqlite opens the embedded database for package store: a file with
// one writer and four readers, or one connection in memory. It also copies a
// database while it is in use, puts a copy back, and looks a file over.
//
//	db, err := sqlite.Open(ctx, sqlite.Config{Path: "pourwright.db", Rand: rand.Reader})
//
// What is acknowledged is on the disk: the journal is a write-ahead log that
// is synced at each commit, so that a program killed at any moment, or a power
// cut on a disk that keeps its word, loses nothing that was answered.
package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	_ "github.com/mattn/go-sqlite3" // the driver "sqlite3"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/store"
)

// Config says which database to open and how.
type Config struct {
	Path   string         // the file; made if it is not there
	Rand   io.Reader      // unguessable bytes, for ids
	Limits store.Limits   // the zero value means store.DefaultLimits
	Watch  store.Observer // nil if nobody counts
}

// DB is an open database.
type DB struct {
	*store.Store
	eng  store.Engine
	path string // "" in memory
	temp string // a folder to remove at Close, or ""
}

const (
	readers     = 4
	busyTimeout = 2 * time.Second
	// cachedStatements is per connection. There are some 400 texts; the everyday
	// commands need a quarter of them.
	cachedStatements = 128
)

// Open opens a file, making it with permission for its owner alone, and brings
// an older schema up to date. A newer one is refused untouched.
//
// Errors are fault.Unavailable or fault.Busy, in words for whoever runs the
// program, with the path.
func Open(ctx context.Context, cfg Config) (*DB, error) {
	if cfg.Path == "" {
		return nil, fault.New(fault.Unavailable, "no database file is named").Hint("set db to a path, such as pourwright.db")
	}
	path, err := filepath.Abs(cfg.Path)
	if err != nil {
		return nil, fmt.Errorf("path of database: %w", err)
	}
	if err := create(path); err != nil {
		return nil, openFault(path, err)
	}
	db := &DB{path: path, eng: store.Engine{Translate: translate, Kind: kindOf, Mark: mark}}
	if db.eng.Writer, err = pool(writerDSN(path), 1); err != nil {
		return nil, fmt.Errorf("open database: %w", err)
	}
	if db.eng.Reader, err = pool(readerDSN(path), readers); err != nil {
		return nil, errors.Join(fmt.Errorf("open database: %w", err), db.eng.Writer.Close())
	}
	if err := prepare(ctx, db.eng); err != nil {
		return nil, errors.Join(openFault(path, err), db.eng.Reader.Close(), db.eng.Writer.Close())
	}
	db.eng.Scrub = db.scrub
	db.Store = store.New(db.eng, store.Config{Rand: cfg.Rand, Limits: cfg.Limits, Watch: cfg.Watch})
	return db, nil
}

// Memory opens a database that lives as long as the DB does. It has a single
// connection, for reading and writing alike.
func Memory(ctx context.Context, cfg Config) (*DB, error) {
	one, err := pool(memoryDSN(), 1)
	if err != nil {
		return nil, fmt.Errorf("open database in memory: %w", err)
	}
	db := &DB{eng: store.Engine{Writer: one, Reader: one, Translate: translate, Kind: kindOf, Mark: mark}}
	if err := prepare(ctx, db.eng); err != nil {
		return nil, errors.Join(fmt.Errorf("open database in memory: %w", err), one.Close())
	}
	db.Store = store.New(db.eng, store.Config{Rand: cfg.Rand, Limits: cfg.Limits, Watch: cfg.Watch})
	return db, nil
}

// Temp opens a file of its own in a fresh folder, which Close removes.
func Temp(ctx context.Context, cfg Config) (*DB, error) {
	folder, err := os.MkdirTemp("", "pourwright-")
	if err != nil {
		return nil, fmt.Errorf("make temporary folder: %w", err)
	}
	cfg.Path = filepath.Join(folder, "try.db")
	db, err := Open(ctx, cfg)
	if err != nil {
		return nil, errors.Join(err, os.RemoveAll(folder))
	}
	db.temp = folder
	return db, nil
}

// mark hides a placeholder from SQLite's planner, which plans a statement anew
// at each use where a value it compares or limits by might change the plan, and
// so undoes the cache of statements. The plan of an expression it cannot look
// into is made once; what a unary plus is put before is as it was.
func mark(to []byte, _ int) []byte { return append(to, "+?"...) }

// Path is the database's file, "" for one in memory.
func (db *DB) Path() string { return db.path }

// Close ends the connections. Closing the last one folds the log into the file.
func (db *DB) Close() error {
	err := db.Store.Close()
	if db.temp != "" {
		err = errors.Join(err, os.RemoveAll(db.temp))
	}
	return err
}

// create makes an empty file with the permissions of a private one; SQLite
// gives the log and its index the same. An existing file is not even opened:
// closing it again would drop this process's locks on it.
func create(path string) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	switch {
	case err == nil:
		return errors.Join(f.Close(), syncFolder(path))
	case errors.Is(err, fs.ErrExist):
		return nil
	}
	return err
}

func pool(dsn string, most int) (*sql.DB, error) {
	db, err := sql.Open("sqlite3", dsn)
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(most)
	db.SetMaxIdleConns(most)
	return db, nil
}

// The options of each connection. The driver's names begin with _; mode is
// SQLite's own and keeps a reader from writing whatever it is told. Erased
// records are overwritten (secure_delete), not only unlinked. The journal mode
// is no option: asking for it here would write to a file before it is known to
// be ours.
func writerDSN(path string) string {
	return dsn(path, url.Values{
		"_synchronous": {"FULL"}, "_txlock": {"immediate"}, "_secure_delete": {"on"},
	})
}

func readerDSN(path string) string {
	return dsn(path, url.Values{"mode": {"ro"}, "_txlock": {"deferred"}})
}

// examinerDSN is for looking a file over. SQLite leaves the CHECK constraints
// of a file that it opens for reading out of integrity_check, so this one is
// opened for writing, and then told not to write.
func examinerDSN(path string) string {
	return dsn(path, url.Values{"mode": {"rw"}, "_query_only": {"on"}})
}

func memoryDSN() string {
	return ":memory:?" + common(url.Values{"_txlock": {"immediate"}}).Encode()
}

func dsn(path string, v url.Values) string {
	u := url.URL{Scheme: "file", Path: path, RawQuery: common(v).Encode()}
	return u.String()
}

func common(v url.Values) url.Values {
	v.Set("_busy_timeout", fmt.Sprint(busyTimeout.Milliseconds()))
	v.Set("_foreign_keys", "on")
	v.Set("_stmt_cache_size", fmt.Sprint(cachedStatements))
	return v
}
