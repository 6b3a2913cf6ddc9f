package library

import (
	"slices"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// SeenOptions say when something was seen that is told later.
var SeenOptions = []chat.Option{
	{Name: "ago", Help: "if you saw it earlier: how long ago", Like: "2 h", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Time}, Bare: "min"},
	{Name: "at", Help: "or when, by your own clock", Like: "18:30"},
}

// Seen is when the caller saw what is told: now, where neither option is given.
// It gives zero for now. Errors: bad_time, too_many_options.
func Seen(c *chat.Call) (time.Time, error) {
	switch {
	case c.Has("ago") && c.Has("at"):
		return time.Time{}, fault.New(fault.TooManyOptions, "ago and at are given together, only one can count").In("at").Hint("leave one of them out")
	case c.Has("ago"):
		return c.At.Add(-time.Duration(c.Value("ago", 0) * float64(time.Second))).Truncate(time.Second), nil
	case c.Has("at"):
		return Past(c.Text("at"), c.At, c.By.Zone())
	}
	return time.Time{}, nil
}

// Past reads an instant that is over, on the clock of the zone: "18:30",
// "yesterday 9:00", "mon 14:00", "30 nov 18:30", "2026-11-30 18:30", or RFC
// 3339. A time alone, and a day of the week, is the last one. A day alone has no
// time that could be meant. A time that clocks showed twice is the later one if
// that is over: the earlier one is typed with its offset. Errors: bad_time.
func Past(typed string, now time.Time, zone *time.Location) (time.Time, error) {
	at, ok := pastOf(strings.TrimSpace(typed), now, zone)
	switch {
	case !ok:
		return time.Time{}, fault.New(fault.BadTime, "%q is no time that can be read", fault.Echo(typed)).
			In("at").Hint(`give such as 18:30, "yesterday 9:00", "mon 14:00" or "2026-11-30 18:30", or ago:"2 h"`)
	case at.After(now):
		return time.Time{}, fault.New(fault.BadTime, "%s is still to come: it is %s by the clock of %s", fault.Echo(typed), now.In(zone).Format("Mon 2 Jan 15:04"), zone).
			In("at").Hint("give a time that is over, or ago: with the time since; /me set zone: sets your clock")
	}
	return at.Truncate(time.Millisecond), nil
}

func pastOf(typed string, now time.Time, zone *time.Location) (time.Time, bool) {
	if at, err := time.Parse(time.RFC3339, typed); err == nil {
		return at, true
	}
	words := chat.Fold(dateAndTime.ReplaceAllString(typed, "$1 $2"))
	local := now.In(zone)
	on := func(days, minutes int) time.Time {
		return lastShown(time.Date(local.Year(), local.Month(), local.Day()+days, minutes/60, minutes%60, 0, 0, time.UTC), now, zone)
	}
	if minutes, ok := minuteOf(words); ok {
		if at := on(0, minutes); !at.After(now) {
			return at, true
		}
		return on(-1, minutes), true
	}
	for cut := strings.LastIndexByte(words, ' '); cut > 0; cut = strings.LastIndexByte(words[:cut], ' ') {
		minutes, ok := minuteOf(strings.TrimPrefix(strings.TrimSpace(words[cut:]), "at "))
		if !ok {
			continue
		}
		if day, ok := dayBefore(words[:cut], local, func(days int) bool { return !on(days, minutes).After(now) }); ok {
			return lastShown(day.Add(time.Duration(minutes)*time.Minute), now, zone), true
		}
	}
	return time.Time{}, false
}

// dayBefore is the day that the words name, as its midnight on a clock: of a
// weekday and of a date without a year the last one that is over.
func dayBefore(words string, local time.Time, over func(days int) bool) (time.Time, bool) {
	day := func(days int) time.Time {
		return time.Date(local.Year(), local.Month(), local.Day()+days, 0, 0, 0, 0, time.UTC)
	}
	if i := slices.Index([]string{"today", "yesterday"}, words); i >= 0 {
		return day(-i), true
	}
	for d := range 8 {
		name := strings.ToLower(day(-d).Weekday().String())
		if (words == name || words == name[:3]) && over(-d) {
			return day(-d), true
		}
	}
	if t, err := time.Parse(time.DateOnly, words); err == nil {
		return t, true
	}
	m := dayWord.FindStringSubmatch(words)
	if m == nil {
		return time.Time{}, false
	}
	const most = 366 // days back
	for d := range most {
		t := day(-d)
		if name := strings.ToLower(t.Month().String()); t.Format("2") == strings.TrimPrefix(m[1], "0") && (m[2] == name || m[2] == name[:3]) && over(-d) {
			return t, true
		}
	}
	return time.Time{}, false
}

// lastShown is the last time up to now at which clocks showed that.
func lastShown(local, now time.Time, zone *time.Location) time.Time {
	first := shop.Wall(local, zone)
	for _, by := range []time.Duration{2 * time.Hour, time.Hour, 30 * time.Minute} { // as far as clocks go back
		again := first.Add(by)
		if !again.After(now) && again.Format(time.DateTime) == first.Format(time.DateTime) {
			return again
		}
	}
	return first
}
