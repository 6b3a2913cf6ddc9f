package forecast

import (
	"context"
	"math"
	"sync"

	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Cup is what a batch in one cup does.
type Cup struct {
	cure.CupResult
	// Calm is the largest mass in g that stays at 100 °C or below in nine of
	// ten draws even if it is left standing. Zero where the cup at hand does.
	Calm float64
}

// hot is the p90 peak in °C from which a cup left standing is told of.
const hot = 100.0

// Cup answers for mix in one cup of a mass in g, in a room of °C. The mass is
// taken to a hundredth of itself and the room to a tenth of a degree, so that
// amounts tried one after another are answered at once. Errors are those of
// Estimate.
func (d *Desk) Cup(ctx context.Context, p material.Profile, mass, room float64, sys quantity.System) (Cup, error) {
	r, _, err := cure.FromProfile(p)
	if err != nil {
		return Cup{}, err
	}
	key := cupKey{r, math.Round(100 * math.Log(mass)), math.Round(10 * room), sys}
	if got, ok := d.cups.get(key); ok {
		return got, nil
	}
	asked := cure.Cup{Mass: math.Exp(key.logMass / 100), Room: key.room / 10, System: sys}
	var out Cup
	err = d.during(ctx, func() error {
		model, err := d.models.Model(r, d.workers, ctx.Done())
		if err != nil {
			return err
		}
		if out.CupResult, err = model.Cup(asked, d.workers, ctx.Done()); err != nil || out.Peak.High <= hot {
			return err
		}
		out.Calm, err = model.CalmCup(asked, d.workers, ctx.Done())
		return err
	})
	if err != nil {
		return Cup{}, err
	}
	d.cups.put(key, out)
	return out, nil
}

// cupKey is a question as it is answered; the remarks are in the reader's
// units.
type cupKey struct {
	resin   cure.Resin
	logMass float64 // of grams, in hundredths
	room    float64 // tenths of °C
	sys     quantity.System
}

// cupCache keeps the latest answers. The zero value is ready.
type cupCache struct {
	mu    sync.Mutex
	known map[cupKey]Cup
	order []cupKey // oldest first
}

// cupsKept is how many are kept, about 1 kB each.
const cupsKept = 1024

func (c *cupCache) get(k cupKey) (Cup, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	got, ok := c.known[k]
	return got, ok
}

func (c *cupCache) put(k cupKey, v Cup) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.known == nil {
		c.known = map[cupKey]Cup{}
	}
	if _, known := c.known[k]; !known {
		c.order = append(c.order, k)
	}
	c.known[k] = v
	if len(c.order) > cupsKept {
		delete(c.known, c.order[0])
		c.order = c.order[1:]
	}
}
