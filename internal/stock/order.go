package stock

import (
	"math"
	"time"
)

// OrderSize is the amount to buy at once that costs least: √(2DK/h) of a demand
// D a year, a cost K of one order and a cost h of keeping one unit for a year
// (Harris 1913, the formula as it is quoted everywhere). Zero where the holding
// costs nothing: then it sets no bound.
func OrderSize(demand, order, holding float64) float64 {
	if holding <= 0 {
		return 0
	}
	return math.Sqrt(2 * demand * order / holding)
}

// Lot is the amount to buy: the order size, or what is used up within its open
// life where that is less. A zero bound sets none; both in the unit of the use.
func Lot(orderSize, usePerMonth, openMonths float64) float64 {
	within := usePerMonth * openMonths
	switch {
	case within <= 0:
		return orderSize
	case orderSize <= 0:
		return within
	}
	return math.Min(orderSize, within)
}

// Interest is what a unit of money in stock costs a year: common practice, no
// source.
const Interest = 0.25

// Lead is how long an order takes to come, and how much of it is kept in hand
// for a busy while: common practice, no source.
const (
	Lead   = 14 * 24 * time.Hour
	Safety = 0.5
)

// Level is what should be left when the next order goes out: the use while it
// comes, and half as much again.
func Level(perDay float64, lead time.Duration) float64 {
	return perDay * lead.Hours() / 24 * (1 + Safety)
}

// Draw is one use of a material.
type Draw struct {
	At    time.Time
	Grams float64
}

// The time that a rate of use is learned from: a year at most, and a month at
// least, so that one busy evening is no rate. Our choice.
const (
	rateMost  = 365 * 24 * time.Hour
	rateLeast = 30 * 24 * time.Hour
)

// Rate is the use in grams a day, learned from what was drawn in the last year.
// A handful of draws tell little: the rate lies within low and high, one
// standard deviation of a count of that many to either side (Poisson, 1/√n).
func Rate(draws []Draw, now time.Time) (perDay, low, high float64) {
	total, n := 0.0, 0
	first := now
	for _, d := range draws {
		if d.At.After(now) || now.Sub(d.At) > rateMost || d.Grams <= 0 {
			continue
		}
		total += d.Grams
		n++
		if d.At.Before(first) {
			first = d.At
		}
	}
	if n == 0 {
		return 0, 0, 0
	}
	span := max(now.Sub(first), rateLeast)
	perDay = total / (span.Hours() / 24)
	spread := 1 / math.Sqrt(float64(n))
	return perDay, perDay * (1 - spread), perDay * (1 + spread)
}
