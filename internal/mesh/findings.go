package mesh

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// findings puts what was found into sentences for the maker.
func (r *Report) findings() []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if r.Kind == Loose {
		say("These are loose faces and no solid: only size and area can be given.")
	} else {
		r.sayOpen(say)
		r.sayPieces(say)
	}
	t := &r.Topology
	if t.NonManifold > 0 && r.Kind != Loose {
		say("%s three or more faces: walls meet or are doubled there.", count(t.NonManifold, "edge has", "edges have"))
	}
	if !r.Orientable {
		say("The surface has one side only, like a twisted band, so inside and outside cannot be told; take the volume as a rough guess.")
	}
	cracked := r.Kind == Solid && t.OpenEdges > 0 // cracks part what is one piece
	if n := t.Shells; n > 1 && r.Kind != Loose && !r.isHollow() && !r.SameWay && !cracked {
		say("The file holds %s separate pieces%s.", group(n), r.pieces())
	}
	if r.Kind != Loose {
		r.sayTurned(say)
	}
	if r.Joined > 0 {
		say("%s a hair apart from a neighbor and joined to it, which closed the gaps.", count(r.Joined, "point was", "points were"))
	}
	if n := r.Dropped + t.RepeatedCorner; n > 0 {
		say("%s no area and %s left out.", count(n, "triangle had", "triangles had"), wasWere(n))
	}
	if w := r.Warp; r.Kind == Solid && w > 1e-4*r.Volume {
		say("Some faces with four or more corners are not flat: the volume may differ by %s.", percent(w, r.Volume))
	}
	return append(out, r.FileNotes...)
}

func (r *Report) sayOpen(say func(string, ...any)) {
	if r.Topology.OpenEdges == 0 {
		return
	}
	edges := count(r.Topology.OpenEdges, "open edge", "open edges")
	if r.Kind == Solid {
		say("%s: hairline cracks, no real hole. The volume is good.", edges)
		return
	}
	say("%s: the volume may be wrong by about %s. %s, the largest about %s across, closed flat for the sum.",
		edges, percent((r.High-r.Low)/2, r.Volume), capital(count(r.Openings, "hole", "holes")), mm(r.Widest))
}

func (r *Report) sayPieces(say func(string, ...any)) {
	switch {
	case r.SameWay:
		say("A piece inside another faces the same way, so it may be solid or hollow: %s if solid, %s if hollow.", ml(r.Volume), ml(r.IfHollow))
	case r.isHollow():
		say("It has a sealed hollow of %s. One pour cannot make that; cast solid it takes %s.", ml(r.Hollow), ml(r.Outer))
	}
	switch {
	case r.Overlap && r.Low < r.Volume:
		say("Pieces run into each other: %s is the most it can take, the real volume is about %s.", ml(r.Volume), ml(r.Low))
	case r.Overlap:
		say("Pieces run into each other: the real volume is lower than %s.", ml(r.Volume))
	case r.Topology.Shells > 1 && !r.Nested && r.Topology.OpenEdges == 0:
		say("There are too many pieces to tell one by one which lie inside others; take the volume as about.")
	}
}

// isHollow reports a sealed hollow that is more than rounding.
func (r *Report) isHollow() bool { return r.Hollow > 1e-9*r.Volume }

func (r *Report) sayTurned(say func(string, ...any)) {
	switch {
	case r.Turned == 0:
	case r.Turned >= r.Triangles-r.Topology.RepeatedCorner-r.Dropped:
		say("All faces pointed inward; they were turned.")
	default:
		say("%s inward; they were turned.", count(r.Turned, "face pointed", "faces pointed"))
	}
}

// pieces lists the volumes of a few shells.
func (r *Report) pieces() string {
	const most = 6
	if len(r.Shells) == 0 || r.Topology.OpenEdges > 0 {
		return ""
	}
	var list []string
	for i, sh := range r.Shells {
		if i == most {
			list = append(list, "…")
			break
		}
		list = append(list, ml(math.Abs(sh.Volume)))
	}
	return ": " + strings.Join(list, ", ")
}

func wasWere(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return group(n) + " " + many
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// ml prints cubic millimeters as milliliters or liters with four digits, and
// no comma between thousands, which could not be typed back.
func ml(v float64) string {
	if v < 1e6 {
		return sensible(v/1000) + " mL"
	}
	return sensible(v/1e6) + " L"
}

func mm(l float64) string { return fmt.Sprintf("%.2g mm", l) }

func sensible(x float64) string {
	if x >= 1000 {
		return fmt.Sprintf("%.0f", x)
	}
	if x < 1e-4 {
		return strconv.FormatFloat(x, 'f', -1, 32)
	}
	return fmt.Sprintf("%.4g", x)
}

func percent(part, whole float64) string {
	p := 100 * part / whole
	switch {
	case !(p < 1000):
		return "more than ten times itself"
	case p < 0.1:
		return fmt.Sprintf("%.1g %%", p)
	case p < 10:
		return fmt.Sprintf("%.2g %%", p)
	}
	return fmt.Sprintf("%.0f %%", p)
}
