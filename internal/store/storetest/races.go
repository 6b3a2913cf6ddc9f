package storetest

import (
	"errors"
	"fmt"
	"sync"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

// crowd is how many call at once. They start together and each gives its error.
const crowd = 24

func atOnce(do func(i int) error) []error {
	errs := make([]error, crowd)
	var ready, done sync.WaitGroup
	start := make(chan struct{})
	for i := range crowd {
		ready.Add(1)
		done.Go(func() {
			ready.Done()
			<-start
			errs[i] = do(i)
		})
	}
	ready.Wait()
	close(start)
	done.Wait()
	return errs
}

// races: of many who want the same thing exactly one gets it, and the others
// are told so.
func races(t *testing.T, open Open) {
	few := store.DefaultLimits()
	few.Molds = 5
	w := newWorld(t, open, few)
	m := w.add(w.ada, "edited by all", true)
	lost := func(code fault.Code) func(error) bool {
		return func(err error) bool { return fault.Is(err, code) }
	}
	repeat := func(err error) bool { return errors.Is(err, shop.ErrRepeat) }
	for _, c := range []struct {
		name string
		do   func(i int) error
		won  int
		lost func(error) bool
	}{
		{"one name", func(int) error {
			_, err := w.AddMaterial(w.ctx, by(w.ada), profile("wanted"), true)
			return err
		}, 1, lost(fault.NameTaken)},
		{"one version", func(i int) error {
			_, err := w.EditMaterial(w.ctx, by(w.ada), m.ID, 1, profile(fmt.Sprintf("edit %d", i)))
			return err
		}, 1, lost(fault.NotAllowed)},
		{"one interaction", func(i int) error {
			_, err := w.AddMaterial(w.ctx, under(w.ada, "once"), profile(fmt.Sprintf("once %d", i)), true)
			return err
		}, 1, repeat},
		{"five places", func(i int) error {
			_, err := w.AddMold(w.ctx, by(w.ada), shop.MoldProfile{Name: fmt.Sprint("mold ", i)}, false)
			return err
		}, 5, lost(fault.LimitReached)},
		{"one removal", func(int) error { return w.RemoveMaterial(w.ctx, by(w.ada), m.ID) }, 1, lost(fault.NotFound)},
	} {
		t.Run(c.name, func(t *testing.T) {
			won := 0
			for i, err := range atOnce(c.do) {
				if err == nil {
					won++
				} else if !c.lost(err) {
					t.Errorf("caller %d: %v", i, err)
				}
			}
			if won != c.won {
				t.Errorf("%d of %d got it, want %d", won, crowd, c.won)
			}
		})
	}

	t.Run("one new member and shop", func(t *testing.T) {
		ids := make([]shop.MemberID, crowd)
		shops := make([]shop.ID, crowd)
		for _, err := range atOnce(func(i int) error {
			m, err := w.Member(w.ctx, "discord:80351110224678912", "nelly", at)
			if err != nil {
				return err
			}
			s, err := w.Shop(w.ctx, "discord:197038439483310086", "The Loft", m.ID, at)
			ids[i], shops[i] = m.ID, s.ID
			return err
		}) {
			if err != nil {
				t.Error(err)
			}
		}
		for i := range crowd {
			if ids[i] != ids[0] || shops[i] != shops[0] || ids[i] == 0 {
				t.Errorf("caller %d got member %d of shop %d, the first %d of %d", i, ids[i], shops[i], ids[0], shops[0])
			}
		}
	})
}

// wholeWrites: who reads while others write sees all of a transaction or none.
func wholeWrites(t *testing.T, open Open) {
	w := usual(t, open)
	errs := atOnce(func(i int) error {
		if i%4 != 0 {
			for range 10 {
				all, err := w.Materials(w.ctx, w.bram)
				if err != nil {
					return err
				}
				if len(all)%2 != 0 {
					return fmt.Errorf("sees %d records of writes that are two each", len(all))
				}
			}
			return nil
		}
		return w.Together(w.ctx, func(b shop.Books) error {
			for _, part := range []string{"left", "right"} {
				if _, err := b.Materials.AddMaterial(w.ctx, by(w.ada), profile(fmt.Sprint(part, i)), true); err != nil {
					return err
				}
			}
			return nil
		})
	})
	for i, err := range errs {
		if err != nil {
			t.Errorf("caller %d: %v", i, err)
		}
	}
	if got, want := len(w.names(w.ada)), 2*crowd/4; got != want {
		t.Errorf("%d records at the end, want %d", got, want)
	}
}
