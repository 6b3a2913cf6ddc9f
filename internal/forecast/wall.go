package forecast

import (
	"fmt"
	"strings"
	"unicode"

	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// wallKind is a kind of wall as members write it.
type wallKind struct {
	kind  cure.WallKind
	usual float64 // mm where no thickness is said; common practice, no source
	note  string  // what is taken in its place, where it is not quite that
}

// wallWords are the words for walls.
var wallWords = map[string]wallKind{
	"silicone": {cure.WallSilicone, 10, ""}, "rubber": {cure.WallSilicone, 10, "Rubber was taken as silicone."},
	"urethane": {cure.WallUrethane, 10, ""}, "polyurethane": {cure.WallUrethane, 10, ""},
	"latex":   {cure.WallUrethane, 5, "Latex was taken as urethane rubber, which leads heat about as well (judgement)."},
	"plaster": {cure.WallPlaster, 20, ""}, "gypsum": {cure.WallPlaster, 20, ""},
	"aluminum": {cure.WallAluminum, 10, ""}, "aluminium": {cure.WallAluminum, 10, ""},
	"metal":   {cure.WallAluminum, 10, "Metal was taken as aluminum."},
	"plastic": {cure.WallPlastic, 2, ""}, "print": {cure.WallPlastic, 2, ""}, "printed": {cure.WallPlastic, 2, ""},
}

// fillWords may stand beside a wall without meaning anything of their own.
var fillWords = map[string]bool{"wall": true, "walls": true, "mold": true, "mould": true, "thick": true, "of": true, "a": true, "top": true}

// Walls is what is about a part.
type Walls struct {
	Layers []cure.Wall // outward; nil is the usual one
	Open   bool        // poured open
	Notes  []string    // every default that was used
}

// ParseWalls reads "silicone 10 mm", "plaster", "open", or the layers outward,
// "silicone 6 mm, plaster 20 mm, open". Errors: not_found for a wall that is
// not known, and those of quantity.Parse, of option wall.
func ParseWalls(text string, sys quantity.System) (Walls, error) {
	var w Walls
	for _, piece := range quantity.SplitList(strings.ReplaceAll(text, "+", ",")) {
		kind, size, open := splitWall(piece)
		switch {
		case open && kind == "" && size == "":
			w.Open = true
			continue
		case kind == "" && size == "":
			continue
		}
		layer, err := w.layer(kind, size, sys)
		if err != nil {
			return Walls{}, err
		}
		w.Open = w.Open || open
		w.Layers = append(w.Layers, layer)
	}
	if len(w.Layers) == 0 && !w.Open {
		return Walls{}, unknownWall(text)
	}
	return w, nil
}

// splitWall takes the words of a layer apart: its kind, what else is said of
// it, and whether it is open.
func splitWall(piece string) (kind, size string, open bool) {
	var rest []string
	for _, word := range strings.Fields(piece) {
		low := strings.ToLower(word)
		switch {
		case low == "open":
			open = true
		case fillWords[low]:
		case kind == "" && len(low) > 2 && !strings.ContainsFunc(low, func(r rune) bool { return !unicode.IsLetter(r) }):
			kind = low
		default:
			rest = append(rest, word)
		}
	}
	return kind, strings.Join(rest, " "), open
}

func (w *Walls) layer(kind, size string, sys quantity.System) (cure.Wall, error) {
	k := wallWords["silicone"]
	if kind != "" {
		var known bool
		if k, known = wallWords[kind]; !known {
			return cure.Wall{}, unknownWall(kind)
		}
	} else {
		w.note("The wall was taken as silicone.")
	}
	if k.note != "" {
		w.note(k.note)
	}
	if size == "" {
		w.note(fmt.Sprintf("The %s wall was taken as %s thick, as is usual; say wall:%q or what it is.", k.kind,
			quantity.Text(k.usual, quantity.Length, sys), fmt.Sprintf("%s %g mm", k.kind, k.usual)))
		return cure.Wall{Kind: k.kind, Thick: k.usual}, nil
	}
	q, notes, err := quantity.Parse(size, quantity.Want{Option: "wall", Dims: []quantity.Dim{quantity.Length}, System: sys})
	if err != nil {
		if f := fault.As(err); f != nil {
			return cure.Wall{}, f.In("wall")
		}
		return cure.Wall{}, err
	}
	for _, n := range notes {
		w.note(n)
	}
	return cure.Wall{Kind: k.kind, Thick: q.Value}, nil
}

func (w *Walls) note(text string) { w.Notes = append(w.Notes, text) }

func unknownWall(text string) error {
	f := fault.New(fault.NotFound, "no wall is known as %.40q", text).In("wall").
		Hint("give silicone, urethane, latex, plaster, aluminum or plastic with its thickness, such as silicone 10 mm, or open for an open face")
	return f.Choose("silicone 10 mm", "urethane 10 mm", "plaster 20 mm", "aluminum 10 mm", "plastic 2 mm", "open")
}

// moldWall is the wall of a stored mold by its family, and what was taken for
// granted.
func moldWall(family string, thick float64) (cure.Wall, string) {
	k, note := wallWords["silicone"], ""
	switch family {
	case "condensation", "addition":
	case "urethane":
		k = wallWords["urethane"]
	case "latex":
		k = wallWords["latex"]
		note = k.note
	case "plaster":
		k = wallWords["plaster"]
	default:
		note = "The mold does not say what it is made of: its wall was taken as silicone."
	}
	if thick == 0 {
		thick = k.usual
		note = strings.TrimSpace(note + fmt.Sprintf(" The mold does not say its wall: %g mm was taken.", thick))
	}
	return cure.Wall{Kind: k.kind, Thick: thick}, note
}
