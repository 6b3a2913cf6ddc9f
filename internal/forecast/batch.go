package forecast

import (
	"context"
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Batch is a batch in cups that can each be poured in time.
type Batch struct {
	mix.Batch
	Cup  Cup     // what its largest cup does
	Mass float64 // g of A and B in it
	// Known is false where no pot life can be told but the bulletin's: its
	// figure counts then. Why says what is in the way, "" for a chemistry that
	// is not in the model.
	Known bool
	Why   string
}

// tries bounds how often cups and pot life are fitted to each other. Mostly two
// do: fuller cups set sooner, and more cups are less full.
const tries = 5

// Batch works out a batch with the pot life that its own cups have in a room
// of °C: the short end of the range decides how many fillings a cup serves.
// Errors are those of mix.New and the context's.
func (d *Desk) Batch(ctx context.Context, w mix.Want, room float64, sys quantity.System) (Batch, error) {
	made, err := mix.New(w)
	if err != nil {
		return Batch{}, err
	}
	at := Batch{Batch: made}
	tried := map[int]Batch{}
	for range tries {
		if done, err := d.ownPotLife(ctx, w, room, sys, &at); done || err != nil {
			return at, err
		}
		tried[len(at.Cups)] = at
		w.PotLife = at.Cup.PotLife.Low
		next, err := mix.New(w)
		if err != nil {
			return Batch{}, err
		}
		if same, known := tried[len(next.Cups)]; known {
			if len(next.Cups) == len(at.Cups) {
				at.Batch = next
			} else if len(same.Cups) > len(at.Cups) {
				at = same // between two, more cups are the safe side
			}
			break
		}
		at = Batch{Batch: next}
	}
	at.Steps = working.Add(at.Steps, "pot life of this cup", "mean conversion 0.50 in a cup as high as wide",
		"heat equation with the material's reaction; p10, p50, p90 of 64 draws", "%s g at %s °C: %s, %s, %s s", working.Num(at.Mass), working.Num(room),
		working.Num(at.Cup.PotLife.Low), working.Num(at.Cup.PotLife.Mid), working.Num(at.Cup.PotLife.High))
	return at, nil
}

// ownPotLife asks what the largest cup does; done where that can't be told.
func (d *Desk) ownPotLife(ctx context.Context, w mix.Want, room float64, sys quantity.System, b *Batch) (done bool, err error) {
	for _, c := range b.Cups {
		b.Mass = math.Max(b.Mass, c.A+c.B)
	}
	if b.Mass == 0 { // measured by volume
		b.Mass = b.MassTotal / float64(len(b.Cups))
	}
	if b.Mass == 0 || Reaches(w.Profile) != nil {
		return true, nil
	}
	b.Cup, err = d.Cup(ctx, w.Profile, b.Mass, room, sys)
	if f := fault.As(err); f != nil {
		b.Why = f.Message
		return true, nil
	}
	b.Known = err == nil
	return err != nil, err
}
