package color

import (
	"fmt"
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/quantity"
)

// Why says what keeps a target out of reach.
type Why struct {
	Lighter bool // than the base, and nothing in the palette lightens
	AtLimit bool // the load limit is used up
	Duller  bool // the target is more colorful than the mix

	// What is left of the difference, target minus mix, in CIELAB: lightness,
	// chroma, and hue as a distance.
	Lightness, Chroma, Hue float64

	Base    BaseKind // that is in the way, or ""
	Instead BaseKind // a kind of base in which the same palette would come close, or ""
	Wall    Wall     // that Instead was looked at in
	limit   float64
}

// Differences in CIELAB that are worth a reason.
const leftOver = 2

func (w *Want) why(best Blend, done <-chan struct{}) (*Why, error) {
	target := w.Target.Lab()
	f := w.fit(nil, target)
	for _, d := range best.Doses {
		if most := d.Tint.MaxLoad; most > 0 {
			f.most = min(f.most, most)
		}
	}
	reason := &Why{limit: f.most}
	reason.Lightness = target.L - best.Lab.L
	reason.Chroma = target.Chroma() - best.Lab.Chroma()
	da, db := target.A-best.Lab.A, target.B-best.Lab.B
	reason.Hue = math.Sqrt(max(0, da*da+db*db-reason.Chroma*reason.Chroma))

	var bare stack
	bare.fill(w.Base, nil, w.Wall)
	reason.Lighter = target.L > bare.lab().L && !w.lightens()
	reason.AtLimit = best.Load > f.most*(1-1e-3)
	reason.Duller = reason.Chroma > leftOver
	return reason, w.tryOthers(reason, done)
}

func (w *Want) lightens() bool {
	for _, t := range w.Palette {
		if t.pale {
			return true
		}
	}
	return false
}

// others are the bases worth trying in place of one, in order.
var others = map[BaseKind][]BaseKind{
	WhiteBase: {ClearBase},
	BlackBase: {WhiteBase, ClearBase},
	AmberBase: {WhiteBase, ClearBase},
	ClearBase: {WhiteBase},
}

// tryWall is the wall that a clear base is tried in if none was given.
var tryWall = Wall{MM: 6, Backing: WhiteBacking}

// tryOthers runs the same search in the other kinds of base. The base is only
// blamed where another one comes close.
func (w *Want) tryOthers(reason *Why, done <-chan struct{}) error {
	for _, kind := range others[w.Base.Kind] {
		base, err := usualBase(kind)
		if err != nil {
			return err
		}
		other := *w
		other.Base = base
		if !kind.Opaque() && other.Wall.MM == 0 {
			other.Wall = tryWall
		}
		blends, err := other.search(closeMost, done)
		if err != nil {
			return err
		}
		if blends[0].Verdict() != Unreachable {
			reason.Base, reason.Instead, reason.Wall = w.Base.Kind, kind, other.Wall
			return nil
		}
	}
	return nil
}

// usualBase is a base of a kind without a color of its own.
func usualBase(kind BaseKind) (*Base, error) {
	spec, _, err := ReadCured(string(kind))
	if err != nil {
		return nil, err
	}
	return NewBase(spec, nil)
}

// Text is the reason as the rest of a sentence that begins "not reachable: the
// closest is #B8696F, because".
func (y *Why) Text() string {
	var because []string
	if y.Base != "" {
		because = append(because, fmt.Sprintf("the base is %s", y.Base))
	}
	if y.Lighter {
		because = append(because, "the wanted color is lighter than the base and no tint here lightens it")
	}
	if y.AtLimit {
		because = append(because, fmt.Sprintf("the load limit of %s is used up", quantity.Percent(y.limit)))
	}
	if y.Duller {
		because = append(because, fmt.Sprintf("it is more colorful than these tints get (by %.0f in chroma)", y.Chroma))
	}
	if len(because) == 0 {
		because = append(because, "these tints do not get there: "+y.Left())
	}
	text := because[0]
	if last := len(because) - 1; last > 0 {
		text = strings.Join(because[:last], ", ") + " and " + because[last]
	}
	if y.Instead == "" {
		return text
	}
	text += fmt.Sprintf("; a %s-curing base would reach it on paper", y.Instead)
	if y.Wall.MM > 0 {
		text += fmt.Sprintf(", %s mm thick over %s", num(y.Wall.MM), behindWord(y.Wall.Backing))
	}
	return text
}

func behindWord(b Backing) string {
	if b == BlackBacking {
		return "black"
	}
	return "white"
}

// Left says what is left of the difference, "lighter by 12, less colorful by 3,
// hue off by 5".
func (y *Why) Left() string {
	var parts []string
	say := func(v float64, more, less string) {
		switch {
		case v >= leftOver:
			parts = append(parts, fmt.Sprintf("%s by %.0f", more, v))
		case v <= -leftOver:
			parts = append(parts, fmt.Sprintf("%s by %.0f", less, -v))
		}
	}
	say(y.Lightness, "the wanted color is lighter", "the wanted color is darker")
	say(y.Chroma, "more colorful", "less colorful")
	say(y.Hue, "hue off", "hue off")
	if len(parts) == 0 {
		return "several small differences add up"
	}
	return strings.Join(parts, ", ")
}
