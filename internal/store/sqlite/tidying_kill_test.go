package sqlite_test

import (
	"bufio"
	"context"
	"crypto/rand"
	"fmt"
	mrand "math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// longOn is when the pours of testTime are old, and oldAt what old is then.
var (
	longOn = testTime.Add(365 * 24 * time.Hour)
	oldAt  = longOn.Add(-30 * 24 * time.Hour)
)

// tidyForever lets old pours go one by one and tells each.
func tidyForever(path string) {
	db, err := sqlite.Open(context.Background(), sqlite.Config{Path: path, Rand: rand.Reader})
	for n := (shop.Tidied{}); err == nil; {
		if n, err = db.TidyUp(context.Background(), oldAt, longOn, 1); n.All() == 0 && err == nil {
			err = db.Scrub(context.Background())
		}
		fmt.Println(n.All())
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

// TestTidyingSurvivesKills kills a program that lets pours go, at any moment:
// each pour is there whole or is what it taught, and the next program goes on.
func TestTidyingSurvivesKills(t *testing.T) {
	const n = 60
	path := filepath.Join(t.TempDir(), "test.db")
	db := openFile(t, sqlite.Config{Path: path, Limits: plenty()})
	ctx, v := t.Context(), mustView(t, db)
	white, err := db.AddMaterial(ctx, shop.Stamp{By: v, At: testTime}, profile("white"), false)
	if err != nil {
		t.Fatal(err)
	}
	done := shop.Stamp{By: v, At: testTime.Add(time.Hour)}
	for range n {
		p, err := db.StartPour(ctx, shop.Stamp{By: v, At: testTime}, shop.Pour{MaterialID: white.ID, MaterialVersion: 1,
			PourPlan: shop.PourPlan{Material: "white", Foreseen: shop.Foreseen{Physics: 900}}})
		if err == nil {
			_, err = db.NotePour(ctx, done, p.ID, "a note", "")
		}
		if err == nil {
			_, err = db.EndPour(ctx, done, p.ID, shop.PourEnd{State: shop.PourDone})
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	seed := time.Now().UnixNano()
	t.Logf("seed %d", seed)
	r := mrand.New(mrand.NewPCG(uint64(seed), 1))
	for range 4 {
		cmd := as(ctx, "tidier", path)
		told, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(told)
		for range 1 + r.IntN(15) {
			lines.Scan()
		}
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		_ = cmd.Wait() // it was killed
		left, err := db.Pours(ctx, v, 2*n)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range left {
			if whole, err := db.Pour(ctx, v, p.ID); err != nil || len(whole.Log) != 2 || whole.Material != "white" {
				t.Errorf("pour %d is neither here nor gone: %+v, %v", p.ID, whole, err)
			}
		}
		if logs, err := db.CureLogs(ctx, v, white.ID); err != nil || len(logs) != n || logs[0].Physics != 900 {
			t.Errorf("%d of %d logs are left, %v", len(logs), n, err)
		}
		if bad := failures(db.Check(ctx)); len(bad) != 0 {
			t.Fatalf("check: %+v", bad)
		}
	}
	for {
		gone, err := db.TidyUp(ctx, oldAt, longOn, 100)
		if err != nil {
			t.Fatal(err)
		}
		if gone.All() == 0 {
			break
		}
	}
	if left, err := db.Pours(ctx, v, n); err != nil || len(left) != 0 {
		t.Errorf("%d pours are left, %v", len(left), err)
	}
}
