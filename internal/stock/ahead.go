package stock

import (
	"math"
	"time"
)

// Need is what one pour of a run takes, and on which day.
type Need struct {
	Amount
	Day time.Time
}

// Outlook is how far jugs go over a run.
type Outlook struct {
	Lasts int    // pours from the first that are met in full
	Short Amount // what is missing over all of them
	Ends  []End  // jugs that pass their last day before the last pour
}

// End is a jug that passes its last day with something in it.
type End struct {
	ID   int64
	Left Amount // what no pour took before
}

// Ahead meets the needs of a run one after another, each from what is in date on
// its day, in the order of Choose. What one pour lacks it does not get later. A
// sealed jug keeps its sealed life, since a run is shorter than an open one.
func Ahead(jugs []Jug, needs []Need) Outlook {
	left := make(map[int64]Amount, len(jugs))
	for _, j := range jugs {
		left[j.ID] = j.Left
	}
	var out Outlook
	unbroken := true
	for _, n := range needs {
		var good []Jug
		for _, j := range jugs {
			if j.Left = left[j.ID]; !j.Past(n.Day) {
				good = append(good, j)
			}
		}
		c := Choose(good, n.Amount, n.Day)
		for _, t := range c.Takes {
			left[t.ID] = left[t.ID].Less(t.From)
		}
		out.Short.A += c.Short.A
		out.Short.B += c.Short.B
		if unbroken = unbroken && c.Short.Nothing(); unbroken {
			out.Lasts++
		}
	}
	if len(needs) == 0 {
		return out
	}
	for _, j := range jugs {
		if j.Past(needs[len(needs)-1].Day) && !left[j.ID].Nothing() {
			out.Ends = append(out.Ends, End{j.ID, left[j.ID]})
		}
	}
	return out
}

// Buy is how many packs with so many g of A and of B make up what is short.
// Neither is negative; a pack without a part that is short makes up nothing: 0.
func Buy(short, pack Amount) int {
	n := 0
	for _, part := range []struct{ short, pack float64 }{{short.A, pack.A}, {short.B, pack.B}} {
		switch {
		case part.short <= Slack:
		case part.pack <= 0:
			return 0
		default:
			n = max(n, int(math.Ceil(part.short/part.pack-Slack)))
		}
	}
	return n
}

// Unsure are jugs with the least that may be in them, and with the most, where
// reckoned is the g of each that pours drew since it was weighed.
func Unsure(jugs []Jug, reckoned func(id int64) float64) (least, most []Jug) {
	for _, j := range jugs {
		total := j.Left.Total()
		low, high := j, j
		if total > Slack {
			r := LeftRange(total, reckoned(j.ID))
			low.Left = Amount{j.Left.A * r.Low / total, j.Left.B * r.Low / total}
			high.Left = Amount{j.Left.A * r.High / total, j.Left.B * r.High / total}
		}
		least, most = append(least, low), append(most, high)
	}
	return least, most
}
