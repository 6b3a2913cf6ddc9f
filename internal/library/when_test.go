package library_test

import (
	"testing"
	"time"
	_ "time/tzdata" // zones by name, also where the system has none

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/shop"
)

// At noon of a Wednesday in New York, in winter.
var wednesday = time.Date(2026, 11, 25, 17, 0, 0, 0, time.UTC)

func newYork(t testing.TB) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("America/New_York")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

func TestAt(t *testing.T) {
	zone := newYork(t)
	for typed, want := range map[string]string{
		"18:30": "2026-11-25 18:30", "6 pm": "2026-11-25 18:00", "6pm": "2026-11-25 18:00", "11:59": "2026-11-26 11:59", "12:00": "2026-11-26 12:00",
		"noon": "2026-11-26 12:00", "midnight": "2026-11-26 00:00", "tomorrow": "2026-11-26 09:00", "Tomorrow at 7.15": "2026-11-26 07:15",
		"today 13:00": "2026-11-25 13:00", "wed 13:00": "2026-11-25 13:00", "wed 11:00": "2026-12-02 11:00", "Monday": "2026-11-30 09:00", "fri 8am": "2026-11-27 08:00",
		"2026-12-24": "2026-12-24 09:00", "2026-12-24 18:30": "2026-12-24 18:30", "2026-12-24T18:30": "2026-12-24 18:30", "24 dec 6 pm": "2026-12-24 18:00",
		"24 december": "2026-12-24 09:00", "1 jan": "2027-01-01 09:00", "29 feb": "2028-02-29 09:00", "2026-12-24T18:30:00Z": "2026-12-24 13:30",
		"2027-03-14 02:30": "2027-03-14 03:30", "2027-11-07 01:30": "2027-11-07 01:30",
	} {
		at, err := library.At(typed, wednesday, zone)
		if err != nil || at.In(zone).Format("2006-01-02 15:04") != want {
			t.Errorf("%q is %v, %v; want %s", typed, at.In(zone), err, want)
		}
	}
	for _, typed := range []string{"", "soon", "18", "25:00", "13pm", "2026-11-25 11:59", "2026-11-25", "today 8:00", "2026-02-30", "30 feb", "3 foo", "2126-01-01", "yesterday 9:00"} {
		if at, err := library.At(typed, wednesday, zone); !fault.Is(err, fault.BadTime) || fault.As(err).HintText() == "" {
			t.Errorf("%q is %v, %v; want bad_time with a hint", typed, at, err)
		}
	}
}

func TestIn(t *testing.T) {
	zone := newYork(t)
	beforeGap := time.Date(2027, 3, 13, 17, 0, 0, 0, time.UTC) // noon, the day before clocks go forward
	for typed, want := range map[string]time.Duration{
		"45 min": 45 * time.Minute, "45": 45 * time.Minute, "1h20": 80 * time.Minute, "24 h": 24 * time.Hour, "1 day": 23 * time.Hour, "1 wk": 7*24*time.Hour - time.Hour,
	} {
		if at, err := library.In(typed, beforeGap, zone); err != nil || at.Sub(beforeGap) != want {
			t.Errorf("%q is %v from now, %v; want %v", typed, at.Sub(beforeGap), err, want)
		}
	}
	for typed, code := range map[string]fault.Code{
		"": fault.BadTime, "soon": fault.BadTime, "3 kg": fault.BadTime, "-5 min": fault.BadTime, "1 s": fault.OutOfRange, "20 years": fault.OutOfRange, "1e30 h": fault.BadTime,
	} {
		if at, err := library.In(typed, wednesday, zone); !fault.Is(err, code) || fault.As(err).HintText() == "" {
			t.Errorf("%q is %v, %v; want %s with a hint", typed, at, err, code)
		}
	}
}

func TestEvery(t *testing.T) {
	for typed, want := range map[string]string{
		"day": "1 day", "Daily": "1 day", "every 2 weeks": "2 weeks", "month": "1 month", "12 mo": "1 year", "8 h": "8 h", "90 min": "1 h 30 min", "hour": "1 h",
	} {
		if e, err := library.Every(typed); err != nil || e.String() != want {
			t.Errorf("%q is %q, %v; want %q", typed, e, err, want)
		}
	}
	for typed, code := range map[string]fault.Code{"": fault.BadTime, "often": fault.BadTime, "5 min": fault.OutOfRange, "11 years": fault.OutOfRange} {
		if e, err := library.Every(typed); !fault.Is(err, code) {
			t.Errorf("%q is %q, %v; want %s", typed, e, err, code)
		}
	}
}

func FuzzAt(f *testing.F) {
	for _, s := range []string{"18:30", "tomorrow at 9:00", "mon", "29 feb 8am", "2026-12-24T18:30:00Z", "at at at", "  "} {
		f.Add(s)
	}
	zone := newYork(f)
	f.Fuzz(func(t *testing.T, typed string) {
		if at, err := library.At(typed, wednesday, zone); err == nil && !at.After(wednesday) {
			t.Errorf("%q is %v, which is past", typed, at)
		}
		if e, err := library.Every(typed); err == nil {
			if next := e.Next(wednesday, wednesday, zone); next.Sub(wednesday) < shop.LeastEvery-time.Hour {
				t.Errorf("%q comes again at %v", typed, next)
			}
		}
	})
}
