package plot

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
)

// timeUnit is a unit of the time axis and the steps that read well in it.
type timeUnit struct {
	name    string
	seconds float64
	upTo    float64 // s; the span up to which it is used
	steps   []float64
}

var timeUnits = []timeUnit{
	{"seconds", 1, 240, []float64{1, 2, 5, 10, 15, 20, 30, 60}},
	{"minutes", 60, 4 * 3600, []float64{1, 2, 5, 10, 15, 20, 30, 60}},
	{"hours", 3600, 4 * 86400, []float64{0.5, 1, 2, 3, 4, 6, 12, 24}},
	{"days", 86400, math.Inf(1), []float64{0.5, 1, 2, 5, 10, 20, 30}},
}

func timeUnitFor(span float64) timeUnit {
	for _, u := range timeUnits {
		if span <= u.upTo {
			return u
		}
	}
	return timeUnits[len(timeUnits)-1]
}

// unit is that of the axis along.
func (c Curves) unit() timeUnit {
	if c.Of != "" {
		return timeUnit{name: c.Of, seconds: 1, steps: []float64{1, 2, 5, 10, 20, 50}}
	}
	return timeUnitFor(c.span())
}

// mostTimeTicks have room below a chart of 720 pixels.
const mostTimeTicks = 8

// timeTicks are at whole steps of a unit; labeled only if numbers is set.
type timeTicks struct {
	unit    timeUnit
	numbers bool
}

func (t timeTicks) Ticks(lo, hi float64) []plot.Tick {
	span := (hi - lo) / t.unit.seconds
	step := 0.0
	for _, s := range t.unit.steps {
		if step = s; span/s <= mostTimeTicks {
			break
		}
	}
	if span/step > mostTimeTicks {
		step = roundStep(span, mostTimeTicks)
	}
	return ticksAt(lo/t.unit.seconds, hi/t.unit.seconds, step, t.unit.seconds, t.numbers)
}

// mostValueTicks have room beside a panel.
const mostValueTicks = 5

type valueTicks struct{}

func (valueTicks) Ticks(lo, hi float64) []plot.Tick {
	return ticksAt(lo, hi, roundStep(hi-lo, mostValueTicks), 1, true)
}

// roundStep is the least of 1, 2 and 5 times a power of ten that goes into the
// span at most so often.
func roundStep(span float64, most int) float64 {
	raw := span / float64(most)
	ten := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, k := range []float64{1, 2, 5} {
		if k*ten >= raw*(1-1e-9) {
			return k * ten
		}
	}
	return 10 * ten
}

// ticksAt are the multiples of step from lo to hi. A label has the digits that
// the step has.
func ticksAt(lo, hi, step, unit float64, numbers bool) []plot.Tick {
	digits := max(0, int(-math.Floor(math.Log10(step)+1e-9)))
	var out []plot.Tick
	for k := math.Ceil(lo/step - 1e-9); k*step <= hi+1e-9*step && len(out) < 20; k++ {
		t := plot.Tick{Value: k * step * unit, Label: " "} // a blank label is still a major tick
		if numbers {
			t.Label = strconv.FormatFloat(k*step+0, 'f', digits, 64)
		}
		out = append(out, t)
	}
	return out
}
