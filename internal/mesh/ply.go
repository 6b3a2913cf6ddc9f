package mesh

import (
	"encoding/binary"
	"math"
)

// readPLY reads the points and faces of a PLY: text, or binary of either byte
// order. Elements and columns of other names are passed over.
func readPLY(data []byte, lim Limits, done <-chan struct{}) (*Mesh, error) {
	head, err := parsePLYHead(data, lim)
	if err != nil {
		return nil, err
	}
	p := plyReader{lim: lim, done: done}
	m := &Mesh{Placed: 1, Header: clean(head.comment, 80)}
	switch head.format {
	case "ascii":
		m.Format = PLYText
		p.src = &plyText{words{data: head.body, line: head.line + 1}}
	case "binary_little_endian":
		m.Format = PLYBinary
		p.src = &plyBinary{data: head.body, order: binary.LittleEndian}
	case "binary_big_endian":
		m.Format = PLYBinary
		p.src = &plyBinary{data: head.body, order: binary.BigEndian}
	default:
		return nil, bad("the format '%s' is none that PLY has", clean([]byte(head.format), 24))
	}
	for i := range head.elements {
		if err := p.element(&head.elements[i], m.Format == PLYText); err != nil {
			return nil, err
		}
	}
	if err := p.checkIndexes(); err != nil {
		return nil, err
	}
	var w welder
	for _, f := range p.faces {
		p.cut.add(p.verts, p.corners[f.from:f.to])
	}
	m.warp = p.cut.warp
	m.indexed(&w, p.verts, p.cut.tris)
	return m, nil
}

// plySource gives one scalar after the other. left is the number of bytes that
// are still to come; where tells the place for a refusal.
type plySource interface {
	value(t plyType) (x float64, wrong wrongCoordinate)
	skip(t plyType, n int) bool
	left() int
}

type span struct{ from, to int }

type plyReader struct {
	lim     Limits
	done    <-chan struct{}
	src     plySource
	verts   []point
	corners []uint32
	faces   []span
	cut     cutter
	tris    int
}

// element reads all rows of one element.
func (p *plyReader) element(e *plyElement, text bool) error {
	if need := int64(e.count) * int64(e.minSize(text)); need > int64(p.src.left())+1 {
		return bad("the header promises %s rows of '%s' and the file is too short for them",
			group(e.count), clean([]byte(e.name), 24))
	}
	if len(e.props) == 0 {
		return nil
	}
	var row func(e *plyElement, n int) error
	switch e.name {
	case "vertex":
		if e.count > 3*p.lim.Triangles {
			return tooLarge("the mesh has more than %s points", group(3*p.lim.Triangles))
		}
		xyz := [3]int{e.find("x"), e.find("y"), e.find("z")}
		if xyz[0] < 0 || xyz[1] < 0 || xyz[2] < 0 {
			return bad("the points of the file have no x, y and z")
		}
		p.verts = make([]point, 0, e.count)
		row = func(e *plyElement, n int) error { return p.vertex(e, xyz, n) }
	case "face":
		list := e.find("vertex_indices", "vertex_index")
		if list < 0 || !e.props[list].list || e.props[list].item.float {
			return bad("the faces of the file do not say which points they use")
		}
		if err := p.lim.checkTriangles(e.count); err != nil {
			return err
		}
		p.faces = make([]span, 0, e.count)
		row = func(e *plyElement, n int) error { return p.face(e, list, n) }
	default:
		row = func(e *plyElement, n int) error { return p.pass(e, n) }
	}
	for n := range e.count {
		if n%stopEvery == 0 && stopped(p.done) {
			return ErrStopped
		}
		if err := row(e, n+1); err != nil {
			return err
		}
	}
	return nil
}

func (p *plyReader) vertex(e *plyElement, xyz [3]int, n int) error {
	var v point
	for i := range e.props {
		prop := &e.props[i]
		axis := -1
		for k, at := range xyz {
			if at == i {
				axis = k
			}
		}
		if axis < 0 || prop.list {
			if err := p.passOne(prop, "point", n); err != nil {
				return err
			}
			continue
		}
		x, wrong := p.src.value(prop.item)
		if wrong == "" && !(math.Abs(x) <= maxCoordinate) {
			wrong = badCoordinate(x)
		}
		if wrong != "" {
			return wrong.in("point", n)
		}
		v[axis] = x
	}
	p.verts = append(p.verts, v)
	return nil
}

func (p *plyReader) face(e *plyElement, list, n int) error {
	for i := range e.props {
		prop := &e.props[i]
		if i != list {
			if err := p.passOne(prop, "face", n); err != nil {
				return err
			}
			continue
		}
		corners, err := p.listLength(prop, "face", n)
		if err != nil {
			return err
		}
		if corners < 3 {
			return bad("face %s has %d corners", group(n), corners)
		}
		p.tris += corners - 2
		if err := p.lim.checkTriangles(p.tris); err != nil {
			return err
		}
		from := len(p.corners)
		for range corners {
			x, wrong := p.src.value(prop.item)
			if wrong != "" {
				return wrong.in("face", n)
			}
			if x < 0 || x > math.MaxInt32 || x != math.Trunc(x) {
				return bad("face %s points to a point that is not there", group(n))
			}
			p.corners = append(p.corners, uint32(x))
		}
		p.faces = append(p.faces, span{from, len(p.corners)})
	}
	return nil
}

// listLength reads the length of a list and holds it against the bytes left.
func (p *plyReader) listLength(prop *plyProperty, what string, n int) (int, error) {
	x, wrong := p.src.value(prop.count)
	if wrong != "" {
		return 0, wrong.in(what, n)
	}
	size := prop.item.size
	if _, text := p.src.(*plyText); text {
		size = 1
	}
	if x < 0 || x != math.Trunc(x) || x*float64(size) > float64(p.src.left()) {
		return 0, bad("%s %s has a list that is longer than the rest of the file", what, group(n))
	}
	return int(x), nil
}

func (p *plyReader) pass(e *plyElement, n int) error {
	for i := range e.props {
		if err := p.passOne(&e.props[i], "row", n); err != nil {
			return err
		}
	}
	return nil
}

func (p *plyReader) passOne(prop *plyProperty, what string, n int) error {
	items := 1
	if prop.list {
		var err error
		if items, err = p.listLength(prop, what, n); err != nil {
			return err
		}
	}
	if !p.src.skip(prop.item, items) {
		return cutOff.in(what, n)
	}
	return nil
}

// checkIndexes runs last: faces may stand before points.
func (p *plyReader) checkIndexes() error {
	for n, f := range p.faces {
		for _, c := range p.corners[f.from:f.to] {
			if int(c) >= len(p.verts) {
				return bad("face %s points to point %s and there are %s", group(n+1), group(int(c)), group(len(p.verts)))
			}
		}
	}
	return nil
}
