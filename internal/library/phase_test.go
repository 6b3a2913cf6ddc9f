package library_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

var poured = time.Date(2026, 11, 23, 9, 30, 0, 0, time.UTC)

// running is a pour of a fast resin, foreseen in s.
func running() shop.Pour {
	p := shop.Pour{Started: poured, State: shop.PourRunning}
	p.Foreseen = shop.Foreseen{
		PotLife: quantity.Range{Low: 150, Mid: 180, High: 210}, Gel: quantity.Range{Low: 200, Mid: 260, High: 400},
		Demold: quantity.Range{Low: 600, Mid: 900, High: 1500}, Peak: quantity.Range{Low: 60, Mid: 70, High: 80}, Remind: 1500,
	}
	return p
}

func TestPhaseOf(t *testing.T) {
	coats := running()
	coats.Coats, coats.CoatsOn = 3, 1
	second := coats
	second.CoatsOn, second.CoatAt = 2, poured.Add(10*time.Minute)
	last := second
	last.CoatsOn = 3
	blind := running()
	blind.Foreseen = shop.Foreseen{}
	ended := func(s shop.PourState) shop.Pour {
		p := running()
		p.State, p.Ended = s, poured.Add(time.Hour)
		return p
	}
	for _, c := range []struct {
		what         string
		p            shop.Pour
		at           float64 // s after the pour
		name         string
		since, until float64 // s after the pour; until 0 is open
	}{
		{"at once", running(), 0, library.PhaseMixing, 0, 50},
		{"before it began", running(), -60, library.PhaseMixing, 0, 50},
		{"it still flows", running(), 149, library.PhasePotLife, 50, 150},
		{"it sets", running(), 150, library.PhaseGelling, 150, 400},
		{"it cures", running(), 400, library.PhaseWait, 400, 600},
		{"a tenth is ready", running(), 600, library.PhaseTryIt, 600, 1500},
		{"nine tenths are", running(), 1500, library.PhaseReady, 1500, 0},
		{"a week later", running(), 7 * 86400, library.PhaseReady, 1500, 0},
		{"nothing foreseen", blind, 3600, library.PhaseWait, 0, 0},
		{"the first coat is wet", coats, 200, library.PhaseGelling, 150, 400},
		{"the second goes on", coats, 450, library.PhaseNextCoat, 400, 600},
		{"the second is late", coats, 700, library.PhaseLateCoat, 600, 0},
		{"the second is on", second, 610, library.PhaseMixing, 600, 650},
		{"the third is on", last, 1300, library.PhaseTryIt, 1200, 2100},
		{"found ready", ended(shop.PourReady), 4000, library.PhaseReady, 3600, 0},
		{"done", ended(shop.PourDone), 4000, "done", 3600, 0},
		{"failed", ended(shop.PourFailed), 4000, "failed", 3600, 0},
		{"canceled", ended(shop.PourCanceled), 4000, "canceled", 3600, 0},
	} {
		at := func(s float64) time.Time { return poured.Add(time.Duration(s * float64(time.Second))) }
		got := library.PhaseOf(c.p, at(c.at))
		want := library.Phase{Name: c.name, Text: got.Text, Since: at(c.since)}
		if c.until > 0 {
			want.Until = at(c.until)
		}
		if got != want || got.Text == "" {
			t.Errorf("%s: got %+v, want %+v", c.what, got, want)
		}
	}
}

// Whatever was foreseen, the phases follow each other without a gap, and each
// holds the time it was asked for.
func TestPhasesFollowEachOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		span := func(name string) quantity.Range {
			if rapid.Bool().Draw(t, "has "+name) {
				return quantity.Range{}
			}
			low := rapid.Float64Range(0, 1e6).Draw(t, name+" low")
			mid := low + rapid.Float64Range(0, 1e6).Draw(t, name+" mid")
			return quantity.Range{Low: low, Mid: mid, High: mid + rapid.Float64Range(0, 1e6).Draw(t, name+" high")}
		}
		p := shop.Pour{Started: poured, State: shop.PourRunning}
		p.Foreseen = shop.Foreseen{PotLife: span("pot life"), Gel: span("gel"), Demold: span("demold"), Peak: span("peak"),
			Remind: rapid.Float64Range(0, 5e6).Draw(t, "remind")}
		p.Coats = rapid.IntRange(0, 3).Draw(t, "coats")
		p.CoatsOn = min(p.Coats, rapid.IntRange(1, 3).Draw(t, "on"))
		now, from := poured, poured
		for range 20 {
			got := library.PhaseOf(p, now)
			if !got.Since.Equal(from) || got.Name == "" || got.Text == "" {
				t.Fatalf("at %v: %+v, want one since %v", now.Sub(poured), got, from)
			}
			if got.Until.IsZero() {
				if later := library.PhaseOf(p, now.AddDate(1, 0, 0)); later != got {
					t.Fatalf("open, and yet %+v is followed by %+v", got, later)
				}
				return
			}
			if !now.Before(got.Until) {
				t.Fatalf("at %v: %+v is over", now.Sub(poured), got)
			}
			if last := library.PhaseOf(p, got.Until.Add(-time.Nanosecond)); last != got {
				t.Fatalf("%+v ends early, with %+v", got, last)
			}
			now, from = got.Until, got.Until
		}
		t.Fatal("the phases come to no end")
	})
}
