package sqlite_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// raw opens a file behind the store's back.
func raw(t testing.TB, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite3", "file:"+path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

func execute(t testing.TB, db *sql.DB, text string, args ...any) {
	t.Helper()
	if _, err := db.Exec(text, args...); err != nil {
		t.Fatalf("%s: %v", text, err)
	}
}

// filled makes a closed database with n records of ada's.
func filled(t testing.TB, path string, n int) {
	t.Helper()
	ctx := context.Background()
	db, err := sqlite.Open(ctx, sqlite.Config{Path: path, Rand: rand.Reader, Limits: plenty()})
	if err != nil {
		t.Fatal(err)
	}
	v := mustView(t, db)
	err = db.Together(ctx, func(b shop.Books) error {
		for i := range n {
			if _, err := b.Materials.AddMaterial(ctx, shop.Stamp{By: v, At: testTime}, profile(fmt.Sprint("record ", i)), true); err != nil {
				return err
			}
		}
		return nil
	})
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
}

func contents(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// mustSay fails unless err is a refusal with that code whose message holds the
// words, with something to do.
func mustSay(t testing.TB, err error, code fault.Code, words ...string) {
	t.Helper()
	f := fault.As(err)
	if f == nil {
		t.Fatalf("got error %v, want %s", err, code)
	}
	if f.Code != code || f.HintText() == "" {
		t.Errorf("got %s %q, hint %q; want %s and a hint", f.Code, f.Message, f.HintText(), code)
	}
	for _, w := range words {
		if !strings.Contains(f.Message, w) {
			t.Errorf("message %q does not hold %q", f.Message, w)
		}
	}
}

// TestRefusedFilesStayAsTheyAre opens what must not be opened.
func TestRefusedFilesStayAsTheyAre(t *testing.T) {
	for _, c := range []struct {
		name  string
		make  func(t *testing.T, path string)
		words string
	}{
		{"a newer schema", func(t *testing.T, path string) {
			filled(t, path, 3)
			db := raw(t, path)
			execute(t, db, "PRAGMA user_version = 99")
			execute(t, db, "CREATE TABLE coming (x)")
			db.Close()
		}, "newer pourwright (schema 99"},
		{"another program's database", func(t *testing.T, path string) {
			db := raw(t, path)
			execute(t, db, "CREATE TABLE recipe (x)")
			execute(t, db, "INSERT INTO recipe VALUES (1)")
			db.Close()
		}, "another program"},
		{"another program's database with its own mark", func(t *testing.T, path string) {
			db := raw(t, path)
			execute(t, db, "PRAGMA application_id = 42")
			execute(t, db, "CREATE TABLE recipe (x)")
			db.Close()
		}, "another program"},
		{"a text", func(t *testing.T, path string) {
			if err := os.WriteFile(path, bytes.Repeat([]byte("not a database\n"), 500), 0o600); err != nil {
				t.Fatal(err)
			}
		}, "not a database"},
		{"a damaged head", func(t *testing.T, path string) {
			filled(t, path, 3)
			b := contents(t, path)
			copy(b, bytes.Repeat([]byte{0xff}, 4096))
			if err := os.WriteFile(path, b, 0o600); err != nil {
				t.Fatal(err)
			}
		}, "not a database"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "test.db")
			c.make(t, path)
			before := contents(t, path)
			db, err := sqlite.Open(t.Context(), sqlite.Config{Path: path, Rand: rand.Reader})
			if err == nil {
				db.Close()
			}
			mustSay(t, err, fault.Unavailable, c.words, path)
			if !bytes.Equal(before, contents(t, path)) {
				t.Error("the file was changed")
			}
		})
	}
}

// TestDamagedPages: a file whose head is well and whose records are not.
func TestDamagedPages(t *testing.T) {
	path := filepath.Join(t.TempDir(), "test.db")
	filled(t, path, 450)
	b := contents(t, path)
	for i := len(b) / 2; i < len(b); i++ {
		b[i] = 0xff
	}
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	db := openFile(t, sqlite.Config{Path: path})
	v := mustView(t, db)
	_, err := db.Materials(t.Context(), v)
	mustSay(t, err, fault.Unavailable, "damaged")
	if bad := failures(db.Check(t.Context())); len(bad) != 1 || !strings.Contains(bad[0].Do, "restore") {
		t.Errorf("check: %+v", bad)
	}
	copied := filepath.Join(t.TempDir(), "copy.db")
	mustSay(t, db.Backup(t.Context(), copied, false), fault.Unavailable, copied)
	mustBeEmpty(t, filepath.Dir(copied))
}

func mustBeEmpty(t testing.TB, folder string) {
	t.Helper()
	left, err := os.ReadDir(folder)
	if err != nil || len(left) != 0 {
		t.Errorf("left in %s: %v, %v", folder, left, err)
	}
}

// TestFull lets the file grow no further: the write that does not fit is
// refused whole, reading goes on, and small changes are possible again after.
func TestFull(t *testing.T) {
	ctx := t.Context()
	path := filepath.Join(t.TempDir(), "test.db")
	db := openFile(t, sqlite.Config{Path: path, Limits: plenty()})
	v := mustView(t, db)
	if err := db.FillUp(ctx); err != nil {
		t.Fatal(err)
	}
	kept := 0
	var err error
	for err == nil {
		if kept > 1000 {
			t.Fatal("1000 records fit into a full file")
		}
		if _, err = db.AddMaterial(ctx, shop.Stamp{By: v, At: testTime, Interaction: fmt.Sprint(kept)}, profile(fmt.Sprint(kept)), true); err == nil {
			kept++
		}
	}
	mustSay(t, err, fault.Unavailable, "full")
	all, err := db.Materials(ctx, v)
	if err != nil || len(all) != kept {
		t.Errorf("%d records and %v after %d acknowledged writes", len(all), err, kept)
	}
	for _, m := range all {
		if m.Notes != profile("").Notes {
			t.Errorf("%s is not whole", m.Name)
		}
	}
	if bad := failures(db.Check(ctx)); len(bad) != 0 {
		t.Errorf("check: %+v", bad)
	}
}

// TestLocked holds the file as another program would.
func TestLocked(t *testing.T) {
	ctx := t.Context()
	path := filepath.Join(t.TempDir(), "test.db")
	filled(t, path, 1)
	db := openFile(t, sqlite.Config{Path: path})
	v := mustView(t, db)
	other := raw(t, path)
	other.SetMaxOpenConns(1)
	execute(t, other, "BEGIN IMMEDIATE")
	_, err := db.AddMaterial(ctx, shop.Stamp{By: v, At: testTime}, profile("late"), true)
	mustSay(t, err, fault.Busy, "busy")
	if all, err := db.Materials(ctx, v); err != nil || len(all) != 1 {
		t.Errorf("reading beside another's write: %d, %v", len(all), err)
	}
	_, err = sqlite.Restore(ctx, path+".none", path)
	mustSay(t, err, fault.NotFound, path+".none")
	execute(t, other, "ROLLBACK")
	if _, err := db.AddMaterial(ctx, shop.Stamp{By: v, At: testTime}, profile("late"), true); err != nil {
		t.Errorf("once it is free: %v", err)
	}
}

// TestReadOnly runs a program under a user whom the permissions shut out.
func TestReadOnly(t *testing.T) {
	for _, c := range []struct {
		name         string
		folder, file fs.FileMode
		want         []string
	}{
		{"nothing is his", 0o555, 0o400, []string{"open unavailable: can't open the database"}},
		{"only reading", 0o555, 0o444, []string{"open unavailable: can't open the database"}},
		{"the file can't be written", 0o777, 0o444, []string{"open unavailable: can't open the database"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder := t.TempDir()
			path := filepath.Join(folder, "test.db")
			filled(t, path, 3)
			if err := errors.Join(os.Chmod(path, c.file), os.Chmod(folder, c.folder)); err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { os.Chmod(folder, 0o700) })
			before := contents(t, path)
			out, err := as(t.Context(), "stranger", path).CombinedOutput()
			if err != nil {
				t.Fatalf("%v\n%s", err, out)
			}
			lines := strings.Split(strings.TrimSpace(string(out)), "\n")
			for i, want := range c.want {
				if i >= len(lines) || !strings.HasPrefix(lines[i], want) {
					t.Fatalf("line %d is not %q in:\n%s", i, want, out)
				}
			}
			if !bytes.Equal(before, contents(t, path)) {
				t.Error("the file was changed")
			}
		})
	}
}

func TestOpenNowhere(t *testing.T) {
	folder := t.TempDir()
	for _, c := range []struct{ name, path, words string }{
		{"no folder", filepath.Join(folder, "none", "test.db"), "none"},
		{"a folder", folder, folder},
		{"no path", "", "no database file"},
		{"a file for a folder", filepath.Join(folder, "plain", "test.db"), "plain"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if err := os.WriteFile(filepath.Join(folder, "plain"), nil, 0o600); err != nil {
				t.Fatal(err)
			}
			_, err := sqlite.Open(t.Context(), sqlite.Config{Path: c.path, Rand: rand.Reader})
			mustSay(t, err, fault.Unavailable, c.words)
		})
	}
}

// TestOpenTogether opens a new file from many sides at once.
func TestOpenTogether(t *testing.T) {
	path := filepath.Join(t.TempDir(), "test.db")
	errs := make([]error, 12)
	var all sync.WaitGroup
	for i := range errs {
		all.Go(func() {
			db, err := sqlite.Open(context.Background(), sqlite.Config{Path: path, Rand: rand.Reader})
			if err == nil {
				_, err = viewer(context.Background(), db)
				err = errors.Join(err, db.Close())
			}
			errs[i] = err
		})
	}
	all.Wait()
	if err := errors.Join(errs...); err != nil {
		t.Error(err)
	}
}

// TestTwoPrograms write to one file, as serve and a backup or an ask would.
func TestTwoPrograms(t *testing.T) {
	ctx := t.Context()
	path := filepath.Join(t.TempDir(), "test.db")
	programs := []*sqlite.DB{openFile(t, sqlite.Config{Path: path}), openFile(t, sqlite.Config{Path: path})}
	v := mustView(t, programs[0])
	const each = 40
	errs := make([]error, len(programs))
	var all sync.WaitGroup
	for i, db := range programs {
		all.Go(func() {
			for n := range each {
				_, err := db.AddMaterial(ctx, shop.Stamp{By: v, At: testTime}, profile(fmt.Sprint(i, " ", n)), true)
				errs[i] = errors.Join(errs[i], err)
			}
		})
	}
	all.Wait()
	if err := errors.Join(errs...); err != nil {
		t.Error(err)
	}
	for i, db := range programs {
		if got, err := db.MaterialNames(ctx, v); err != nil || len(got) != 2*each {
			t.Errorf("program %d sees %d records, %v; want %d", i, len(got), err, 2*each)
		}
	}
}

// TestOpenedAsMeant reads back every setting that safety rests on.
func TestOpenedAsMeant(t *testing.T) {
	ctx := t.Context()
	folder := filepath.Join(t.TempDir(), "a b?c#d%41'")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(folder, "é?mode=memory&x=#.db")
	db := openFile(t, sqlite.Config{Path: path})
	mustView(t, db)
	schema, err := store.SchemaVersion(store.SQLite)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name           string
		writer, reader string
	}{
		{"journal_mode", "wal", "wal"},
		{"synchronous", "2", "1"}, // FULL; a reader syncs nothing
		{"busy_timeout", "2000", "2000"},
		{"foreign_keys", "1", "1"},
		{"secure_delete", "1", ""},
		{"user_version", fmt.Sprint(schema), fmt.Sprint(schema)},
	} {
		for writer, want := range map[bool]string{true: c.writer, false: c.reader} {
			if got, err := db.Pragma(ctx, writer, c.name); err != nil || want != "" && got != want {
				t.Errorf("%s of writer=%v is %q, %v; want %q", c.name, writer, got, err, want)
			}
		}
	}
	if err := db.ExecReader(ctx, "DELETE FROM member"); !fault.Is(err, fault.Unavailable) {
		t.Errorf("a reader writes: %v", err)
	}
	for _, file := range []string{path, path + "-wal", path + "-shm"} {
		if st, err := os.Stat(file); err != nil || st.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v; want mode 0600", file, st.Mode(), err)
		}
	}
	if bad := failures(db.Check(ctx)); len(bad) != 0 {
		t.Errorf("check: %+v", bad)
	}
	if err := os.Chmod(path, 0o644); err != nil {
		t.Fatal(err)
	}
	if bad := failures(db.Check(ctx)); len(bad) != 1 || !strings.Contains(bad[0].Do, "chmod 600") {
		t.Errorf("check of a file that others can read: %+v", bad)
	}
}

// TestErasedIsGone: what a member erased is in no file afterwards.
func TestErasedIsGone(t *testing.T) {
	ctx := t.Context()
	path := filepath.Join(t.TempDir(), "test.db")
	db, err := sqlite.Open(ctx, sqlite.Config{Path: path, Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	v := mustView(t, db)
	p := profile("secret-of-ada")
	for i := range 20 {
		p.Name = fmt.Sprint("secret-of-ada ", i)
		if _, err := db.AddMaterial(ctx, shop.Stamp{By: v, At: testTime}, p, true); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(db.Erase(ctx, shop.Stamp{By: v, At: testTime}), db.Close()); err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob(path + "*")
	if err != nil || len(files) != 1 {
		t.Errorf("files after closing: %q, %v; want the database alone", files, err)
	}
	if bytes.Contains(contents(t, path), []byte("secret-of-ada")) {
		t.Error("the erased name stands in the file")
	}
}

func TestTemp(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	db, err := sqlite.Temp(t.Context(), sqlite.Config{Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(db.Path(), os.Getenv("TMPDIR")) {
		t.Errorf("temporary file at %s", db.Path())
	}
	mustView(t, db)
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	mustBeEmpty(t, os.Getenv("TMPDIR"))
}
