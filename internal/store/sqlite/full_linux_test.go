package sqlite_test

import (
	"errors"
	"fmt"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// TestDiskFull writes to a disk of 2 MB until it is full, log and all: what
// was acknowledged is there, nothing half-written is, and a backup to the same
// disk leaves no part of itself. It takes the right to mount one; TestFull is
// the same within a file's own limit.
func TestDiskFull(t *testing.T) {
	disk := t.TempDir()
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=2m"); err != nil {
		if errors.Is(err, syscall.EPERM) || errors.Is(err, syscall.EACCES) {
			t.Skipf("this user may not mount a small disk: %v", err)
		}
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(disk, 0); err != nil {
			t.Errorf("unmount: %v", err)
		}
	})
	ctx := t.Context()
	path := filepath.Join(disk, "test.db")
	db := openFile(t, sqlite.Config{Path: path, Limits: plenty()})
	v := mustView(t, db)
	kept := 0
	var err error
	for err == nil {
		if kept > 5000 {
			t.Fatal("5000 records fit on a disk of 2 MB")
		}
		if _, err = db.AddMaterial(ctx, shop.Stamp{By: v, At: testTime, Interaction: fmt.Sprint(kept)}, profile(fmt.Sprint(kept)), true); err == nil {
			kept++
		}
	}
	mustSay(t, err, fault.Unavailable, "disk")
	all, err := db.Materials(ctx, v)
	if err != nil || len(all) != kept || kept == 0 {
		t.Errorf("%d records and %v after %d acknowledged writes", len(all), err, kept)
	}
	mustSay(t, db.Backup(ctx, filepath.Join(disk, "copy.db"), false), fault.Unavailable, "copy.db")
	if left, _ := filepath.Glob(filepath.Join(disk, ".*")); len(left) != 0 {
		t.Errorf("the backup left %q", left)
	}
	elsewhere := filepath.Join(t.TempDir(), "copy.db")
	if err := db.Backup(ctx, elsewhere, false); err != nil {
		t.Fatalf("backup to another disk: %v", err)
	}
	if n := count(t, elsewhere); n != kept {
		t.Errorf("the backup holds %d records of %d", n, kept)
	}
}
