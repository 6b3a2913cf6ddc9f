package cure

import (
	"math"
	"slices"

	"github.com/pourwright/pourwright/internal/quantity"
)

// Curves are for a picture: at each time the range over all draws of
// conversion (0 to 1) and temperature (°C) at the core and at the skin. Times
// are in s from the pour and closer together at first.
type Curves struct {
	Time               []float64
	ConvCore, ConvSkin []quantity.Range
	TempCore, TempSkin []quantity.Range
}

// trace is what a picture needs of one draw's steps.
type trace struct {
	steps []sample
	law   Law
	air   float64
}

func (c *trace) take(steps []sample, law Law, air float64) {
	*c = trace{slices.Clone(steps), law, air}
}

// curvePoints make a smooth line at the width of a phone.
const curvePoints = 97

// curves samples all traces on one grid of times up to horizon.
func curves(traces []trace, horizon float64) Curves {
	var c Curves
	rows := make([][4][]float64, curvePoints)
	for k := range rows {
		x := float64(k) / (curvePoints - 1)
		c.Time = append(c.Time, horizon*x*x)
		for q := range rows[k] {
			rows[k][q] = make([]float64, 0, len(traces))
		}
	}
	for i := range traces {
		traces[i].read(c.Time, rows)
	}
	for k := range rows {
		var r [4]quantity.Range
		for q := range r {
			slices.Sort(rows[k][q])
			r[q] = rangeOf(rows[k][q])
		}
		c.ConvCore, c.ConvSkin = append(c.ConvCore, r[0]), append(c.ConvSkin, r[1])
		c.TempCore, c.TempSkin = append(c.TempCore, celsius(r[2])), append(c.TempSkin, celsius(r[3]))
	}
	return c
}

// read appends one draw's values at the times. Past its last step conversion
// goes on at the last temperature, and temperature falls off as it did.
func (c *trace) read(times []float64, rows [][4][]float64) {
	i := 1
	last := &c.steps[len(c.steps)-1]
	for k, t := range times {
		for i < len(c.steps)-1 && c.steps[i].t < t {
			i++
		}
		var core, g, tCore, tFace float64
		if t <= last.t {
			a, b := &c.steps[i-1], &c.steps[i]
			h := b.t - a.t
			x := (t - a.t) / h
			core, g = hermite(a.core, b.core, h, x), hermite(a.gSkin, b.gSkin, h, x)
			tCore, tFace = hermite(a.tCore, b.tCore, h, x), hermite(a.tFace, b.tFace, h, x)
		} else {
			d := t - last.t
			core = c.law.inverseG(c.law.G(min(last.core.v, 1-1e-9)) + d*c.law.At(last.tCore.v))
			g = last.gSkin.v + d*last.gSkin.d
			tCore, tFace = c.decay(last.tCore, d), c.decay(last.tFace, d)
		}
		for q, v := range [4]float64{min(max(core, 0), 1), c.law.inverseG(g), tCore, tFace} {
			rows[k][q] = append(rows[k][q], v)
		}
	}
}

// decay lets a temperature approach the air at its last rate.
func (c *trace) decay(p point, d float64) float64 {
	over := p.v - c.air
	if over*p.d >= 0 {
		return p.v
	}
	return c.air + over*math.Exp(d*p.d/over)
}

// rangeOf is p10, p50 and p90 of sorted values.
func rangeOf(v []float64) quantity.Range {
	return quantity.Range{Low: quantile(v, 0.1), Mid: quantile(v, 0.5), High: quantile(v, 0.9)}
}

func celsius(r quantity.Range) quantity.Range {
	return quantity.Range{Low: r.Low - zeroC, Mid: r.Mid - zeroC, High: r.High - zeroC}
}
