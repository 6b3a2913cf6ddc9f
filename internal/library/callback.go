package library

import (
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
)

// The time before an opened material is too old at which its owner is called,
// and the hour of that day: our choice.
const (
	warnDays = 7
	warnHour = 9
)

// UseBy is the last day of a material that was opened on the day of opened, by
// the clock of the zone, and when its owner is called: a week before, in the
// morning, or on the day itself where there is less time than that. Errors:
// missing_option where the profile does not say how long it lasts.
func UseBy(m shop.Material, opened time.Time, zone *time.Location) (call, last time.Time, err error) {
	if m.ShelfOpened == (material.Span{}) {
		return call, last, fault.New(fault.MissingOption, "how long does %s last once it is opened?", m.Name).In("material").
			Hint(`say so in its profile: /material edit material:"%s" shelf_opened:"4 months"`, m.Name)
	}
	local := opened.In(zone)
	day := shop.AddSpan(time.Date(local.Year(), local.Month(), local.Day(), warnHour, 0, 0, 0, time.UTC), m.ShelfOpened)
	last = shop.Wall(day, zone)
	call = shop.Wall(day.AddDate(0, 0, -warnDays), zone)
	if !call.After(opened) {
		call = last
	}
	return call, last, nil
}

// OpenedCall is the button that calls a member before a material, opened on the
// day it is pressed, is too old; none where its profile does not say when that
// is.
func OpenedCall(m shop.Material) []chat.Action {
	if m.ShelfOpened == (material.Span{}) {
		return nil
	}
	return []chat.Action{{Label: "I opened it today: call me in time",
		Line: chat.FormatLine("due opened", map[string]string{"material": chat.Ref(m.ID, 0)}, nil)}}
}

// CoatCall is the button that calls a member to put a release coat on.
func CoatCall(m shop.Mold) chat.Action {
	return chat.Action{Label: "Remind me of the coat", Line: chat.FormatLine("due coat", map[string]string{"mold": chat.Ref(m.ID, 0)}, nil)}
}
