package mesh

// Kind says how far the volume of a mesh can be trusted.
type Kind string

// The kinds. Only Loose has no volume.
const (
	Solid Kind = "solid" // closed: the volume is as exact as the file
	About Kind = "about" // open, tangled or overlapping: see Low and High
	Loose Kind = "loose" // a sheet or loose faces: size and area only
)

// Report is what a mesh measures. Lengths are in the unit of the mesh; the
// sentences in Findings take it to be millimeters. It keeps the mesh alive.
type Report struct {
	Kind      Kind
	Triangles int // placed, as stored

	// Volume is the space the part fills, 0 or more. For a Solid it is good to
	// about 1e-12 of itself, and Low and High differ from it only where polygons
	// are not flat. For About it is the best single figure: with holes closed
	// flat, or the plain sum of overlapping pieces, which is the most it can be.
	Volume, Low, High float64
	// AsWound is the sum of signed volumes with the faces as the file has them,
	// seen from the origin. Unless Defect is 0 it depends on that.
	AsWound float64
	// Outer is the volume with sealed hollows filled: what a mold of the outside
	// must leave free. Hollow is Outer − Volume.
	Outer, Hollow float64
	// IfHollow is the volume if shells inside others, which face the same way as
	// these, are meant as hollows. It is set when SameWay is.
	IfHollow float64

	Area         float64
	Lo, Hi, Size [3]float64

	// Stored counts the mesh with equal points joined and nothing else done.
	// Topology counts it after points a hair apart were joined (Joined of them)
	// and, if that closed it, triangles without area were left out (Dropped).
	Stored          Topology
	Topology        Topology
	Joined, Dropped int

	Flipped    int  // faces that ran against most of their neighbors
	Turned     int  // faces that pointed inward and were turned
	Orientable bool // false: it has one side only, such as a Möbius strip
	Overlap    bool // pieces run into each other
	SameWay    bool // a shell inside another faces the same way: solid or hollow?
	Nested     bool // which shell lies in which is known
	// Defect is |sum of area vectors| / area, 0 for a closed surface.
	Defect float64
	Holes  []Hole // largest first
	// Openings counts the holes that are more than hairline cracks, and Widest
	// is the extent of the largest; both stay true when Holes is cut short.
	Openings int
	Widest   float64
	Shells   []Shell // set when there are two or more; in order of the file

	// Warp is how far the volume may move if polygons are cut otherwise.
	Warp float64
	// FileNotes say what was odd about the file though it could be read.
	FileNotes []string
	// Findings are sentences for the maker, the gravest first.
	Findings []string

	mesh *Mesh
	rims []rimEdge  // of the holes, as tris run them
	tris []triangle // all facing outward as far as that is known
	out  func(int) bool
	// depths tells for each triangle how many shells its own lies in; nil if none
	// lies in another.
	depths []int32
}

// Watertight reports whether every edge has exactly one partner, once points a
// hair apart were joined, faces turned and triangles without area left out.
func (r *Report) Watertight() bool {
	return r.Topology.OpenEdges == 0 && r.Topology.NonManifold == 0 && r.Orientable
}
