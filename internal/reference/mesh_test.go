package reference

import (
	"fmt"
	"math"
	"regexp"

	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
)

// meshForms build the solid, write it as a file and read it back.
var meshForms = map[string]computes{
	"mesh volume: edge_cm solid triangles": func(e entry) (any, error) {
		r, err := regular(e.text("solid"), 10*e.num("edge_cm"))
		if err != nil {
			return nil, err
		}
		if float64(r.Triangles) != e.num("triangles") {
			return nil, fmt.Errorf("%d triangles, want %v", r.Triangles, e.num("triangles"))
		}
		return e.pick(map[string]float64{"mL": r.Volume / 1000})
	},
	"mesh area: edge_cm solid": func(e entry) (any, error) {
		r, err := regular(e.text("solid"), 10*e.num("edge_cm"))
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"cm2": r.Area / 100})
	},
	"mesh volume: edge_mm offset_mm solid": func(e entry) (any, error) {
		m, err := platonic(e.text("solid"), e.num("edge_mm"))
		if err != nil {
			return nil, err
		}
		by := e.list("offset_mm")
		return meshVolume(e, m.Map(func(p [3]float64) [3]float64 { return [3]float64{p[0] + by[0], p[1] + by[1], p[2] + by[2]} }))
	},
	"mesh volume: inner_shell outer": func(e entry) (any, error) {
		outer, inner := cubeText.FindStringSubmatch(e.text("outer")), cubeText.FindStringSubmatch(e.text("inner_shell"))
		if outer == nil || inner == nil {
			return nil, fmt.Errorf("only cubes are read here")
		}
		o, i := cube(atof(outer[1])), cube(atof(inner[1]))
		if inner[2] != "" {
			i = i.Turned()
		}
		return meshVolume(e, meshtest.Join(o, i))
	},
	"mesh volume: linear_scale volume_ml": func(e entry) (any, error) {
		r, err := report(cube(math.Cbrt(1000 * e.num("volume_ml"))).PLYText())
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"mL": r.Scaled(e.num("linear_scale")).Volume / 1000})
	},
	"mesh volume: true_unit volume_read_as_mm_ml": func(e entry) (any, error) {
		m, err := mesh.Read(cube(math.Cbrt(1000*e.num("volume_read_as_mm_ml"))).PLYText(), mesh.DeskLimits(), nil)
		if err != nil {
			return nil, err
		}
		unit, err := mesh.ParseUnit(e.text("true_unit"))
		if err != nil {
			return nil, err
		}
		if err := m.Scale(unit.MM()); err != nil {
			return nil, err
		}
		r, err := m.Measure(nil, 1)
		if err != nil {
			return nil, err
		}
		return e.pick(map[string]float64{"mL": r.Volume / 1000})
	},
	"mesh volume: vertices_mm winding": func(e entry) (any, error) {
		var m meshtest.Mesh
		for _, p := range e.Input["vertices_mm"].([]any) {
			v := numbers(p)
			m.Points = append(m.Points, [3]float64{v[0], v[1], v[2]})
		}
		m.Faces = [][3]int{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}}
		if e.text("winding") == "inward" {
			m = m.Turned()
		}
		r, err := report(m.PLYText())
		if err != nil {
			return nil, err
		}
		// The signed sum tells the winding; the volume itself never does.
		return e.pick(map[string]float64{"mL": r.AsWound / 1000})
	},
}

var cubeText = regexp.MustCompile(`^cube (\S+) mm(, inward winding)?$`)

// cube stands about the origin.
func cube(edge float64) meshtest.Mesh {
	h := edge / 2
	return meshtest.Box([3]float64{-h, -h, -h}, [3]float64{h, h, h})
}

func meshVolume(e entry, m meshtest.Mesh) (any, error) {
	r, err := report(m.PLYText())
	if err != nil {
		return nil, err
	}
	return e.pick(map[string]float64{"mL": r.Volume / 1000})
}

// report reads and measures a file.
func report(data []byte) (*mesh.Report, error) {
	m, err := mesh.Read(data, mesh.DeskLimits(), nil)
	if err != nil {
		return nil, err
	}
	return m.Measure(nil, 1)
}

func regular(solid string, edge float64) (*mesh.Report, error) {
	m, err := platonic(solid, edge)
	if err != nil {
		return nil, err
	}
	return report(m.PLYText())
}

// platonic builds a regular solid from its corners (Coxeter, Regular
// Polytopes, from memory); its faces are found as the flat sides of the hull.
func platonic(solid string, edge float64) (meshtest.Mesh, error) {
	phi := (1 + math.Sqrt(5)) / 2
	var points [][3]float64
	add := func(x, y, z float64) {
		for _, s := range [][3]float64{{1, 1, 1}, {-1, 1, 1}, {1, -1, 1}, {1, 1, -1}, {-1, -1, 1}, {-1, 1, -1}, {1, -1, -1}, {-1, -1, -1}} {
			p := [3]float64{s[0] * x, s[1] * y, s[2] * z}
			if !contains(points, p) {
				points = append(points, p)
			}
		}
	}
	var length float64 // of an edge as built
	switch solid {
	case "cube":
		return cube(edge), nil
	case "tetrahedron":
		points, length = [][3]float64{{1, 1, 1}, {1, -1, -1}, {-1, 1, -1}, {-1, -1, 1}}, 2*math.Sqrt2
	case "octahedron":
		add(1, 0, 0)
		add(0, 1, 0)
		add(0, 0, 1)
		length = math.Sqrt2
	case "icosahedron":
		add(0, 1, phi)
		add(1, phi, 0)
		add(phi, 0, 1)
		length = 2
	case "dodecahedron":
		add(1, 1, 1)
		add(0, 1/phi, phi)
		add(1/phi, phi, 0)
		add(phi, 0, 1/phi)
		length = 2 / phi
	default:
		return meshtest.Mesh{}, fmt.Errorf("the solid %q is not built here", solid)
	}
	for i := range points {
		for k := range 3 {
			points[i][k] *= edge / length
		}
	}
	return meshtest.Mesh{Points: points, Faces: hull(points)}, nil
}
