package postgres

import (
	"context"
	"database/sql"
	"fmt"

	"github.com/pourwright/pourwright/internal/store"
)

// Keys of advisory locks, which are numbers without meaning of their own: the
// first says that they are ours ("pwrt").
const (
	lockSpace   = 1886876276
	lockWrites  = 1 // held by the write transaction that is under way
	lockMigrate = 2 // held by the program that brings the schema up to date
)

// enter waits until no other program writes, and takes the transaction's own
// number: where the answer to its commit is lost, the server is asked by it.
func (db *DB) enter(ctx context.Context, tx *sql.Tx) (store.Outcome, error) {
	var id string
	err := tx.QueryRowContext(ctx, "SELECT pg_current_xact_id()::text FROM pg_advisory_xact_lock($1, $2)", lockSpace, lockWrites).Scan(&id)
	if err != nil {
		return nil, err
	}
	return func(ctx context.Context) (bool, error) { return db.committed(ctx, id) }, nil
}

// committed tells what became of a transaction. One whose connection broke may
// still be under way for a moment.
func (db *DB) committed(ctx context.Context, id string) (bool, error) {
	var status sql.NullString
	err := db.eng.Reader.QueryRowContext(ctx, "SELECT pg_xact_status($1::xid8)", id).Scan(&status)
	switch {
	case err != nil:
		return false, fmt.Errorf("ask what became of transaction %s: %w", id, err)
	case status.String == "committed":
		return true, nil
	case status.String == "aborted":
		return false, nil
	}
	return false, fmt.Errorf("transaction %s is %q", id, status.String)
}
