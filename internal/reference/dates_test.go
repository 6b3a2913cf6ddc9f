package reference

import (
	"fmt"
	"strings"
	"time"
	_ "time/tzdata" // zones by name, also where the system has none

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
)

// dateForms are clocks and calendars: when a call comes, and a shelf ends.
var dateForms = map[string]computes{
	"dates: local tz": func(e entry) (any, error) {
		at, err := wall(e.text("local"), "2006-01-02T15:04:05", e.text("tz"))
		return at.UTC().Format(time.RFC3339), err
	},
	// A cure does not know of clocks that are changed meanwhile.
	"dates: cure_h start_local": func(e entry) (any, error) {
		local, tz, _ := strings.Cut(e.text("start_local"), " ")
		start, err := wall(local, "2006-01-02T15:04", tz)
		if err != nil {
			return nil, err
		}
		cure := time.Duration(e.num("cure_h") * float64(time.Hour))
		// the first call of a series that comes again after that stretch of time
		due := shop.Every{For: cure}.Next(start, start, start.Location())
		return e.pick(map[string]float64{"elapsed h": due.Sub(start).Hours()})
	},
	"dates: opened shelf_months": func(e entry) (any, error) {
		opened, err := time.Parse(time.DateOnly, e.text("opened"))
		if err != nil {
			return nil, err
		}
		return shop.AddSpan(opened, material.Span{Months: int(e.num("shelf_months"))}).Format(time.DateOnly), nil
	},
}

func wall(local, form, tz string) (time.Time, error) {
	zone, err := time.LoadLocation(tz)
	if err != nil {
		return time.Time{}, err
	}
	read, err := time.Parse(form, local)
	if err != nil {
		return time.Time{}, fmt.Errorf("read a clock: %w", err)
	}
	return shop.Wall(read, zone), nil
}
