package reference

import (
	"fmt"
	"regexp"
	"strings"

	"github.com/pourwright/pourwright/internal/shape"
)

// shapeForms are the closed forms. The sizes carry their unit in the name.
var shapeForms = func() map[string]computes {
	forms := map[string]computes{}
	for _, f := range []string{
		"R_mm kind r_mm", "a_mm b_mm h_mm kind", "a_mm b_mm h_mm kind ridge_mm", "across_flats_mm h_mm kind", "axes_mm h_mm kind", "axes_mm kind",
		"base_d_mm h_mm kind", "base_mm h_mm kind l_mm", "d1_in d2_in h_in kind", "d1_mm d2_mm h_mm kind", "d_bottom_mm d_top_mm fill_mm h_mm kind",
		"d_mm depth_mm kind l_mm", "d_mm h_mm kind", "d_mm kind", "d_mm kind l_mm", "d_mm kind overall_l_mm", "h_cm kind l_cm w_cm",
		"h_mm id_mm kind od_mm", "h_mm kind l_mm w_mm", "h_mm kind side_mm", "h_mm kind sphere_r_mm",
	} {
		forms["shape volume: "+f] = shapeVolume
	}
	forms["shape volume: d_error_mm d_mm kind"] = shapeError
	return forms
}()

var sizeInput = regexp.MustCompile(`^(.+)_(mm|cm|in)$`)

var sizeNames = map[string]string{"across_flats": "flats", "base_d": "base", "sphere_r": "r", "overall_l": "l", "d_bottom": "d1", "d_top": "d2"}

var unitMM = map[string]float64{"mm": 1, "cm": 10, "in": 25.4}

func shapeVolume(e entry) (any, error) {
	solid, err := measured(e)
	if err != nil {
		return nil, err
	}
	return e.pick(map[string]float64{"mL": solid.Volume})
}

func measured(e entry) (shape.Solid, error) {
	// What follows a comma, a bracket or "filled" explains the kind.
	name, _, _ := strings.Cut(e.text("kind"), ",")
	name, _, _ = strings.Cut(name, "(")
	name, _, _ = strings.Cut(name, " filled")
	kind, err := shape.ParseKind(strings.TrimSpace(name))
	if err != nil {
		return shape.Solid{}, err
	}
	var sizes []shape.Size
	for input, value := range e.Input {
		m := sizeInput.FindStringSubmatch(input)
		if m == nil {
			continue
		}
		name := m[1]
		if n, ok := sizeNames[name]; ok {
			name = n
		}
		if name == "axes" {
			for i, v := range numbers(value) {
				sizes = append(sizes, shape.Size{Name: string(rune('a' + i)), MM: v * unitMM[m[2]]})
			}
			continue
		}
		sizes = append(sizes, shape.Size{Name: name, MM: value.(float64) * unitMM[m[2]]})
	}
	return shape.Measure(kind, sizes)
}

// shapeError is the error of the volume for one of the diameter.
func shapeError(e entry) (any, error) {
	kind, err := shape.ParseKind(e.text("kind"))
	if err != nil {
		return nil, err
	}
	volume := func(d float64) float64 {
		s, errD := shape.Measure(kind, []shape.Size{{Name: "d", MM: d}})
		if errD != nil {
			err = errD
		}
		return s.Volume
	}
	d, off := e.num("d_mm"), e.num("d_error_mm")
	v := 100 * (volume(d+off) - volume(d-off)) / 2 / volume(d)
	if err != nil {
		return nil, err
	}
	return e.pick(map[string]float64{"%": v})
}

// rubberForms are block molds and brushed coats.
var rubberForms = map[string]computes{
	"mold silicone: area_cm2 thickness_mm": func(e entry) (any, error) {
		c, err := shape.CoatWant{Area: 100 * e.num("area_cm2"), Wall: e.num("thickness_mm")}.Measure()
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"mL": c.Volume})
	},
	"mold silicone: area_cm2 density_g_ml thickness_mm waste": func(e entry) (any, error) {
		c, err := shape.CoatWant{Area: 100 * e.num("area_cm2"), Wall: e.num("thickness_mm")}.Measure()
		if err != nil {
			return nil, err
		}
		return rubberMass(e, c.Volume)
	},
	"mold silicone: density_g_ml volume_ml waste": func(e entry) (any, error) { return rubberMass(e, e.num("volume_ml")) },
	"mold silicone: base_mm master_mm top_mm wall_mm": func(e entry) (any, error) {
		m := e.list("master_mm")
		b := shape.BoxRound([3]float64{m[0], m[1], m[2]}, e.num("wall_mm"), e.num("base_mm"), e.num("top_mm"))
		s, err := shape.Measure(shape.Box, []shape.Size{{Name: "l", MM: b[0]}, {Name: "w", MM: b[1]}, {Name: "h", MM: b[2]}})
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"mL box": s.Volume})
	},
	"mold silicone: box_mm master": func(e entry) (any, error) {
		master, err := masterNamed(e.text("master"))
		if err != nil {
			return nil, err
		}
		b := e.list("box_mm")
		block, err := shape.BlockWant{Box: [3]float64{b[0], b[1], b[2]}, Master: master.Volume, Size: master.Box}.Measure()
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"mL": block.Rubber})
	},
	"mold silicone: master thickness_mm": func(e entry) (any, error) {
		master, err := masterNamed(e.text("master"))
		if err != nil {
			return nil, err
		}
		c, err := shape.CoatWant{Area: master.Area, Curvature: master.Curvature, Wall: e.num("thickness_mm")}.Measure()
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"mL": c.Volume})
	},
	"mold silicone: per_coat_mm thickness_mm": func(e entry) (any, error) {
		return e.pick(map[string]float64{"coats": float64(shape.CoatsFor(e.num("thickness_mm"), e.num("per_coat_mm")))})
	},
}

var (
	sphereText   = regexp.MustCompile(`^sphere (\S+) mm`)
	cylinderText = regexp.MustCompile(`^cylinder d (\S+), h (\S+) mm`)
)

// masterNamed reads "sphere 50 mm" and "cylinder d 40, h 60 mm, all faces".
func masterNamed(text string) (shape.Solid, error) {
	if m := sphereText.FindStringSubmatch(text); m != nil {
		return shape.Measure(shape.Sphere, []shape.Size{{Name: "d", MM: atof(m[1])}})
	}
	if m := cylinderText.FindStringSubmatch(text); m != nil {
		return shape.Measure(shape.Cylinder, []shape.Size{{Name: "d", MM: atof(m[1])}, {Name: "h", MM: atof(m[2])}})
	}
	return shape.Solid{}, fmt.Errorf("the master %q is not read here", text)
}
