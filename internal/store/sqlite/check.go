package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/store"
)

// Check looks the open database over: permissions, schema, journal, damage,
// and whether it can be written. It reads the whole file and changes nothing.
func (db *DB) Check(ctx context.Context) []store.Finding {
	findings := []store.Finding{db.checkSchema(ctx), db.checkSound(ctx), db.checkWrite(ctx)}
	if db.path != "" {
		findings = append([]store.Finding{db.checkMode()}, append(findings, db.checkJournal(ctx))...)
	}
	return findings
}

// checkMode finds a file that others on the machine can read.
func (db *DB) checkMode() store.Finding {
	st, err := os.Stat(db.path)
	if err != nil {
		return store.Finding{What: "database file " + db.path + " can't be seen", Do: "look at the folder: was it moved while in use?"}
	}
	f := store.Finding{What: fmt.Sprintf("database file %s, %d kB, mode %04o", db.path, (st.Size()+999)/1000, st.Mode().Perm()), OK: true}
	if st.Mode().Perm()&0o077 != 0 {
		f.OK, f.Do = false, "others on this machine can read members' records: chmod 600 "+db.path
	}
	return f
}

func (db *DB) checkSchema(ctx context.Context) store.Finding {
	h, err := readHeader(ctx, db.eng.Reader)
	if err != nil {
		return store.Failing("schema can't be read", translate(err))
	}
	if upToDate, err := h.judge(); err != nil || !upToDate {
		return store.Failing(fmt.Sprintf("schema %d is not the one of this program", h.version), err)
	}
	return store.Finding{What: fmt.Sprintf("schema %d, up to date", h.version), OK: true}
}

func (db *DB) checkSound(ctx context.Context) store.Finding {
	if err := db.examine(ctx); err != nil {
		f := store.Failing("records are damaged", err)
		f.Do = "stop the program and restore a backup with restore FILE; the damaged file is kept beside"
		return f
	}
	return store.Finding{What: "records read through, no damage", OK: true}
}

// examine reads all of the database on a connection of its own, so that
// nobody waits for the writer meanwhile; in memory there is but the one.
func (db *DB) examine(ctx context.Context) error {
	on := db.eng.Writer
	if db.path != "" {
		own, err := pool(examinerDSN(db.path), 1)
		if err != nil {
			return err
		}
		defer own.Close()
		on = own
	}
	if err := sound(ctx, on); err != nil {
		return err
	}
	return complete(ctx, on)
}

// complete finds a row that refers to one that is gone. It does not stop a
// backup: such a copy is better than none.
func complete(ctx context.Context, db *sql.DB) error {
	var table string
	err := db.QueryRowContext(ctx, `SELECT "table" FROM pragma_foreign_key_check LIMIT 1`).Scan(&table)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return nil
	case err != nil:
		return translate(err)
	}
	return fault.New(fault.Unavailable, "a row of table %s refers to one that is gone", table)
}

// checkWrite takes the write lock and gives it back.
func (db *DB) checkWrite(ctx context.Context) store.Finding {
	tx, err := db.eng.Writer.BeginTx(context.WithoutCancel(ctx), nil)
	if err == nil {
		// An immediate transaction on a file that can't be written begins
		// well; only a write fails.
		_, err = tx.ExecContext(ctx, "UPDATE member SET name = name WHERE id = -1")
		err = errors.Join(err, tx.Rollback())
	}
	if err != nil {
		return store.Failing("records can't be written", translate(err))
	}
	return store.Finding{What: "records can be written", OK: true}
}

// checkJournal finds a file system that can't keep the write-ahead log.
func (db *DB) checkJournal(ctx context.Context) store.Finding {
	var mode string
	if err := db.eng.Reader.QueryRowContext(ctx, "PRAGMA journal_mode").Scan(&mode); err != nil {
		return store.Failing("journal can't be read", translate(err))
	}
	if mode != "wal" {
		return store.Finding{What: "journal mode is " + mode + " where it should be wal",
			Do: "keep the database on a disk of this machine, not in a shared folder"}
	}
	return store.Finding{What: "write-ahead log in use", OK: true}
}
