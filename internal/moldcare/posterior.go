package moldcare

import (
	"errors"
	"math"
	"slices"

	"github.com/pourwright/pourwright/internal/quantity"
)

// The grid: median life by shape, even in their logarithms.
const (
	medians = 61
	shapes  = 41
)

// reach is how many standard deviations the grid goes to either side of the
// posterior's mean. With 61 points a cell is a sixth of one: sums over it are
// exact to far better than the estimate is known.
const reach = 5.0

// The grid stays within these: beyond them no mold lives, and no power of e
// overflows.
var (
	bottom = [2]float64{math.Log(0.1), math.Log(0.2)}
	top    = [2]float64{math.Log(1e7), math.Log(20)}
)

// ErrStopped is returned where done was closed before the answer was there.
var ErrStopped = errors.New("the estimate of a mold's life was stopped")

// Posterior is what is believed of the life of a family's molds once their
// pulls are counted.
type Posterior struct {
	Lives, Failures int // counted, others' too
	Own             int // of the lives

	lnMedian []float64
	cells    []cell
}

// cell is one pair of median and shape with its probability.
type cell struct {
	Weibull
	weight float64
	column int // of the grid of medians
}

// Estimate updates a prior with lives. A mold that failed in the pull that took
// it from s to n pulls of wear gives S(s) − S(n), one that did not S(n), both
// over S(entry); another member's counts with power SharedWeight. The posterior
// is summed over a grid of 61 medians and 41 shapes laid where its mass is, no
// sampling. Error: ErrStopped once done is closed.
func Estimate(p Prior, lives []Life, done <-chan struct{}) (Posterior, error) {
	g := grid{
		prior:  p,
		data:   observed(lives),
		sd:     [2]float64{spread(p.MedianLow, p.MedianHigh), spread(p.ShapeLow, p.ShapeHigh)},
		center: [2]float64{math.Log(p.Median), math.Log(p.Shape)},
		done:   done,
	}
	g.mean = g.center
	g.half = [2]float64{reach * g.sd[0], reach * g.sd[1]}
	const most = 20
	for range most {
		g.lay()
		if err := g.weigh(); err != nil {
			return Posterior{}, err
		}
		if g.settled() {
			break
		}
	}
	post := Posterior{Lives: len(lives), lnMedian: g.axes[0], cells: g.cells}
	for _, l := range lives {
		if l.Failed {
			post.Failures++
		}
		if !l.Shared {
			post.Own++
		}
	}
	return post, nil
}

// seen is a life as the likelihood reads it, its three points as logarithms,
// with how much it counts: equal ones are put together.
type seen struct{ entry, survived, end, weight float64 }

func observed(lives []Life) []seen {
	at := map[seen]float64{}
	var order []seen
	for _, l := range lives {
		entry, survived, end := l.interval()
		weight := 1.0
		if l.Shared {
			weight = SharedWeight
		}
		key := seen{entry: math.Log(entry), survived: math.Log(survived), end: math.Log(end)}
		if at[key] == 0 {
			order = append(order, key)
		}
		at[key] += weight
	}
	for i, key := range order {
		order[i].weight = at[key]
	}
	return order
}

// grid is the work of Estimate. Index 0 is the logarithm of the median, 1 that
// of the shape.
type grid struct {
	prior        Prior
	data         []seen
	mean, sd     [2]float64 // of the prior
	center, half [2]float64
	axes         [2][]float64
	cells        []cell
	done         <-chan struct{}
}

// lay puts the axes round the center.
func (g *grid) lay() {
	for i, n := range [2]int{medians, shapes} {
		low, high := max(g.center[i]-g.half[i], bottom[i]), min(g.center[i]+g.half[i], top[i])
		g.axes[i] = make([]float64, n)
		for j := range n {
			g.axes[i][j] = low + (high-low)*float64(j)/float64(n-1)
		}
	}
}

// weigh fills the cells with their probabilities, which sum to one.
func (g *grid) weigh() error {
	g.cells = make([]cell, 0, medians*shapes)
	logs := make([]float64, 0, medians*shapes)
	for column, lnM := range g.axes[0] {
		select {
		case <-g.done:
			return ErrStopped
		default:
		}
		for _, lnK := range g.axes[1] {
			c := cell{Weibull: FromMedian(math.Exp(lnM), math.Exp(lnK)), column: column}
			dm, dk := (lnM-g.mean[0])/g.sd[0], (lnK-g.mean[1])/g.sd[1]
			logs = append(logs, -(dm*dm+dk*dk)/2+c.logLikelihood(g.data))
			g.cells = append(g.cells, c)
		}
	}
	most, sum := slices.Max(logs), 0.0
	for i := range g.cells {
		g.cells[i].weight = math.Exp(logs[i] - most)
		sum += g.cells[i].weight
	}
	for i := range g.cells {
		g.cells[i].weight /= sum
	}
	return nil
}

func (c cell) logLikelihood(data []seen) float64 {
	lnScale := math.Log(c.Scale)
	hazard := func(lnPulls float64) float64 { return math.Exp(c.Shape * (lnPulls - lnScale)) }
	sum := 0.0
	for _, d := range data {
		survived := hazard(d.survived)
		one := hazard(d.entry) - survived
		if d.end > d.survived {
			one += math.Log(-math.Expm1(survived - hazard(d.end)))
		}
		sum += d.weight * one
	}
	return sum
}

// settled lays the next grid round the mass found and reports whether the last
// one fitted it already.
func (g *grid) settled() bool {
	fits := true
	for i := range g.axes {
		mean, square := 0.0, 0.0
		for k, c := range g.cells {
			at := g.axes[i][[2]int{k / shapes, k % shapes}[i]]
			mean += c.weight * at
			square += c.weight * at * at
		}
		axis := g.axes[i]
		cellWidth := axis[1] - axis[0]
		half := max(reach*math.Sqrt(max(square-mean*mean, 0)), 2*cellWidth)
		if math.Abs(mean-g.center[i]) > 0.6*g.half[i] { // the mass lies beyond: move there before narrowing
			half = g.half[i]
		}
		if math.Abs(mean-g.center[i]) > 0.1*g.half[i] || half < 0.8*g.half[i] || half > 1.25*g.half[i] {
			fits = false
		}
		g.center[i], g.half[i] = mean, half
	}
	return fits
}

// Median is the median life of such molds in pulls, 10 to 90 %.
func (p Posterior) Median() quantity.Range {
	mass := make([]float64, len(p.lnMedian))
	for _, c := range p.cells {
		mass[c.column] += c.weight
	}
	return quantity.Range{Low: p.quantile(mass, 0.1), Mid: p.quantile(mass, 0.5), High: p.quantile(mass, 0.9)}
}

// quantile reads the cumulative mass between the edges of the columns.
func (p Posterior) quantile(mass []float64, q float64) float64 {
	width := p.lnMedian[1] - p.lnMedian[0]
	below := 0.0
	for i, m := range mass {
		if below+m >= q && m > 0 {
			return math.Exp(p.lnMedian[i] + width*((q-below)/m-0.5))
		}
		below += m
	}
	return math.Exp(p.lnMedian[len(p.lnMedian)-1])
}
