package meshtest

import "math"

// Revolve turns a profile of (radius, height) points about the z axis in n
// steps. The profile runs from the axis below to the axis above, radii in
// between positive.
func Revolve(profile [][2]float64, n int) Mesh {
	var m Mesh
	inner := profile[1 : len(profile)-1]
	m.Points = append(m.Points, [3]float64{0, 0, profile[0][1]}, [3]float64{0, 0, profile[len(profile)-1][1]})
	for _, p := range inner {
		for i := range n {
			a := 2 * math.Pi * float64(i) / float64(n)
			m.Points = append(m.Points, [3]float64{p[0] * math.Cos(a), p[0] * math.Sin(a), p[1]})
		}
	}
	at := func(ring, i int) int { return 2 + ring*n + i%n }
	for i := range n {
		m.Faces = append(m.Faces, [3]int{0, at(0, i+1), at(0, i)}, [3]int{1, at(len(inner)-1, i), at(len(inner)-1, i+1)})
		for r := range len(inner) - 1 {
			m.Faces = append(m.Faces, [3]int{at(r, i), at(r, i+1), at(r+1, i+1)}, [3]int{at(r, i), at(r+1, i+1), at(r+1, i)})
		}
	}
	return m
}

// CabinetKnob is a knob of 32 mm across and 30 mm high, the sample part that
// lies in testdata/parts.
func CabinetKnob() Mesh {
	return Revolve([][2]float64{
		{0, 0}, {9, 0}, {9, 2}, {7.4, 3.6}, {6.2, 6}, {6, 9}, {6.6, 11.4}, {9, 13.2}, {12.4, 14.8}, {14.8, 17}, {15.8, 19.4},
		{16, 21.6}, {15.4, 24}, {13.6, 26.4}, {10.8, 28.2}, {7.2, 29.4}, {3.6, 29.9}, {0, 30},
	}, 96)
}
