package transfer_test

import (
	"context"
	"crypto/rand"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/sqlite"
	"github.com/pourwright/pourwright/internal/transfer"
)

// noon is when the calls of these tests are made.
var noon = time.Date(2026, 11, 23, 12, 0, 0, 0, time.UTC)

// world is a real store with ada in the hall and zoe, who has nothing, in the
// yard.
type world struct {
	*sqlite.DB
	ctx      context.Context
	ada, zoe shop.Viewer
}

type fataler interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
}

// plenty are limits that nothing here comes near.
func plenty() store.Limits {
	l := store.DefaultLimits()
	l.Materials, l.Molds, l.Tints, l.Total, l.Pulls, l.PastPours = 50000, 50000, 50000, 100000, 100000, 50000
	return l
}

func newWorld(t fataler, limits store.Limits) (*world, func()) {
	t.Helper()
	ctx := context.Background()
	db, err := sqlite.Memory(ctx, sqlite.Config{Rand: rand.Reader, Limits: limits})
	if err != nil {
		t.Fatal(err)
	}
	w := &world{DB: db, ctx: ctx}
	w.ada, w.zoe = w.viewer(t, "ada", "hall"), w.viewer(t, "zoe", "yard")
	return w, func() { _ = db.Close() }
}

// emptied is a world without limits to watch, closed at the end of the test.
func emptied(t *testing.T) *world {
	t.Helper()
	w, end := newWorld(t, store.DefaultLimits())
	t.Cleanup(end)
	return w
}

func (w *world) viewer(t fataler, name, in string) shop.Viewer {
	t.Helper()
	m, err := w.Member(w.ctx, "local:"+name, name, noon)
	if err != nil {
		t.Fatal(err)
	}
	s, err := w.Shop(w.ctx, "local:"+in, in, m.ID, noon)
	if err != nil {
		t.Fatal(err)
	}
	return shop.Viewer{Member: m, Shop: s}
}

func (w *world) desk() *transfer.Desk { return transfer.New(w.Books(), transfer.Checks{}) }

func by(v shop.Viewer) shop.Stamp { return shop.Stamp{By: v, At: noon} }

// exported is one kind of a viewer's things, or all as JSON.
func (w *world) exported(t fataler, v shop.Viewer, f transfer.Format, kinds ...transfer.Kind) []transfer.Made {
	t.Helper()
	made, err := w.desk().Export(w.ctx, v, kinds, f)
	if err != nil {
		t.Fatalf("export: %v", err)
	}
	return made
}

// imported brings a file along and must not be refused.
func (w *world) imported(t fataler, v shop.Viewer, data []byte, kind transfer.Kind, how transfer.Choice) transfer.Report {
	t.Helper()
	file, err := transfer.Read(data, kind)
	if err != nil {
		t.Fatalf("read: %v\n%s", err, data)
	}
	rep, err := w.desk().Import(w.ctx, by(v), file, how)
	if err != nil {
		t.Fatalf("import: %v\n%s", err, data)
	}
	return rep
}

// looked is what an import would do.
func (w *world) looked(t fataler, v shop.Viewer, data string, kind transfer.Kind) transfer.Report {
	t.Helper()
	file, err := transfer.Read([]byte(data), kind)
	if err != nil {
		t.Fatalf("read: %v\n%s", err, data)
	}
	rep, err := w.desk().Look(w.ctx, v, file)
	if err != nil {
		t.Fatalf("look: %v\n%s", err, data)
	}
	return rep
}
