package color

import (
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// BaseKind is what an untinted base cures to. Its look as a liquid says
// nothing: many that cure white or black are clear in the cup.
type BaseKind string

// The kinds of base.
const (
	WhiteBase BaseKind = "white" // and every other opaque light one
	BlackBase BaseKind = "black"
	AmberBase BaseKind = "amber"
	ClearBase BaseKind = "clear"
)

// scatters is S of a base by its kind, in 1/mm. Common practice, no source:
// only walls that let light through, white tints and tints moved to another
// kind of base depend on it.
var scatters = map[BaseKind]float64{WhiteBase: 5, BlackBase: 0.5, AmberBase: 0.02, ClearBase: 0.002}

// Opaque reports whether a usual part is too thick to see through.
func (k BaseKind) Opaque() bool { return k == WhiteBase || k == BlackBase }

// Backing is what a wall was seen on, in contact with it.
type Backing string

// The backings. White is a white card.
const (
	NoBacking    Backing = ""
	WhiteBacking Backing = "white"
	BlackBacking Backing = "black"
)

const cardReflectance = 0.90 // of a white card, internal; no source

func (b Backing) reflectance() float64 {
	if b == BlackBacking {
		return 0
	}
	return cardReflectance
}

// Wall is a thickness in mm over a backing. Zero is a wall too thick to see
// through.
type Wall struct {
	MM      float64
	Backing Backing
}

// Bounds of a wall that light gets through, in mm.
const (
	wallLeast = 0.05
	wallMost  = 500
)

func (w Wall) check() error {
	if w.MM == 0 || w.MM >= wallLeast && w.MM <= wallMost {
		return nil
	}
	return fault.New(fault.OutOfRange, "a wall of %s mm is outside %v to %v mm", num(w.MM), wallLeast, wallMost).
		In("wall").Hint("give the thickness of the part where its color matters, such as 6 mm")
}

// BaseSpec describes a base by its cured color.
type BaseSpec struct {
	Name    string
	Kind    BaseKind
	Seen    Reading // of the cured, untinted base; may be none for a clear one
	Wall    Wall    // that it was seen on; zero for an opaque one
	Scatter float64 // S in 1/mm; 0 takes the usual one of its kind
	Quality Quality
}

// Base is an untinted base as light meets it.
type Base struct {
	Name    string
	Kind    BaseKind
	Quality Quality
	Notes   []string // what was assumed

	k, s Spectrum // 1/mm
}

// scatterMost bounds a scattering given by a member, in 1/mm.
const scatterMost = 100

// NewBase works out a base. Errors: missing_option (no color of one that is not
// clear; no wall of one that light passes), out_of_range, bad_color, not_found (kind).
func NewBase(spec BaseSpec, cache *Cache) (*Base, error) {
	s, ok := scatters[spec.Kind]
	if !ok {
		return nil, fault.New(fault.NotFound, "there is no kind of base %q", fault.Echo(string(spec.Kind))).In("base").
			Hint("a base cures white, black, amber or clear").Choose("white", "black", "amber", "clear")
	}
	if spec.Scatter != 0 {
		if s = spec.Scatter; !(s > 0 && s <= scatterMost) {
			return nil, fault.New(fault.OutOfRange, "a scattering of %s per mm is outside 0 to %v", num(s), scatterMost).In("base").
				Hint("leave it out to take the usual one of a %s base", spec.Kind)
		}
	}
	if err := spec.Wall.check(); err != nil {
		return nil, err
	}
	if err := spec.Seen.check("base"); err != nil {
		return nil, err
	}
	b := &Base{Name: spec.Name, Kind: spec.Kind, Quality: spec.Quality, s: flat(s)}
	if spec.Seen.None() {
		if spec.Kind != ClearBase {
			return nil, fault.New(fault.MissingOption, "the color that %s cures to is not known", named(spec.Name)).In("base").
				Hint("read it off a cured, untinted piece and save it with the material as cured_color, such as #F2EFE6")
		}
		return b, nil
	}
	if !spec.Kind.Opaque() && spec.Wall.MM == 0 {
		return nil, fault.New(fault.MissingOption, "the color of %s depends on how thick the piece was", named(spec.Name)).In("wall").
			Hint("give the thickness of the piece that the color was read from, such as 6 mm")
	}
	internal, notes := spec.Seen.inside(cache)
	b.Notes = notes
	b.k = absorbs(&internal, &b.s, spec.Wall)
	return b, nil
}

func named(name string) string {
	if name == "" {
		return "this base"
	}
	return name
}

// ReadCured turns the cured color of a material profile into a BaseSpec: a
// code is an opaque base, dark ones black; "clear" and "amber" are words with a
// meaning here. A word's color is a usual one and noted as such: assumed is
// true, and its quality poor. Error: bad_color.
func ReadCured(text string) (spec BaseSpec, assumed bool, err error) {
	word := strings.ToLower(strings.TrimSpace(text))
	switch word {
	case "clear", "water clear", "water-clear", "transparent":
		return BaseSpec{Kind: ClearBase, Quality: Careful}, false, nil
	case "amber":
		usual := Hex(RGB{0xC9, 0xA0, 0x4E})
		return BaseSpec{Kind: AmberBase, Seen: usual, Wall: Wall{MM: 6, Backing: WhiteBacking}, Quality: Poor}, true, nil
	case "white", "off-white":
		return BaseSpec{Kind: WhiteBase, Seen: Hex(RGB{0xF0, 0xF0, 0xF0}), Quality: Poor}, true, nil
	case "black":
		return BaseSpec{Kind: BlackBase, Seen: Hex(RGB{0x1E, 0x1D, 0x1F}), Quality: Poor}, true, nil
	}
	code, err := ParseHex(word)
	if err != nil {
		return BaseSpec{}, false, fault.New(fault.BadColor, "the cured color %q is neither a color code nor clear, amber, white or black", fault.Echo(text)).In("base").
			Hint("read it off a cured, untinted piece and save it as cured_color, such as %s", fmt.Sprint(RGB{0xF2, 0xEF, 0xE6}))
	}
	spec = BaseSpec{Kind: WhiteBase, Seen: Hex(code), Quality: Careful}
	if code.Lab().L < blackBelow {
		spec.Kind = BlackBase
	}
	return spec, false, nil
}

// blackBelow is the lightness under which an opaque base counts as black; no
// source.
const blackBelow = 35

// absorbs finds K per band from what is seen behind the gloss of a wall that
// scatters s.
func absorbs(internal, s *Spectrum, w Wall) (k Spectrum) {
	for i, r := range internal {
		if w.MM == 0 {
			k[i] = s[i] * Absorption(r)
			continue
		}
		k[i] = absorption(r, s[i], w)
	}
	return k
}

// absorptionMost is the K, in 1/mm, above which nothing is blacker.
const absorptionMost = 1e6

// absorption solves for K of a wall by halving: reflectance falls with K. A
// wall that is lighter than a clear one could be has K = 0.
func absorption(r, s float64, w Wall) float64 {
	lighter := func(k float64) bool {
		reflected, passed := Layer(k, s, w.MM)
		return Backed(reflected, passed, w.Backing.reflectance()) > r
	}
	low, high := 0.0, absorptionMost
	if !lighter(low) {
		return 0
	}
	for high-low > 1e-12*(1+low) {
		mid := (low + high) / 2
		if mid <= low || mid >= high {
			break
		}
		if lighter(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}
