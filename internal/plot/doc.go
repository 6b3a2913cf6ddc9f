// Package plot draws the pictures that go with an answer, as PNG from plain
// values: a shaded view of a part with its sizes, curves over time with their
// range, and patches of color. Each has a text that gives the same numbers to
// those who cannot see it.
//
//	p := plot.Part{Triangles: m.Triangles(), Corner: m.Corner, Sizes: [3]string{"32 mm", "32 mm", "30 mm"}}
//	data, err := p.PNG() // 720 × 540, sRGB
//	alt := p.Alt()       // "The part, seen from above, front right: 32 mm in x, …"
//
// Pictures are made for a phone: 720 pixels wide, shown at half of that, so no
// letter is smaller than 20 pixels. They are opaque on a light gray, which
// stands as a card on light and dark pages alike. Nothing is told by color
// alone. The same values give the same bytes.
//
// Texts are handed in, in the member's units. What can't be drawn (nothing
// there, numbers that are not finite, more than a picture's worth of work) is an
// error and never a panic. Left out: reading files, units, colors as physics.
//
// # Decisions
//
// Lines, letters and axes are gonum/plot's. The view of a part is ours: it
// is one scan over the triangles into a depth buffer, which needs none of a 3-D
// library's scene, and its work is bounded whatever a stranger's file holds.
package plot
