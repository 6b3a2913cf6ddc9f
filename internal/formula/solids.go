package formula

import (
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shape"
)

// more are sizes that a solid may have beyond those of its usual order.
var more = map[shape.Kind]string{shape.Frustum: "fill", shape.Wedge: "ridge", shape.Pyramid: "top"}

// shapes declares a function for the volume of each solid that package shape
// knows, and one for its surface: box(l, w, h) and box_area(l, w, h).
func shapes() []function {
	var all []function
	for _, info := range shape.Kinds() {
		name := strings.NewReplacer(" ", "_", "-", "_").Replace(string(info.Kind))
		all = append(all,
			solid(name, info, quantity.Volume, "the volume of a "+string(info.Kind)+": "+info.Help, func(s shape.Solid) float64 { return s.Volume }),
			solid(name+"_area", info, quantity.Area, "the whole surface of a "+string(info.Kind)+", bases included", func(s shape.Solid) float64 { return s.Area }))
	}
	return all
}

func solid(name string, info shape.Info, d quantity.Dim, help string, what func(shape.Solid) float64) function {
	f := form{gives: of(d)}
	for _, size := range strings.Split(info.Order, " x ") {
		f.params = append(f.params, p(size, quantity.Length))
	}
	if extra := more[info.Kind]; extra != "" {
		f.least = len(f.params)
		f.params = append(f.params, p(extra, quantity.Length))
	}
	f.run = func(c *call) (any, error) {
		sizes := make([]shape.Size, len(c.args))
		for i := range c.args {
			sizes[i] = shape.Size{Name: f.params[i].name, MM: c.num(i)}
		}
		s, err := shape.Measure(info.Kind, sizes)
		if err != nil {
			return nil, c.run.inside(err)
		}
		c.run.work(s.Steps)
		return what(s), nil
	}
	// An example with values that fit: those of the shape's own.
	return function{name: name, group: "shapes", help: help, forms: []form{f}, source: "mensuration", example: exampleOf(name, info)}
}

// exampleOf turns a shape's example, "d 30 mm h 12 mm" or "10 x 20 x 5 cm", into
// a call. An example with a further size loses it.
func exampleOf(name string, info shape.Info) string {
	sizes, _, err := quantity.ParseSize(info.Example, quantity.Want{Option: "size", Dims: []quantity.Dim{quantity.Length}})
	if err != nil {
		return ""
	}
	var args []string
	for _, s := range sizes {
		if len(args) < len(strings.Split(info.Order, " x ")) {
			args = append(args, quantity.TextIn(s.Value, quantity.Millimeter))
		}
	}
	return name + "(" + strings.Join(args, ", ") + ")"
}

// inside is a refusal of another part of the product, told where it came up in
// the formula.
func (r *run) inside(err error) error {
	f := fault.As(err)
	if f == nil {
		return err
	}
	return r.wrong(f.Message, f.HintText())
}
