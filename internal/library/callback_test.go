package library_test

import (
	"testing"
	"time"
	_ "time/tzdata" // zones by name, also where the system has none

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
)

func TestUseBy(t *testing.T) {
	months := func(n int) material.Span { return material.Span{Months: n} }
	days := func(n int) material.Span { return material.Span{Days: n} }
	for _, c := range []struct {
		name       string
		span       material.Span
		zone       string
		opened     string // UTC
		call, last string // on the zone's clock
	}{
		{"months", months(4), "UTC", "2026-11-23T09:30:00Z", "2027-03-16 09:00", "2027-03-23 09:00"},
		{"clamped to the month's end", months(3), "UTC", "2026-11-30T09:30:00Z", "2027-02-21 09:00", "2027-02-28 09:00"},
		{"clamped to a leap day", months(3), "UTC", "2027-11-30T09:30:00Z", "2028-02-22 09:00", "2028-02-29 09:00"},
		{"into summer time", months(5), "Europe/London", "2026-11-23T09:30:00Z", "2027-04-16 09:00", "2027-04-23 09:00"},
		{"the day is the zone's own", months(1), "Pacific/Auckland", "2026-11-23T20:00:00Z", "2026-12-17 09:00", "2026-12-24 09:00"},
		{"less than a week", days(5), "UTC", "2026-11-23T09:30:00Z", "2026-11-28 09:00", "2026-11-28 09:00"},
		{"a week to the hour", days(7), "UTC", "2026-11-23T08:30:00Z", "2026-11-23 09:00", "2026-11-30 09:00"},
		{"a week, opened later that day", days(7), "UTC", "2026-11-23T09:30:00Z", "2026-11-30 09:00", "2026-11-30 09:00"},
		{"a day", days(1), "UTC", "2026-11-23T23:59:00Z", "2026-11-24 09:00", "2026-11-24 09:00"},
	} {
		t.Run(c.name, func(t *testing.T) {
			zone, err := time.LoadLocation(c.zone)
			if err != nil {
				t.Fatal(err)
			}
			opened, err := time.Parse(time.RFC3339, c.opened)
			if err != nil {
				t.Fatal(err)
			}
			call, last, err := library.UseBy(shop.Material{Profile: material.Profile{Name: "slow white", ShelfOpened: c.span}}, opened, zone)
			if err != nil {
				t.Fatal(err)
			}
			const form = "2006-01-02 15:04"
			if got := call.In(zone).Format(form); got != c.call {
				t.Errorf("called at %s, want %s", got, c.call)
			}
			if got := last.In(zone).Format(form); got != c.last {
				t.Errorf("to use it by %s, want %s", got, c.last)
			}
			if !call.After(opened) {
				t.Errorf("called at %v, before it was opened", call)
			}
		})
	}
	if _, _, err := library.UseBy(shop.Material{}, time.Now(), time.UTC); !fault.Is(err, fault.MissingOption) {
		t.Errorf("with nothing said: %v", err)
	}
}
