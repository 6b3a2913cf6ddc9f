package mesh

import "slices"

// Scaled is the report as it would be had every length been k times as long, k
// positive; its findings are said anew. It measures nothing more: the mesh stays
// with the original, so Thickness of the result is not to be asked.
func (r *Report) Scaled(k float64) Report {
	out := *r
	out.mesh, out.tris, out.out = nil, nil, nil
	k2, k3 := k*k, k*k*k
	for _, v := range []*float64{&out.Volume, &out.Low, &out.High, &out.AsWound, &out.Outer, &out.Hollow, &out.IfHollow, &out.Warp} {
		*v *= k3
	}
	out.Area *= k2
	out.Widest *= k
	out.Lo, out.Hi, out.Size = scale(r.Lo, k), scale(r.Hi, k), scale(r.Size, k)
	out.Holes = slices.Clone(r.Holes)
	for i := range out.Holes {
		h := &out.Holes[i]
		h.Extent *= k
		h.Center, h.vector = scale(h.Center, k), scale(h.vector, k2)
	}
	out.Shells = slices.Clone(r.Shells)
	for i := range out.Shells {
		s := &out.Shells[i]
		s.Volume *= k3
		s.Lo, s.Hi = scale(s.Lo, k), scale(s.Hi, k)
	}
	out.Findings = out.findings()
	return out
}

// Scaled is the thickness of the same part with every length k times as long.
func (t Thick) Scaled(k float64) Thick {
	t.Thickest *= k
	t.Thinnest *= k
	t.Median *= k
	t.ThinnestSpread *= k
	t.Center = scale(t.Center, k)
	return t
}
