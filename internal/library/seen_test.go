package library_test

import (
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
)

func TestPast(t *testing.T) {
	zone := newYork(t)
	for typed, want := range map[string]string{
		"11:30": "2026-11-25 11:30", "11 am": "2026-11-25 11:00", "12:00": "2026-11-25 12:00", "18:30": "2026-11-24 18:30", "midnight": "2026-11-25 00:00",
		"today 8:00": "2026-11-25 08:00", "Yesterday at 18.30": "2026-11-24 18:30", "wed 11:00": "2026-11-25 11:00", "wed 13:00": "2026-11-18 13:00",
		"Monday 9:00": "2026-11-23 09:00", "thu 9am": "2026-11-19 09:00", "2026-11-02 07:15": "2026-11-02 07:15", "2026-11-02T07:15": "2026-11-02 07:15",
		"2 nov 7:15": "2026-11-02 07:15", "02 november 7:15": "2026-11-02 07:15", "24 dec 6 pm": "2025-12-24 18:00", "2026-11-24T18:30:00Z": "2026-11-24 13:30",
		"2026-03-08 02:30": "2026-03-08 03:30",
	} {
		at, err := library.Past(typed, wednesday, zone)
		if err != nil || at.In(zone).Format("2006-01-02 15:04") != want {
			t.Errorf("%q is %v, %v; want %s", typed, at.In(zone), err, want)
		}
	}
	for _, typed := range []string{"", "soon", "18", "25:00", "yesterday", "monday", "2026-11-02", "tomorrow 9:00", "today 13:00", "2026-11-25 12:01", "2026-02-30 9:00", "30 feb 9:00", "3 foo 9:00"} {
		if at, err := library.Past(typed, wednesday, zone); !fault.Is(err, fault.BadTime) || fault.As(err).HintText() == "" {
			t.Errorf("%q is %v, %v; want bad_time with a hint", typed, at, err)
		}
	}
}

// Clocks of New York go back at 2:00 on 1 November 2026: 1:30 is shown twice,
// at 5:30 and at 6:30 UTC.
func TestPastOfAnHourShownTwice(t *testing.T) {
	zone := newYork(t)
	for now, want := range map[string]string{
		"2026-11-01T05:45:00Z": "2026-11-01T05:30:00Z", "2026-11-01T06:15:00Z": "2026-11-01T05:30:00Z",
		"2026-11-01T06:45:00Z": "2026-11-01T06:30:00Z", "2026-11-01T15:00:00Z": "2026-11-01T06:30:00Z",
	} {
		at, err := time.Parse(time.RFC3339, now)
		if err != nil {
			t.Fatal(err)
		}
		got, err := library.Past("1:30", at, zone)
		if err != nil || got.UTC().Format(time.RFC3339) != want {
			t.Errorf("1:30 told at %s is %v, %v; want %s", now, got.UTC(), err, want)
		}
	}
}
