package postgres

import (
	"context"
	"database/sql"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/store"
)

// header is what tells whose tables stand in the schema, and which.
type header struct {
	ours    bool
	version int64
	tables  int64 // of any kind, where they are not ours
	server  int64 // its version as it counts them: 150004 is 15.4
}

// oldest is the first server that pourwright was tried on. pg_current_xact_id
// came with 13 (release notes of Postgres 13).
const oldest = 13

// readHeader looks into the schema that tables without one are made in.
func readHeader(ctx context.Context, db interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}) (h header, err error) {
	err = db.QueryRowContext(ctx, `SELECT current_setting('server_version_num')::bigint,
		EXISTS (SELECT 1 FROM pg_tables WHERE schemaname = current_schema() AND tablename = $1),
		(SELECT count(*) FROM pg_tables WHERE schemaname = current_schema())`, store.Postgres.VersionTable()).
		Scan(&h.server, &h.ours, &h.tables)
	if err != nil || !h.ours {
		return h, err
	}
	err = db.QueryRowContext(ctx, "SELECT coalesce(max(version_id), 0) FROM "+store.Postgres.VersionTable()+" WHERE is_applied").Scan(&h.version)
	return h, err
}

// judge says whether the schema is the one this program knows, or refuses.
func (h header) judge() (upToDate bool, err error) {
	known, err := store.SchemaVersion(store.Postgres)
	if err != nil {
		return false, err
	}
	switch {
	case h.server/10000 < oldest:
		return false, fault.New(fault.Unavailable, "the server is Postgres %d, and it takes %d or newer", h.server/10000, oldest).
			Hint("update the server; it was left as it is")
	case !h.ours && h.tables > 0:
		return false, fault.New(fault.Unavailable, "it holds the tables of another program").
			Hint("make a database of its own (createdb), and name that in db; this one was left as it is")
	case h.version > known:
		return false, fault.New(fault.Unavailable, "it was written by a newer pourwright (schema %d, this program knows %d)", h.version, known).
			Hint("update pourwright; the database was left as it is")
	}
	return h.ours && h.version == known, nil
}

// prepare brings the schema up to date where it is not.
func (db *DB) prepare(ctx context.Context) error {
	h, err := readHeader(ctx, db.eng.Reader)
	if err != nil {
		return translate(err)
	}
	if upToDate, err := h.judge(); err != nil || upToDate {
		return err
	}
	return db.bringUp(ctx)
}

// migrateWait is how long a program waits while another brings the schema up.
const migrateWait = 5 * time.Minute

// bringUp migrates, one program at a time: the others wait, and then find
// nothing left to do. The lock goes with its connection, whatever happens.
func (db *DB) bringUp(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, migrateWait)
	defer cancel()
	params := map[string]string{"lock_timeout": "0", "statement_timeout": "0"}
	own := pool(withParams(db.conf, params), 2)
	defer own.Close()
	lock, err := own.Conn(ctx)
	if err != nil {
		return translate(err)
	}
	defer lock.Close()
	if _, err := lock.ExecContext(ctx, "SELECT pg_advisory_lock($1, $2)", lockSpace, lockMigrate); err != nil {
		return translate(fmt.Errorf("wait for who brings the schema up to date: %w", err))
	}
	return translate(store.Migrate(ctx, store.Postgres, own))
}
