package sqlite

import (
	"context"
	"database/sql"
	"fmt"
)

// scrub leaves no deleted text in the files. secure_delete overwrites rows that
// are deleted, but not the copies that a page keeps in its gaps when rows were
// moved between pages, and the write-ahead log keeps pages as they were before.
// So the file is written anew from what is there, and the log is cut to nothing.
//
// Both wait for readers and writers as any write does. Where one is in the way
// for longer the text stays until the next time, or until the database is
// closed and opened, and the caller is told.
func (db *DB) scrub(ctx context.Context) error {
	if err := vacuum(ctx, db.eng.Writer); err != nil {
		return fmt.Errorf("write the file anew: %w", db.eng.Translate(err))
	}
	var busy, pages, moved int
	if err := db.eng.Writer.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &pages, &moved); err != nil {
		return fmt.Errorf("cut the log: %w", db.eng.Translate(err))
	}
	if busy != 0 {
		return fmt.Errorf("cut the log: a reader was in the way")
	}
	return nil
}

func vacuum(ctx context.Context, db *sql.DB) error {
	_, err := db.ExecContext(ctx, "VACUUM")
	return err
}
