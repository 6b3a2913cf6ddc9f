package mesh

import "math"

// The stack of a walk. Cuts halve at worst the number of middles or the items,
// and 2.5 million triangles give trees far shallower than this.
const treeDepth = 128

// ray finds the first triangle that the ray from p along d (unit length) meets
// farther than near, other than self. ok is false if there is none.
func (t *tree) ray(p, d point, near float64, self int) (hit int, at float64, ok bool) {
	inv := point{1 / d[0], 1 / d[1], 1 / d[2]}
	at, hit = math.Inf(1), -1
	var stack [treeDepth]uint32
	top := 0
	node := uint32(0)
	for {
		n := &t.nodes[node]
		if n.n > 0 {
			for i := int(n.first); i < int(n.first+n.n); i++ {
				if i == self {
					continue
				}
				if s, met := t.meet(i, p, d); met && s > near && s < at {
					at, hit = s, i
				}
			}
		} else {
			a, b := n.first, n.first+1
			da, db := t.nodes[a].enter(&p, &inv, at), t.nodes[b].enter(&p, &inv, at)
			if db < da {
				a, b, da, db = b, a, db, da
			}
			if da < at {
				if db < at && top < treeDepth {
					stack[top] = b
					top++
				}
				node = a
				continue
			}
		}
		if top == 0 {
			return hit, at, hit >= 0
		}
		top--
		node = stack[top]
	}
}

// enter is how far along the ray the box begins, +Inf if the ray misses it or
// reaches it only beyond most.
func (n *treeNode) enter(p, inv *point, most float64) float64 {
	near, far := 0.0, most
	for k := range 3 {
		a, b := (float64(n.lo[k])-p[k])*inv[k], (float64(n.hi[k])-p[k])*inv[k]
		if a > b {
			a, b = b, a
		}
		if a > near { // false for NaN: a ray within the face of a box
			near = a
		}
		if b < far {
			far = b
		}
	}
	if near > far {
		return math.Inf(1)
	}
	return near
}

// meet intersects a ray with triangle i (T. Möller, B. Trumbore, Fast, minimum
// storage ray/triangle intersection, 1997, doi:10.1080/10867651.1997.10487468,
// from memory).
func (t *tree) meet(i int, p, d point) (at float64, ok bool) {
	tri := &t.tris[i]
	a := t.verts[tri[0]]
	e, f := sub(t.verts[tri[1]], a), sub(t.verts[tri[2]], a)
	h := cross(d, f)
	div := dot(e, h)
	if div == 0 {
		return 0, false
	}
	inv := 1 / div
	s := sub(p, a)
	u := dot(s, h) * inv
	if u < 0 || u > 1 {
		return 0, false
	}
	q := cross(s, e)
	v := dot(d, q) * inv
	if v < 0 || u+v > 1 {
		return 0, false
	}
	return dot(f, q) * inv, true
}

// nearest finds the point of the surface closest to p, if it is nearer than
// within. It is content with the first point it meets that is nearer than
// enough, and then that need not be the closest.
func (t *tree) nearest(p point, within, enough float64) (q point, dist float64, ok bool) {
	best, stop := within*within, enough*enough
	var stack [treeDepth]uint32
	var dists [treeDepth]float64
	top := 0
	node := uint32(0)
	for {
		n := &t.nodes[node]
		if n.n > 0 {
			for i := int(n.first); i < int(n.first+n.n); i++ {
				t.work++
				tri := &t.tris[i]
				c := closestOn(&t.verts[tri[0]], &t.verts[tri[1]], &t.verts[tri[2]], &p)
				if d := dist2(&c, &p); d < best {
					best, q, ok = d, c, true
				}
			}
			if best < stop {
				return q, math.Sqrt(best), true
			}
		} else {
			a, b := n.first, n.first+1
			da, db := t.nodes[a].away2(&p), t.nodes[b].away2(&p)
			if db < da {
				a, b, da, db = b, a, db, da
			}
			if da < best {
				if db < best && top < treeDepth {
					stack[top], dists[top] = b, db
					top++
				}
				node = a
				continue
			}
		}
		for {
			if top == 0 {
				return q, math.Sqrt(best), ok
			}
			top--
			if dists[top] < best {
				node = stack[top]
				break
			}
		}
	}
}

func dist2(a, b *point) float64 {
	x, y, z := a[0]-b[0], a[1]-b[1], a[2]-b[2]
	return x*x + y*y + z*z
}

// away2 is the square of the distance from p to the box, 0 inside.
func (n *treeNode) away2(p *point) float64 {
	s := 0.0
	for k := range 3 {
		if d := float64(n.lo[k]) - p[k]; d > 0 {
			s += d * d
		} else if d := p[k] - float64(n.hi[k]); d > 0 {
			s += d * d
		}
	}
	return s
}

// closestOn is the point of triangle abc closest to p, by the regions of corners,
// edges and face (C. Ericson, Real-Time Collision Detection, 2005, 5.1.5, from
// memory).
func closestOn(a, b, c, p *point) point {
	ab, ac, ap := sub(*b, *a), sub(*c, *a), sub(*p, *a)
	d1, d2 := dot(ab, ap), dot(ac, ap)
	if d1 <= 0 && d2 <= 0 {
		return *a
	}
	bp := sub(*p, *b)
	d3, d4 := dot(ab, bp), dot(ac, bp)
	if d3 >= 0 && d4 <= d3 {
		return *b
	}
	vc := d1*d4 - d3*d2
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		return along(*a, ab, ratio(d1, d1-d3))
	}
	cp := sub(*p, *c)
	d5, d6 := dot(ab, cp), dot(ac, cp)
	if d6 >= 0 && d5 <= d6 {
		return *c
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		return along(*a, ac, ratio(d2, d2-d6))
	}
	va := d3*d6 - d5*d4
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return along(*b, sub(*c, *b), ratio(d4-d3, (d4-d3)+(d5-d6)))
	}
	sum := va + vb + vc
	return add(*a, add(scale(ab, ratio(vb, sum)), scale(ac, ratio(vc, sum))))
}

// ratio is a/b, 0 for the 0/0 of triangles without area.
func ratio(a, b float64) float64 {
	if b == 0 {
		return 0
	}
	return a / b
}
