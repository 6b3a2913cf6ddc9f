package postgres_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/postgres"
	"github.com/pourwright/pourwright/internal/store/postgres/pgtest"
)

var testTime = time.Date(2026, 11, 25, 9, 30, 0, 0, time.UTC)

func viewer(t testing.TB, db *postgres.DB, name string) shop.Viewer {
	t.Helper()
	ctx := context.Background()
	m, err := db.Member(ctx, "local:"+name, name, testTime)
	if err != nil {
		t.Fatal(err)
	}
	s, err := db.Shop(ctx, "local:hall", "The Hall", m.ID, testTime)
	if err != nil {
		t.Fatal(err)
	}
	return shop.Viewer{Member: m, Shop: s}
}

func profile(name string) material.Profile {
	return material.Profile{
		Name: name, Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume},
		DensityA: 1.10, DensityB: 1.02, PotLife: 180,
	}
}

func names(t testing.TB, db *postgres.DB, v shop.Viewer) map[string]int {
	t.Helper()
	all, err := db.MaterialNames(t.Context(), v)
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]int{}
	for _, e := range all {
		found[e.Name]++
	}
	return found
}

// plenty are limits that tests do not meet.
func plenty() store.Limits {
	l := store.DefaultLimits()
	l.Materials, l.Versions, l.Dues, l.Shared = 1e6, 1e6, 1e6, 1e6
	return l
}

// A broken connection is no matter to who reads, or has not begun to write.
func TestReadsGoOn(t *testing.T) {
	p := newProxy(t, pgtest.Migrated(t))
	db := open(t, postgres.Config{URL: p.address})
	v := viewer(t, db, "ada")
	for i := range 5 {
		if _, err := db.AddMaterial(t.Context(), shop.Stamp{By: v, At: testTime}, profile(fmt.Sprint("white ", i)), true); err != nil {
			t.Fatalf("write %d: %v", i, err)
		}
		p.cut()
		if got := names(t, db, v); len(got) != i+1 {
			t.Fatalf("after cut %d: %v", i, got)
		}
		p.cut()
		if _, err := db.Export(t.Context(), v); err != nil {
			t.Fatalf("a snapshot after cut %d: %v", i, err)
		}
		p.cut()
	}
}

// Where the answer to a commit is lost, the server is asked what became of it.
func TestCommitUnspoken(t *testing.T) {
	p := newProxy(t, pgtest.Migrated(t))
	db := open(t, postgres.Config{URL: p.address})
	v := viewer(t, db, "ada")
	p.fate.Store(commitUnspoken)
	if _, err := db.AddMaterial(t.Context(), shop.Stamp{By: v, At: testTime}, profile("white"), true); err != nil {
		t.Errorf("it was committed, and is told as: %v", err)
	}
	if p.fate.Load() != commitGoes {
		t.Fatal("no commit came by")
	}
	if got := names(t, db, v); got["white"] != 1 {
		t.Errorf("kept %v", got)
	}
}

func TestCommitUnheard(t *testing.T) {
	p := newProxy(t, pgtest.Migrated(t))
	db := open(t, postgres.Config{URL: p.address})
	v := viewer(t, db, "ada")
	p.fate.Store(commitUnheard)
	stamp := shop.Stamp{By: v, At: testTime, Interaction: "once"}
	_, err := db.AddMaterial(t.Context(), stamp, profile("white"), true)
	if !fault.Is(err, fault.Unavailable) || !strings.Contains(fault.As(err).HintText(), "nothing was written") {
		t.Errorf("got %v, want %s and that nothing was written", err, fault.Unavailable)
	}
	if got := names(t, db, v); len(got) != 0 {
		t.Errorf("kept %v", got)
	}
	if _, err := db.AddMaterial(t.Context(), stamp, profile("white"), true); err != nil {
		t.Errorf("sent once more: %v", err)
	}
}

// A server that can't be asked any more leaves it open whether the write was
// carried out, and that is what is said.
func TestCommitUnknown(t *testing.T) {
	p := newProxy(t, pgtest.Migrated(t))
	db := open(t, postgres.Config{URL: p.address})
	v := viewer(t, db, "ada")
	p.fate.Store(commitUnspoken)
	// No connection is left to ask by, and no new one can be made.
	p.front.Close()
	db.RawReader().SetMaxIdleConns(0)
	_, err := db.AddMaterial(t.Context(), shop.Stamp{By: v, At: testTime}, profile("white"), true)
	if !fault.Is(err, fault.Unavailable) || !strings.Contains(fault.As(err).HintText(), "look whether it is there") {
		t.Errorf("got %v, want that nobody knows", err)
	}
}

// Connections that break at any moment.
func TestNothingLostOrDoubled(t *testing.T) {
	p := newProxy(t, pgtest.Migrated(t))
	disturbed(t, p.address, func(r *rand.Rand) {
		pause(t, time.Duration(20+r.IntN(200))*time.Millisecond)
		p.fate.Store(int32(r.IntN(3)))
		p.cut()
	})
}

// restartVariable names the command that ends the tests' server at once, as a
// crash would, and starts it anew. Other tests must not use it meanwhile.
const restartVariable = "POURWRIGHT_POSTGRES_RESTART"

// A server that falls over and comes back.
func TestServerRestarts(t *testing.T) {
	command := os.Getenv(restartVariable)
	if command == "" {
		t.Skip(restartVariable + " is not set; give it a command that ends the server at once and starts it anew")
	}
	disturbed(t, pgtest.Migrated(t), func(r *rand.Rand) {
		pause(t, time.Duration(100+r.IntN(300))*time.Millisecond)
		if out, err := exec.CommandContext(t.Context(), "sh", "-c", command).CombinedOutput(); err != nil {
			t.Errorf("start the server anew: %v\n%s", err, out)
		}
	})
}

func pause(t testing.TB, d time.Duration) {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
	case <-t.Context().Done():
	}
}

// disturbed writes on while disturb is called several times. What was acknowledged
// is there at the end, what was refused is not, and nothing is there twice.
func disturbed(t *testing.T, address string, disturb func(*rand.Rand)) {
	db := open(t, postgres.Config{URL: address, Limits: plenty()})
	v := viewer(t, db, "ada")
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	const writers, times = 4, 6
	var told sync.Map // name → error
	var work, beside sync.WaitGroup
	var over atomic.Bool
	beside.Go(func() {
		r := rand.New(rand.NewPCG(seed, 0))
		for range times {
			disturb(r)
		}
		over.Store(true)
	})
	for w := range writers {
		work.Go(func() {
			for i := 0; !over.Load(); i++ {
				name := fmt.Sprintf("w%d %d", w, i)
				_, err := db.AddMaterial(t.Context(), shop.Stamp{By: v, At: testTime, Interaction: name}, profile(name), true)
				told.Store(name, err)
			}
		})
	}
	beside.Wait()
	work.Wait()
	audit(t, &told, names(t, db, v))
}

func audit(t *testing.T, told *sync.Map, found map[string]int) {
	t.Helper()
	acknowledged, refused, unknown := 0, 0, 0
	told.Range(func(name, err any) bool {
		n := found[name.(string)]
		switch err, _ := err.(error); {
		case err == nil:
			acknowledged++
			if n != 1 {
				t.Errorf("%v was acknowledged and is there %d times", name, n)
			}
		case !fault.Is(err, fault.Unavailable) && !fault.Is(err, fault.Busy):
			t.Errorf("%v: %v", name, err)
		case strings.Contains(fault.As(err).HintText(), "nothing was written"):
			refused++
			if n != 0 {
				t.Errorf("%v was refused (%v) and is there %d times", name, err, n)
			}
		default:
			unknown++
		}
		return true
	})
	t.Logf("%d acknowledged, %d refused, of %d nobody knows", acknowledged, refused, unknown)
	if acknowledged == 0 {
		t.Error("nothing was acknowledged: that tried nothing")
	}
}
