package shop_test

import (
	"testing"
	"time"
	_ "time/tzdata" // zones by name, also where the system has none

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

const wallForm = "2006-01-02T15:04"

func local(t testing.TB, text string) time.Time {
	t.Helper()
	at, err := time.Parse(wallForm, text)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

// The transitions are those of the tz database, as its source files and the
// national rules they cite state them. The instants were read a second time by
// another library, Python's zoneinfo with fold=0, which has the same rule for
// gaps (PEP 495).
func TestWall(t *testing.T) {
	for _, c := range []struct{ name, zone, local, want string }{
		{"skipped, RFC 5545 3.3.5", "America/New_York", "2007-03-11T02:30", "2007-03-11T07:30:00Z"},
		{"twice, RFC 5545 3.3.5", "America/New_York", "2007-11-04T01:30", "2007-11-04T05:30:00Z"},
		{"an hour before the gap", "America/New_York", "2007-03-11T01:30", "2007-03-11T06:30:00Z"},
		{"an hour behind the gap", "America/New_York", "2007-03-11T03:30", "2007-03-11T07:30:00Z"},
		{"after the second one", "America/New_York", "2007-11-04T02:30", "2007-11-04T07:30:00Z"},
		{"London begins summer time, tz europe file, EU rules", "Europe/London", "2026-03-29T01:30", "2026-03-29T01:30:00Z"},
		{"London ends it", "Europe/London", "2026-10-25T01:30", "2026-10-25T00:30:00Z"},
		{"half an hour, tz australasia file, LH rules", "Australia/Lord_Howe", "2026-10-04T02:15", "2026-10-03T15:45:00Z"},
		{"half an hour twice", "Australia/Lord_Howe", "2026-04-05T01:45", "2026-04-04T14:45:00Z"},
		{"a day that was left out, tz australasia file", "Pacific/Apia", "2011-12-30T12:00", "2011-12-30T22:00:00Z"},
		{"no such rules, half an hour off", "Asia/Kolkata", "2026-06-01T00:00", "2026-05-31T18:30:00Z"},
		{"three quarters of an hour off, tz asia file", "Asia/Kathmandu", "2026-01-01T00:00", "2025-12-31T18:15:00Z"},
		{"southern spring, tz australasia file, NZ rules", "Pacific/Auckland", "2026-09-27T02:30", "2026-09-26T14:30:00Z"},
		{"southern autumn", "Pacific/Auckland", "2027-04-04T02:30", "2027-04-03T13:30:00Z"},
		{"southern spring, AN rules", "Australia/Sydney", "2026-10-04T02:30", "2026-10-03T16:30:00Z"},
		{"southern autumn", "Australia/Sydney", "2026-04-05T02:30", "2026-04-04T15:30:00Z"},
		{"three quarters and a gap at 2:45, CH rules", "Pacific/Chatham", "2026-09-27T03:00", "2026-09-26T14:15:00Z"},
		{"as that gap begins", "Pacific/Chatham", "2026-09-27T02:45", "2026-09-26T14:00:00Z"},
		{"midnight is skipped, tz southamerica file, Chile rules", "America/Santiago", "2026-09-06T00:30", "2026-09-06T04:30:00Z"},
		{"the last hour of a day twice", "America/Santiago", "2026-04-04T23:30", "2026-04-05T02:30:00Z"},
		{"winter time is the odd one, tz europe file, Eire rules", "Europe/Dublin", "2026-10-25T01:30", "2026-10-25T00:30:00Z"},
		{"for a month of fasting, tz africa file, Morocco rules", "Africa/Casablanca", "2026-02-15T02:30", "2026-02-15T01:30:00Z"},
		{"and back", "Africa/Casablanca", "2026-03-22T02:30", "2026-03-22T02:30:00Z"},
		{"half an hour for good, tz southamerica file, Caracas 2016", "America/Caracas", "2016-05-01T02:45", "2016-05-01T07:15:00Z"},
		{"half an hour before midnight, tz asia file, Pyongyang 2018", "Asia/Pyongyang", "2018-05-04T23:45", "2018-05-04T15:15:00Z"},
		{"two hours at once, tz europe file, Troll rules", "Antarctica/Troll", "2026-03-29T02:30", "2026-03-29T02:30:00Z"},
		{"two hours twice", "Antarctica/Troll", "2026-10-25T02:30", "2026-10-25T00:30:00Z"},
		{"another day left out, tz australasia file", "Pacific/Kwajalein", "1993-08-21T12:00", "1993-08-22T00:00:00Z"},
		{"and another", "Pacific/Fakaofo", "2011-12-30T09:00", "2011-12-30T20:00:00Z"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := shop.Wall(local(t, c.local), zone(t, c.zone)).UTC().Format(time.RFC3339)
			if got != c.want {
				t.Errorf("%s in %s is %s, want %s", c.local, c.zone, got, c.want)
			}
		})
	}
}

// Wherever clocks are not changed that day, it is what the standard library
// says; and always, what the clock then shows is the time or one behind a gap.
func TestWallAgreesWithTheLibrary(t *testing.T) {
	names := []string{"America/New_York", "Europe/London", "Australia/Lord_Howe", "Pacific/Apia", "Africa/Casablanca", "America/Nuuk", "Asia/Kathmandu",
		"America/Santiago", "Pacific/Chatham", "Antarctica/Troll", "Europe/Dublin", "Pacific/Kiritimati"}
	rapid.Check(t, func(r *rapid.T) {
		z := zone(t, rapid.SampledFrom(names).Draw(r, "zone"))
		at := time.Unix(rapid.Int64Range(0, 4e9).Draw(r, "at"), 0).In(z)
		got := shop.Wall(at, z)
		if got.Format(time.DateTime) != at.Format(time.DateTime) {
			t.Fatalf("the clock that shows %v in %v shows %v", at, z, got)
		}
		if got.After(at) {
			t.Fatalf("of two times %v is taken, not the first, %v", got, at)
		}
		_, before := at.Add(-25 * time.Hour).Zone()
		_, after := at.Add(25 * time.Hour).Zone()
		if before == after && !got.Equal(at) {
			t.Fatalf("%v became %v", at, got)
		}
	})
}

func TestEveryNext(t *testing.T) {
	months := func(n int) shop.Every { return shop.Every{Span: material.Span{Months: n}} }
	days := func(n int) shop.Every { return shop.Every{Span: material.Span{Days: n}} }
	for _, c := range []struct {
		name             string
		every            shop.Every
		zone, first, now string // on the clock of the zone
		want             string
	}{
		{"once", shop.Every{}, "UTC", "2026-01-01T09:00", "2026-01-01T09:00", ""},
		{"a month's end is clamped", months(1), "UTC", "2026-01-31T09:00", "2026-01-31T09:00", "2026-02-28T09:00"},
		{"and met again", months(1), "UTC", "2026-01-31T09:00", "2026-02-28T09:00", "2026-03-31T09:00"},
		{"a leap day yearly", months(12), "UTC", "2024-02-29T09:00", "2024-02-29T09:00", "2025-02-28T09:00"},
		{"a leap day when there is one", months(12), "UTC", "2024-02-29T09:00", "2027-02-28T09:00", "2028-02-29T09:00"},
		{"2100 is no leap year", months(48), "UTC", "2096-02-29T09:00", "2096-02-29T09:00", "2100-02-28T09:00"},
		{"the same time of day over a change of clocks", days(1), "America/New_York", "2026-03-07T09:00", "2026-03-07T09:00", "2026-03-08T09:00"},
		{"a time that is skipped that day", days(1), "America/New_York", "2026-03-07T02:30", "2026-03-07T02:30", "2026-03-08T03:30"},
		{"and back the day after", days(1), "America/New_York", "2026-03-07T02:30", "2026-03-08T03:30", "2026-03-09T02:30"},
		{"a week", days(7), "Europe/London", "2026-10-20T22:00", "2026-10-20T22:00", "2026-10-27T22:00"},
		{"years were missed", days(1), "UTC", "2016-01-01T09:00", "2026-01-01T08:59", "2026-01-01T09:00"},
		{"not yet begun", days(1), "UTC", "2026-05-02T09:00", "2026-05-01T00:00", "2026-05-03T09:00"},
		{"a series over a day that was left out", days(1), "Pacific/Apia", "2011-12-28T09:00", "2011-12-29T09:00", "2011-12-31T09:00"},
		{"that day's time comes once", days(1), "Pacific/Apia", "2011-12-28T09:00", "2011-12-31T09:00", "2012-01-01T09:00"},
		{"half an hour is skipped", days(1), "Australia/Lord_Howe", "2026-10-03T02:15", "2026-10-03T02:15", "2026-10-04T02:45"},
		{"and back the day after", days(1), "Australia/Lord_Howe", "2026-10-03T02:15", "2026-10-04T02:45", "2026-10-05T02:15"},
		{"midnight is skipped in the south", days(1), "America/Santiago", "2026-09-05T00:00", "2026-09-05T00:00", "2026-09-06T01:00"},
		{"an hour twice comes once", days(1), "Pacific/Auckland", "2027-04-03T02:30", "2027-04-04T02:30", "2027-04-05T02:30"},
		{"the 29th of months, past a February without", months(1), "Australia/Sydney", "2026-01-29T09:00", "2026-01-29T09:00", "2026-02-28T09:00"},
		{"the 30th of February, leap", months(1), "UTC", "2028-01-30T09:00", "2028-01-30T09:00", "2028-02-29T09:00"},
		{"hours run through a change of clocks", shop.Every{For: 8 * time.Hour}, "America/New_York", "2026-03-07T20:00", "2026-03-07T20:00", "2026-03-08T05:00"},
		{"hours that were missed", shop.Every{For: time.Hour}, "UTC", "2026-01-01T00:10", "2026-01-03T00:10", "2026-01-03T01:10"},
	} {
		t.Run(c.name, func(t *testing.T) {
			z := zone(t, c.zone)
			got := c.every.Next(shop.Wall(local(t, c.first), z), shop.Wall(local(t, c.now), z), z)
			if c.want == "" {
				if !got.IsZero() {
					t.Errorf("comes again at %v", got)
				}
				return
			}
			if text := got.In(z).Format(wallForm); text != c.want {
				t.Errorf("next is %s, want %s", text, c.want)
			}
		})
	}
}

// The next one is later than now, and no other one lies between.
func TestEveryNextIsTheNearest(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		z := zone(t, rapid.SampledFrom([]string{"UTC", "America/New_York", "Australia/Lord_Howe"}).Draw(r, "zone"))
		e := shop.Every{Span: material.Span{Months: rapid.IntRange(0, 24).Draw(r, "months"), Days: rapid.IntRange(0, 40).Draw(r, "days")}}
		if e.Span == (material.Span{}) {
			e.For = time.Duration(rapid.IntRange(15, 5000).Draw(r, "minutes")) * time.Minute
		}
		first := time.Unix(rapid.Int64Range(1e9, 2e9).Draw(r, "first"), 0)
		now := first.Add(time.Duration(rapid.Int64Range(0, 3e8).Draw(r, "after")) * time.Second)
		next := e.Next(first, now, z)
		if !next.After(now) {
			t.Fatalf("next of %v is %v, not after %v", e, next, now)
		}
		if before := e.Next(first, next.Add(-time.Second), z); !before.Equal(next) {
			t.Fatalf("%v comes at %v and at %v, after %v", e, before, next, now)
		}
	})
}

func TestQuietUntil(t *testing.T) {
	for _, c := range []struct{ name, hours, zone, at, want string }{
		{"none", "", "UTC", "2026-11-25T23:00", ""},
		{"in the evening", "22:00-07:00", "UTC", "2026-11-25T23:00", "2026-11-26T07:00"},
		{"in the night", "22:00-07:00", "UTC", "2026-11-26T03:00", "2026-11-26T07:00"},
		{"as they begin", "22:00-07:00", "UTC", "2026-11-25T22:00", "2026-11-26T07:00"},
		{"as they end", "22:00-07:00", "UTC", "2026-11-26T07:00", ""},
		{"by day", "22:00-07:00", "UTC", "2026-11-25T12:00", ""},
		{"a nap", "13:00-14:30", "UTC", "2026-11-25T14:29", "2026-11-25T14:30"},
		{"after a nap", "13:00-14:30", "UTC", "2026-11-25T14:31", ""},
		{"the night that is an hour short", "22:00-07:00", "America/New_York", "2026-03-07T23:00", "2026-03-08T07:00"},
		{"by a clock half an hour off", "22:00-07:00", "Asia/Kolkata", "2026-11-25T23:00", "2026-11-26T07:00"},
		{"ends at a midnight that is skipped", "20:00-00:00", "America/Santiago", "2026-09-05T23:00", "2026-09-06T01:00"},
		{"the night that is half an hour long, south", "22:00-07:00", "Australia/Lord_Howe", "2026-04-04T23:00", "2026-04-05T07:00"},
		{"over a day that was left out", "22:00-07:00", "Pacific/Apia", "2011-12-29T23:00", "2011-12-31T07:00"},
		{"ends in the gap", "22:00-02:30", "America/New_York", "2026-03-07T23:00", "2026-03-08T03:30"},
	} {
		t.Run(c.name, func(t *testing.T) {
			z := zone(t, c.zone)
			got := shop.QuietUntil(c.hours, shop.Wall(local(t, c.at), z), z)
			text := ""
			if !got.IsZero() {
				text = got.In(z).Format(wallForm)
			}
			if text != c.want {
				t.Errorf("%s at %s: until %q, want %q", c.hours, c.at, text, c.want)
			}
		})
	}
}

func TestEveryString(t *testing.T) {
	for want, e := range map[string]shop.Every{
		"": {}, "1 day": {Span: material.Span{Days: 1}}, "2 weeks": {Span: material.Span{Days: 14}}, "1 month": {Span: material.Span{Months: 1}},
		"1 year": {Span: material.Span{Months: 12}}, "1 month and 3 days": {Span: material.Span{Months: 1, Days: 3}},
		"8 h": {For: 8 * time.Hour}, "1 h 30 min": {For: 90 * time.Minute},
	} {
		if got := e.String(); got != want {
			t.Errorf("%+v is %q, want %q", e, got, want)
		}
	}
}
