package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/pourwright/pourwright/internal/fault"
)

// Backup copies the database, as it is at one moment and while it is in use,
// to a new file. The copy is complete, on the disk and looked over before it
// gets its name. A file that is there is refused unless overwrite is set; the
// database itself is refused always.
func (db *DB) Backup(ctx context.Context, path string, overwrite bool) error {
	path, err := filepath.Abs(path)
	if err != nil {
		return fmt.Errorf("path of backup: %w", err)
	}
	if err := db.mayReplace(path, overwrite); err != nil {
		return err
	}
	copied, err := copyTo(ctx, db.eng.Reader, path)
	if err != nil {
		return backupFault(path, err)
	}
	defer os.Remove(copied) // gone already when all went well
	if overwrite {
		err = os.Rename(copied, path)
	} else {
		err = renameNew(copied, path)
	}
	if errors.Is(err, fs.ErrExist) {
		return existsFault(path)
	}
	if err != nil {
		return backupFault(path, err)
	}
	return syncFolder(path)
}

// mayReplace refuses a path that a backup must not go to.
func (db *DB) mayReplace(path string, overwrite bool) error {
	there, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return backupFault(path, err)
	}
	if live, err := os.Stat(db.path); err == nil && os.SameFile(live, there) {
		return fault.New(fault.BadFile, "%s is the database itself", path).Hint("name another file for the backup")
	}
	if !overwrite {
		return existsFault(path)
	}
	if _, err := os.Stat(path + "-wal"); err == nil {
		return fault.New(fault.Busy, "%s is a database in use, or one that was not closed", path).
			Hint("name another file for the backup")
	}
	return nil
}

func existsFault(path string) error {
	return fault.New(fault.NameTaken, "%s is there already", path).
		Hint("name a new file, or say that it may be overwritten")
}

// backupFault puts an error in words for whoever runs the program.
func backupFault(path string, err error) error {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return fmt.Errorf("back up to %s: %w", path, err)
	}
	f := fault.As(translate(err))
	if f == nil {
		return fault.New(fault.Unavailable, "can't write the backup %s", path).
			Hint("check that its folder is there, can be written and has room").Because(err)
	}
	return fault.New(f.Code, "can't write the backup %s: %s", path, f.Message).
		Hint("check that its folder can be written and has room; no file was left").Because(err)
}

// copyTo writes a copy of src beside path, under a name of its own and for its
// owner alone, looks it over and syncs it. The caller renames or removes it.
func copyTo(ctx context.Context, src *sql.DB, path string) (copied string, err error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*.part")
	if err != nil {
		return "", err
	}
	if err = f.Close(); err == nil {
		err = fill(ctx, src, f.Name())
	}
	if err != nil {
		return "", errors.Join(err, os.Remove(f.Name()))
	}
	return f.Name(), nil
}

// fill makes the empty file at path a sound copy that is on the disk.
func fill(ctx context.Context, src *sql.DB, path string) error {
	// The name is bound as a value, so nothing in it can be read as SQL or as
	// an address.
	if _, err := src.ExecContext(ctx, "VACUUM INTO ?", path); err != nil {
		return err
	}
	if err := verify(ctx, examinerDSN(path)); err != nil {
		return fmt.Errorf("look over the copy: %w", err)
	}
	return syncFile(path)
}

// verify opens a closed file and refuses one that is not ours, too new, or
// damaged.
func verify(ctx context.Context, dsn string) error {
	db, err := pool(dsn, 1)
	if err != nil {
		return err
	}
	defer db.Close()
	h, err := readHeader(ctx, db)
	if err != nil {
		return translate(err)
	}
	if _, err := h.judge(); err != nil {
		return err
	}
	if h.application != applicationID {
		return fault.New(fault.Unavailable, "it holds no records").Hint("name a file that backup wrote")
	}
	return sound(ctx, db)
}

// sound reads the whole database and refuses a damaged one.
func sound(ctx context.Context, db *sql.DB) error {
	var verdict string
	if err := db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&verdict); err != nil {
		return translate(err)
	}
	if verdict != "ok" {
		return fault.New(fault.Unavailable, "it is damaged").Hint("take another copy").Because(errors.New(verdict))
	}
	return nil
}

// renameNew renames without replacing. Where the file system has no links it
// looks first, which leaves a moment in which another program could be replaced.
func renameNew(from, to string) error {
	err := os.Link(from, to)
	if err == nil {
		return os.Remove(from)
	}
	if errors.Is(err, fs.ErrExist) {
		return err
	}
	if _, err := os.Lstat(to); err == nil {
		return fs.ErrExist
	}
	return os.Rename(from, to)
}

func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// syncFolder makes the new name of a file last through a power cut.
func syncFolder(path string) error {
	f, err := os.Open(filepath.Dir(path))
	if err != nil {
		return fmt.Errorf("sync folder: %w", err)
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("sync folder: %w", err)
	}
	return nil
}
