package shape

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
)

func cylinder(s *sizes) Solid {
	s.positional([]string{"d", "h"})
	d, h := s.diameter(), s.upright()
	out := Solid{
		Volume:    ml(math.Pi * d * d * h / 4),
		Area:      math.Pi*d*h + math.Pi*d*d/2,
		Box:       [3]float64{d, d, h},
		Thickest:  min(d, h),
		Curvature: math.Pi * (h + math.Pi*d/2),
	}
	return out.worked("πd²h/4", "π × %s² × %s/4", num(d), num(h))
}

func tube(s *sizes) Solid {
	s.positional([]string{"od", "id", "h"})
	od := s.take("od", "outer d", "outer", "d")
	id, ok := s.maybe("id", "inner d", "inner")
	if !ok {
		id = od - 2*s.take("wall", "w", "t")
	}
	h := s.upright()
	if s.err == nil && (id <= 0 || id >= od) {
		s.fail(fault.OutOfRange, "an inner diameter of %s mm does not fit inside %s mm", num(id), num(od))
	}
	out := Solid{
		Volume:   ml(math.Pi * (od*od - id*id) * h / 4),
		Area:     math.Pi*(od+id)*h + math.Pi*(od*od-id*id)/2,
		Box:      [3]float64{od, od, h},
		Thickest: min((od-id)/2, h),
	}
	return out.worked("π(D² − d²)h/4", "π × (%s² − %s²) × %s/4", num(od), num(id), num(h))
}

func cone(s *sizes) Solid {
	s.positional([]string{"d", "h"})
	d, h := s.diameter(), s.height()
	out := taper(d/2, 0, h)
	return out.worked("πd²h/12", "π × %s² × %s/12", num(d), num(h))
}

func frustum(s *sizes) Solid {
	s.positional([]string{"d1", "d2", "h"}, []string{"d1", "d2", "h", "fill"})
	d1 := s.take("d1", "bottom", "d_bottom")
	d2 := s.take("d2", "top", "d_top")
	h := s.height()
	if level, ok := s.fill(h, "height"); ok {
		d2 = d1 + (d2-d1)*level/h
		h = level
		s.note("Filled %s mm high, where it is %s mm wide; d1 is the bottom.", num(level), num(d2))
	}
	out := taper(d1/2, d2/2, h)
	return out.worked("πh(D² + Dd + d²)/12", "π × %s × (%s² + %s × %s + %s²)/12", num(h), num(d1), num(d1), num(d2), num(d2))
}

// taper is a truncated cone from radius a to b over height h; b may be zero.
// The largest sphere touches the wide face and the slope, or both faces:
// ρ = R·tan(θ/2), θ the angle between wide face and slope.
func taper(a, b, h float64) Solid {
	wide, narrow := max(a, b), min(a, b)
	run := wide - narrow
	slope := math.Hypot(run, h)
	return Solid{
		Volume:   ml(math.Pi * h * (a*a + a*b + b*b) / 3),
		Area:     math.Pi * (a*a + b*b + (a+b)*slope),
		Box:      [3]float64{2 * wide, 2 * wide, h},
		Thickest: min(h, 2*wide*h/(run+slope)),
	}
}

func sphere(s *sizes) Solid {
	s.positional([]string{"d"})
	d := s.diameter()
	out := Solid{Volume: ml(math.Pi * d * d * d / 6), Area: math.Pi * d * d, Box: [3]float64{d, d, d}, Thickest: d, Curvature: 2 * math.Pi * d}
	return out.worked("πd³/6", "π × %s³/6", num(d))
}

func hemisphere(s *sizes) Solid {
	s.positional([]string{"d"})
	d := s.diameter()
	out := segment(d/2, d/2)
	return out.worked("πd³/12", "π × %s³/12", num(d))
}

func capped(s *sizes) Solid {
	s.positional([]string{"base", "h"})
	h := 0.0
	if r, ok := s.maybe("r", "radius", "sphere"); ok {
		h = s.height()
		if s.err == nil && h > 2*r {
			s.fail(fault.OutOfRange, "a cap %s mm high is taller than its sphere of %s mm", num(h), num(2*r))
		}
		return segment(r, h).worked("πh²(3R − h)/3", "π × %s² × (3 × %s − %s)/3", num(h), num(r), num(h))
	}
	if s.has("d") {
		s.note("d is taken as the width of the flat face; give r for the radius of the whole sphere.")
	}
	base := s.width("base", "d")
	h = s.height()
	a := base / 2
	r := (a*a + h*h) / (2 * h)
	out := segment(r, h)
	return out.worked("πh(3a² + h²)/6, a half the flat face", "π × %s × (3 × %s² + %s²)/6", num(h), num(a), num(h))
}

// segment is a slice of height h off a sphere of radius r, h ≤ 2r. The largest
// sphere inside stands on the middle of the flat face: its diameter is h.
func segment(r, h float64) Solid {
	face := 2 * math.Sqrt(max(h*(2*r-h), 0))
	width := face
	if h > r {
		width = 2 * r
	}
	return Solid{
		Volume:   ml(math.Pi * h * h * (3*r - h) / 3),
		Area:     2*math.Pi*r*h + math.Pi*face*face/4,
		Box:      [3]float64{width, width, h},
		Thickest: h,
	}
}

func capsule(s *sizes) Solid {
	s.positional([]string{"d", "l"})
	d, l := s.diameter(), s.length()
	if s.err == nil && l < d {
		s.fail(fault.OutOfRange, "a capsule %s mm long over its ends cannot be %s mm wide", num(l), num(d))
	}
	out := Solid{
		Volume:    ml(math.Pi*d*d*(l-d)/4 + math.Pi*d*d*d/6),
		Area:      math.Pi * d * l,
		Box:       [3]float64{l, d, d},
		Thickest:  d,
		Curvature: math.Pi*(l-d) + 2*math.Pi*d,
	}
	return out.worked("πd²(l − d)/4 + πd³/6", "π × %s² × %s/4 + π × %s³/6", num(d), num(l-d), num(d))
}

func halfRound(s *sizes) Solid {
	s.positional([]string{"d", "l"})
	d, l := s.diameter(), s.length()
	return trough(d/2, d/2, l).worked("πd²l/8", "π × %s² × %s/8", num(d), num(l))
}

func lyingCylinder(s *sizes) Solid {
	s.positional([]string{"d", "l", "fill"}, []string{"d", "l"})
	d, l := s.diameter(), s.take("l", "length", "long")
	level, ok := s.fill(d, "diameter")
	if !ok {
		if level, ok = s.maybe("h", "height"); ok && s.err == nil && level > d {
			s.fail(fault.OutOfRange, "a level of %s mm is above the diameter of %s mm", num(level), num(d))
		}
	}
	if !ok {
		level = d
		s.note("No fill was given: taken as full.")
	}
	r := d / 2
	return trough(r, level, l).worked("l(R²·acos((R − h)/R) − (R − h)√(2Rh − h²))", "l = %s, R = %s, h = %s", num(l), num(r), num(level))
}

// trough is what lies in a horizontal cylinder of radius r and length l up to
// level h. The largest circle in the segment stands on its deepest line: its
// diameter is h.
func trough(r, h, l float64) Solid {
	h = min(h, 2*r)
	angle := math.Acos(clampUnit((r - h) / r))
	chord := 2 * math.Sqrt(max(h*(2*r-h), 0))
	face := r*r*angle - (r-h)*chord/2
	width := chord
	if h > r {
		width = 2 * r
	}
	return Solid{
		Volume:    ml(l * face),
		Area:      2*face + l*(2*r*angle+chord),
		Box:       [3]float64{l, width, h},
		Thickest:  min(h, l),
		Curvature: math.Pi * (l + (2*r*angle+chord)/2),
	}
}

func clampUnit(v float64) float64 { return max(-1, min(1, v)) }

func torus(s *sizes) Solid {
	s.nameTorus()
	var big, small float64
	switch {
	case s.has("od"):
		od, id := s.take("od"), s.take("id")
		if s.err == nil && id >= od {
			s.fail(fault.OutOfRange, "an inner diameter of %s mm does not fit inside %s mm", num(id), num(od))
		}
		big, small = (od+id)/4, (od-id)/4
	default:
		big, small = s.take("R"), s.take("r")
		if s.err == nil && small >= big {
			s.fail(fault.OutOfRange, "a tube of radius %s mm closes the hole of a ring of %s mm", num(small), num(big))
		}
	}
	out := Solid{
		Volume:   ml(2 * math.Pi * math.Pi * big * small * small),
		Area:     4 * math.Pi * math.Pi * big * small,
		Box:      [3]float64{2 * (big + small), 2 * (big + small), 2 * small},
		Thickest: 2 * small,
	}
	return out.worked("2π²Rr²", "2π² × %s × %s²", num(big), num(small))
}

// nameTorus gives the two radii their names: by order the first is R, and two
// called r are told apart by size.
func (s *sizes) nameTorus() {
	s.positional([]string{"R", "r"})
	var rs []int
	for i, g := range s.given {
		if g.Name == "r" || g.Name == "R" {
			rs = append(rs, i)
		}
	}
	if len(rs) == 2 && s.given[rs[0]].Name == s.given[rs[1]].Name {
		a, b := &s.given[rs[0]], &s.given[rs[1]]
		a.Name, b.Name = "R", "r"
		if a.MM < b.MM {
			a.Name, b.Name = "r", "R"
		}
	}
}

func ellipsoid(s *sizes) Solid {
	s.positional([]string{"a", "b", "c"})
	a, b, c := s.take("a", "l", "long"), s.width("b"), s.take("c", "h", "high")
	out := Solid{
		Volume:   ml(math.Pi * a * b * c / 6),
		Area:     ellipsoidArea(a/2, b/2, c/2),
		Box:      [3]float64{a, b, c},
		Thickest: min(a, b, c),
	}
	return out.worked("πabc/6, full widths", "π × %s × %s × %s/6", num(a), num(b), num(c))
}

func ellipticCylinder(s *sizes) Solid {
	s.positional([]string{"a", "b", "h"})
	a, b, h := s.take("a", "l", "long"), s.width("b"), s.height()
	around := ellipsePerimeter(a/2, b/2)
	out := Solid{
		Volume:    ml(math.Pi * a * b * h / 4),
		Area:      math.Pi*a*b/2 + around*h,
		Box:       [3]float64{a, b, h},
		Thickest:  min(a, b, h),
		Curvature: math.Pi*h + math.Pi*around/2,
	}
	return out.worked("πabh/4, full widths", "π × %s × %s × %s/4", num(a), num(b), num(h))
}
