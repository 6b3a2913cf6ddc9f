package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/console"
)

var (
	lateThing   = regexp.MustCompile(`(?m)^ *(?:Reminder: |\d+\. )(thing \d)`)
	lateMessage = regexp.MustCompile(`(?m)^(?:Reminder: thing|\d+ reminders$)`)
)

// What came due while nobody was there comes at the start in the order in which
// it was due, whenever it was asked for: a few one by one, more of them as one
// list. Who leaves is told what is still to come.
func TestTryTellsLateCallsInOrder(t *testing.T) {
	for late, messages := range map[int]int{1: 1, 5: 5, 7: 1} {
		t.Run(fmt.Sprint(late), func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "shop.db")
			db, ada := openAs(t, path, "local:ada", "local:kettle-lane")
			defer db.Close()
			var want []string
			for i := late - 1; i >= 0; i-- { // the last first
				want = append(want, fmt.Sprint("thing ", i))
				addDue(t, db, ada, want[len(want)-1], "", time.Now().Add(time.Duration(i-late)*time.Hour))
			}
			slices.Reverse(want)
			addDue(t, db, ada, "mix the next", "", time.Now().Add(time.Hour))
			screen := comeBack(t, path, want[late-1])
			var got []string
			for _, m := range lateThing.FindAllStringSubmatch(screen, -1) {
				got = append(got, m[1])
			}
			if !slices.Equal(got, want) {
				t.Errorf("came as %q, want %q:\n%s", got, want, screen)
			}
			if n := len(lateMessage.FindAllString(screen, -1)); n != messages {
				t.Errorf("came in %d messages, want %d:\n%s", n, messages, screen)
			}
		})
	}
}

// comeBack starts the program over a shop, waits for a text, leaves, and gives
// all that was shown.
func comeBack(t *testing.T, path, want string) string {
	t.Helper()
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	defer w.Close()
	t.Setenv("TMPDIR", t.TempDir())
	out, errs, end := start(t, r, nil, "try", "--db", path)
	out.await(t, want)
	if status := end(); status != console.Answered {
		t.Errorf("status %d; errors:\n%s", status, errs)
	}
	return out.await(t, "1 call to come once this runs again, the late ones first.\n")
}

// A call that was to come in a shop that is not kept is told to be gone.
func TestTryTellsWhatIsLost(t *testing.T) {
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	t.Setenv("TMPDIR", t.TempDir())
	out, errs, end := start(t, r, nil, "try")
	if _, err := w.WriteString("/due add about:\"wipe the mold\" in:1h\n/due add about:\"coat it\" in:2h\nquit\n"); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	out.await(t, "2 calls to come went with the demo shop; --db FILE keeps it.")
	if status := end(); status != console.Answered {
		t.Errorf("status %d; errors:\n%s", status, errs)
	}
}

// A call whose buttons went out of reach by another answer is put off by the
// number that it told.
func TestTrySnoozesByNumber(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	db, ada := openAs(t, path, "local:ada", "local:kettle-lane")
	defer db.Close()
	due := addDue(t, db, ada, "wipe the mold", "", time.Now().Add(-time.Hour))
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	defer w.Close()
	t.Setenv("TMPDIR", t.TempDir())
	out, errs, end := start(t, r, nil, "try", "--db", path)
	number := regexp.MustCompile(`Number +(#\d+)`).FindStringSubmatch(out.await(t, "[2] Done"))
	if number == nil || number[1] != fmt.Sprint("#", due.ID) {
		t.Fatalf("its number is %q, want #%d:\n%s", number, due.ID, out)
	}
	if _, err := fmt.Fprintf(w, "/mold show mold:\"harbor pawn\"\n/due snooze due:%s in:\"20 min\"\n", number[1]); err != nil {
		t.Fatal(err)
	}
	out.await(t, "[2] Cancel it")
	if status := end(); status != console.Answered {
		t.Errorf("status %d; errors:\n%s", status, errs)
	}
	all, err := db.Dues(t.Context(), ada, 10)
	if err != nil || len(all) != 1 || all[0].Count != 1 || time.Until(all[0].At) < 19*time.Minute {
		t.Errorf("kept: %+v, %v", all, err)
	}
}
