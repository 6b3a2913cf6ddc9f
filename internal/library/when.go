package library

import (
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// Bounds of how far ahead a call may be.
const (
	leastAhead = 10 * time.Second
	mostAhead  = 10 * 366 * 24 * time.Hour
)

// In reads how long from now: "45 min", "1h20", or calendar days, weeks, months
// and years, which keep the time of day by the clock of the zone. A bare number
// is minutes. Errors: bad_time, out_of_range.
func In(typed string, from time.Time, zone *time.Location) (time.Time, error) {
	var at time.Time
	if span, err := material.ParseSpan(typed); err == nil {
		at = shop.Wall(shop.AddSpan(from.In(zone), span), zone)
	} else {
		d, ok := stretch(typed)
		if !ok {
			return time.Time{}, fault.New(fault.BadTime, "%q is no time", fault.Echo(typed)).In("in").Hint("give a time from now, such as 45 min, 2 h or 3 days")
		}
		at = from.Add(d)
	}
	if ahead := at.Sub(from); ahead < leastAhead || ahead > mostAhead {
		return time.Time{}, fault.New(fault.OutOfRange, "%s is not between 10 seconds and 10 years", fault.Echo(typed)).
			In("in").Hint("give a time from now, such as 45 min or 3 days")
	}
	return at, nil
}

// stretch reads a length of time that runs through a change of clocks.
func stretch(typed string) (time.Duration, bool) {
	minutes, _ := quantity.UnitNamed("min", quantity.Metric)
	q, _, err := quantity.Parse(typed, quantity.Want{Option: "in", Dims: []quantity.Dim{quantity.Time}, System: quantity.Metric, Bare: minutes})
	if err != nil || q.Value > mostAhead.Seconds() {
		return 0, false
	}
	return time.Duration(q.Value * float64(time.Second)).Round(time.Second), true
}

var oneOfEach = map[string]string{
	"hour": "1 h", "hourly": "1 h", "day": "1 day", "daily": "1 day", "week": "1 week", "weekly": "1 week",
	"month": "1 month", "monthly": "1 month", "year": "1 year", "yearly": "1 year",
}

// Every reads how often: "week", "every 2 weeks", "8 h". Errors: bad_time,
// out_of_range.
func Every(typed string) (shop.Every, error) {
	word := strings.TrimPrefix(chat.Fold(typed), "every ")
	if one, ok := oneOfEach[word]; ok {
		word = one
	}
	var e shop.Every
	if span, err := material.ParseSpan(word); err == nil {
		e.Span = span
	} else if d, ok := stretch(word); ok {
		e.For = d
	} else {
		return e, fault.New(fault.BadTime, "%q is not how often something comes", fault.Echo(typed)).In("every").Hint("give such as day, 2 weeks, month or 8 h")
	}
	least := e.For + 24*time.Hour*time.Duration(28*e.Span.Months+e.Span.Days)
	if least < shop.LeastEvery || least > shop.MostEvery {
		return shop.Every{}, fault.New(fault.OutOfRange, "every %s is not between 15 minutes and 10 years", fault.Echo(word)).
			In("every").Hint("give such as day, 2 weeks, month or 8 h")
	}
	return e, nil
}

var (
	timeWord = regexp.MustCompile(`^(\d{1,2})(?:[:.](\d\d))? ?([ap]m)?$`)
	// dateAndTime is the T between the two, as in ISO 8601.
	dateAndTime = regexp.MustCompile(`(\d)T(\d)`)
	dayWord     = regexp.MustCompile(`^(\d{1,2}) ([a-z]{3,9})$`)
)

// noHour is the time of day of a date alone.
const noHour = 9

// At reads an instant on the clock of the zone: "18:30", "6 pm", "tomorrow
// 9:00", "mon 14:00", "30 nov", "2026-11-30 18:30", or RFC 3339. A time alone is
// the next one, a date alone nine in the morning. A time that clocks skip is
// read by the offset before the gap, one that they show twice is the first.
// Errors: bad_time, also for what is past.
func At(typed string, now time.Time, zone *time.Location) (time.Time, error) {
	at, ok := instantOf(strings.TrimSpace(typed), now, zone)
	switch {
	case !ok:
		return time.Time{}, fault.New(fault.BadTime, "%q is no time that can be read", fault.Echo(typed)).
			In("at").Hint(`give such as 18:30, "tomorrow 9:00", "mon 14:00" or "2026-11-30 18:30"`)
	case !at.After(now):
		return time.Time{}, fault.New(fault.BadTime, "%s is past: it is %s by the clock of %s", fault.Echo(typed), now.In(zone).Format("Mon 2 Jan 15:04"), zone).
			In("at").Hint("give a time to come, or in: with the time from now; /me set zone: sets your clock")
	case at.Sub(now) > mostAhead:
		return time.Time{}, fault.New(fault.BadTime, "%s is more than ten years away", fault.Echo(typed)).In("at").Hint("give a nearer time")
	}
	return at, nil
}

func instantOf(typed string, now time.Time, zone *time.Location) (time.Time, bool) {
	if at, err := time.Parse(time.RFC3339, typed); err == nil {
		return at, true
	}
	words := chat.Fold(dateAndTime.ReplaceAllString(typed, "$1 $2"))
	local := now.In(zone)
	on := func(days, minutes int) time.Time {
		return shop.Wall(time.Date(local.Year(), local.Month(), local.Day()+days, minutes/60, minutes%60, 0, 0, time.UTC), zone)
	}
	if minutes, ok := minuteOf(words); ok {
		if at := on(0, minutes); at.After(now) {
			return at, true
		}
		return on(1, minutes), true
	}
	// The longest beginning that is a day leaves the time of day.
	for cut := len(words); cut > 0; cut = strings.LastIndexByte(words[:cut], ' ') {
		minutes := noHour * 60
		if rest := strings.TrimPrefix(strings.TrimSpace(words[cut:]), "at "); rest != "" {
			var ok bool
			if minutes, ok = minuteOf(rest); !ok {
				continue
			}
		}
		if at, ok := onDay(words[:cut], minutes, local, now, zone, on); ok {
			return at, true
		}
	}
	return time.Time{}, false
}

// onDay is that minute of the day named by the words.
func onDay(words string, minutes int, local, now time.Time, zone *time.Location, on func(days, minutes int) time.Time) (time.Time, bool) {
	switch words {
	case "today":
		return on(0, minutes), true
	case "tomorrow":
		return on(1, minutes), true
	}
	for d := range 8 { // a day of the week: today's if it is still to come
		name := strings.ToLower(local.AddDate(0, 0, d).Weekday().String())
		if at := on(d, minutes); (words == name || words == name[:3]) && at.After(now) {
			return at, true
		}
	}
	date := func(t time.Time) time.Time { return shop.Wall(t.Add(time.Duration(minutes)*time.Minute), zone) }
	if t, err := time.Parse(time.DateOnly, words); err == nil {
		return date(t), true
	}
	if m := dayWord.FindStringSubmatch(words); m != nil && len(m[2]) >= 3 {
		for year := local.Year(); year <= local.Year()+8; year++ { // eight years reach a leap day
			t, err := time.Parse("2 Jan 2006", m[1]+" "+m[2][:3]+" "+strconv.Itoa(year))
			if err != nil || !strings.HasPrefix(strings.ToLower(t.Month().String()), m[2]) {
				continue
			}
			if at := date(t); at.After(now) {
				return at, true
			}
		}
	}
	return time.Time{}, false
}

// minuteOf is a time of day in minutes. A bare hour is none: it could be a day.
func minuteOf(words string) (int, bool) {
	switch words {
	case "noon":
		return 12 * 60, true
	case "midnight":
		return 0, true
	}
	m := timeWord.FindStringSubmatch(words)
	if m == nil || m[2] == "" && m[3] == "" {
		return 0, false
	}
	text, ok := timeOfDay(m[1], m[2], m[3])
	if !ok {
		return 0, false
	}
	t, err := time.Parse("15:04", text)
	return t.Hour()*60 + t.Minute(), err == nil
}
