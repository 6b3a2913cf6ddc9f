package plot

import (
	"math"
)

var (
	ringPen    = pen{color: blue, width: 4, dashes: []float64{9, 5}}
	ringCasing = pen{color: white, width: 8}
	rimPen     = pen{color: orange, width: 3, dashes: []float64{3, 4}}
	rimCasing  = pen{color: white, width: 6}
)

// ring draws the outline of the thickest section's ball.
func (s *sheet) ring(f *frame, ball Ball) {
	r, at := ball.Diameter/2*f.scale, f.spot(ball.Center)
	if r > 0 && s.near(at, r) {
		s.circle(ringCasing, at, r)
		s.circle(ringPen, at, r)
	}
}

// ringText puts its diameter into the ring, or beside it if it is small.
func (s *sheet) ringText(f *frame, ball Ball, l *layout) {
	r, at := ball.Diameter/2*f.scale, f.spot(ball.Center)
	if ball.Text == "" || !(r > 0) || !s.near(at, r) {
		return
	}
	words := fit(bold(plain), ball.Text, 200)
	w := width(bold(plain), words)
	off := r + 14 + w/2
	places := []spot{at.plus(spot{off, 0}), at.plus(spot{-off, 0}), at.plus(spot{0, -r - 22}), at.plus(spot{0, r + 22})}
	if w+16 < 1.6*r {
		places = append([]spot{at, at.plus(spot{0, r / 3}), at.plus(spot{0, -r / 3})}, places...)
	}
	s.tag(bold(plain), blue, words, l.seat(bold(plain), words, places...))
}

// near reports whether a circle is about the sheet's own size and place. It is
// false for what is not finite.
func (s *sheet) near(at spot, r float64) bool {
	return math.Abs(at.x) < 4*sheetWidth && math.Abs(at.y) < 4*sheetWidth && r < 2*sheetWidth
}

// mostHoles are drawn, and mostHoleTexts of them with their size.
const (
	mostHoles     = 12
	mostHoleTexts = 3
	// A ring smaller than the first would be under the diamond; one larger than
	// the second would be taken for the rim itself, which it is not.
	ringLeast, ringMost = 16, 70
)

// holes marks each hole by a diamond, hollow where the part hides it, with a
// dotted ring of its size for the eye to find it.
// It reports how many are hollow.
func (s *sheet) holes(f *frame, film exposed, holes []Hole, l *layout) (hidden int) {
	holes = holes[:min(len(holes), mostHoles)]
	for _, h := range holes {
		x, y, z := f.put(h.Center)
		at := spot{x, y}
		if r := h.Across / 2 * f.scale; r > ringLeast && r < ringMost && s.near(at, r) {
			s.circle(rimCasing, at, r)
			s.circle(rimPen, at, r)
		}
		if !s.near(at, 0) {
			continue
		}
		behind := film.hides(x, y, z)
		if behind {
			hidden++
		}
		s.diamond(at, behind)
		l.take(block{x - 10, y - 10, x + 10, y + 10})
	}
	return hidden
}

// holeTexts puts the sizes of the largest holes beside their signs.
func (s *sheet) holeTexts(f *frame, holes []Hole, l *layout) {
	for _, h := range holes[:min(len(holes), mostHoleTexts)] {
		at := f.spot(h.Center)
		if h.Text == "" || !s.near(at, 0) {
			continue
		}
		words := fit(bold(plain), h.Text, 200)
		off := 18 + width(bold(plain), words)/2
		var places []spot
		for _, by := range []spot{{off, 0}, {-off, 0}, {0, -26}, {0, 26}, {off, 28}, {off, -28}, {-off, 28}, {-off, -28}} {
			places = append(places, at.plus(by))
		}
		s.tag(bold(plain), orange, words, l.seat(bold(plain), words, places...))
	}
}

// hideSlack is how many pixels before a mark the surface has to lie to hide it.
const hideSlack = 3

// hides reports whether the part stands before a place of the sheet.
func (e exposed) hides(x, y, near float64) bool {
	fine := float64(e.fine)
	col, row := int((x-partBlock.x0+filmRim)*fine), int((y-partBlock.y0+filmRim)*fine)
	if col < 0 || row < 0 || col >= e.w || row >= e.h {
		return false
	}
	return float64(e.near[row*e.w+col]) > (near+hideSlack)*fine
}

// diamond is the sign of a hole.
func (s *sheet) diamond(at spot, hidden bool) {
	const r = 9.0
	path := func(r float64) []spot {
		return []spot{at.plus(spot{0, -r}), at.plus(spot{r, 0}), at.plus(spot{0, r}), at.plus(spot{-r, 0})}
	}
	s.fill(white, path(r+3)...)
	s.fill(orange, path(r)...)
	if hidden {
		s.fill(white, path(r-4)...)
	}
}
