package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"

	driver "github.com/mattn/go-sqlite3"

	"github.com/pourwright/pourwright/internal/fault"
)

// Restore puts a copy of the backup from in the place of the database to. The
// backup is looked over before and after it is copied; a database in use is
// refused; the one that was there is kept beside it, under the name that is
// returned ("" if there was none). At any moment to is the old file or the
// whole new one.
func Restore(ctx context.Context, from, to string) (old string, err error) {
	from, to, err = restorePaths(from, to)
	if err != nil {
		return "", err
	}
	if err := verify(ctx, readerDSN(from)); err != nil {
		return "", restoreFault(from, err)
	}
	src, err := pool(readerDSN(from), 1)
	if err != nil {
		return "", restoreFault(from, err)
	}
	defer src.Close()
	copied, err := copyTo(ctx, src, to)
	if err != nil {
		return "", restoreFault(from, err)
	}
	defer os.Remove(copied) // gone already when all went well

	held, err := hold(ctx, to)
	if err != nil {
		return "", openFault(to, err)
	}
	defer held.release()
	if old, err = keepBeside(to, held != nil); err != nil {
		return "", restoreFault(from, err)
	}
	if held == nil {
		err = renameNew(copied, to)
	} else {
		err = os.Rename(copied, to)
	}
	if err != nil {
		return old, restoreFault(from, err)
	}
	return old, syncFolder(to)
}

// restorePaths gives both paths in full and refuses what can't be meant.
func restorePaths(from, to string) (string, string, error) {
	from, err := filepath.Abs(from)
	if err != nil {
		return "", "", fmt.Errorf("path of backup: %w", err)
	}
	if to, err = filepath.Abs(to); err != nil {
		return "", "", fmt.Errorf("path of database: %w", err)
	}
	there, err := os.Stat(from)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", "", fault.New(fault.NotFound, "there is no backup %s", from).Hint("name a file that backup wrote")
	case err != nil:
		return "", "", restoreFault(from, err)
	case !there.Mode().IsRegular():
		return "", "", fault.New(fault.BadFile, "%s is not a file", from).Hint("name a file that backup wrote")
	}
	if live, err := os.Stat(to); err == nil && os.SameFile(live, there) {
		return "", "", fault.New(fault.BadFile, "%s is the database itself", from).Hint("name a file that backup wrote")
	}
	return from, to, nil
}

// restoreFault puts an error in words for whoever runs the program.
func restoreFault(from string, err error) error {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return fmt.Errorf("restore %s: %w", from, err)
	}
	f := fault.As(translate(err))
	if f == nil {
		return fault.New(fault.Unavailable, "can't restore %s", from).
			Hint("check that the database's folder can be written and has room; the database was left as it was").Because(err)
	}
	return fault.New(f.Code, "can't restore %s: %s", from, f.Message).
		Hint("the database was left as it was; try another backup, or make room on the disk").Because(err)
}

// holding keeps every other program out of a database.
type holding struct {
	db   *sql.DB
	conn *sql.Conn
}

// hold takes the database at path for itself, with its log folded in, so that
// the file alone is all of it. It is nil where there is no file. A damaged
// file can't be held; it is let through, as it may be why one restores.
func hold(ctx context.Context, path string) (*holding, error) {
	if _, err := os.Stat(path); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, nil
		}
		return nil, err
	}
	db, err := pool(dsn(path, url.Values{"mode": {"rw"}}), 1)
	if err != nil {
		return nil, err
	}
	h := &holding{db: db}
	if err := h.lock(ctx); err != nil {
		if fromCode(err, driver.ErrNotADB, driver.ErrCorrupt) {
			return h, nil
		}
		h.release()
		return nil, err
	}
	return h, nil
}

// lock leaves the write-ahead log, which SQLite does only for the last one who
// has the file open, and begins a transaction that nobody can read beside.
func (h *holding) lock(ctx context.Context) (err error) {
	if h.conn, err = h.db.Conn(ctx); err != nil {
		return err
	}
	head, err := readHeader(ctx, h.conn)
	if err != nil {
		return err
	}
	if head.application != applicationID && head.tables > 0 {
		return fault.New(fault.Unavailable, "it is the database of another program").Hint("name another file; this one was left as it is")
	}
	var mode string
	if err := h.conn.QueryRowContext(ctx, "PRAGMA journal_mode = DELETE").Scan(&mode); err != nil {
		return translate(err)
	}
	if mode != "delete" {
		return fault.New(fault.Busy, "another program has it open").Hint("end that one first")
	}
	if _, err := h.conn.ExecContext(ctx, "BEGIN EXCLUSIVE"); err != nil {
		return translate(err)
	}
	return nil
}

func (h *holding) release() {
	if h == nil {
		return
	}
	if h.conn != nil {
		h.conn.Close()
	}
	h.db.Close()
}

// keepBeside gives the file, if there is one, a second name: path.old-1 or the
// next that is free. What a damaged or deleted database left of its log moves
// along, since a log must never stand beside a file that it is not of.
func keepBeside(path string, there bool) (old string, err error) {
	old, err = freeName(path)
	if err != nil {
		return "", err
	}
	for _, end := range []string{"-wal", "-shm", "-journal"} {
		if err := os.Rename(path+end, old+end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
	}
	if !there {
		return "", nil
	}
	if os.Link(path, old) == nil {
		return old, nil
	}
	// No links on this file system: the name moves, and path is gone for the
	// moment until the new file takes it.
	return old, os.Rename(path, old)
}

// freeName gives the first of path.old-1, path.old-2 … that no file has.
func freeName(path string) (string, error) {
	for n := 1; ; n++ {
		old := fmt.Sprintf("%s.old-%d", path, n)
		if _, err := os.Lstat(old); errors.Is(err, fs.ErrNotExist) {
			return old, nil
		} else if err != nil {
			return "", err
		}
	}
}
