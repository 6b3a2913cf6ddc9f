// Package forecast turns what a member typed into an estimate of a pour: which
// section it has and in what walls, how warm everything is, what logged pours
// have taught, and the chart of it. The sums are package cure's.
//
//	site, err := desk.Section(ctx, call, material) // reads the options of Options
//	f, err := desk.Estimate(ctx, call, material, site.Setup)
//	// f.Demold.Low, f.Demold.High in seconds; f.Chart(…) is its picture
package forecast

import (
	"context"
	"errors"
	"fmt"
	"runtime"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/part"
	"github.com/pourwright/pourwright/internal/recent"
	"github.com/pourwright/pourwright/internal/shop"
)

// Desk makes forecasts. It keeps the models of the materials asked for last,
// which are costly to fit, and the answers on cups; it is safe for concurrent
// use.
type Desk struct {
	library   *library.Library
	parts     *part.Desk
	materials shop.Materials
	pours     shop.Pours

	models  kept[cure.Resin, *cure.Model]
	cups    kept[cupKey, cure.CupResult]
	calms   kept[calmKey, float64]
	workers int
	// slots bounds how many forecasts run at a time: each uses all workers.
	slots chan struct{}
}

// slotsOpen lets a short question pass while a long one runs.
const slotsOpen = 2

// How many stay in memory: a model is about 15 kB, the answer on a cup 1 kB.
const (
	modelsKept = 128
	cupsKept   = 1024
)

// New makes a desk over the shelf, the files that members attach, and what is
// kept. computed may be nil: cups are then worked out anew by each process.
func New(lib *library.Library, parts *part.Desk, materials shop.Materials, pours shop.Pours, computed shop.Computed) *Desk {
	return &Desk{library: lib, parts: parts, materials: materials, pours: pours,
		models:  kept[cure.Resin, *cure.Model]{known: recent.Map[cure.Resin, *cure.Model]{Most: modelsKept}},
		cups:    kept[cupKey, cure.CupResult]{known: recent.Map[cupKey, cure.CupResult]{Most: cupsKept}, name: "cup", book: computed},
		calms:   kept[calmKey, float64]{known: recent.Map[calmKey, float64]{Most: cupsKept}, name: "calm", book: computed},
		workers: runtime.GOMAXPROCS(0), slots: make(chan struct{}, slotsOpen)}
}

// Forecast is an estimate with what it rests on.
type Forecast struct {
	cure.Result
	Assumed []cure.Assumed // what the bulletin leaves out
	Learned Lesson
}

// Estimate answers for a pour of a material. Errors are those of
// cure.FromProfile and cure.Model's Estimate, and the context's.
func (d *Desk) Estimate(ctx context.Context, c *chat.Call, m shop.Material, s cure.Setup) (Forecast, error) {
	r, assumed, err := cure.FromProfile(m.Profile)
	if err != nil {
		return Forecast{}, err
	}
	lesson, err := d.lesson(ctx, c, m, r)
	if err != nil {
		return Forecast{}, err
	}
	f := Forecast{Assumed: assumed, Learned: lesson}
	err = d.modeled(ctx, r, func(model *cure.Model) (err error) {
		f.Result, err = model.Estimate(s, lesson.learned, d.workers, ctx.Done())
		return err
	})
	return f, err
}

// modeled runs work with the model of a resin. It takes all cores, so a few run
// at a time.
func (d *Desk) modeled(ctx context.Context, r cure.Resin, work func(*cure.Model) error) error {
	select {
	case d.slots <- struct{}{}:
	case <-ctx.Done():
		return ctx.Err()
	}
	defer func() { <-d.slots }()
	model, err := d.models.get(ctx, r, func() (*cure.Model, error) { return cure.Calibrate(r, d.workers, ctx.Done()) })
	if err == nil {
		err = work(model)
	}
	if errors.Is(err, cure.ErrStopped) {
		return fmt.Errorf("%w: %w", context.Cause(ctx), err)
	}
	return err
}

// Reaches reports whether there is a model of the material's chemistry, and
// why not.
func Reaches(p material.Profile) error {
	_, _, err := cure.FromProfile(p)
	return err
}
