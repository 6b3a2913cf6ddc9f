// Package ical writes calendar files, RFC 5545: one event for each thing to do,
// with its alarm.
//
//	data, err := ical.Write("24 pawns", at, []ical.Event{{ID: "p1-0", From: from, To: to, Title: "Pour harbor pawn"}})
//
// All times are UTC instants, so no reader needs to know a time zone.
package ical

import (
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode"

	ics "github.com/arran4/golang-ical"
)

// Event is one thing to do.
type Event struct {
	// ID tells it from all others, of other calendars too: letters, digits, - . @.
	// The same event written again has the same, and a calendar keeps one of both.
	ID       string
	From, To time.Time
	Title    string // untrusted text
	Text     string // untrusted text, of several lines
	// Alarm is how long before From to be called; below zero is never.
	Alarm time.Duration
}

// mostEvents bounds a file.
const mostEvents = 5000

// Write makes a calendar file that was made at that time. Errors: no event or
// more than 5000; an event without an ID or that ends before it begins.
func Write(name string, at time.Time, events []Event) ([]byte, error) {
	if len(events) == 0 || len(events) > mostEvents {
		return nil, fmt.Errorf("ical: %d events, want 1 to %d", len(events), mostEvents)
	}
	c := ics.NewCalendar()
	c.SetProductId("-//pourwright//run plan//EN")
	c.SetMethod(ics.MethodPublish)
	c.SetXWRCalName(line(name))
	for _, e := range events {
		if err := add(c, e, at); err != nil {
			return nil, err
		}
	}
	var b strings.Builder
	if err := c.SerializeTo(&b, ics.WithNewLineWindows); err != nil {
		return nil, fmt.Errorf("ical: write: %w", err)
	}
	return []byte(b.String()), nil
}

var errEvent = errors.New("ical: an event needs an ID and must not end before it begins")

func add(c *ics.Calendar, e Event, at time.Time) error {
	if !sound(e.ID) || e.To.Before(e.From) {
		return errEvent
	}
	v := c.AddEvent(e.ID)
	v.SetDtStampTime(at)
	v.SetStartAt(e.From)
	v.SetEndAt(e.To)
	v.SetSummary(line(e.Title))
	if e.Text != "" {
		v.SetDescription(lines(e.Text))
	}
	if e.Alarm < 0 {
		return nil
	}
	a := v.AddAlarm()
	a.SetAction(ics.ActionDisplay)
	a.SetDescription(line(e.Title)) // a displayed alarm must have one (3.6.6)
	a.SetTrigger(trigger(e.Alarm))
	return nil
}

// trigger is a duration before the start (3.3.6), whole minutes.
func trigger(before time.Duration) string {
	minutes := int(before.Round(time.Minute) / time.Minute)
	if minutes == 0 {
		return "PT0S"
	}
	return fmt.Sprintf("-PT%dM", minutes)
}

func sound(id string) bool {
	if id == "" || len(id) > 200 {
		return false
	}
	return strings.IndexFunc(id, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-.@", r))
	}) < 0
}

// line makes one line of a text, without anything that does not print: text in a
// calendar has no control characters (3.3.11).
func line(text string) string {
	text = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case !unicode.IsPrint(r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(text, ""))
	return strings.Join(strings.Fields(text), " ")
}

func lines(text string) string {
	parts := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	for i := range parts {
		parts[i] = line(parts[i])
	}
	return strings.Join(parts, "\n")
}
