package mesh

import (
	"encoding/binary"
	"math"
)

// The layout of binary STL: 80 bytes of header and a count, then 50 bytes a
// triangle: normal, three corners (float32, little endian) and two spare bytes.
const (
	stlHeader = 84
	stlRecord = 50
)

// stopEvery is how many triangles pass between two looks at the done channel.
const stopEvery = 1 << 16

func readSTLBinary(data []byte, lim Limits, done <-chan struct{}) (*Mesh, error) {
	n := int(binary.LittleEndian.Uint32(data[stlHeader-4:]))
	if err := lim.checkTriangles(n); err != nil {
		return nil, err
	}
	m := &Mesh{Format: STLBinary, Placed: 1, Header: clean(data[:stlHeader-4], 80)}
	if len(data) > stlHeader+n*stlRecord {
		m.Notes = append(m.Notes, "A few stray bytes follow the last triangle; they were ignored.")
	}
	m.tris = make([]triangle, n)
	body := data[stlHeader : stlHeader+n*stlRecord]
	r, bad, err := findRegions(body, n, lim.Workers, done)
	switch {
	case err != nil || bad >= 0:
	case r != nil:
		m.verts, m.blocks, err = weldRegions(body, r, m.tris, lim.Workers, done)
	default:
		m.verts, bad, err = weldSTL(body, m.tris, lim.Workers, done)
	}
	if err != nil {
		return nil, err
	}
	if bad >= 0 {
		return nil, badRecord(body[bad*stlRecord:]).in("triangle", bad+1)
	}
	m.parts = []part{{len(m.verts), len(m.tris)}}
	return m, nil
}

// badRecord says what is wrong with the coordinates of a triangle.
func badRecord(rec []byte) wrongCoordinate {
	var c [9]float64
	for k := range c {
		c[k] = float64(math.Float32frombits(binary.LittleEndian.Uint32(rec[12+4*k:])))
	}
	return badCoordinate(c[:]...)
}

// wrongCoordinate is a refusal that still needs its place.
type wrongCoordinate string

func badCoordinate(xyz ...float64) wrongCoordinate {
	for _, x := range xyz {
		switch {
		case math.IsNaN(x):
			return "a coordinate that is not a number"
		case math.IsInf(x, 0):
			return "an infinite coordinate"
		}
	}
	return "a coordinate beyond 10,000,000"
}

// in names the place: "triangle", 12.
func (w wrongCoordinate) in(what string, n int) error {
	return bad("%s %s has %s", what, group(n), string(w))
}
