package stock

import (
	"math"
	"time"
)

// LastDay is the last day on which a container is good: the earlier of the end
// of its sealed life and that of its open life, whichever are known. Zero where
// neither is. Both are days, in UTC at midnight.
func LastDay(sealed, opened time.Time) time.Time {
	switch {
	case sealed.IsZero():
		return opened
	case opened.IsZero() || sealed.Before(opened):
		return sealed
	}
	return opened
}

// Day is the day of an instant on the clock of a zone, as LastDay takes it.
func Day(at time.Time, zone *time.Location) time.Time {
	y, m, d := at.In(zone).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// Days is how many days the second of two days comes after the first; it is
// negative where it comes before.
func Days(from, to time.Time) int {
	return int(math.Round(to.Sub(from).Hours() / 24))
}

// The temperature in °C that a bulletin's shelf time is for, and the factor by
// which ten degrees shorten it; common practice, no source.
const (
	ShelfTemp = 23.0
	ShelfQ10  = 2.0
)

// ShelfAt is a shelf time, in its own unit, as a store of another temperature
// makes it: time·q10^((ref − stored)/10). It is for a warning only: the date of
// the bulletin rules.
func ShelfAt(time, stored, ref, q10 float64) float64 {
	return time * math.Pow(q10, (ref-stored)/10)
}

// OpenUsual is the open life in months of a urethane whose profile says none:
// common practice, no source.
const (
	OpenUsualLow  = 1
	OpenUsual     = 3
	OpenUsualHigh = 6
)
