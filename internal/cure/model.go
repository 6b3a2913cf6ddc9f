package cure

import (
	"sync"
	"sync/atomic"
)

// Model is a resin fitted to its bulletin once for each draw. It does not
// change and may be shared between goroutines.
type Model struct {
	Resin Resin
	// MaxB is the cap on an epoxy's autocatalysis that its greatest depth
	// sets, +Inf without one.
	MaxB float64
	// Misfit reports that pot life and demold time do not fit together: at
	// its demold time the bulletin's sheet would hardly have gelled. Demold
	// times then are those of 62 % conversion, later than the bulletin's.
	Misfit bool
	// Scaled reports that the bulletin's demold time lies beyond 99.5 %
	// conversion, so that demold times are the bulletin's, scaled.
	Scaled bool

	mid  variant
	each [draws]variant
}

// guessShare is where K usually lies between its bounds.
const guessShare = 0.05

// Calibrate fits a resin. workers is how many goroutines may run at a time (1
// or more); the result does not depend on it. The only error is ErrStopped.
func Calibrate(r Resin, workers int, done <-chan struct{}) (*Model, error) {
	m := &Model{Resin: r}
	w := &bench{r: r, done: done}
	top, ok := w.capB(guessShare)
	if !ok {
		return nil, ErrStopped
	}
	m.MaxB = top
	m.mid = r.plain()
	m.mid.law.B = min(m.mid.law.B, top)
	share, ok := w.fit(&m.mid, guessShare)
	if !ok {
		return nil, ErrStopped
	}
	m.Misfit, m.Scaled = m.mid.ready < leastDemold, m.mid.scale > 1
	m.mid.clamp()
	u := hypercube(drawSeed)
	ok = m.spread(w, workers, func(w *bench, i int) bool {
		v := r.vary(&u[i], top)
		_, ok := w.fit(&v, share)
		v.clamp()
		m.each[i] = v
		return ok
	})
	if !ok {
		return nil, ErrStopped
	}
	return m, nil
}

func (v *variant) clamp() { v.ready = min(max(v.ready, leastDemold), mostDemold) }

// spread runs f for each draw on up to workers goroutines, the first of which
// is the caller's with its bench. It waits for all; false means stopped.
func (m *Model) spread(w *bench, workers int, f func(*bench, int) bool) bool {
	var next atomic.Int64
	var failed atomic.Bool
	work := func(w *bench) {
		for !failed.Load() {
			i := int(next.Add(1)) - 1
			if i >= draws {
				return
			}
			if !f(w, i) {
				failed.Store(true)
			}
		}
	}
	var wait sync.WaitGroup
	for range min(workers, draws) - 1 {
		wait.Go(func() { work(&bench{r: w.r, done: w.done}) })
	}
	work(w)
	wait.Wait()
	return !failed.Load()
}
