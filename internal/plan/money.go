package plan

import (
	"math"
	"slices"
	"strconv"
)

// Money is a whole number of the smallest units of a currency: pence, yen, fils.
type Money struct {
	Minor    int64
	Currency string // ISO 4217
}

// noDecimals, threeDecimals and fourDecimals are the currencies whose smallest
// unit is not a hundredth: ISO 4217, list one, from memory.
var (
	noDecimals    = []string{"BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV", "XAF", "XOF", "XPF"}
	threeDecimals = []string{"BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"}
	fourDecimals  = []string{"CLF", "UYW"}
)

// Decimals is how many a currency's amounts are written with.
func Decimals(currency string) int {
	switch {
	case slices.Contains(noDecimals, currency):
		return 0
	case slices.Contains(threeDecimals, currency):
		return 3
	case slices.Contains(fourDecimals, currency):
		return 4
	}
	return 2
}

// InMoney rounds an amount of a currency to its smallest unit, halves away from
// zero.
func InMoney(amount float64, currency string) Money {
	return Money{Minor: int64(math.Round(amount * math.Pow10(Decimals(currency)))), Currency: currency}
}

// Amount is the money in whole units of its currency.
func (m Money) Amount() float64 { return float64(m.Minor) / math.Pow10(Decimals(m.Currency)) }

// String writes "12.50 GBP", "1250 JPY".
func (m Money) String() string {
	digits := Decimals(m.Currency)
	minor, sign := m.Minor, ""
	if minor < 0 {
		minor, sign = -minor, "-"
	}
	text := strconv.FormatInt(minor, 10)
	if digits > 0 {
		for len(text) <= digits {
			text = "0" + text
		}
		text = text[:len(text)-digits] + "." + text[len(text)-digits:]
	}
	return sign + text + " " + m.Currency
}

// shares rounds amounts so that what is shown adds up to their rounded sum: the
// units that are over go to those with the largest remainders.
func shares(amounts []float64, currency string) (each []Money, sum Money) {
	total, scale := 0.0, math.Pow10(Decimals(currency))
	each = make([]Money, len(amounts))
	order := make([]int, len(amounts))
	rest := make([]float64, len(amounts))
	given := int64(0)
	for i, a := range amounts {
		total += a
		down := math.Floor(a * scale)
		each[i] = Money{int64(down), currency}
		given += int64(down)
		order[i], rest[i] = i, a*scale-down
	}
	sum = InMoney(total, currency)
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case rest[a] > rest[b]:
			return -1
		case rest[a] < rest[b]:
			return 1
		}
		return 0
	})
	for k := 0; given < sum.Minor && k < len(order); k++ {
		each[order[k]].Minor++
		given++
	}
	return each, sum
}
