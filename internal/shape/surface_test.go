package shape_test

import "math"

// The slow reference: each solid as a fine triangle surface, whose volume,
// area, box, mean width and largest sphere are found without any formula of
// the solid.

type point = [3]float64

type surface [][3]point

func sub(a, b point) point   { return point{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func dot(a, b point) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func cross(a, b point) point {
	return point{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// quad adds two triangles; corners run round it.
func (s surface) quad(a, b, c, d point) surface {
	return append(s, [3]point{a, b, c}, [3]point{a, c, d})
}

// volume is the sum of signed tetrahedra, in mm³.
func (s surface) volume() float64 {
	var v float64
	for _, t := range s {
		v += dot(t[0], cross(t[1], t[2])) / 6
	}
	return v
}

func (s surface) area() float64 {
	var a float64
	for _, t := range s {
		n := cross(sub(t[1], t[0]), sub(t[2], t[0]))
		a += math.Sqrt(dot(n, n)) / 2
	}
	return a
}

// width is the extent along a direction of length 1.
func (s surface) width(d point) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, t := range s {
		for _, p := range t {
			v := dot(p, d)
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	return hi - lo
}

// meanWidth averages the width over directions spread by the golden angle.
func (s surface) meanWidth(n int) float64 {
	var sum float64
	for i := range n {
		z := 1 - (2*float64(i)+1)/float64(n)
		r := math.Sqrt(1 - z*z)
		sin, cos := math.Sincos(float64(i) * math.Pi * (3 - math.Sqrt(5)))
		sum += s.width(point{r * cos, r * sin, z})
	}
	return sum / float64(n)
}

// largestSphere is the diameter of the largest sphere in a convex surface:
// the depth below all its planes is climbed from the middle, in steps that
// halve when none leads up. Depth is concave, but its ridges are sharp, so
// many directions are tried.
func (s surface) largestSphere() float64 {
	type plane struct {
		n point
		d float64
	}
	seen := map[[4]int]bool{}
	var planes []plane
	var at point
	for _, t := range s {
		n := cross(sub(t[1], t[0]), sub(t[2], t[0]))
		size := math.Sqrt(dot(n, n))
		if size < 1e-9 {
			continue
		}
		for k := range n {
			n[k] /= size
			at[k] += t[0][k] / float64(len(s))
		}
		d := dot(n, t[0])
		if key := [4]int{int(1e6 * n[0]), int(1e6 * n[1]), int(1e6 * n[2]), int(1e6 * d)}; !seen[key] {
			seen[key] = true
			planes = append(planes, plane{n, d})
		}
	}
	depth := func(p point) float64 {
		least := math.Inf(1)
		for _, q := range planes {
			least = min(least, q.d-dot(q.n, p))
		}
		return least
	}
	best, step := depth(at), s.width(point{1, 0, 0})/2
	for turn := 0; step > 1e-3; turn++ {
		moved := false
		for i := range 60 {
			z := 1 - (2*float64(i)+1)/60
			r := math.Sqrt(1 - z*z)
			sin, cos := math.Sincos(float64(i+turn) * math.Pi * (3 - math.Sqrt(5)))
			p := point{at[0] + step*r*cos, at[1] + step*r*sin, at[2] + step*z}
			if d := depth(p); d > best+step/100 {
				best, at, moved = d, p, true
			}
		}
		if !moved {
			step /= 2
		}
	}
	return 2 * best
}

// prism stands a polygon, given against the clock, up to height h.
func prism(polygon [][2]float64, h float64) surface {
	var s surface
	n := len(polygon)
	for i, p := range polygon {
		q := polygon[(i+1)%n]
		a, b := point{p[0], p[1], 0}, point{q[0], q[1], 0}
		c, d := point{q[0], q[1], h}, point{p[0], p[1], h}
		s = s.quad(a, b, c, d)
		if i > 0 && i < n-1 {
			o := polygon[0]
			s = append(s, [3]point{{o[0], o[1], 0}, b, a}, [3]point{{o[0], o[1], h}, d, c})
		}
	}
	return s
}

// arc is a part of an ellipse, against the clock, n steps, both ends included.
func arc(a, b, from, to float64, n int) [][2]float64 {
	out := make([][2]float64, n+1)
	for i := range out {
		sin, cos := math.Sincos(from + (to-from)*float64(i)/float64(n))
		out[i] = [2]float64{a * cos, b * sin}
	}
	return out
}

// lathe turns a profile of (radius, height) about the upright axis, n steps.
// The profile runs from bottom to top on the outside; a closed one ends where
// it began.
func lathe(profile [][2]float64, n int) surface {
	var s surface
	at := func(p [2]float64, i int) point {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
		return point{p[0] * cos, p[0] * sin, p[1]}
	}
	for k := 0; k+1 < len(profile); k++ {
		for i := range n {
			s = s.quad(at(profile[k], i), at(profile[k], i+1), at(profile[k+1], i+1), at(profile[k+1], i))
		}
	}
	return s
}

// between joins two centered rectangles of half sides x, y and u, v.
func between(x, y, u, v, h float64) surface {
	c := func(x, y, z float64) [4]point {
		return [4]point{{-x, -y, z}, {x, -y, z}, {x, y, z}, {-x, y, z}}
	}
	lo, hi := c(x, y, 0), c(u, v, h)
	s := surface{}.quad(lo[3], lo[2], lo[1], lo[0]).quad(hi[0], hi[1], hi[2], hi[3])
	for i := range 4 {
		j := (i + 1) % 4
		s = s.quad(lo[i], lo[j], hi[j], hi[i])
	}
	return s
}
