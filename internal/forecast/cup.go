package forecast

import (
	"context"
	"math"

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
	key := cupKey{calmKey{r, math.Round(10 * room)}, math.Round(100 * math.Log(mass)), sys}
	asked := cure.Cup{Mass: math.Exp(key.logMass / 100), Room: key.room / 10, System: sys}
	var out Cup
	out.CupResult, err = d.cups.get(ctx, key, func() (result cure.CupResult, err error) {
		err = d.modeled(ctx, r, func(m *cure.Model) error {
			result, err = m.Cup(asked, d.workers, ctx.Done())
			return err
		})
		return result, err
	})
	if err != nil || out.Peak.High <= hot {
		return out, err
	}
	out.Calm, err = d.calms.get(ctx, key.calmKey, func() (mass float64, err error) {
		err = d.modeled(ctx, r, func(m *cure.Model) error {
			mass, err = m.CalmCup(asked, d.workers, ctx.Done())
			return err
		})
		return mass, err
	})
	return out, err
}

// calmKey is a question for the largest calm cup as it is answered.
type calmKey struct {
	resin cure.Resin
	room  float64 // tenths of °C
}

// cupKey is a question for a cup as it is answered; the remarks are in the
// reader's units.
type cupKey struct {
	calmKey
	logMass float64 // of grams, in hundredths
	sys     quantity.System
}
