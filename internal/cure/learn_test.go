package cure

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// repeat is the same log n times.
func repeat(n int, log Log) []Log {
	logs := make([]Log, n)
	for i := range logs {
		logs[i] = log
	}
	return logs
}

func TestLateReadyDoesNotMove(t *testing.T) {
	prior := Learn(nil).Theta(0.5)
	for _, c := range []struct {
		n     int
		bound float64
	}{{1, 0.001}, {10, 0.005}} {
		moved := Learn(repeat(c.n, Log{Pred: 1200, ReadyBy: 3600})).Theta(0.5) - prior
		if math.Abs(moved) >= c.bound {
			t.Errorf("%d pours fine at 3 times the forecast move the median by %v, want less than %v", c.n, moved, c.bound)
		}
	}
}

func TestLearn(t *testing.T) {
	ready := Log{Pred: 2400, SoftAt: 1800, ReadyBy: 2000}
	shared := ready
	shared.Shared = true
	width := func(l Learned) float64 { return l.Theta(0.9) - l.Theta(0.1) }

	own, other := Learn([]Log{ready}), Learn([]Log{shared})
	if !(own.Theta(0.5) < other.Theta(0.5) && other.Theta(0.5) < 0) {
		t.Errorf("an early ready moves an own log to %v and a shared one to %v, want the shared one between and 0", own.Theta(0.5), other.Theta(0.5))
	}
	if two := Learn([]Log{shared, shared}); math.Abs(two.Theta(0.3)-own.Theta(0.3)) > 1e-9 {
		t.Errorf("two shared logs give %v, one own log %v: half weight each", two.Theta(0.3), own.Theta(0.3))
	}
	if own.Own != 1 || own.Shared != 0 || other.Shared != 1 || other.Logs() != 1 {
		t.Errorf("counted %+v and %+v", own.Logs(), other.Logs())
	}
	fight := Learn([]Log{{Pred: 1200, SoftAt: 2400}, {Pred: 1200, ReadyBy: 700}})
	agree := Learn([]Log{{Pred: 1200, SoftAt: 1000}, {Pred: 1200, ReadyBy: 1400}})
	if width(fight) <= width(agree) {
		t.Errorf("contradicting logs leave a band of %v, agreeing ones %v", width(fight), width(agree))
	}
	if got := Learn(repeat(6, ready)).Narrowed(); got < 0.4 || got > 0.9 {
		t.Errorf("six like pours narrow the band by %v", got)
	}
	if many := Learn(repeat(2000, ready)); math.IsNaN(many.Theta(0.5)) || width(many) > 0.1 {
		t.Errorf("2000 like pours give θ %v with a band of %v", many.Theta(0.5), width(many))
	}
}

func TestLearnLeavesOutWhatSaysNothing(t *testing.T) {
	var zero Learned
	if zero.Theta(0.7) != Learn(nil).Theta(0.7) || zero.Factor(0.5) < 0.999 || zero.Factor(0.5) > 1.001 {
		t.Errorf("the zero value has θ %v at 0.7", zero.Theta(0.7))
	}
	odd := []Log{{Pred: 0, ReadyBy: 10}, {Pred: 100}, {Pred: -5, SoftAt: 3}, {Pred: math.NaN(), SoftAt: 3},
		{Pred: 100, ReadyBy: math.Inf(1)}, {Pred: 100, ReadyBy: -1, SoftAt: 50}}
	if l := Learn(odd); l.Logs() != 0 || l.Theta(0.25) != Learn(nil).Theta(0.25) {
		t.Errorf("%d odd logs counted, θ %v", l.Logs(), l.Theta(0.25))
	}
}

// TestLearnOrder: a log that was taken back is not passed, and the order of
// the others does not matter; a time seen soft never makes it sooner, one seen
// ready never later.
func TestLearnOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		logs := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Log {
			l := Log{Pred: rapid.Float64Range(60, 86400).Draw(t, "pred"), Shared: rapid.Bool().Draw(t, "shared")}
			if rapid.Bool().Draw(t, "ready") {
				l.ReadyBy = l.Pred * rapid.Float64Range(0.1, 10).Draw(t, "by")
			} else {
				l.SoftAt = l.Pred * rapid.Float64Range(0.1, 10).Draw(t, "at")
			}
			return l
		}), 1, 12).Draw(t, "logs")
		turned := make([]Log, len(logs))
		for i, l := range logs {
			turned[len(logs)-1-i] = l
		}
		a, b := Learn(logs), Learn(turned)
		if math.Abs(a.Theta(0.5)-b.Theta(0.5)) > 1e-9 {
			t.Fatalf("θ %v, in the other order %v", a.Theta(0.5), b.Theta(0.5))
		}
		last, rest := logs[len(logs)-1], Learn(logs[:len(logs)-1])
		moved := a.Theta(0.5) - rest.Theta(0.5)
		if last.SoftAt > 0 && moved < -1e-9 || last.ReadyBy > 0 && moved > 1e-9 {
			t.Fatalf("%+v moved θ by %v", last, moved)
		}
	})
}
