package postgres

import (
	"context"
	"fmt"
)

// scrub has the server let go of the rows that were deleted. It keeps them in
// the tables as long as anyone may still see them, and until it is told; after
// this no statement, of whomever, finds them. Their bytes may stay in gaps of
// pages, in the write-ahead log, in replicas and in dumps, until those are
// written over: they are in the care of whoever runs the server.
//
// A table that is in use meanwhile is not waited for longer than lockTimeout.
func (db *DB) scrub(ctx context.Context) error {
	own := pool(withParams(db.conf, keeping), 1)
	defer own.Close()
	rows, err := own.QueryContext(ctx, "SELECT quote_ident(tablename) FROM pg_tables WHERE schemaname = current_schema() AND tablename <> 'computed' ORDER BY tablename")
	if err != nil {
		return fmt.Errorf("list the tables: %w", translate(err))
	}
	defer rows.Close()
	var tables []string
	for rows.Next() {
		var table string
		if err := rows.Scan(&table); err != nil {
			return fmt.Errorf("list the tables: %w", err)
		}
		tables = append(tables, table)
	}
	if err := rows.Err(); err != nil {
		return fmt.Errorf("list the tables: %w", translate(err))
	}
	for _, table := range tables {
		if _, err := own.ExecContext(ctx, "VACUUM (INDEX_CLEANUP ON) "+table); err != nil {
			return fmt.Errorf("vacuum %s: %w", table, translate(err))
		}
	}
	return nil
}
