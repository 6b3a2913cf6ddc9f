package sqlite_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync/atomic"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

func failures(all []store.Finding) []store.Finding {
	return slices.DeleteFunc(all, func(f store.Finding) bool { return f.OK })
}

// count opens a file and counts ada's records.
func count(t testing.TB, path string) int {
	t.Helper()
	db := openFile(t, sqlite.Config{Path: path})
	all, err := db.MaterialNames(t.Context(), mustView(t, db))
	if err != nil {
		t.Fatal(err)
	}
	if mode, err := db.Pragma(t.Context(), true, "journal_mode"); err != nil || mode != "wal" {
		t.Errorf("%s opens with journal mode %q, %v", path, mode, err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	return len(all)
}

// TestBackupWhileWriting copies a database that is being written: the copy
// holds whole transactions and is private.
func TestBackupWhileWriting(t *testing.T) {
	ctx := t.Context()
	folder := t.TempDir()
	db := openFile(t, sqlite.Config{Path: filepath.Join(folder, "live.db"), Limits: plenty()})
	v := mustView(t, db)
	var stop atomic.Bool
	done := make(chan error)
	go func() {
		var err error
		for n := 0; err == nil && !stop.Load(); n++ {
			err = db.Together(context.Background(), func(b shop.Books) error {
				for _, half := range []string{"left", "right"} {
					if _, err := b.Materials.AddMaterial(context.Background(), shop.Stamp{By: v, At: testTime}, profile(fmt.Sprint(half, n)), true); err != nil {
						return err
					}
				}
				return nil
			})
		}
		done <- err
	}()
	last := 0
	for i := range 5 {
		path := filepath.Join(t.TempDir(), fmt.Sprintf("copy '%d'?.db", i))
		if err := db.Backup(ctx, path, false); err != nil {
			t.Fatal(err)
		}
		if st, err := os.Stat(path); err != nil || st.Mode().Perm() != 0o600 {
			t.Errorf("backup: %v, %v", st, err)
		}
		if left, err := os.ReadDir(filepath.Dir(path)); err != nil || len(left) != 1 {
			t.Errorf("beside the backup: %v, %v", left, err)
		}
		n := count(t, path)
		if n%2 != 0 || n < last {
			t.Errorf("backup %d holds %d records, the one before %d", i, n, last)
		}
		last = n
	}
	stop.Store(true)
	if err := <-done; err != nil {
		t.Error(err)
	}
}

func TestBackupOfMemory(t *testing.T) {
	ctx := t.Context()
	db := closing(t)(sqlite.Memory(ctx, sqlite.Config{Rand: rand.Reader}))
	if _, err := db.AddMaterial(ctx, shop.Stamp{By: mustView(t, db), At: testTime}, profile("one"), true); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "copy.db")
	if err := db.Backup(ctx, path, false); err != nil {
		t.Fatal(err)
	}
	if n := count(t, path); n != 1 {
		t.Errorf("%d records in the copy", n)
	}
	if bad := failures(db.Check(ctx)); len(bad) != 0 {
		t.Errorf("check: %+v", bad)
	}
}

func TestBackupRefusals(t *testing.T) {
	ctx := t.Context()
	folder := t.TempDir()
	live := filepath.Join(folder, "live.db")
	filled(t, live, 2)
	db := openFile(t, sqlite.Config{Path: live})
	mustView(t, db)
	old := filepath.Join(folder, "old.db")
	if err := os.WriteFile(old, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	inUse := filepath.Join(folder, "other.db")
	filled(t, inUse, 1)
	mustView(t, openFile(t, sqlite.Config{Path: inUse}))
	link := filepath.Join(folder, "link.db")
	if err := os.Symlink(live, link); err != nil {
		t.Fatal(err)
	}
	canceled, cancel := context.WithCancel(ctx)
	cancel()

	mustSay(t, db.Backup(ctx, old, false), fault.NameTaken, old)
	mustSay(t, db.Backup(ctx, live, true), fault.BadFile, "itself")
	mustSay(t, db.Backup(ctx, link, true), fault.BadFile, "itself")
	mustSay(t, db.Backup(ctx, inUse, true), fault.Busy, "in use")
	mustSay(t, db.Backup(ctx, filepath.Join(folder, "none", "x.db"), false), fault.Unavailable, "none")
	if err := db.Backup(canceled, filepath.Join(folder, "new.db"), false); !errors.Is(err, context.Canceled) {
		t.Errorf("canceled: %v", err)
	}
	if got := contents(t, old); !bytes.Equal(got, []byte("old")) {
		t.Errorf("a refused backup changed the file: %q", got)
	}
	if left, _ := filepath.Glob(filepath.Join(folder, ".*")); len(left) != 0 {
		t.Errorf("left behind: %q", left)
	}
	if err := db.Backup(ctx, old, true); err != nil {
		t.Fatal(err)
	}
	if n := count(t, old); n != 2 {
		t.Errorf("the overwritten backup holds %d records", n)
	}
}

// TestUnsoundRows: the pages are well and what stands in them is not. The copy
// is looked over, so a backup of impossible rows is refused; one in which a row
// is missing is better than none, and only the check tells of it.
func TestUnsoundRows(t *testing.T) {
	for _, c := range []struct {
		name, text string
		backedUp   bool
	}{
		{"an impossible value", "UPDATE material SET shared = 7", false},
		{"a missing member", "DELETE FROM member", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "test.db")
			filled(t, path, 1)
			behind := raw(t, path)
			behind.SetMaxOpenConns(1)
			execute(t, behind, "PRAGMA ignore_check_constraints = ON")
			execute(t, behind, c.text)
			behind.Close()
			db := openFile(t, sqlite.Config{Path: path})
			if bad := failures(db.Check(t.Context())); len(bad) != 1 {
				t.Errorf("check: %+v", bad)
			}
			copied := filepath.Join(t.TempDir(), "copy.db")
			err := db.Backup(t.Context(), copied, false)
			if c.backedUp {
				if err != nil {
					t.Error(err)
				}
				return
			}
			mustSay(t, err, fault.Unavailable, "damaged")
			mustBeEmpty(t, filepath.Dir(copied))
			_, err = sqlite.Restore(t.Context(), path, copied)
			mustSay(t, err, fault.Unavailable, "damaged")
			mustBeEmpty(t, filepath.Dir(copied))
		})
	}
}

func TestRestore(t *testing.T) {
	ctx := t.Context()
	folder := t.TempDir()
	live, backup := filepath.Join(folder, "live.db"), filepath.Join(folder, "backup.db")
	filled(t, live, 3)
	db := openFile(t, sqlite.Config{Path: live})
	if err := db.Backup(ctx, backup, false); err != nil {
		t.Fatal(err)
	}
	v := mustView(t, db)
	if _, err := db.AddMaterial(ctx, shop.Stamp{By: v, At: testTime}, profile("later"), true); err != nil {
		t.Fatal(err)
	}
	before := contents(t, backup)

	_, err := sqlite.Restore(ctx, backup, live)
	mustSay(t, err, fault.Busy, live)
	if all, err := db.Materials(ctx, v); err != nil || len(all) != 4 {
		t.Errorf("after a refused restore: %d records, %v", len(all), err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}

	for round, inLive := range []int{4, 3} {
		old, err := sqlite.Restore(ctx, backup, live)
		if err != nil {
			t.Fatal(err)
		}
		if want := fmt.Sprintf("%s.old-%d", live, round+1); old != want {
			t.Errorf("the old file is %s, want %s", old, want)
		}
		if n := count(t, live); n != 3 {
			t.Errorf("restored %d records, want 3", n)
		}
		if n := count(t, old); n != inLive {
			t.Errorf("the old file has %d records, want %d", n, inLive)
		}
	}
	if !bytes.Equal(before, contents(t, backup)) {
		t.Error("the backup was changed")
	}
	if st, err := os.Stat(live); err != nil || st.Mode().Perm() != 0o600 {
		t.Errorf("the restored file: %v, %v", st.Mode(), err)
	}
	fresh := filepath.Join(folder, "fresh.db")
	if old, err := sqlite.Restore(ctx, backup, fresh); err != nil || old != "" || count(t, fresh) != 3 {
		t.Errorf("to a new place: %q, %v", old, err)
	}
	left, err := filepath.Glob(filepath.Join(folder, ".*"))
	if err != nil || len(left) != 0 {
		t.Errorf("left behind: %q, %v", left, err)
	}
}

// TestRestoreOverDamage is the case that backups are for, with a log still
// beside the damaged file, or one of another file where the database was
// deleted: played back into the restored one that would damage it.
func TestRestoreOverDamage(t *testing.T) {
	folder := t.TempDir()
	backup := filepath.Join(folder, "backup.db")
	filled(t, backup, 3)
	other := filepath.Join(folder, "other.db")
	mustView(t, openFile(t, sqlite.Config{Path: other}))
	junk := bytes.Repeat([]byte("junk"), 3000)
	for _, c := range []struct {
		name      string
		main, wal []byte
	}{
		{"damaged, with its log", junk, junk[:5000]},
		{"deleted, with another's log", nil, contents(t, other+"-wal")},
	} {
		t.Run(c.name, func(t *testing.T) {
			live := filepath.Join(t.TempDir(), "live.db")
			for name, data := range map[string][]byte{live: c.main, live + "-wal": c.wal} {
				if data == nil {
					continue
				}
				if err := os.WriteFile(name, data, 0o600); err != nil {
					t.Fatal(err)
				}
			}
			old, err := sqlite.Restore(t.Context(), backup, live)
			if err != nil {
				t.Fatal(err)
			}
			if c.main != nil && !bytes.Equal(contents(t, old), c.main) {
				t.Error("the damaged file was not kept as it was")
			}
			if _, err := os.Stat(live + "-wal"); !errors.Is(err, os.ErrNotExist) {
				t.Errorf("the old log stands beside the restored file: %v", err)
			}
			if n := count(t, live); n != 3 {
				t.Errorf("restored %d records, want 3", n)
			}
		})
	}
}

func TestRestoreRefusals(t *testing.T) {
	ctx := t.Context()
	folder := t.TempDir()
	at := func(name string) string { return filepath.Join(folder, name) }
	filled(t, at("live.db"), 3)
	filled(t, at("newer.db"), 1)
	execute(t, raw(t, at("newer.db")), "PRAGMA user_version = 99")
	execute(t, raw(t, at("other.db")), "CREATE TABLE recipe (x)")
	filled(t, at("damaged.db"), 200)
	b := contents(t, at("damaged.db"))
	copy(b[len(b)/2:], bytes.Repeat([]byte{0xff}, len(b)/4))
	for name, data := range map[string][]byte{"damaged.db": b, "short.db": contents(t, at("live.db"))[:8192], "text.db": []byte("hello"), "empty.db": nil} {
		if err := os.WriteFile(at(name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	filled(t, at("good.db"), 1)
	before := contents(t, at("live.db"))
	for _, c := range []struct {
		from, to string
		code     fault.Code
		words    string
	}{
		{"none.db", "live.db", fault.NotFound, "none.db"},
		{"live.db", "live.db", fault.BadFile, "itself"},
		{".", "live.db", fault.BadFile, "not a file"},
		{"newer.db", "live.db", fault.Unavailable, "newer"},
		{"other.db", "live.db", fault.Unavailable, "another program"},
		{"damaged.db", "live.db", fault.Unavailable, "damaged"},
		{"short.db", "live.db", fault.Unavailable, "damaged"},
		{"text.db", "live.db", fault.Unavailable, "not a database"},
		{"empty.db", "live.db", fault.Unavailable, "no records"},
		{"good.db", "other.db", fault.Unavailable, "another program"},
		{"good.db", "none/live.db", fault.Unavailable, "can't restore"},
	} {
		t.Run(c.from+" to "+c.to, func(t *testing.T) {
			_, err := sqlite.Restore(ctx, at(c.from), at(c.to))
			mustSay(t, err, c.code, c.words)
		})
	}
	if !bytes.Equal(before, contents(t, at("live.db"))) {
		t.Error("the database was changed")
	}
	for _, pattern := range []string{".*.part", "*.old-*"} {
		if left, _ := filepath.Glob(at(pattern)); len(left) != 0 {
			t.Errorf("left behind: %q", left)
		}
	}
}
