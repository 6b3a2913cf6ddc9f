package plot

import (
	"errors"
	"fmt"
	"strings"
)

// Part is a view of a member's part with its sizes, holes and thickest section.
type Part struct {
	// Triangles is how many there are, 1 to 10 million; Corner gives corner k (0
	// to 2) of triangle t in mm.
	Triangles int
	Corner    func(t, k int) [3]float64

	Sizes    [3]string // along x, y and z, such as "32 mm"
	Thickest Ball      // zero where it is not known
	Thinnest string    // the thinnest wall, such as "2.1 mm", or ""
	Holes    []Hole    // largest first; only the first few are drawn
}

// Ball is the largest ball that fits into a part.
type Ball struct {
	Center   [3]float64 // mm
	Diameter float64    // mm
	Text     string     // such as "20.4 mm"
}

// Hole is a place where the surface is open.
type Hole struct {
	Center [3]float64 // mm
	Across float64    // mm
	Text   string     // such as "3 mm"
}

// Limits of a view.
const (
	mostTriangles = 10_000_000
	// mostWork is how many samples and rows one view may cost, about a third of a
	// second. A closed part of half a million triangles needs a twentieth.
	mostWork = 150_000_000
	// mostReach bounds coordinates in mm, 100,000 km: within it a part of 1 mm far
	// from the origin is still projected to better than a hundredth of a pixel.
	mostReach = 1e11
)

// ErrTooMuch says that the triangles lie over one another in so many layers
// that drawing them would take too long.
var ErrTooMuch = errors.New("plot: too many large faces over one another to be drawn")

var (
	errNoPart = errors.New("plot: a part without size")
	errReach  = errors.New("plot: a corner of the part is not a number or out of reach")
)

// The places on the sheet.
const (
	partHeight = 540
	captionTop = 496
)

// partBlock is where the part's box is put; round it is room for the sizes.
var partBlock = block{140, 26, 640, 426}

// PNG draws the part, 720 × 540. It costs time in proportion to the triangles,
// half a million about 0.1 s. Errors: no triangles, too many, no size,
// coordinates that are not finite or beyond 1e11 mm; ErrTooMuch.
func (p Part) PNG() ([]byte, error) {
	lo, hi, err := p.bounds()
	if err != nil {
		return nil, err
	}
	f := framed(p.view(lo, hi), lo, hi, partBlock)
	s := newSheet(sheetWidth, partHeight)
	s.boxLines(&f, lo, hi)
	film, err := p.expose(&f)
	if err != nil {
		return nil, err
	}
	film.develop(s.pic, int(partBlock.x0)-filmRim, int(partBlock.y0)-filmRim, film.fine)
	notes := &layout{limit: block{6, 6, sheetWidth - 6, captionTop - 4}}
	s.sizes(&f, lo, hi, p.Sizes, notes)
	s.ring(&f, p.Thickest)
	hidden := s.holes(&f, film, p.Holes, notes)
	s.ringText(&f, p.Thickest, notes)
	s.holeTexts(&f, p.Holes, notes)
	s.caption(p, f.view, hidden)
	return encode(s.pic)
}

// Alt tells what the picture shows.
func (p Part) Alt() string {
	var b strings.Builder
	b.WriteString("The part")
	if lo, hi, err := p.bounds(); err == nil {
		b.WriteString(", seen from " + p.view(lo, hi).words)
	}
	fmt.Fprintf(&b, ": %s in x, %s in y and %s in z.", clean(p.Sizes[0]), clean(p.Sizes[1]), clean(p.Sizes[2]))
	if p.Thickest.Text != "" {
		fmt.Fprintf(&b, " A ring marks the thickest section, %s across.", clean(p.Thickest.Text))
	}
	if p.Thinnest != "" {
		fmt.Fprintf(&b, " The thinnest wall is %s.", clean(p.Thinnest))
	}
	switch n := len(p.Holes); {
	case n == 1:
		fmt.Fprintf(&b, " A hole is marked, %s across.", clean(p.Holes[0].Text))
	case n > mostHoles:
		fmt.Fprintf(&b, " Of %d holes %d are marked, the largest %s across.", n, mostHoles, clean(p.Holes[0].Text))
	case n > 1:
		fmt.Fprintf(&b, " %d holes are marked, the largest %s across.", n, clean(p.Holes[0].Text))
	}
	return b.String()
}

// bounds is the box of all corners.
func (p Part) bounds() (lo, hi vector, err error) {
	if p.Triangles <= 0 || p.Corner == nil {
		return lo, hi, errNoPart
	}
	if p.Triangles > mostTriangles {
		return lo, hi, fmt.Errorf("plot: %d triangles, at most %d can be drawn", p.Triangles, mostTriangles)
	}
	lo = p.Corner(0, 0)
	hi = lo
	odd := 0.0 // stays 0 unless something is not finite
	for t := range p.Triangles {
		for k := range 3 {
			c := p.Corner(t, k)
			for a, v := range c {
				odd += 0 * v
				if v < lo[a] {
					lo[a] = v
				}
				if v > hi[a] {
					hi[a] = v
				}
			}
		}
	}
	if odd != 0 || max(-lo[0], -lo[1], -lo[2], hi[0], hi[1], hi[2]) > mostReach {
		return lo, hi, errReach
	}
	if !(norm(minus(hi, lo)) > 0) {
		return lo, hi, errNoPart
	}
	return lo, hi, nil
}

// view is the usual one, or the one into which the largest hole faces.
func (p Part) view(lo, hi vector) view {
	if len(p.Holes) == 0 {
		return views[0]
	}
	var off vector
	size := norm(minus(hi, lo))
	for k := range 3 {
		off[k] = p.Holes[0].Center[k] - (lo[k]+hi[k])/2
	}
	if !(norm(off) > 0.05*size) {
		return views[0] // it lies about the middle: no side is better
	}
	return facing(off)
}

// filmRim is how many pixels the film reaches beyond the block of the part, so
// that no edge of the part lies at its own.
const filmRim = 2

// exposed is a film with what is needed to ask it questions.
type exposed struct {
	*film
	fine int
}

// expose draws all triangles, with as many samples to the pixel as the work
// allows.
func (p Part) expose(f *frame) (exposed, error) {
	wound := p.wound(f.mid)
	for fine := 3; fine >= 1; fine-- {
		w, h := int(partBlock.x1-partBlock.x0)+2*filmRim, int(partBlock.y1-partBlock.y0)+2*filmRim
		film := newFilm(w*fine, h*fine, mostWork/6*fine)
		if p.onto(film, f, float64(fine), wound) {
			film.outline()
			return exposed{film, fine}, nil
		}
	}
	return exposed{}, ErrTooMuch
}

// winding tells how the inner side of a triangle is known.
type winding int8

const (
	unknown winding = iota
	outward
	inward
)

// wound tells which way the triangles are wound, by the sign of the volume that
// they enclose about the middle o. It is asked only where the part is open: there
// the inner side can be seen, and is drawn otherwise.
func (p Part) wound(o vector) winding {
	if len(p.Holes) == 0 {
		return unknown
	}
	sum := 0.0
	for t := range p.Triangles {
		a, b, c := minus(p.Corner(t, 0), o), minus(p.Corner(t, 1), o), minus(p.Corner(t, 2), o)
		sum += dot(a, cross(b, c))
	}
	if sum < 0 {
		return inward
	}
	return outward
}

// onto draws all triangles; it reports false if the film had enough of it.
func (p Part) onto(film *film, f *frame, fine float64, wound winding) bool {
	var c [3]dot3
	lens := f.lens(spot{partBlock.x0 - filmRim, partBlock.y0 - filmRim}, fine)
	tone := func() uint8 {
		front := (c[1].x-c[0].x)*(c[2].y-c[0].y)-(c[1].y-c[0].y)*(c[2].x-c[0].x) < 0 // y runs down
		return toneOf(&c[0], &c[1], &c[2], wound == outward && !front || wound == inward && front)
	}
	for t := range p.Triangles {
		for k := range 3 {
			c[k] = lens.put(p.Corner(t, k))
		}
		if !film.draw(&c[0], &c[1], &c[2], tone) {
			return false
		}
	}
	return true
}
