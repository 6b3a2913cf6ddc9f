package shop

import (
	"fmt"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Wall is the instant at which the clocks of a zone show the date and time of
// day that local holds; the zone of local itself does not count. Where clocks
// skip that time, it is read by the offset before the gap; where they show it
// twice, it is the first (RFC 5545, section 3.3.5).
func Wall(local time.Time, zone *time.Location) time.Time {
	// An offset is within a day, so the change that matters lies between these.
	shown := time.Date(local.Year(), local.Month(), local.Day(), local.Hour(), local.Minute(), local.Second(), local.Nanosecond(), time.UTC)
	before, after := offset(shown.Add(-24*time.Hour), zone), offset(shown.Add(24*time.Hour), zone)
	first, second := shown.Add(-before), shown.Add(-after)
	if offset(first, zone) != before && offset(second, zone) == after {
		return second.In(zone)
	}
	return first.In(zone)
}

func offset(at time.Time, zone *time.Location) time.Duration {
	_, s := at.In(zone).Zone()
	return time.Duration(s) * time.Second
}

// AddSpan adds calendar months with the day clamped to the month's end, then
// days. The time of day stays as the clock shows it; like local, the result is
// a reading of a clock (in UTC), which Wall makes an instant of.
func AddSpan(local time.Time, span material.Span) time.Time {
	y, m, d := local.Date()
	month := time.Date(y, m+time.Month(span.Months), 1, 0, 0, 0, 0, time.UTC)
	last := month.AddDate(0, 1, -1).Day()
	return time.Date(month.Year(), month.Month(), min(d, last)+span.Days,
		local.Hour(), local.Minute(), local.Second(), local.Nanosecond(), time.UTC)
}

// Every is how often a call comes again: a calendar span, kept by the clock on
// the wall, or a stretch of time, which runs through a change of clocks. The
// zero value is once.
type Every struct {
	Span material.Span `json:"span,omitzero"`
	For  time.Duration `json:"for,omitempty"` // ns; with a zero Span
}

// Bounds of Every. What comes more often than four times an hour is a clock,
// not a reminder (our choice).
const (
	LeastEvery = 15 * time.Minute
	MostEvery  = 10 * 366 * 24 * time.Hour
)

// Next is the first time after now at which a call comes that came at first,
// and the zero time for what comes once. It is counted from first and not from
// the last call, so that the 31st, or the 29th of February, is met again after
// a shorter month.
func (e Every) Next(first, now time.Time, zone *time.Location) time.Time {
	switch {
	case e == (Every{}):
		return time.Time{}
	case e.Span == (material.Span{}):
		n := max(now.Sub(first)/e.For+1, 1)
		return first.Add(n * e.For)
	}
	local := first.In(zone)
	at := func(n int) time.Time {
		return Wall(AddSpan(local, material.Span{Months: n * e.Span.Months, Days: n * e.Span.Days}), zone)
	}
	// A span is at most this long, so the search starts at or before the answer.
	longest := 24 * time.Hour * time.Duration(31*e.Span.Months+e.Span.Days)
	n := max(int((now.Sub(first)-24*time.Hour)/longest), 1)
	for !at(n).After(now) {
		n++
	}
	return at(n)
}

// String writes it as it is typed, "2 weeks", "8 h"; "" for once.
func (e Every) String() string {
	s := e.Span
	switch {
	case e.For > 0:
		return durationText(e.For)
	case s.Months > 0 && s.Days > 0:
		return fmt.Sprintf("%s and %s", counted(s.Months, "month"), counted(s.Days, "day"))
	case s.Months > 0 && s.Months%12 == 0:
		return counted(s.Months/12, "year")
	case s.Months > 0:
		return counted(s.Months, "month")
	case s.Days > 0 && s.Days%7 == 0:
		return counted(s.Days/7, "week")
	case s.Days > 0:
		return counted(s.Days, "day")
	}
	return ""
}

func counted(n int, noun string) string { return quantity.Count(n, noun, noun+"s") }

// durationText is a time in hours, minutes and seconds, without its zero parts.
func durationText(d time.Duration) string {
	d = d.Round(time.Second)
	var parts []string
	for _, unit := range []struct {
		name string
		of   time.Duration
	}{{"h", time.Hour}, {"min", time.Minute}, {"s", time.Second}} {
		if n := d / unit.of; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, unit.name))
		}
		d %= unit.of
	}
	return strings.Join(parts, " ")
}

// QuietUntil is when the quiet hours end that hold at that time, by the clock
// of the zone, and the zero time where none hold. hours is "22:00-07:00", or ""
// for none.
func QuietUntil(hours string, at time.Time, zone *time.Location) time.Time {
	from, to, ok := strings.Cut(hours, "-")
	begin, err := time.Parse("15:04", from)
	end, err2 := time.Parse("15:04", to)
	if !ok || err != nil || err2 != nil {
		return time.Time{}
	}
	local := at.In(zone)
	// The hours that hold began today or yesterday.
	for _, day := range []int{0, -1} {
		on := func(clock time.Time, day int) time.Time {
			return Wall(time.Date(local.Year(), local.Month(), local.Day()+day, clock.Hour(), clock.Minute(), 0, 0, time.UTC), zone)
		}
		starts, ends := on(begin, day), on(end, day)
		if !end.After(begin) {
			ends = on(end, day+1)
		}
		if !at.Before(starts) && at.Before(ends) {
			return ends
		}
	}
	return time.Time{}
}

// ClockText is an instant on the clocks of a zone, "15:04", with the day where
// that is another one there than that of now.
func ClockText(at, now time.Time, zone *time.Location) string {
	at, now = at.In(zone), now.In(zone)
	if at.Year() == now.Year() && at.YearDay() == now.YearDay() {
		return at.Format("15:04")
	}
	return at.Format("Mon 2 Jan 15:04")
}

// ZoneNamed is a zone that was checked when it was kept. One that the machine's
// database has lost since is read as UTC.
func ZoneNamed(name string) *time.Location {
	if zone, err := time.LoadLocation(name); err == nil {
		return zone
	}
	return time.UTC
}
