package sqlite_test

import (
	"fmt"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// tally is a store.Observer that remembers.
type tally struct {
	mu    sync.Mutex
	kinds []string
	waits []time.Duration
}

func (c *tally) StoreFailed(kind string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.kinds = append(c.kinds, kind)
}

func (c *tally) StoreWaited(took time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.waits = append(c.waits, took)
}

// What the database refuses is counted by its kind, and so is each wait for
// the right to write.
func TestObserver(t *testing.T) {
	ctx, told := t.Context(), &tally{}
	path := filepath.Join(t.TempDir(), "test.db")
	db := openFile(t, sqlite.Config{Path: path, Limits: plenty(), Watch: told})
	v := mustView(t, db)
	add := func(name string) error {
		_, err := db.AddMaterial(ctx, shop.Stamp{By: v, At: testTime}, profile(name), true)
		return err
	}
	told.waits = nil
	if err := add("first"); err != nil || len(told.waits) != 1 || len(told.kinds) != 0 {
		t.Errorf("a write: %v, %v, %q", err, told.waits, told.kinds)
	}
	other := raw(t, path)
	other.SetMaxOpenConns(1)
	execute(t, other, "BEGIN IMMEDIATE")
	mustSay(t, add("second"), fault.Busy)
	execute(t, other, "ROLLBACK")
	if longest := slices.Max(told.waits); !slices.Equal(told.kinds, []string{"busy"}) || longest < time.Second {
		t.Errorf("beside another's write: %q after %v", told.kinds, longest)
	}
	if err := db.Standing(ctx); err != nil {
		t.Errorf("standing: %v", err)
	}
	told.kinds = nil
	if err := db.FillUp(ctx); err != nil {
		t.Fatal(err)
	}
	var err error
	for i := 0; err == nil; i++ {
		err = add(fmt.Sprint(i))
	}
	if !slices.Contains(told.kinds, "full") {
		t.Errorf("a full disk: %q for %v", told.kinds, err)
	}
	told.kinds = nil
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if err := db.Standing(ctx); err == nil || !slices.Equal(told.kinds, []string{"other"}) {
		t.Errorf("a closed database stands: %v, %q", err, told.kinds)
	}
}
