package mesh

import (
	"errors"
	"math"

	"github.com/pourwright/pourwright/internal/fault"
)

// ErrStopped is returned when the done channel closed before the work ended.
var ErrStopped = errors.New("mesh: stopped")

// Format is the kind of file a mesh came from.
type Format string

// The formats that Read knows.
const (
	STLBinary Format = "STL, binary"
	STLText   Format = "STL, text"
	OBJ       Format = "OBJ"
	PLYText   Format = "PLY, text"
	PLYBinary Format = "PLY, binary"
	ThreeMF   Format = "3MF"
)

type (
	point    = [3]float64
	triangle = [3]uint32
)

// Mesh is a set of triangles, with equal points joined. It keeps nothing of the
// file's bytes.
type Mesh struct {
	Format Format
	// Unit is the unit the file declares, or 0. When it is set, lengths are in
	// millimeters already.
	Unit Unit
	// Header is the printable text of an STL header, an OBJ's first comment or
	// a PLY's first comment, at most 80 bytes. It comes from a stranger.
	Header string
	// Placed counts the meshes that are placed in a 3MF build; 1 elsewhere.
	Placed int
	// Notes say what was odd about the file though it could be read.
	Notes []string

	verts []point
	tris  []triangle
	parts []part
	// blocks is how the reader grouped triangles and points by place, or nil.
	blocks []block
	warp   float64 // how far the volume may move if polygons are cut otherwise
}

// part is one placed mesh: the points and triangles up to these ends. Points
// are never joined across parts.
type part struct{ verts, tris int }

// Triangles is the number of triangles, placed and as stored: polygons count
// as the triangles they are cut into, and faces without area are counted.
func (m *Mesh) Triangles() int { return len(m.tris) }

// Vertices is the number of different points in use.
func (m *Mesh) Vertices() int { return len(m.verts) }

// Bounds are the lowest and highest coordinates of the points in use.
func (m *Mesh) Bounds() (lo, hi [3]float64) { return bounds(m.verts) }

// Size is the extent along x, y and z.
func (m *Mesh) Size() [3]float64 {
	lo, hi := m.Bounds()
	return sub(hi, lo)
}

// Corner is corner k (0 to 2) of triangle t (0 to Triangles()-1).
func (m *Mesh) Corner(t, k int) [3]float64 { return m.verts[m.tris[t][k]] }

// Scale multiplies every length by k, which must be positive and must leave the
// mesh inside the coordinate limit of 1e7; otherwise it changes nothing and
// returns an out_of_range fault.
func (m *Mesh) Scale(k float64) error {
	if !(k > 0) || math.IsInf(k, 0) {
		return fault.New(fault.OutOfRange, "a mesh cannot be resized by a factor of %g", k).
			Hint("give a factor above zero, such as 1.02 or 150 %%")
	}
	lo, hi := m.Bounds()
	for i := range lo {
		if math.Max(math.Abs(lo[i]), math.Abs(hi[i]))*k > maxCoordinate {
			return fault.New(fault.OutOfRange, "resized by %g the mesh would lie beyond 10 km", k).
				Hint("check the unit of the file")
		}
	}
	for i := range m.verts {
		v := &m.verts[i]
		v[0], v[1], v[2] = v[0]*k, v[1]*k, v[2]*k
	}
	m.warp *= k * k * k
	return nil
}

// boundsOf is bounds by two workers if there are many points.
func boundsOf(verts []point, workers int) (lo, hi point) {
	if workers < 2 || len(verts) < stopEvery {
		return bounds(verts)
	}
	var lows, highs [2]point
	inTwo(workers, func(i int) {
		lows[i], highs[i] = bounds(verts[i*len(verts)/2 : (i+1)*len(verts)/2])
	})
	for k := range 3 {
		lo[k], hi[k] = min(lows[0][k], lows[1][k]), max(highs[0][k], highs[1][k])
	}
	return lo, hi
}

func bounds(verts []point) (lo, hi point) {
	if len(verts) == 0 {
		return lo, hi
	}
	lo, hi = verts[0], verts[0]
	for i := range verts {
		v := &verts[i]
		for k := range 3 {
			if v[k] < lo[k] {
				lo[k] = v[k]
			}
			if v[k] > hi[k] {
				hi[k] = v[k]
			}
		}
	}
	return lo, hi
}

// stopped reports whether done is closed; a nil channel never is.
func stopped(done <-chan struct{}) bool {
	select {
	case <-done:
		return true
	default:
		return false
	}
}
