package mesh

import (
	"io"
	"math"
	"strings"
)

// Namespaces of the 3MF core and production specifications.
const (
	spaceCore       = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
	spaceProduction = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
)

// harmless are extensions that do not change the triangles that are placed:
// production parts, colors, triangle sets, slices, and beams, which are told.
var harmless = []string{
	spaceProduction,
	"http://schemas.microsoft.com/3dmanufacturing/material/2015/02",
	"http://schemas.microsoft.com/3dmanufacturing/slice/2015/07",
	"http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02",
	"http://schemas.microsoft.com/3dmanufacturing/beamlattice/balls/2020/07",
	"http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07",
}

// objectKey names an object of a 3MF: the part it stands in and its number.
type objectKey struct {
	part string
	id   int
}

// object3mf is either a mesh or a list of placed components.
type object3mf struct {
	solid bool // its type has a volume
	verts []point
	tris  []triangle
	comps []placement
	state int8 // while counting: 1 under way, 2 counted
	count int  // placed triangles
	meshs int  // placed meshes
}

type placement struct {
	object objectKey
	at     transform
}

type model3mf struct {
	pack    *package3mf
	lim     Limits
	done    <-chan struct{}
	objects map[objectKey]*object3mf
	items   []placement
	unit    Unit
	root    string
	tris    int // stored triangles, all parts
	loaded  map[string]bool
	todo    []string
	beams   bool
}

// read3MF reads the meshes that the build places, in millimeters.
func read3MF(data []byte, lim Limits, done <-chan struct{}) (*Mesh, error) {
	pack, err := openPackage(data, lim)
	if err != nil {
		return nil, err
	}
	root, err := pack.rootPart(done)
	if err != nil {
		return nil, err
	}
	f := &model3mf{pack: pack, lim: lim, done: done, objects: map[objectKey]*object3mf{}, loaded: map[string]bool{}}
	if f.root, err = partKey(root); err != nil {
		return nil, err
	}
	for f.todo = []string{f.root}; len(f.todo) > 0; {
		name := f.todo[0]
		f.todo = f.todo[1:]
		if err := f.load(name); err != nil {
			return nil, err
		}
	}
	return f.build()
}

// want asks for a part to be loaded, once.
func (f *model3mf) want(part string) {
	if !f.loaded[part] {
		f.todo = append(f.todo, part)
	}
}

func (f *model3mf) load(name string) error {
	if f.loaded[name] {
		return nil
	}
	f.loaded[name] = true
	r, shown, err := f.pack.open(name)
	if err != nil {
		return err
	}
	defer r.Close()
	p := &part3mf{model: f, name: name, xmlScan: newXMLScan(r, shown, f.lim, f.done)}
	for {
		t, err := p.next()
		if err == io.EOF {
			return p.finish()
		}
		if err != nil {
			return err
		}
		if err := p.take(&t); err != nil {
			return err
		}
	}
}

// part3mf is the reader of one model part.
type part3mf struct {
	*xmlScan
	model    *model3mf
	name     string
	object   *object3mf // the one being read
	id       int
	inMesh   bool
	inBuild  bool
	sawModel bool
}

// isCore takes the drafts' namespace too, and files that name none.
func isCore(space string) bool {
	return space == spaceCore || space == "" || space == "http://schemas.microsoft.com/3dmanufacturing/2013/01"
}

// take acts on one tag. Elements of other namespaces are passed over.
func (p *part3mf) take(t *xmlTag) error {
	if !isCore(t.space) {
		if t.start && string(t.name) == "beam" {
			p.model.beams = true
		}
		return nil
	}
	if !t.start {
		switch string(t.name) {
		case "mesh":
			p.inMesh = false
		case "object":
			p.object = nil
		case "build":
			p.inBuild = false
		}
		return nil
	}
	switch string(t.name) {
	case "vertex":
		return p.vertex(t)
	case "triangle":
		return p.triangle(t)
	case "component":
		return p.component(t)
	case "item":
		return p.item(t)
	case "object":
		return p.startObject(t)
	case "mesh":
		p.inMesh = p.object != nil && !t.end
	case "build":
		p.inBuild = !t.end && p.name == p.model.root
	case "model":
		return p.startModel(t)
	}
	return nil
}

func (p *part3mf) finish() error {
	if !p.sawModel {
		return bad("part %s is no 3MF model", p.part)
	}
	return nil
}

func (p *part3mf) startModel(t *xmlTag) error {
	if t.depth != 1 {
		return p.bad("a model inside a model")
	}
	p.sawModel = true
	for _, prefix := range strings.Fields(string(t.attr("requiredextensions"))) {
		uri := p.lookup([]byte(prefix))
		known := false
		for _, h := range harmless {
			known = known || uri == h
		}
		if !known {
			return bad("the file needs the 3MF extension '%s', which is not known here: the shape would be wrong", clean([]byte(prefix), 24))
		}
	}
	if p.name != p.model.root {
		return nil // the unit of the root counts for all
	}
	p.model.unit = Millimeter
	if u := t.attr("unit"); u != nil {
		for k, name := range unitNames {
			if name != "" && name == string(u) {
				p.model.unit = Unit(k)
				return nil
			}
		}
		return p.bad("the unit '%s' is none of micron, millimeter, centimeter, inch, foot, meter", clean(u, 24))
	}
	return nil
}

func (p *part3mf) startObject(t *xmlTag) error {
	id, ok := index(t.attr("id"))
	if !ok || id == 0 {
		return p.bad("an object without a number")
	}
	key := objectKey{p.name, int(id)}
	if p.model.objects[key] != nil {
		return p.bad("object %d stands there twice", id)
	}
	if len(p.model.objects) >= 1<<16 {
		return hostile("the file has more than %s objects", group(1<<16))
	}
	o := &object3mf{}
	switch string(t.attr("type")) {
	case "support", "other", "surface":
	default:
		o.solid = true
	}
	p.model.objects[key] = o
	if !t.end {
		p.object, p.id = o, int(id)
	}
	return nil
}

func (p *part3mf) vertex(t *xmlTag) error {
	if !p.inMesh {
		return nil
	}
	var v point
	for k, name := range [3]string{"x", "y", "z"} {
		a := t.attr(name)
		if a == nil {
			return p.bad("a point of object %d without %s", p.id, name)
		}
		x, ok := parseNumber(a)
		if !ok || !(math.Abs(x) <= 1e4*maxCoordinate) {
			return p.bad("'%s' is not a coordinate (numbers need a decimal point and no comma)", clean(a, 24))
		}
		v[k] = x
	}
	if len(p.object.verts) >= 3*p.lim.Triangles {
		return tooLarge("object %d has more than %s points", p.id, group(3*p.lim.Triangles))
	}
	p.object.verts = append(p.object.verts, v)
	return nil
}

func (p *part3mf) triangle(t *xmlTag) error {
	if !p.inMesh {
		return nil
	}
	var tri triangle
	for k, name := range [3]string{"v1", "v2", "v3"} {
		a := t.attr(name)
		i, ok := index(a)
		if !ok || int(i) >= len(p.object.verts) {
			return p.bad("triangle %s of object %d points to point '%s' and there are %s",
				group(len(p.object.tris)+1), p.id, clean(a, 24), group(len(p.object.verts)))
		}
		tri[k] = i
	}
	p.model.tris++
	if err := p.lim.checkTriangles(p.model.tris); err != nil {
		return err
	}
	p.object.tris = append(p.object.tris, tri)
	return nil
}

func (p *part3mf) component(t *xmlTag) error {
	if p.object == nil {
		return p.bad("a component outside an object")
	}
	c, err := p.placement(t)
	if err != nil {
		return err
	}
	if len(p.object.comps) >= p.lim.Placed {
		return tooLarge("object %d has more than %s components", p.id, group(p.lim.Placed))
	}
	p.object.comps = append(p.object.comps, c)
	return nil
}

func (p *part3mf) item(t *xmlTag) error {
	if !p.inBuild {
		return nil
	}
	c, err := p.placement(t)
	if err != nil {
		return err
	}
	if len(p.model.items) >= p.lim.Placed {
		return tooLarge("the build has more than %s items", group(p.lim.Placed))
	}
	p.model.items = append(p.model.items, c)
	return nil
}

// placement reads objectid, p:path and transform.
func (p *part3mf) placement(t *xmlTag) (c placement, err error) {
	id, ok := index(t.attr("objectid"))
	if !ok {
		return c, p.bad("a placed object without a number")
	}
	c.object = objectKey{p.name, int(id)}
	if path := p.attrIn(t, spaceProduction, "path"); path != nil {
		if c.object.part, err = partKey(string(path)); err != nil {
			return c, err
		}
		p.model.want(c.object.part)
	}
	c.at, err = p.transform(t.attr("transform"))
	return c, err
}

// index reads a whole number from 0 to 2^31-1.
func index(b []byte) (uint32, bool) {
	if len(b) == 0 || len(b) > 10 {
		return 0, false
	}
	n := uint64(0)
	for _, c := range b {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = n*10 + uint64(c-'0')
	}
	return uint32(n), n <= math.MaxInt32
}
