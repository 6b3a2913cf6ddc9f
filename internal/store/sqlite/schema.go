package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	driver "github.com/mattn/go-sqlite3"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/store"
)

// applicationID stands in the header of each of our files ("pwrt"); the first
// migration writes it.
const applicationID = 1886876276

// header is what tells a file's kind and schema.
type header struct {
	application int64
	version     int64
	tables      int64 // of any kind but SQLite's and goose's own
}

// readHeader takes one query, so that opening a file that is up to date costs
// next to nothing.
func readHeader(ctx context.Context, db interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}) (h header, err error) {
	err = db.QueryRowContext(ctx, `SELECT
		(SELECT application_id FROM pragma_application_id),
		(SELECT user_version FROM pragma_user_version),
		(SELECT count(*) FROM sqlite_master WHERE name NOT LIKE 'sqlite\_%' ESCAPE '\' AND name NOT LIKE 'goose\_%' ESCAPE '\')`).
		Scan(&h.application, &h.version, &h.tables)
	return h, err
}

// judge says whether the schema is the one this program knows, or refuses.
func (h header) judge() (upToDate bool, err error) {
	known, err := store.SchemaVersion(store.SQLite)
	if err != nil {
		return false, err
	}
	switch {
	case h.application != applicationID && h.tables > 0:
		return false, fault.New(fault.Unavailable, "it is the database of another program").
			Hint("name another file; this one was left as it is")
	case h.version > known:
		return false, fault.New(fault.Unavailable, "it was written by a newer pourwright (schema %d, this program knows %d)", h.version, known).
			Hint("update pourwright, or restore an older backup to another file; this one was left as it is")
	}
	return h.application == applicationID && h.version == known, nil
}

// migrateTries covers several programs that open the same new file at once:
// the one that is late finds the tables made and looks again.
const (
	migrateTries = 20
	migrateWait  = 50 * time.Millisecond
)

// prepare brings the schema up to date where it is not. It looks through the
// reader first, so that a file that is refused is not written to by accident.
func prepare(ctx context.Context, eng store.Engine) error {
	var failed error
	for range migrateTries {
		ready, err := looksReady(ctx, eng)
		if err != nil || ready {
			return err
		}
		if failed = bringUp(ctx, eng); failed == nil {
			return nil
		}
		if f := fault.As(failed); f != nil && f.Code != fault.Busy {
			return f
		}
		select {
		case <-ctx.Done():
			return errors.Join(ctx.Err(), failed)
		case <-time.After(migrateWait):
		}
	}
	return fmt.Errorf("bring the schema up to date: %w", failed)
}

// looksReady reports whether schema and journal are as they should be, or
// refuses the file. A restored copy has the schema but not the journal.
func looksReady(ctx context.Context, eng store.Engine) (bool, error) {
	h, err := readHeader(ctx, eng.Reader)
	if fromCode(err, driver.ErrReadonly) {
		// A program was killed while it made the file: what it left has to be
		// undone before anyone can read, and a reader may not do that.
		h, err = readHeader(ctx, eng.Writer)
	}
	if err != nil {
		return false, translate(err)
	}
	upToDate, err := h.judge()
	if err != nil || !upToDate {
		return false, err
	}
	var mode string
	if err := eng.Reader.QueryRowContext(ctx, "PRAGMA journal_mode").Scan(&mode); err != nil {
		return false, translate(err)
	}
	return mode == "wal" || mode == "memory", nil
}

// bringUp makes the log and the tables. A file keeps its journal mode, so once
// is enough; a database in memory has none but its own.
func bringUp(ctx context.Context, eng store.Engine) error {
	var mode string
	if err := eng.Writer.QueryRowContext(ctx, "PRAGMA journal_mode = WAL").Scan(&mode); err != nil {
		return translate(err)
	}
	if mode != "wal" && mode != "memory" {
		return fault.New(fault.Unavailable, "its disk can't keep a write-ahead log (journal mode %s)", mode).
			Hint("keep the database on a disk of this machine, not in a shared folder")
	}
	return translate(store.Migrate(ctx, store.SQLite, eng.Writer))
}
