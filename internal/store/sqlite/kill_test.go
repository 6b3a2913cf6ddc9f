package sqlite_test

import (
	"bufio"
	"context"
	"crypto/rand"
	"fmt"
	mrand "math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// The test binary acts as another program when these are set.
const (
	victimRole = "POURWRIGHT_TEST_ROLE"
	victimPath = "POURWRIGHT_TEST_DB"
)

// victim plays the other program's part and reports whether it had one.
func victim() bool {
	path := os.Getenv(victimPath)
	switch os.Getenv(victimRole) {
	case "writer":
		writeForever(path)
	case "tidier":
		tidyForever(path)
	case "stranger":
		strange(path)
	default:
		return false
	}
	return true
}

// as starts the test binary in a role on a database.
func as(ctx context.Context, role, path string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, os.Args[0])
	cmd.Env = append(os.Environ(), victimRole+"="+role, victimPath+"="+path)
	return cmd
}

var testTime = time.Date(2026, 11, 25, 9, 30, 0, 0, time.UTC)

// plenty is a limit that the tests which write a lot do not meet.
func plenty() store.Limits {
	l := store.DefaultLimits()
	l.Materials, l.Total, l.Shared, l.Removed = 1e6, 1e6, 1e6, 1e6
	return l
}

// viewer gives a member in a shop, made where they are not there.
func viewer(ctx context.Context, db *sqlite.DB) (shop.Viewer, error) {
	m, err := db.Member(ctx, "local:ada", "ada", testTime)
	if err != nil {
		return shop.Viewer{}, err
	}
	s, err := db.Shop(ctx, "local:hall", "hall", m.ID, testTime)
	return shop.Viewer{Member: m, Shop: s}, err
}

func mustView(t testing.TB, db *sqlite.DB) shop.Viewer {
	t.Helper()
	v, err := viewer(context.Background(), db)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func profile(name string) material.Profile {
	return material.Profile{Name: name, Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume}, PotLife: 180,
		Notes: strings.Repeat("notes ", 100)}
}

// writeForever adds pairs of records and says the number of each pair once it
// is acknowledged, until somebody ends it.
func writeForever(path string) {
	ctx := context.Background()
	db, err := sqlite.Open(ctx, sqlite.Config{Path: path, Rand: rand.Reader, Limits: plenty()})
	if err != nil {
		fmt.Println("open:", err)
		return
	}
	v, err := viewer(ctx, db)
	if err != nil {
		fmt.Println("viewer:", err)
		return
	}
	all, err := db.MaterialNames(ctx, v)
	for n := len(all) / 2; err == nil; n++ {
		stamp := shop.Stamp{By: v, At: testTime, Interaction: strconv.Itoa(n)}
		err = db.Together(ctx, func(b shop.Books) error {
			for _, half := range []string{"left", "right"} {
				if _, err := b.Materials.AddMaterial(ctx, stamp, profile(fmt.Sprint(half, " ", n)), true); err != nil {
					return err
				}
			}
			return nil
		})
		if err == nil {
			fmt.Println(n)
		}
	}
	fmt.Println("write:", err)
}

// TestKilledWhileWriting ends a writer with SIGKILL at random moments, and looks
// for everything it acknowledged. The time of every other writer begins with its
// first acknowledged pair, however slow the machine; of the others some are ended
// while they make the file.
func TestKilledWhileWriting(t *testing.T) {
	const rounds = 60
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := mrand.New(mrand.NewPCG(seed, 0))
	path := filepath.Join(t.TempDir(), "kill.db")
	pairs, total := 0, 0
	for round := range rounds {
		if round%6 == 0 { // a new file, so that some are killed while they are made
			path, pairs = filepath.Join(t.TempDir(), "kill.db"), 0
		}
		life := time.Duration(rng.Int64N(int64(40 * time.Millisecond)))
		last, said := killAfter(t, path, life, round%2 == 1)
		if said != "" {
			t.Fatalf("round %d (seed %d): the writer said %q", round, seed, said)
		}
		got := countPairs(t, path)
		if acknowledged := last + 1; got < acknowledged || got < pairs || got > max(acknowledged, pairs)+1 {
			t.Fatalf("round %d (seed %d): %d pairs there, %d acknowledged now, %d there before", round, seed, got, acknowledged, pairs)
		}
		total += got - pairs
		pairs = got
	}
	if total == 0 {
		t.Error("no round lived long enough to write; nothing was tested")
	}
	t.Logf("%d rounds, %d pairs written in all", rounds, total)
}

// killAfter runs a writer for a while after it began, or after it first wrote,
// and gives the last number that it acknowledged, -1 for none, or what it said
// besides numbers.
func killAfter(t *testing.T, path string, life time.Duration, written bool) (last int, said string) {
	t.Helper()
	cmd := as(t.Context(), "writer", path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var timer *time.Timer
	begin := func() { timer = time.AfterFunc(life, func() { _ = cmd.Process.Kill() }) }
	if !written {
		begin()
	}
	last = -1
	for lines := bufio.NewScanner(out); lines.Scan(); {
		n, err := strconv.Atoi(lines.Text())
		if err != nil {
			said = lines.Text()
			break
		}
		if last = n; timer == nil {
			begin()
		}
	}
	if timer != nil {
		timer.Stop()
	}
	_ = cmd.Process.Kill()
	_ = cmd.Wait() // "signal: killed", as meant
	return last, said
}

// countPairs opens what a killed writer left, must find it sound, and counts.
func countPairs(t *testing.T, path string) int {
	t.Helper()
	ctx := context.Background()
	db, err := sqlite.Open(ctx, sqlite.Config{Path: path, Rand: rand.Reader, Limits: plenty()})
	if err != nil {
		t.Fatalf("open after a kill: %v", err)
	}
	defer db.Close()
	for _, f := range db.Check(ctx) {
		if !f.OK {
			t.Fatalf("after a kill: %s (%s)", f.What, f.Do)
		}
	}
	all, err := db.Materials(ctx, mustView(t, db))
	if err != nil {
		t.Fatal(err)
	}
	there := map[string]bool{}
	for _, m := range all {
		there[m.Name] = len(m.Notes) == 600
	}
	for n := range len(all) / 2 {
		for _, half := range []string{"left", "right"} {
			if name := fmt.Sprint(half, " ", n); !there[name] {
				t.Fatalf("of %d records %q is not there, or not whole", len(all), name)
			}
		}
	}
	if len(all)%2 != 0 {
		t.Fatalf("%d records: half a transaction was kept", len(all))
	}
	return len(all) / 2
}

// strange is a program under a user who may not write the database. It says
// what happens to it, one line each.
func strange(path string) {
	if os.Getuid() == 0 {
		if err := dropRoot(); err != nil {
			fmt.Println("setuid:", err)
			return
		}
	}
	ctx := context.Background()
	db, err := sqlite.Open(ctx, sqlite.Config{Path: path, Rand: rand.Reader})
	say("open", err)
	if err != nil {
		return
	}
	defer db.Close()
	v, err := viewer(ctx, db)
	say("viewer", err)
	all, err := db.Materials(ctx, v)
	say(fmt.Sprint("read ", len(all)), err)
	_, err = db.AddMaterial(ctx, shop.Stamp{By: v, At: testTime}, profile("stranger"), true)
	say("write", err)
	for _, f := range db.Check(ctx) {
		if !f.OK {
			fmt.Println("check", f.What)
		}
	}
}

func say(what string, err error) {
	if f := fault.As(err); f != nil {
		fmt.Printf("%s %s: %s / %s\n", what, f.Code, f.Message, f.HintText())
	} else if err != nil {
		fmt.Println(what, "error", err)
	} else {
		fmt.Println(what, "ok")
	}
}
