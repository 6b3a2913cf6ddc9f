package moldcare

import (
	"cmp"
	"math"
	"slices"

	"github.com/pourwright/pourwright/internal/quantity"
)

// Risk is the chance that the next pulls finish a mold that has had age pulls
// of wear and is whole.
func (p Posterior) Risk(age, next float64) float64 {
	risk := 0.0
	for _, c := range p.cells {
		risk += c.weight * c.Risk(age, next)
	}
	return risk
}

// RiskRange is Risk with the 10 and 90 % ends of what is not known of the life
// of such molds; the middle is Risk.
func (p Posterior) RiskRange(age, next float64) quantity.Range {
	r := p.spreadOf(make([]weighed, len(p.cells)), func(w Weibull) float64 { return w.Risk(age, next) })
	r.Mid = p.Risk(age, next)
	return quantity.Range{Low: min(r.Low, r.Mid), Mid: r.Mid, High: max(r.High, r.Mid)}
}

// weighed is a value that one cell gives.
type weighed struct{ value, weight float64 }

// spreadOf are the 10, 50 and 90 % points of what the cells give; buffer has
// room for one each.
func (p Posterior) spreadOf(buffer []weighed, of func(Weibull) float64) quantity.Range {
	for i, c := range p.cells {
		buffer[i] = weighed{of(c.Weibull), c.weight}
	}
	slices.SortFunc(buffer, func(a, b weighed) int { return cmp.Compare(a.value, b.value) })
	at := func(q float64) float64 { // between the middles of two values' weights
		below, last := 0.0, buffer[0].value
		was := 0.0
		for _, w := range buffer {
			middle := below + w.weight/2
			if middle >= q && middle > was {
				return last + (w.value-last)*(q-was)/(middle-was)
			}
			below, was, last = below+w.weight, middle, w.value
		}
		return last
	}
	return quantity.Range{Low: at(0.1), Mid: at(0.5), High: at(0.9)}
}

// mostLeft bounds the count of pulls left.
const mostLeft = 1e6

// Left is how many more pulls a mold of that age gives, 10 to 90 %, and the
// expected number.
func (p Posterior) Left(age float64) (left quantity.Range, expected float64) {
	after := func(chance float64) float64 { // the last pull survived with that chance
		low, high := 0.0, 1.0
		for p.Risk(age, high) < 1-chance && high < mostLeft {
			low, high = high, 2*high
		}
		for high-low > 1e-3 {
			if mid := (low + high) / 2; p.Risk(age, mid) < 1-chance {
				low = mid
			} else {
				high = mid
			}
		}
		return math.Floor(high)
	}
	return quantity.Range{Low: after(0.9), Mid: after(0.5), High: after(0.1)}, p.expected(age)
}

// expected is Σ S(age + j)/S(age) over the pulls j to come: one by one at
// first, then by the trapezoid rule over steps that grow by a twentieth, which
// a tail that falls so slowly allows.
func (p Posterior) expected(age float64) float64 {
	const single, grows, enough = 60, 1.05, 1e-6
	sum, at, survive := 0.0, 0.0, 1.0
	for at < mostLeft && survive > enough {
		next := at + 1
		if at >= single {
			next = math.Ceil(at * grows)
		}
		then, steps := 1-p.Risk(age, next), next-at
		// pulls at+1 … next, linear between both ends
		sum += steps*(survive+then)/2 - (survive-then)/2
		at, survive = next, then
	}
	return sum
}

// Curve is the expected share of molds that survives each number of pulls, with
// the 10 and 90 % ends of what is not known of it.
func (p Posterior) Curve(pulls []float64) []quantity.Range {
	out := make([]quantity.Range, len(pulls))
	buffer := make([]weighed, len(p.cells))
	for i, t := range pulls {
		r, mean := p.spreadOf(buffer, func(w Weibull) float64 { return w.Survival(t) }), 1-p.Risk(0, t)
		out[i] = quantity.Range{Low: min(r.Low, mean), Mid: mean, High: max(r.High, mean)}
	}
	return out
}
