package plot

import (
	"math"
	"sort"

	"gonum.org/v1/plot/vg/draw"
)

// path is a curve on the sheet, left to right, with its range.
type path struct {
	mid       []spot
	low, high []float64 // heights on the sheet, high above low
}

func (p Panel) paths(put func(t, v float64) spot) []path {
	out := make([]path, len(p.Series))
	for i, s := range p.Series {
		for k, t := range s.Time {
			v := s.Values[k]
			out[i].mid = append(out[i].mid, put(t, v.Mid))
			out[i].low = append(out[i].low, put(t, v.Low).y)
			out[i].high = append(out[i].high, put(t, v.High).y)
		}
	}
	return out
}

// at is where the curve and its range are at x; ok is false beyond its ends.
func (p path) at(x float64) (low, mid, high float64, ok bool) {
	i := sort.Search(len(p.mid), func(i int) bool { return p.mid[i].x >= x })
	if i == len(p.mid) || i == 0 && p.mid[0].x > x {
		return 0, 0, 0, false
	}
	if i == 0 {
		return p.low[0], p.mid[0].y, p.high[0], true
	}
	k := (x - p.mid[i-1].x) / (p.mid[i].x - p.mid[i-1].x)
	between := func(a, b float64) float64 { return a + k*(b-a) }
	return between(p.low[i-1], p.low[i]), between(p.mid[i-1].y, p.mid[i].y), between(p.high[i-1], p.high[i]), true
}

// underRange is how much less a range disturbs a text than a line does.
const underRange = 0.3

// crosses is about how many pixels of the curve run through a block, and a part
// of how many of its range.
func (p path) crosses(b block) float64 {
	const step = 4
	n := 0.0
	for x := b.x0; x <= b.x1; x += step {
		low, mid, high, ok := p.at(x)
		if ok && mid > b.y0 && mid < b.y1 {
			n += step
		}
		if ok && high < b.y1 && low > b.y0 {
			n += step * underRange
		}
	}
	return n
}

// sample is how long the piece of line before a label is, with its gap.
const sample = 44

// columns are how many places across a panel are tried for a text.
const columns = 32

func (b block) column(k int) float64 { return b.x0 + (b.x1-b.x0)*(float64(k)+0.5)/columns }

// curveLabel writes the name of a series beside its curve with a piece of its
// line before it, where it meets least of what is there.
func (s *sheet) curveLabel(label string, p pen, of int, curves []path, l *layout) {
	words := fit(bold(small), label, 240)
	if words == "" {
		return
	}
	var places []spot
	for k := range columns {
		x := l.limit.column(k)
		if low, mid, high, ok := curves[of].at(x); ok {
			for _, y := range []float64{mid - 24, mid + 24, high - 16, low + 16, mid - 40, mid + 40} {
				places = append(places, spot{x, y})
			}
		}
	}
	w := width(bold(small), words) + sample
	if end := curves[of].mid[len(curves[of].mid)-1]; end.x+w < l.limit.x1 {
		places = append(places, spot{end.x + 8 + w/2, end.y}) // a short curve goes on in its name
	}
	b := l.cheapest(w, places, func(b block) float64 {
		cost, at := 0.0, b.center()
		for i, c := range curves {
			cost += c.crosses(b)
			if i != of {
				cost += c.crosses(b.grown(10))
			}
		}
		if _, own, _, ok := curves[of].at(at.x); ok {
			cost += math.Abs(at.y-own) / 4
			for i, c := range curves {
				if i != of {
					cost += closer(c, at, own)
				}
			}
		}
		return cost
	})
	y := b.center().y
	s.line(p, spot{b.x0 + 2, y}, spot{b.x0 + sample - 8, y})
	s.place(bold(small), p.color, words, spot{b.x0 + sample, y}, draw.XLeft)
}

// closer is a cost for a label that stands nearer to another curve than to its
// own.
func closer(other path, label spot, own float64) float64 {
	if _, y, _, ok := other.at(label.x); ok && math.Abs(y-label.y) < math.Abs(own-label.y) {
		return 40
	}
	return 0
}

// level draws a line across the panel with its name above or below it.
func (s *sheet) level(v Level, at block, y float64, curves []path, l *layout) {
	s.line(pen{color: faded, width: 2, dashes: []float64{2, 4}}, spot{at.x0, y}, spot{at.x1, y})
	defer func() { l.lines = append(l.lines, block{at.x0, y - 2, at.x1, y + 2}) }()
	words := fit(regular(small), v.Label, 260)
	if words == "" {
		return
	}
	var places []spot
	for k := columns - 1; k >= 0; k-- { // at the right end if it can be
		x := l.limit.column(k)
		places = append(places, spot{x, y - 14}, spot{x, y + 14})
	}
	s.write(regular(small), faded, words, l.cheapest(width(regular(small), words), places, func(b block) float64 {
		cost := 0.0
		for _, c := range curves {
			cost += c.crosses(b)
		}
		return cost
	}))
}
