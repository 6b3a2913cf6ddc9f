package mesh

import "math"

func add(a, b point) point              { return point{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func sub(a, b point) point              { return point{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func scale(a point, k float64) point    { return point{a[0] * k, a[1] * k, a[2] * k} }
func along(a, d point, k float64) point { return point{a[0] + d[0]*k, a[1] + d[1]*k, a[2] + d[2]*k} }
func dot(a, b point) float64            { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func length(a point) float64            { return math.Sqrt(dot(a, a)) }
func middle(a, b point) point           { return scale(add(a, b), 0.5) }
func det(a, b, c point) float64         { return dot(a, cross(b, c)) }
func distance(a, b point) float64       { return length(sub(a, b)) }
func cross(a, b point) point {
	return point{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
