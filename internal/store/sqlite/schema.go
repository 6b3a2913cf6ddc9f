package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

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

// prepare brings the schema up to date where it is not.
func prepare(ctx context.Context, db *sql.DB) error {
	var failed error
	for range migrateTries {
		h, err := readHeader(ctx, db)
		if err != nil {
			return translate(err)
		}
		upToDate, err := h.judge()
		if err != nil || upToDate {
			return err
		}
		failed = store.Migrate(ctx, store.SQLite, db)
		if failed == nil {
			return nil
		}
		if f := fault.As(translate(failed)); f != nil && f.Code != fault.Busy {
			return f
		}
		select {
		case <-ctx.Done():
			return errors.Join(ctx.Err(), failed)
		case <-time.After(migrateWait):
		}
	}
	return fmt.Errorf("bring the schema up to date: %w", translate(failed))
}
