package library_test

import (
	"testing"
	"time"
	_ "time/tzdata" // zones by name, also where the system has none

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/shop"
)

func TestWorkHours(t *testing.T) {
	for typed, want := range map[string]string{
		"09:00-17:00": "09:00-17:00", "9-17": "09:00-17:00", "9 am to 5 pm": "09:00-17:00", "any": "any", "24h": "any", "22-6": "22:00-06:00",
		"mon-fri 9-17": "mon-fri 09:00-17:00", "Monday to Friday 9-17": "mon-fri 09:00-17:00", "sat,sun 10-16": "sat,sun 10:00-16:00", "wed 9-12": "wed 09:00-12:00", "fri-mon 9-12": "fri-mon 09:00-12:00",
	} {
		if got, err := library.ParseWorkHours(typed); err != nil || got.String() != want {
			t.Errorf("%q: got %s (%v), want %s", typed, got, err, want)
		}
	}
	for _, typed := range []string{"", "noon", "9", "9-9", "25-26", "mon", "mon-xyz 9-17", "foo 9-17"} {
		if got, err := library.ParseWorkHours(typed); !fault.Is(err, fault.BadTime) || fault.As(err).Option != "hours" {
			t.Errorf("%q: got %s (%v), want bad_time in hours", typed, got, err)
		}
	}
	w, _ := library.ParseWorkHours("mon-fri 9-17")
	if got := w.Longer().String(); got != "mon-fri 09:00-18:00" {
		t.Errorf("an hour longer: %s", got)
	}
	if w, _ = library.ParseWorkHours("01:00-00:30"); !w.Longer().Around() {
		t.Errorf("a whole day: %s", w.Longer())
	}
}

// Windows stand as the clocks on the wall say, also when they are changed:
// Europe/London, 29 March 2026, 01:00 GMT becomes 02:00 BST (tz database, from
// memory).
func TestWorkHoursOpen(t *testing.T) {
	london, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	start := time.Date(2026, 3, 28, 16, 0, 0, 0, time.UTC) // a Saturday, 16:00 GMT
	hour := func(h int) int { return h * 3600 }
	for typed, want := range map[string]plan.Open{
		"9-17":         {{From: 0, To: hour(1)}, {From: hour(16), To: hour(24)}}, // 08:00 UTC is 09:00 BST
		"mon-fri 9-17": {{From: hour(40), To: hour(48)}},
		"22-6":         {{From: hour(6), To: hour(13)}}, // seven hours, not eight
		"17-12":        {{From: hour(1), To: hour(19)}},
	} {
		w, err := library.ParseWorkHours(typed)
		if err != nil {
			t.Fatal(err)
		}
		open := w.Open(start, london)
		for i, one := range want {
			if open[i] != one {
				t.Errorf("%s: window %d is %v, want %v", typed, i, open[i], one)
			}
		}
		for i := range open {
			if open[i].To <= open[i].From || i > 0 && open[i].From <= open[i-1].To {
				t.Errorf("%s: %v after %v", typed, open[i], open[max(i-1, 0)])
			}
		}
	}
	if got := (library.WorkHours{}).Open(start, london); len(got) != 1 || got[0].From != 0 {
		t.Errorf("around the clock: %v", got)
	}
}

func FuzzWorkHours(f *testing.F) {
	for _, s := range []string{"09:00-17:00", "mon-fri 9 am to 5 pm", "any", "sat,sun 10-16"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		w, err := library.ParseWorkHours(typed)
		if err != nil {
			if !fault.Is(err, fault.BadTime) {
				t.Fatalf("%q: %v", typed, err)
			}
			return
		}
		again, err := library.ParseWorkHours(w.String())
		if err != nil || again != w {
			t.Fatalf("%q is %s, read again %s: %v", typed, w, again, err)
		}
		if len(w.Open(time.Date(2026, 3, 28, 16, 0, 0, 0, time.UTC), time.UTC)) == 0 {
			t.Fatalf("%q is never open", typed)
		}
	})
}

func TestRunLog(t *testing.T) {
	at := time.Date(2026, 11, 23, 9, 0, 0, 0, time.UTC)
	pour := func(minutes int, mold string, state shop.PourState, good, spoiled int) shop.Pour {
		p := shop.Pour{MaterialID: 7, Started: at.Add(time.Duration(minutes) * time.Minute), State: state, Good: good, Spoiled: spoiled}
		p.Mold = mold
		return p
	}
	pours := []shop.Pour{ // newest first, as the store gives them
		pour(500, "a", shop.PourDone, 6, 0), pour(41, "b", shop.PourFailed, 0, 0), pour(30, "a", shop.PourRunning, 0, 0), pour(21, "a", shop.PourCanceled, 9, 9),
		pour(20, "b", shop.PourDone, 5, 1), pour(12, "a", shop.PourDone, 6, 0), pour(0, "a", shop.PourDone, 6, 0),
	}
	log := library.ReadRunLog(pours, 7)
	// Gaps: 12 into the same mold, 8, 10, 11, a pause; PERT of 8, 10, 11 min.
	if log.Good != 23 || log.Spoiled != 1 || log.Paced != 3 || log.Pace < 588 || log.Pace > 592 {
		t.Errorf("got %+v", log)
	}
	if other := library.ReadRunLog(pours, 8); other.Good != 0 || other.Paced != 3 {
		t.Errorf("of another material %+v", other)
	}
	if few := library.ReadRunLog(pours[:4], 7); few.Pace != 0 {
		t.Errorf("too few give a pace of %v", few.Pace)
	}
}
