package mesh

import "math"

// winding is how often a surface goes round a point: 1 inside a closed one that
// faces outward, −1 if it faces inward, 0 outside, and a share for an open one.
// It adds the solid angles of the triangles listed (A. van Oosterom, J. Strackee,
// The solid angle of a plane triangle, IEEE Trans. Biomed. Eng. 30, 1983,
// doi:10.1109/TBME.1983.325207, from memory).
func winding(verts []point, tris []triangle, list []uint32, p point) float64 {
	var sum neumaier
	for _, i := range list {
		sum.add(solidAngle(verts, &tris[i], p))
	}
	return sum.value() / (4 * math.Pi)
}

func solidAngle(verts []point, t *triangle, p point) float64 {
	a, b, c := sub(verts[t[0]], p), sub(verts[t[1]], p), sub(verts[t[2]], p)
	la, lb, lc := length(a), length(b), length(c)
	return 2 * math.Atan2(det(a, b, c), la*lb*lc+dot(a, b)*lc+dot(b, c)*la+dot(c, a)*lb)
}
