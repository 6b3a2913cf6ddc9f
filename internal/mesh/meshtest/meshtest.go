// Package meshtest makes meshes whose measures are known, and writes them in
// the formats that package mesh reads, for tests and benchmarks.
package meshtest

import "math"

// Mesh is a list of points and of triangles that point to them, outside to the
// right-hand side of their corners' run.
type Mesh struct {
	Points [][3]float64
	Faces  [][3]int
}

// Box is a box from lo to hi: volume the product of its sides.
func Box(lo, hi [3]float64) Mesh {
	var m Mesh
	for i := range 8 {
		p := lo
		for k := range 3 {
			if i>>k&1 == 1 {
				p[k] = hi[k]
			}
		}
		m.Points = append(m.Points, p)
	}
	m.Faces = [][3]int{
		{0, 2, 3}, {0, 3, 1}, {4, 5, 7}, {4, 7, 6}, {0, 1, 5}, {0, 5, 4},
		{2, 6, 7}, {2, 7, 3}, {0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5},
	}
	return m
}

// Icosphere is a regular icosahedron whose triangles are split in four times
// and times again, with all corners at radius r about c.
func Icosphere(c [3]float64, r float64, splits int) Mesh {
	g := (1 + math.Sqrt(5)) / 2
	m := Mesh{
		Points: [][3]float64{
			{-1, g, 0}, {1, g, 0}, {-1, -g, 0}, {1, -g, 0}, {0, -1, g}, {0, 1, g},
			{0, -1, -g}, {0, 1, -g}, {g, 0, -1}, {g, 0, 1}, {-g, 0, -1}, {-g, 0, 1},
		},
		Faces: [][3]int{
			{0, 11, 5}, {0, 5, 1}, {0, 1, 7}, {0, 7, 10}, {0, 10, 11}, {1, 5, 9}, {5, 11, 4},
			{11, 10, 2}, {10, 7, 6}, {7, 1, 8}, {3, 9, 4}, {3, 4, 2}, {3, 2, 6}, {3, 6, 8},
			{3, 8, 9}, {4, 9, 5}, {2, 4, 11}, {6, 2, 10}, {8, 6, 7}, {9, 8, 1},
		},
	}
	for range splits {
		m = m.split()
	}
	for i, p := range m.Points {
		l := math.Sqrt(p[0]*p[0] + p[1]*p[1] + p[2]*p[2])
		m.Points[i] = [3]float64{c[0] + p[0]/l*r, c[1] + p[1]/l*r, c[2] + p[2]/l*r}
	}
	return m
}

// split cuts each triangle in four at the middles of its edges, on the sphere.
func (m Mesh) split() Mesh {
	out := Mesh{Points: append([][3]float64(nil), m.Points...)}
	middles := make(map[[2]int]int)
	middle := func(a, b int) int {
		key := [2]int{min(a, b), max(a, b)}
		if i, ok := middles[key]; ok {
			return i
		}
		p, q := unit(m.Points[a]), unit(m.Points[b])
		out.Points = append(out.Points, [3]float64{(p[0] + q[0]) / 2, (p[1] + q[1]) / 2, (p[2] + q[2]) / 2})
		middles[key] = len(out.Points) - 1
		return len(out.Points) - 1
	}
	for _, f := range m.Faces {
		a, b, c := middle(f[0], f[1]), middle(f[1], f[2]), middle(f[2], f[0])
		out.Faces = append(out.Faces, [3]int{f[0], a, c}, [3]int{f[1], b, a}, [3]int{f[2], c, b}, [3]int{a, b, c})
	}
	return out
}

func unit(p [3]float64) [3]float64 {
	l := math.Sqrt(p[0]*p[0] + p[1]*p[1] + p[2]*p[2])
	return [3]float64{p[0] / l, p[1] / l, p[2] / l}
}

// Torus has n steps around its axis z and m around its tube, R to the middle of
// the tube and r of it: 2·n·m triangles.
func Torus(R, r float64, n, m int) Mesh {
	return grid(n, m, func(i, j int) [3]float64 {
		a, b := 2*math.Pi*float64(i)/float64(n), 2*math.Pi*float64(j)/float64(m)
		d := R + r*math.Cos(b)
		return [3]float64{d * math.Cos(a), d * math.Sin(a), r * math.Sin(b)}
	})
}

// Knob is a torus whose tube swells and shrinks along the way, so that it has
// one thickest place; about n triangles. For benchmarks.
func Knob(n int) Mesh {
	m := int(math.Sqrt(float64(n) / 2 / 4))
	steps := n / 2 / m
	return grid(steps, m, func(i, j int) [3]float64 {
		a, b := 2*math.Pi*float64(i)/float64(steps), 2*math.Pi*float64(j)/float64(m)
		r := 8 + 3*math.Sin(3*a) + 2*math.Cos(a) + 0.3*math.Sin(40*a)*math.Cos(7*b)
		d := 30 + r*math.Cos(b)
		return [3]float64{d * math.Cos(a), d * math.Sin(a), r * math.Sin(b)}
	})
}

// grid joins n by m points, closed both ways, into triangles.
func grid(n, m int, at func(i, j int) [3]float64) Mesh {
	out := Mesh{Points: make([][3]float64, 0, n*m), Faces: make([][3]int, 0, 2*n*m)}
	for i := range n {
		for j := range m {
			out.Points = append(out.Points, at(i, j))
		}
	}
	for i := range n {
		for j := range m {
			a, b := i*m+j, (i+1)%n*m+j
			c, d := (i+1)%n*m+(j+1)%m, i*m+(j+1)%m
			out.Faces = append(out.Faces, [3]int{a, b, c}, [3]int{a, c, d})
		}
	}
	return out
}

// Prism is an upright prism over a regular n-gon of circumradius r, height h.
func Prism(n int, r, h float64) Mesh {
	m := Mesh{Points: [][3]float64{{0, 0, 0}, {0, 0, h}}}
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		x, y := r*math.Cos(a), r*math.Sin(a)
		m.Points = append(m.Points, [3]float64{x, y, 0}, [3]float64{x, y, h})
	}
	for i := range n {
		a, b := 2+2*i, 2+2*((i+1)%n)
		m.Faces = append(m.Faces, [3]int{0, b, a}, [3]int{1, a + 1, b + 1}, [3]int{a, b, b + 1}, [3]int{a, b + 1, a + 1})
	}
	return m
}

// Join puts meshes into one, points apart.
func Join(list ...Mesh) Mesh {
	var out Mesh
	for _, m := range list {
		n := len(out.Points)
		out.Points = append(out.Points, m.Points...)
		for _, f := range m.Faces {
			out.Faces = append(out.Faces, [3]int{f[0] + n, f[1] + n, f[2] + n})
		}
	}
	return out
}

// Turned has every face the other way round.
func (m Mesh) Turned() Mesh {
	out := Mesh{Points: m.Points, Faces: make([][3]int, len(m.Faces))}
	for i, f := range m.Faces {
		out.Faces[i] = [3]int{f[0], f[2], f[1]}
	}
	return out
}

// Map moves every point.
func (m Mesh) Map(f func([3]float64) [3]float64) Mesh {
	out := Mesh{Faces: m.Faces, Points: make([][3]float64, len(m.Points))}
	for i, p := range m.Points {
		out.Points[i] = f(p)
	}
	return out
}
