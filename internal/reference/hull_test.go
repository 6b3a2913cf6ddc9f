package reference

import (
	"math"
	"slices"
)

func contains(points [][3]float64, p [3]float64) bool {
	for _, q := range points {
		if dist(p, q) < 1e-9 {
			return true
		}
	}
	return false
}

// hull gives the triangles of a small convex body whose middle is the origin,
// outside to the right-hand side: every plane through three corners that has
// none beyond it is a face, whose corners are put in order and fanned.
func hull(points [][3]float64) [][3]int {
	var faces [][3]int
	seen := map[string]bool{}
	n := len(points)
	for i := range n {
		for j := i + 1; j < n; j++ {
			for k := j + 1; k < n; k++ {
				on, normal, ok := plane(points, i, j, k)
				if !ok || seen[key(on)] {
					continue
				}
				seen[key(on)] = true
				on = round(points, on, normal)
				for c := 1; c+1 < len(on); c++ {
					faces = append(faces, [3]int{on[0], on[c], on[c+1]})
				}
			}
		}
	}
	return faces
}

// plane gives the corners in the plane of three, if the rest lie inside it.
func plane(points [][3]float64, i, j, k int) (on []int, normal [3]float64, ok bool) {
	normal = cross(sub(points[j], points[i]), sub(points[k], points[i]))
	size := math.Sqrt(dot(normal, normal))
	if dot(normal, points[i]) < 0 {
		size = -size
	}
	for c := range normal {
		normal[c] /= size
	}
	level := dot(normal, points[i])
	for p := range points {
		switch d := dot(normal, points[p]) - level; {
		case d > 1e-9*math.Abs(level):
			return nil, normal, false
		case d > -1e-9*math.Abs(level):
			on = append(on, p)
		}
	}
	return on, normal, true
}

// round puts a face's corners in order about its normal.
func round(points [][3]float64, on []int, normal [3]float64) []int {
	var mid [3]float64
	for _, p := range on {
		for c := range mid {
			mid[c] += points[p][c] / float64(len(on))
		}
	}
	x := sub(points[on[0]], mid)
	y := cross(normal, x)
	angle := func(p int) float64 {
		d := sub(points[p], mid)
		return math.Atan2(dot(d, y), dot(d, x))
	}
	slices.SortFunc(on, func(a, b int) int {
		if angle(a) < angle(b) {
			return -1
		}
		return 1
	})
	return on
}

func key(on []int) string {
	b := make([]byte, len(on))
	for i, p := range on {
		b[i] = byte(p)
	}
	return string(b)
}

func sub(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func dot(a, b [3]float64) float64    { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func dist(a, b [3]float64) float64   { d := sub(a, b); return math.Sqrt(dot(d, d)) }
func cross(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
