package plot

import (
	"math"

	"gonum.org/v1/plot/vg/draw"

	"github.com/pourwright/pourwright/internal/quantity"
)

// boxLines draws the box round the part, to be covered by it.
func (s *sheet) boxLines(f *frame, lo, hi vector) {
	for i := range 8 {
		for k := range 3 {
			if i>>k&1 == 0 {
				s.line(pen{color: faint, width: 2}, f.spot(corner(lo, hi, i)), f.spot(corner(lo, hi, i|1<<k)))
			}
		}
	}
}

// Lengths of dimension lines in pixels.
const (
	dimAway  = 20 // from the box
	dimGap   = 5  // between the box and its extension lines
	dimArrow = 11
	dimSeen  = 8 // what is shorter on the sheet gets its text but no line
)

// sizes draws a dimension line for each axis, along an edge of the box's
// outline: for x and y the lower one, for z the left one.
func (s *sheet) sizes(f *frame, lo, hi vector, texts [3]string, l *layout) {
	var drawn []func()
	for axis, name := range [3]string{"x", "y", "z"} {
		p, q := outerEdge(f, lo, hi, axis)
		away := outward2(p, q, f.at)
		words := fit(bold(plain), name+" "+texts[axis], 230)
		if q.minus(p).length() >= dimSeen {
			s.dimension(p, q, away)
		}
		w := width(bold(plain), words)
		// how far the text reaches toward the line
		reach := math.Abs(away.x)*w/2 + math.Abs(away.y)*plain*0.6
		mid := p.to(q, 0.5).plus(away.times(dimAway + 6 + reach))
		b := l.seat(bold(plain), words, mid, mid.plus(away.times(26)), mid.plus(spot{0, 28}), mid.plus(spot{0, -28}), mid.plus(spot{0, 56}),
			mid.plus(spot{w * 0.6, 0}), mid.plus(spot{-w * 0.6, 0}), mid.plus(spot{w * 1.1, 0}), mid.plus(spot{-w * 1.1, 0}))
		drawn = append(drawn, func() { s.tag(bold(plain), ink, words, b) })
	}
	for _, d := range drawn {
		d()
	}
}

// outerEdge is the edge of the box along an axis that lies on its outline: one
// of its two faces is seen and the other is not.
func outerEdge(f *frame, lo, hi vector, axis int) (p, q spot) {
	b, c := (axis+1)%3, (axis+2)%3
	best := math.Inf(-1)
	for i := range 4 {
		from := i&1<<b | i>>1<<c
		seenB, seenC := i&1 == 1 == (f.toward[b] > 0), i>>1 == 1 == (f.toward[c] > 0)
		if seenB == seenC {
			continue
		}
		e, g := f.spot(corner(lo, hi, from)), f.spot(corner(lo, hi, from|1<<axis))
		score := e.y + g.y
		if axis == 2 {
			score = -e.x - g.x
		}
		if score > best {
			best, p, q = score, e, g
		}
	}
	return p, q
}

// outward2 is the direction square to a line that leads away from a place.
func outward2(p, q, from spot) spot {
	d := q.minus(p)
	n := spot{-d.y, d.x}
	if l := n.length(); l > 1e-9 {
		n = n.times(1 / l)
	} else if n = p.minus(from); n.length() > 1e-9 {
		return n.times(1 / n.length())
	} else {
		return spot{0, 1}
	}
	mid := p.to(q, 0.5).minus(from)
	if n.x*mid.x+n.y*mid.y < 0 {
		n = n.times(-1)
	}
	return n
}

// dimension draws the line with its arrows, and the two that lead to it.
func (s *sheet) dimension(p, q, away spot) {
	thin := pen{color: faded, width: 2}
	from, to := p.plus(away.times(dimAway)), q.plus(away.times(dimAway))
	s.line(thin, p.plus(away.times(dimGap)), from.plus(away.times(dimGap)))
	s.line(thin, q.plus(away.times(dimGap)), to.plus(away.times(dimGap)))
	long := to.minus(from).length()
	along := to.minus(from).times(1 / long)
	if long < 3*dimArrow { // no room for arrows between: they point in from outside
		s.arrow(from, along)
		s.arrow(to, along.times(-1))
		s.line(thin, from.minus(along.times(2*dimArrow)), from)
		s.line(thin, to, to.plus(along.times(2*dimArrow)))
		return
	}
	s.line(thin, from.plus(along.times(dimArrow/2)), to.minus(along.times(dimArrow/2)))
	s.arrow(from, along.times(-1))
	s.arrow(to, along)
}

// arrow draws a head whose tip is at a place and that points along a direction.
func (s *sheet) arrow(tip, along spot) {
	side := spot{-along.y, along.x}.times(dimArrow * 0.36)
	foot := tip.minus(along.times(dimArrow))
	s.fill(faded, tip, foot.plus(side), foot.minus(side))
}

// caption says what the signs mean, in one line below the part.
func (s *sheet) caption(p Part, from view, hidden int) {
	x, mid := 16.0, captionTop+(partHeight-captionTop)/2-2.0
	say := func(words string, most float64) {
		words = fit(regular(plain), words, most)
		s.place(regular(plain), ink, words, spot{x, mid}, draw.XLeft)
		x += width(regular(plain), words) + 28
	}
	if p.Thickest.Text != "" {
		s.circle(ringPen, spot{x + 10, mid}, 9)
		x += 28
		say("thickest "+p.Thickest.Text, 230)
	}
	if p.Thinnest != "" {
		say("thinnest wall "+p.Thinnest, 250)
	}
	if n := len(p.Holes); n > 0 {
		if hidden < min(n, mostHoles) {
			s.diamond(spot{x + 10, mid}, false)
			x += 28
		}
		if hidden > 0 {
			s.diamond(spot{x + 10, mid}, true)
			x += 28
		}
		say(quantity.Count(n, "hole", "holes"), sheetWidth-10-x)
	}
	words := "from " + from.words
	if from.words != views[0].words && x+width(regular(small), words) < sheetWidth-16 {
		s.place(regular(small), faded, words, spot{sheetWidth - 16, mid}, draw.XRight)
	}
}
