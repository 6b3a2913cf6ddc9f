package shape

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
)

func box(s *sizes) Solid {
	if len(s.given) == 1 {
		s.given = append(s.given, Size{"w", s.given[0].MM}, Size{"h", s.given[0].MM})
		s.given[0].Name = "l"
		s.taken = make([]bool, 3)
	}
	s.positional([]string{"l", "w", "h"})
	l, w, h := s.take("l", "length", "long"), s.width("w", "b"), s.height()
	out := Solid{
		Volume:    ml(l * w * h),
		Area:      2 * (l*w + w*h + h*l),
		Box:       [3]float64{l, w, h},
		Thickest:  min(l, w, h),
		Curvature: math.Pi * (l + w + h),
	}
	return out.worked("lwh", "%s × %s × %s", num(l), num(w), num(h))
}

func wedge(s *sizes) Solid {
	s.positional([]string{"base", "h", "l"}, []string{"base", "h", "l", "ridge"})
	ridge, roof := s.maybe("ridge", "c")
	// A roof may be given as a by b like other tables do: a along the ridge.
	l := s.take("l", "length", "long", "a")
	base, h := s.width("base", "b"), s.height()
	if !roof {
		return ramp(base, h, l).worked("b·h·l/2", "%s × %s × %s/2", num(base), num(h), num(l))
	}
	if s.err == nil && ridge > l {
		s.fail(fault.OutOfRange, "a ridge of %s mm is longer than the base of %s mm", num(ridge), num(l))
	}
	out := hipped(l/2, base/2, ridge/2, 0, h)
	return out.worked("bh(2a + c)/6", "%s × %s × (2 × %s + %s)/6", num(base), num(h), num(l), num(ridge))
}

// ramp is a right triangular prism: base b, height h, length l. The incircle
// of a right triangle has the diameter b + h − √(b² + h²).
func ramp(b, h, l float64) Solid {
	slope := math.Hypot(b, h)
	return Solid{
		Volume:    ml(b * h * l / 2),
		Area:      b*h + l*(b+h+slope),
		Box:       [3]float64{b, l, h},
		Thickest:  min(b+h-slope, l),
		Curvature: math.Pi * (l + (b+h+slope)/2),
	}
}

func pyramid(s *sizes) Solid {
	if s.has("a") {
		a, b, h := s.take("a"), s.take("b"), s.height()
		out := hipped(a/2, a/2, b/2, b/2, h)
		return out.worked("h(A1 + A2 + √(A1·A2))/3", "%s × (%s² + %s² + %s × %s)/3", num(h), num(a), num(b), num(a), num(b))
	}
	s.positional([]string{"l", "w", "h"}, []string{"l", "w", "h", "top"})
	l, w, h := s.take("l", "length", "long"), s.width("w"), s.height()
	top, cut := s.maybe("top")
	if !cut {
		return hipped(l/2, w/2, 0, 0, h).worked("lwh/3", "%s × %s × %s/3", num(l), num(w), num(h))
	}
	across := w * top / l
	s.note("The flat top is taken as %s by %s mm, in proportion to the base.", num(top), num(across))
	out := hipped(l/2, w/2, top/2, across/2, h)
	return out.worked("h(A1 + A2 + √(A1·A2))/3", "A1 = %s × %s, A2 = %s × %s, h = %s", num(l), num(w), num(top), num(across), num(h))
}

// hipped is a body between two centered rectangles, half sides x, y below and
// u, v above, h apart: pyramid (u = v = 0), its frustum, roof (v = 0). Its
// volume is the prismatoid's. The largest sphere stands on the axis; it
// touches the wider face and a slope, ρ = k·h/(s + m) with k the half side of
// the wide face, m the slope's run and s its length, or both faces.
func hipped(x, y, u, v, h float64) Solid {
	lower, upper, middle := 4*x*y, 4*u*v, (x+u)*(y+v)
	side := func(k, top, other, otherTop float64) (area, rho float64) {
		m := math.Abs(k - top)
		s := math.Hypot(m, h)
		return 2 * (other + otherTop) * s, max(k, top) * h / (s + m)
	}
	ax, rx := side(x, u, y, v)
	ay, ry := side(y, v, x, u)
	return Solid{
		Volume:   ml(h * (lower + 4*middle + upper) / 6),
		Area:     lower + upper + ax + ay,
		Box:      [3]float64{2 * max(x, u), 2 * max(y, v), h},
		Thickest: min(h, 2*rx, 2*ry),
	}
}

func hexPrism(s *sizes) Solid {
	s.positional([]string{"flats", "h"})
	flats := 0.0
	if side, ok := s.maybe("side", "s"); ok {
		flats = side * math.Sqrt(3)
	} else if corners, ok := s.maybe("corners"); ok {
		flats = corners * math.Sqrt(3) / 2
	} else {
		flats = s.take("flats", "af", "w")
	}
	h := s.upright()
	side := flats / math.Sqrt(3)
	face := math.Sqrt(3) / 2 * flats * flats
	out := Solid{
		Volume:    ml(face * h),
		Area:      2*face + 6*side*h,
		Box:       [3]float64{2 * side, flats, h},
		Thickest:  min(flats, h),
		Curvature: math.Pi * (h + 3*side),
	}
	return out.worked("(√3/2)·flats²·h", "√3/2 × %s² × %s", num(flats), num(h))
}
