package plot

import (
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot/vg/draw"
)

// path is a curve's middle on the sheet, left to right.
type path []spot

func (p Panel) paths(put func(t, v float64) spot) []path {
	out := make([]path, len(p.Series))
	for i, s := range p.Series {
		for k, t := range s.Time {
			out[i] = append(out[i], put(t, s.Values[k].Mid))
		}
	}
	return out
}

// at is the height of the curve at x; ok is false beyond its ends.
func (p path) at(x float64) (y float64, ok bool) {
	i, found := slices.BinarySearchFunc(p, x, func(s spot, x float64) int {
		switch {
		case s.x < x:
			return -1
		case s.x > x:
			return 1
		}
		return 0
	})
	if found {
		return p[i].y, true
	}
	if i == 0 || i == len(p) {
		return 0, false
	}
	a, b := p[i-1], p[i]
	return a.y + (b.y-a.y)*(x-a.x)/(b.x-a.x), true
}

// crosses is about how many pixels of the curve lie in a block.
func (p path) crosses(b block) float64 {
	const step = 4
	n := 0.0
	for x := b.x0; x <= b.x1; x += step {
		if y, ok := p.at(x); ok && y > b.y0 && y < b.y1 {
			n += step
		}
	}
	return n
}

// sample is how long the piece of line before a label is, with its gap.
const sample = 44

// curveLabel writes the name of a series beside its curve with a piece of its
// line before it, where it meets least of what is there.
func (s *sheet) curveLabel(label string, p pen, of int, curves []path, l *layout) {
	words := fit(bold(small), label, 240)
	if words == "" {
		return
	}
	w, own := width(bold(small), words)+sample, curves[of]
	var best block
	least := math.Inf(1)
	const columns = 24
	for k := range columns {
		x := l.limit.x0 + (l.limit.x1-l.limit.x0)*(float64(k)+0.5)/columns
		y, ok := own.at(x)
		if !ok {
			continue
		}
		for _, off := range []float64{-26, 26, -44, 44} {
			mid := spot{x, y + off}
			b := block{mid.x - w/2, mid.y - 13, mid.x + w/2, mid.y + 13}
			if b.inside(l.limit) != b {
				continue
			}
			cost := 100*float64(l.overlaps(b)) + math.Abs(off)/20
			for i, c := range curves {
				if cost += c.crosses(b); i != of {
					cost += c.crosses(b.grown(10)) + closer(c, x, mid.y, y)
				}
			}
			if cost < least {
				best, least = b, cost
			}
		}
	}
	if math.IsInf(least, 1) {
		best = block{0, 0, w, 26}.moved(spot{l.limit.x0, l.limit.y0}).inside(l.limit)
	}
	l.take(best)
	s.panel(color.NRGBA{ground.R, ground.G, ground.B, 0xB0}, best)
	y := best.center().y
	s.line(p, spot{best.x0 + 2, y}, spot{best.x0 + sample - 8, y})
	s.place(bold(small), p.color, words, spot{best.x0 + sample, y}, draw.XLeft)
}

// closer is a cost for a label that stands nearer to another curve than to its
// own.
func closer(other path, x, label, own float64) float64 {
	if y, ok := other.at(x); ok && math.Abs(y-label) < math.Abs(own-label) {
		return 30
	}
	return 0
}

// level draws a line across the panel with its name above or below it.
func (s *sheet) level(v Level, at block, y float64, curves []path, l *layout) {
	s.line(pen{color: faded, width: 2, dashes: []float64{2, 4}}, spot{at.x0, y}, spot{at.x1, y})
	words := fit(regular(small), v.Label, 260)
	if words == "" {
		return
	}
	w := width(regular(small), words)
	var best block
	least := math.Inf(1)
	for _, x := range []float64{at.x1 - w/2 - 8, at.x0 + w/2 + 8, at.center().x, at.x0 + 0.3*(at.x1-at.x0), at.x0 + 0.7*(at.x1-at.x0)} {
		for _, off := range []float64{-15, 15} {
			b := room(regular(small), words, spot{x, y + off})
			cost := 100 * float64(l.overlaps(b))
			if b.inside(l.limit) != b {
				b, cost = b.inside(l.limit), cost+50
			}
			for _, c := range curves {
				cost += c.crosses(b)
			}
			if cost < least {
				best, least = b, cost
			}
		}
	}
	l.take(best)
	s.write(regular(small), faded, words, best)
}
