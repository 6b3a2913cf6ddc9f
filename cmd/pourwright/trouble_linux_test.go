package main

import (
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
)

// smallDisk mounts one of that size, where this user may.
func smallDisk(t *testing.T, size string) string {
	t.Helper()
	disk := t.TempDir()
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size="+size); err != nil {
		if errors.Is(err, syscall.EPERM) || errors.Is(err, syscall.EACCES) {
			t.Skipf("this user may not mount a small disk: %v", err)
		}
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(disk, syscall.MNT_DETACH); err != nil {
			t.Errorf("unmount: %v", err)
		}
	})
	return disk
}

// fill writes a file until the disk takes no more.
func fill(t *testing.T, path string) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for err == nil {
		_, err = f.Write(make([]byte, 1024))
	}
	if !errors.Is(err, syscall.ENOSPC) {
		t.Fatal(err)
	}
}

// The disk fills up while a member waits for a call: what is typed is refused as
// unavailable and leaves nothing, the loop says so in the log and goes on, and
// once there is room again the call of that time comes, and the card, once.
func TestCallsAfterAFullDisk(t *testing.T) {
	t.Parallel()
	disk := smallDisk(t, "6m")
	x := troubles(t, filepath.Join(disk, "shop.db"))
	filler := filepath.Join(disk, "photos")
	soon := x.dueSoon("in the trouble")
	fill(t, filler)
	soon()
	x.refused("/pour note text:x", fault.Unavailable)
	notes := x.notes()
	x.refused("/due add about:more in:1h", fault.Unavailable)
	x.must("/pour list")
	x.log.await(t, "call members back")
	if err := os.Remove(filler); err != nil {
		t.Fatal(err)
	}
	x.await("calls", &x.told.calls, 1)
	x.must("/pour ready")
	x.await("cards", &x.told.cards, 1)
	if n := x.told.count(&x.told.calls); n != 1 {
		t.Errorf("the call came %d times", n)
	}
	if after := x.notes(); after != notes {
		t.Errorf("%d notes are kept of %d that were acknowledged", after, notes)
	}
	x.whole()
}
