package plot

import "math"

type vector = [3]float64

func minus(a, b vector) vector { return vector{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

func dot(a, b vector) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func norm(a vector) float64 { return math.Sqrt(dot(a, a)) }

// view is a parallel projection: what right, up and toward the viewer are in
// the space of the part, each of length 1.
type view struct {
	right, up, toward vector
	words             string // from where, "above, front right"
}

// The angle that the viewer stands to the side and above. Both are off the
// usual halves and thirds of a right angle, so that edges of a box do not fall
// in line.
const (
	aside = 35 * math.Pi / 180
	above = 27 * math.Pi / 180
)

// views are the corners that a part may be seen from; z is up and the front
// faces −y, as printers' files mostly have it (common practice, no source). The
// first is the usual one.
var views = func() (list [8]view) {
	sides := [4]string{"front right", "back right", "back left", "front left"}
	for i := range list {
		turn := aside + float64(i%4)*math.Pi/2
		lift, height := above, "above"
		if i >= 4 {
			lift, height = -above, "below"
		}
		sin, cos := math.Sincos(turn)
		sinUp, cosUp := math.Sincos(lift)
		right, toward := vector{cos, sin, 0}, vector{sin * cosUp, -cos * cosUp, sinUp}
		list[i] = view{right: right, up: cross(toward, right), toward: toward, words: height + ", " + sides[i%4]}
	}
	return list
}()

func cross(a, b vector) vector {
	return vector{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// usualBonus is how much better another corner has to be than the usual one.
const usualBonus = 0.3

// facing is the view that a direction points toward most.
func facing(d vector) view {
	best, most := 0, math.Inf(-1)
	n := norm(d)
	for i, v := range views {
		score := 0.0
		if n > 0 {
			score = dot(d, v.toward) / n
		}
		if i == 0 {
			score += usualBonus
		}
		if score > most {
			best, most = i, score
		}
	}
	return views[best]
}

// frame puts a view onto the sheet: a millimeter is scale pixels.
type frame struct {
	view
	mid   vector // the point of the part that lies at
	at    spot   // this place of the sheet
	scale float64
}

// put projects a point; near is greater the nearer it is, in pixels too.
func (f *frame) put(p vector) (x, y, near float64) {
	q := minus(p, f.mid)
	return f.at.x + f.scale*dot(q, f.right), f.at.y - f.scale*dot(q, f.up), f.scale * dot(q, f.toward)
}

// lens is put as three rows to multiply with, onto samples of which fine make a
// pixel and that begin at a corner of the sheet. It is for points by the million.
type lens [3][4]float64

func (f *frame) lens(corner spot, fine float64) lens {
	var l lens
	row := func(i int, d vector, k, at float64) {
		l[i] = [4]float64{k * d[0], k * d[1], k * d[2], at - k*dot(d, f.mid)}
	}
	row(0, f.right, fine*f.scale, fine*(f.at.x-corner.x))
	row(1, f.up, -fine*f.scale, fine*(f.at.y-corner.y))
	row(2, f.toward, fine*f.scale, 0)
	return l
}

func (l *lens) put(p vector) dot3 {
	return dot3{
		l[0][0]*p[0] + l[0][1]*p[1] + l[0][2]*p[2] + l[0][3],
		l[1][0]*p[0] + l[1][1]*p[1] + l[1][2]*p[2] + l[1][3],
		l[2][0]*p[0] + l[2][1]*p[1] + l[2][2]*p[2] + l[2][3],
	}
}

func (f *frame) spot(p vector) spot {
	x, y, _ := f.put(p)
	return spot{x, y}
}

// framed fits the box lo to hi into a block of the sheet.
func framed(v view, lo, hi vector, into block) frame {
	f := frame{view: v, mid: vector{(lo[0] + hi[0]) / 2, (lo[1] + hi[1]) / 2, (lo[2] + hi[2]) / 2}, at: into.center()}
	half := vector{(hi[0] - lo[0]) / 2, (hi[1] - lo[1]) / 2, (hi[2] - lo[2]) / 2}
	w, h := 0.0, 0.0 // of the box's shadow, from its middle
	for k := range 3 {
		w += half[k] * math.Abs(v.right[k])
		h += half[k] * math.Abs(v.up[k])
	}
	f.scale = min((into.x1-into.x0)/2/w, (into.y1-into.y0)/2/h)
	return f
}

// corner is corner i of a box: bit k of i says which end along axis k.
func corner(lo, hi vector, i int) vector {
	c := lo
	for k := range 3 {
		if i>>k&1 == 1 {
			c[k] = hi[k]
		}
	}
	return c
}
