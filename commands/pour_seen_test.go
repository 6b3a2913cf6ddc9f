package commands_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
)

// What was seen earlier counts as of then: two hours too late, the same look is
// no news.
func TestPourSeenEarlier(t *testing.T) {
	const start = `/pour start material:"demo rigid slow white" thickness:"8 mm"`
	const question = `/cure material:"demo rigid slow white" thickness:"8 mm"`
	demold := func(answers ...string) (low, mid, high float64) {
		t.Helper()
		d := desk(t)
		toldAt(t, d, "ada", 0, start)
		for _, line := range answers {
			toldAt(t, d, "ada", 3*time.Hour, line)
		}
		return bounds(t, toldAt(t, d, "ada", 4*time.Hour, question), "demold")
	}
	low, mid, high := demold()
	// Ready by a time is an upper bound: far past the forecast it says nothing
	// (the median of the factor may move by 0.1 %).
	still := func(what string, l, m, h float64) {
		t.Helper()
		if math.Abs(l/low-1) > 1e-3 || math.Abs(m/mid-1) > 1e-3 || math.Abs(h/high-1) > 1e-3 {
			t.Errorf("%s: %v %v %v, want the forecast as it was: %v %v %v", what, l, m, h, low, mid, high)
		}
	}
	l, m, h := demold("/pour ready")
	still("found ready hours late", l, m, h)
	if _, m, _ := demold("/pour ready ago:165min"); m >= mid {
		t.Errorf("ready after a quarter of an hour: %v, want sooner than %v", m, mid)
	}
	if _, m, _ := demold("/pour soft ago:2h", "/pour ready ago:110min"); m <= mid {
		t.Errorf("between an hour and 70 minutes: %v, want later than %v", m, mid)
	}
	l, m, h = demold("/pour done")
	still("done hours late", l, m, h)
	if _, m, _ := demold("/pour done ago:165min"); m >= mid {
		t.Errorf("out after a quarter of an hour: %v, want sooner than %v", m, mid)
	}
}

func TestPourSeenLate(t *testing.T) {
	d := desk(t)
	const start = `/pour start material:"demo rigid slow white" mold:"harbor pawn"`
	toldAt(t, d, "ada", 0, start)
	golden(t, "pour_ready_late", askAt(t, d, "ada", 50*time.Hour, "/pour ready"))
	golden(t, "pour_ready_earlier", askAt(t, d, "ada", 60*time.Hour, `/pour ready ago:"59 h"`))
	if f := fact(t, toldAt(t, d, "ada", 60*time.Hour, "/pour undo"), "state"); f.Value != "ready" {
		t.Errorf("the earlier look taken back: %v, want the later one again", f.Value)
	}
	if f := fact(t, toldAt(t, d, "ada", 61*time.Hour, `/pour done pour:#1 at:"today 20:00"`), "good"); f.Value != 6.0 && f.Value != 6 {
		t.Errorf("done: %v", f.Value)
	}
	refusedAt := func(after time.Duration, line string, code fault.Code, option string) {
		t.Helper()
		ans := askAt(t, d, "ada", after, line)
		if ans.Fault == nil || ans.Fault.Code != code || ans.Fault.Option != option {
			t.Errorf("%s: %+v, want %s in %s", line, ans, code, option)
		}
	}
	toldAt(t, d, "ada", 70*time.Hour, start)
	toldAt(t, d, "ada", 71*time.Hour, "/pour soft ago:10min")
	refusedAt(72*time.Hour, "/pour ready ago:90min", fault.BadTime, "at")
	refusedAt(72*time.Hour, "/pour soft ago:3h", fault.BadTime, "at")
	refusedAt(72*time.Hour, "/pour ready ago:5min at:9:00", fault.TooManyOptions, "at")
	refusedAt(72*time.Hour, "/pour ready at:soon", fault.BadTime, "at")
	refusedAt(72*time.Hour, `/pour ready at:"tomorrow 9:00"`, fault.BadTime, "at")
	refusedAt(72*time.Hour, "/pour done ago:5h", fault.BadTime, "at")
	toldAt(t, d, "ada", 72*time.Hour, "/pour ready ago:30min")
	refusedAt(72*time.Hour, "/pour ready ago:10min", fault.BadTime, "at")
	refusedAt(72*time.Hour, "/pour done ago:40min", fault.BadTime, "at")
	if ans := askAt(t, d, "ada", 200*time.Hour, "/pour done"); ans.Fault == nil || !strings.Contains(ans.Fault.HintText(), "pour:#2") {
		t.Errorf("done days after: %+v, want to be told of #2", ans.Fault)
	}
}
