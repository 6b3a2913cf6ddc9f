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
	w := &welder{verts: make([]point, 0, n*33/64+64)} // a closed mesh has about n/2 points
	w.start(n/2 + 8)
	m.tris = make([]triangle, n)
	body := data[stlHeader : stlHeader+n*stlRecord]
	for t := range m.tris {
		if t%stopEvery == 0 && stopped(done) {
			return nil, ErrStopped
		}
		rec := body[t*stlRecord:][:stlRecord]
		for k := range 3 {
			x, okX := coordinate32(rec[12+12*k:])
			y, okY := coordinate32(rec[16+12*k:])
			z, okZ := coordinate32(rec[20+12*k:])
			if !okX || !okY || !okZ {
				return nil, badCoordinate(x, y, z).in("triangle", t+1)
			}
			m.tris[t][k] = w.id(x, y, z)
		}
	}
	m.verts = w.verts
	m.parts = []part{{len(m.verts), len(m.tris)}}
	return m, nil
}

// coordinate32 reads a little endian float32; ok says it is a number within the
// coordinate limit.
func coordinate32(b []byte) (x float64, ok bool) {
	x = float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
	return x, x <= maxCoordinate && x >= -maxCoordinate
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
