package part_test

import (
	"context"
	"crypto/rand"
	"log/slog"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
	"github.com/pourwright/pourwright/internal/part"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// measured is what the one command of these tests saw last.
type measured struct {
	part.Measured
	err error
}

// desk is a dispatcher with one command that measures, over a real store.
func desk(t *testing.T, lim part.Limits) (*chat.Dispatcher, *measured) {
	t.Helper()
	db, err := sqlite.Memory(t.Context(), sqlite.Config{Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	p := part.New(db, lim)
	var last measured
	run := func(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
		last.Measured, last.err = p.Measure(ctx, c, "file")
		return &chat.Reply{Title: "measured"}, last.err
	}
	d, err := chat.New(chat.Config{
		Commands: []chat.Command{{Name: "size", Help: "size a file", Subs: []chat.Sub{{Run: run,
			Options: append([]chat.Option{{Name: "file", Help: "the file", Kind: chat.Attachment}}, part.Options...)}}}},
		People: db, Lines: db, Log: slog.New(slog.DiscardHandler), NewRef: func() string { return "r" }, Now: time.Now,
	})
	if err != nil {
		t.Fatal(err)
	}
	return d, &last
}

func call(shop, line string, data []byte) chat.Invocation {
	inv := chat.Invocation{At: time.Date(2026, 11, 23, 9, 0, 0, 0, time.UTC), MemberKey: "local:ada", MemberName: "ada", ShopKey: "local:" + shop, Line: line}
	if data != nil {
		inv.Files = map[string]chat.File{"": {Name: "part.stl", Data: data}}
	}
	return inv
}

func box(x, y, z float64) meshtest.Mesh { return meshtest.Box([3]float64{}, [3]float64{x, y, z}) }

func TestMeasureInMillimeters(t *testing.T) {
	d, got := desk(t, mesh.DeskLimits())
	if ans := d.Do(t.Context(), call("x", "/size", box(20, 30, 40).STL(""))); ans.Fault != nil {
		t.Fatal(ans.Fault)
	}
	if math.Abs(got.CastVolume()-24000) > 1e-6 || got.NoThick != "" || got.Thickest.Low > 20 || got.Thickest.High < 20 {
		t.Errorf("cast volume %v, thickest %+v %s", got.CastVolume(), got.Thickest, got.NoThick)
	}
}

// A 3MF says its unit: an inch cube is 16387.064 mm³ (1 in = 25.4 mm by
// definition, NIST SP 811, from memory).
func TestUnitFromTheFile(t *testing.T) {
	d, got := desk(t, mesh.DeskLimits())
	if ans := d.Do(t.Context(), call("x", "/size", box(1, 1, 1).ThreeMF("inch"))); ans.Fault != nil {
		t.Fatal(ans.Fault)
	}
	if math.Abs(got.Volume-16387.064) > 1e-6 {
		t.Errorf("volume %v", got.Volume)
	}
	if ans := d.Do(t.Context(), call("x", "/size unit:mm", box(1, 1, 1).ThreeMF("inch"))); ans.Fault != nil || math.Abs(got.Volume-1) > 1e-9 {
		t.Errorf("read in mm against the file: %v, volume %v", ans.Fault, got.Volume)
	} else if !strings.Contains(strings.Join(ans.Reply.Notes, " "), "itself says inch") {
		t.Errorf("notes %q", ans.Reply.Notes)
	}
}

func TestAnAnswerIsRememberedInItsShop(t *testing.T) {
	d, got := desk(t, mesh.DeskLimits())
	small := box(5, 5, 5).STL("")
	ask := func(shop, line string) chat.Answer { return d.Do(t.Context(), call(shop, line, small)) }
	if ans := ask("x", "/size"); ans.Fault == nil || ans.Fault.Code != fault.AmbiguousUnit || ans.Fault.Option != "unit" {
		t.Fatalf("%+v", ans.Fault)
	}
	if ans := ask("x", "/size unit:inch"); ans.Fault != nil || math.Abs(got.Size[0]-127) > 1e-9 {
		t.Fatalf("%+v, size %v", ans.Fault, got.Size)
	}
	if ans := ask("x", "/size"); ans.Fault != nil || math.Abs(got.Size[0]-127) > 1e-9 {
		t.Errorf("asked again: %+v", ans.Fault)
	}
	if ans := ask("y", "/size"); ans.Fault == nil {
		t.Error("another shop's answer was used")
	}
}

func TestFindingsFollowTheUnit(t *testing.T) {
	d, got := desk(t, mesh.DeskLimits())
	hollow := meshtest.Join(box(5, 5, 5), meshtest.Box([3]float64{1, 1, 1}, [3]float64{2, 2, 2}).Turned()).STL("")
	for unit, ml := range map[string]string{"mm": "0.001 mL", "inch": "16.39 mL"} {
		if ans := d.Do(t.Context(), call("x", "/size unit:"+unit, hollow)); ans.Fault != nil {
			t.Fatal(ans.Fault)
		}
		if all := strings.Join(got.Findings, " "); !strings.Contains(all, "sealed hollow of "+ml) {
			t.Errorf("in %s: %q, want a hollow of %s", unit, all, ml)
		}
	}
}

func TestResize(t *testing.T) {
	d, got := desk(t, mesh.DeskLimits())
	file := box(20, 30, 40).STL("")
	for line, want := range map[string]float64{
		`/size resize:2`: 8 * 24000, `/size resize:"50 %"`: 3000, `/size resize:"80 mm"`: 8 * 24000, `/size resize:"4 in"`: 24000 * 2.54 * 2.54 * 2.54,
	} {
		if ans := d.Do(t.Context(), call("x", line, file)); ans.Fault != nil || math.Abs(got.Volume-want) > 1e-9*want {
			t.Errorf("%s: %v, volume %v, want %v", line, ans.Fault, got.Volume, want)
		}
	}
	for _, line := range []string{"/size resize:0", "/size resize:-1", "/size resize:5000", `/size resize:"0.001 mm"`} {
		if ans := d.Do(t.Context(), call("x", line, file)); ans.Fault == nil || ans.Fault.Option != "resize" {
			t.Errorf("%s: %+v", line, ans.Fault)
		}
	}
}

func TestRefusals(t *testing.T) {
	lim := mesh.DeskLimits()
	lim.Bytes = 2000
	d, _ := desk(t, lim)
	for _, c := range []struct {
		name string
		inv  chat.Invocation
		code fault.Code
	}{
		{"not a mesh", call("x", "/size", []byte("hello")), fault.BadFile},
		{"too large", call("x", "/size", meshtest.Icosphere([3]float64{}, 20, 3).STL("")), fault.FileTooLarge},
		{"forgotten", call("x", "/size file:#00112233445566778899", nil), fault.BadFile},
		{"no file", call("x", "/size file:part.stl", nil), fault.BadFile},
	} {
		t.Run(c.name, func(t *testing.T) {
			ans := d.Do(t.Context(), c.inv)
			if ans.Fault == nil || ans.Fault.Code != c.code || ans.Fault.Option != "file" || ans.Fault.HintText() == "" {
				t.Errorf("%+v, want %s in option file with a hint", ans.Fault, c.code)
			}
		})
	}
}

func TestAStoppedMeasureIsBusyAndLetsTheNextThrough(t *testing.T) {
	d, _ := desk(t, mesh.DeskLimits())
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if ans := d.Do(ctx, call("x", "/size", meshtest.Icosphere([3]float64{}, 20, 4).STL(""))); ans.Fault == nil || ans.Fault.Code != fault.Busy {
		t.Errorf("a stopped measure: %+v, want busy", ans.Fault)
	}
	if ans := d.Do(t.Context(), call("x", "/size", box(20, 30, 40).STL(""))); ans.Fault != nil {
		t.Errorf("the next file: %v", ans.Fault)
	}
}
