package mesh

import (
	"bytes"
	"math"
)

// objWords are the line starts that tell an OBJ from other text.
var objWords = []string{"v", "vn", "vt", "vp", "f", "o", "g", "s", "l", "p", "mtllib", "usemtl"}

func isOBJ(data []byte) bool {
	s := lineScan{data: bytes.TrimPrefix(data[:min(len(data), 1<<16)], utf8Mark)}
	for line := s.next(); line != nil; line = s.next() {
		w := words{data: line}
		word := w.next()
		if word == nil || word[0] == '#' {
			continue
		}
		for _, k := range objWords {
			if string(word) == k && w.next() != nil {
				return true
			}
		}
		return false
	}
	return false
}

// lineScan gives one line at a time, without its end.
type lineScan struct {
	data []byte
	at   int
	line int
}

func (s *lineScan) next() []byte {
	if s.at >= len(s.data) {
		return nil
	}
	rest := s.data[s.at:]
	end := bytes.IndexByte(rest, '\n')
	if end < 0 {
		end = len(rest)
	}
	s.at += end + 1
	s.line++
	return rest[:end:end]
}

// readOBJ reads the points and faces of an OBJ. Lines, curves, colors, normals
// and texture points are passed over.
func readOBJ(data []byte, lim Limits, done <-chan struct{}) (*Mesh, error) {
	m := &Mesh{Format: OBJ, Placed: 1}
	p := objReader{lim: lim}
	s := lineScan{data: bytes.TrimPrefix(data, utf8Mark)}
	for line := s.next(); line != nil; line = s.next() {
		if s.line%stopEvery == 0 && stopped(done) {
			return nil, ErrStopped
		}
		first := s.line
		line, err := joinLines(line, &s, lim)
		if err != nil {
			return nil, err
		}
		if m.Header == "" && len(line) > 1 && line[0] == '#' && len(p.verts) == 0 {
			m.Header = clean(line[1:], 80)
		}
		if err := p.take(line, first); err != nil {
			return nil, err
		}
	}
	var w welder
	m.warp = p.cut.warp
	m.tris = make([]triangle, 0, len(p.cut.tris))
	m.indexed(&w, p.verts, p.cut.tris)
	return m, nil
}

// joinLines appends the lines that follow a trailing backslash.
func joinLines(line []byte, s *lineScan, lim Limits) ([]byte, error) {
	if len(line) > lim.Line {
		return nil, hostile("line %d is longer than %d kB", s.line, lim.Line>>10)
	}
	joined := false
	for {
		trimmed := bytes.TrimRight(line, "\r\t ")
		if len(trimmed) == 0 || trimmed[len(trimmed)-1] != '\\' {
			return line, nil
		}
		line = trimmed[:len(trimmed)-1]
		if !joined {
			line, joined = bytes.Clone(line), true
		}
		next := s.next()
		if next == nil {
			return line, nil
		}
		line = append(append(line, ' '), next...)
		if len(line) > lim.Line {
			return nil, hostile("line %d is longer than %d kB", s.line, lim.Line>>10)
		}
	}
}

type objReader struct {
	lim   Limits
	verts []point
	face  []uint32
	cut   cutter
}

func (p *objReader) take(line []byte, n int) error {
	w := words{data: line}
	word := w.next()
	switch string(word) {
	case "v":
		return p.vertex(&w, n)
	case "f":
		return p.polygon(&w, n)
	}
	return nil
}

func (p *objReader) vertex(w *words, n int) error {
	var v point
	for k := range v {
		word := w.next()
		if word == nil {
			return bad("line %s: a point needs x, y and z", group(n))
		}
		x, wrong := parseCoordinate(word)
		if wrong != "" {
			return wrong.in("line", n)
		}
		v[k] = x
	}
	if len(p.verts) >= 3*p.lim.Triangles {
		return tooLarge("the mesh has more than %s points", group(3*p.lim.Triangles))
	}
	p.verts = append(p.verts, v)
	return nil
}

func (p *objReader) polygon(w *words, n int) error {
	p.face = p.face[:0]
	for word := w.next(); word != nil; word = w.next() {
		if word[0] == '#' {
			break
		}
		i, ok := objIndex(word, len(p.verts))
		if !ok {
			return bad("line %s: a face points to '%s' and there are %s points so far",
				group(n), clean(word, 24), group(len(p.verts)))
		}
		p.face = append(p.face, i)
	}
	if len(p.face) < 3 {
		return bad("line %s: a face with %d corners", group(n), len(p.face))
	}
	p.cut.add(p.verts, p.face)
	return p.lim.checkTriangles(len(p.cut.tris))
}

// objIndex reads the point of a corner: 7, 7/1, 7//3, or -1 for the last point
// so far. ok is false for 0, for anything that is not a number and for a point
// that is not there.
func objIndex(word []byte, points int) (index uint32, ok bool) {
	i, neg := 0, false
	if word[0] == '-' {
		i, neg = 1, true
	}
	n, digits := 0, 0
	for ; i < len(word) && word[i] >= '0' && word[i] <= '9'; i++ {
		if n = n*10 + int(word[i]-'0'); n > math.MaxInt32 {
			return 0, false
		}
		digits++
	}
	if digits == 0 || i < len(word) && word[i] != '/' || n == 0 || n > points {
		return 0, false
	}
	if neg {
		return uint32(points - n), true
	}
	return uint32(n - 1), true
}

// cutter cuts polygons into triangles, a fan from the first corner.
//
// Where a polygon is not flat the volume depends on the cut. Cutting four
// corners a b c d by the other diagonal moves it by the volume of the
// tetrahedron a b c d; warp adds their sizes, which bounds the movement for
// quads and estimates it for larger fans.
type cutter struct {
	tris []triangle
	warp float64
}

func (c *cutter) add(verts []point, face []uint32) {
	for i := 2; i < len(face); i++ {
		c.tris = append(c.tris, triangle{face[0], face[i-1], face[i]})
		if i > 2 {
			a := verts[face[0]]
			c.warp += math.Abs(det(sub(verts[face[i-2]], a), sub(verts[face[i-1]], a), sub(verts[face[i]], a))) / 6
		}
	}
}
