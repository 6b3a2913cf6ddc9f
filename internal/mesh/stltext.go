package mesh

import (
	"bytes"
)

func isSTLText(data []byte) bool {
	w := words{data: bytes.TrimPrefix(data[:min(len(data), 4096)], utf8Mark), line: 1}
	return is(w.next(), "solid")
}

var utf8Mark = []byte("\xef\xbb\xbf")

// readSTLText reads text STL: any case, any white space, several solids. Stored
// normals are passed over unread.
func readSTLText(data []byte, lim Limits, done <-chan struct{}) (*Mesh, error) {
	m := &Mesh{Format: STLText, Placed: 1}
	guess := min(len(data)/200, lim.Triangles) + 8 // a facet takes about 250 bytes
	p := stlText{words: words{data: bytes.TrimPrefix(data, utf8Mark), line: 1}, lim: lim}
	p.weld.verts = make([]point, 0, guess/2+8)
	p.weld.start(guess/2 + 8)
	m.tris = make([]triangle, 0, guess)
	open := false
	for {
		word := p.next()
		switch {
		case word == nil:
			if open {
				m.Notes = append(m.Notes, "The closing 'endsolid' is missing; the last facet is whole.")
			}
			m.verts = p.weld.verts
			m.parts = []part{{len(m.verts), len(m.tris)}}
			return m, nil
		case is(word, "solid"):
			name := p.rest()
			if m.Header == "" {
				m.Header = clean(name, 80)
			}
			open = true
		case is(word, "endsolid"):
			p.rest()
			open = false
		case is(word, "facet"):
			t, err := p.facet()
			if err != nil {
				return nil, err
			}
			m.tris = append(m.tris, t)
			if err := lim.checkTriangles(len(m.tris)); err != nil {
				return nil, err
			}
			if len(m.tris)%stopEvery == 0 && stopped(done) {
				return nil, ErrStopped
			}
		default:
			return nil, bad("line %d has '%s' where 'facet' or 'endsolid' must stand", p.line, clean(word, 24))
		}
	}
}

type stlText struct {
	words
	lim  Limits
	weld welder
}

// facet reads from behind the word facet to endfacet.
func (p *stlText) facet() (t triangle, err error) {
	first := p.line
	for skipped := 0; ; skipped++ { // normal nx ny nz, or parts of it
		word := p.next()
		if is(word, "outer") {
			break
		}
		if word == nil {
			return t, p.cutOff(first)
		}
		if skipped > 4 || is(word, "vertex") {
			return t, bad("line %d: the facet that begins there has no 'outer loop'", first)
		}
	}
	if err := p.must("loop", first); err != nil {
		return t, err
	}
	for k := 0; ; k++ {
		word := p.next()
		switch {
		case word == nil:
			return t, p.cutOff(first)
		case is(word, "endloop"):
			if k != 3 {
				return t, bad("line %d: a facet with %d corners instead of 3", p.line, k)
			}
			return t, p.must("endfacet", first)
		case !is(word, "vertex"):
			return t, bad("line %d has '%s' where 'vertex' or 'endloop' must stand", p.line, clean(word, 24))
		case k == 3:
			return t, bad("line %d: a facet with more than 3 corners", p.line)
		}
		var c point
		for i := range c {
			num := p.next()
			if num == nil {
				return t, p.cutOff(first)
			}
			x, wrong := parseCoordinate(num)
			if wrong != "" {
				return t, wrong.in("line", p.line)
			}
			c[i] = x
		}
		t[k] = p.weld.id(c[0], c[1], c[2])
	}
}

func (p *stlText) must(keyword string, first int) error {
	word := p.next()
	switch {
	case word == nil:
		return p.cutOff(first)
	case !is(word, keyword):
		return bad("line %d has '%s' where '%s' must stand", p.line, clean(word, 24), keyword)
	}
	return nil
}

func (p *stlText) cutOff(first int) error {
	return bad("the file was cut off: it ends inside the facet that begins at line %s", group(first))
}
