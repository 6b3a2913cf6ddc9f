// Package mesh answers what a 3-D file says to someone who wants to cast it:
// how much it holds, how big it is, whether it is closed, where it is thick and
// where it is thin. It reads STL (text and binary), OBJ, PLY (text and both
// binary kinds) and 3MF from bytes, told apart by content and never by name.
//
//	m, err := mesh.Read(data, mesh.ChatLimits(), done) // *fault.Error on a bad file
//	if m.Unit == 0 {                                   // the file does not say
//		g := mesh.GuessUnit(m.Size(), m.Header) // g.Ask: show g.Candidates first
//		m.Scale(g.Unit.MM())
//	}
//	r, err := m.Measure(done, 2) // volume, area, box, holes, shells, r.Findings
//	t, err := r.Thickness(rng, done) // thickest and thinnest section
//
// Lengths are millimeters once the unit is known (3MF arrives in millimeters);
// until then they are the numbers in the file. Areas and volumes are the square
// and cube of that: 1000 mm³ is 1 mL.
//
// Left out: color, texture, beams, slices, and any repair beyond joining points
// that are a hair apart, dropping faces without area and turning faces. Every
// such step is told in Report.Findings.
//
// # Decisions
//
// Points are joined by exact equality in a hash table whose key is chosen anew
// in each process, so nobody can craft a file that makes it slow; numbering is
// by use and does not depend on the key. Binary STL whose triangles lie scattered
// is first sorted into regions of space that fit near the processor; points are
// joined region by region, with no table for the whole. Edges are matched in the
// same way, block by block, where a block is a run of triangles and a run of
// points: all uses of an edge go to the block of its lower corner. Workers share
// out regions and blocks, and nothing they find depends on how. Sums run over
// fixed blocks in fixed order with Neumaier's correction, so one file gives one
// answer, to the bit, for any number of workers.
package mesh
