package sqlite

import (
	"context"
	"database/sql"

	driver "github.com/mattn/go-sqlite3"
)

// Raw is the writer's connection, to look at what is stored.
func (db *DB) Raw() *sql.DB { return db.eng.Writer }

// FillUp makes the database full: its file may not grow beyond what it has.
func (db *DB) FillUp(ctx context.Context) error {
	var most int64
	return db.eng.Writer.QueryRowContext(ctx, "PRAGMA max_page_count = 1").Scan(&most)
}

// Pragma reads a setting of the writer or of a reader.
func (db *DB) Pragma(ctx context.Context, writer bool, name string) (value string, err error) {
	from := db.eng.Reader
	if writer {
		from = db.eng.Writer
	}
	err = from.QueryRowContext(ctx, "PRAGMA "+name).Scan(&value)
	return value, err
}

// ExecReader tries to write through a reader.
func (db *DB) ExecReader(ctx context.Context, text string) error {
	_, err := db.eng.Reader.ExecContext(ctx, text)
	return translate(err)
}

// Plans counts on the database in memory how often its one connection plans a
// statement or a part of one: SQLite asks its authorizer each time.
func (db *DB) Plans(ctx context.Context, count *int) error {
	conn, err := db.eng.Writer.Conn(ctx)
	if err != nil {
		return err
	}
	defer conn.Close()
	return conn.Raw(func(c any) error {
		c.(*driver.SQLiteConn).RegisterAuthorizer(func(int, string, string, string) int {
			*count++
			return driver.SQLITE_OK
		})
		return nil
	})
}
