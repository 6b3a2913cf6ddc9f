package shape

import (
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// Kind is one sort of solid.
type Kind string

// The kinds.
const (
	Box              Kind = "box"
	Cylinder         Kind = "cylinder"
	Tube             Kind = "tube"
	Cone             Kind = "cone"
	Frustum          Kind = "frustum"
	Sphere           Kind = "sphere"
	Hemisphere       Kind = "hemisphere"
	Cap              Kind = "cap"
	Capsule          Kind = "capsule"
	HalfRound        Kind = "half-round"
	LyingCylinder    Kind = "lying cylinder"
	Ellipsoid        Kind = "ellipsoid"
	EllipticCylinder Kind = "elliptic cylinder"
	Torus            Kind = "torus"
	Wedge            Kind = "wedge"
	Pyramid          Kind = "pyramid"
	HexPrism         Kind = "hex prism"
)

// Info tells a member how to give a kind's sizes.
type Info struct {
	Kind    Kind
	Aliases []string // other words of the trade
	Order   string   // what sizes without names mean, in order
	Example string   // a size text that works
	Help    string   // names that may be used, and what is measured
}

// row is a kind with what measures it.
type row struct {
	Info
	measure func(*sizes) Solid
}

// kinds is in the order of the command's help.
var kinds = []row{
	{Info{Box, []string{"block", "cuboid", "cube", "slab"}, "l x w x h", "10 x 20 x 5 cm", "l, w, h; one size alone is a cube"}, box},
	{Info{Cylinder, []string{"disc", "disk", "rod", "puck", "round"}, "d x h", "d 30 mm h 12 mm", "d or r, and h"}, cylinder},
	{Info{Tube, []string{"pipe", "ring", "hollow cylinder"}, "od x id x h", "od 60 mm id 50 mm h 100 mm", "od with id or wall, and h"}, tube},
	{Info{Cone, nil, "d x h", "d 60 mm h 90 mm", "d or r of the base, and h"}, cone},
	{Info{Frustum, []string{"cup", "tapered cup", "truncated cone", "bucket"}, "d1 x d2 x h", "d1 60 mm d2 80 mm h 100 mm fill 50 mm", "d1 at the bottom, d2 at the top, h; fill for a level measured from the bottom"}, frustum},
	{Info{Sphere, []string{"ball"}, "d", "d 50 mm", "d or r"}, sphere},
	{Info{Hemisphere, []string{"half sphere", "half ball", "dome"}, "d", "d 50 mm", "d or r"}, hemisphere},
	{Info{Cap, []string{"spherical cap", "sphere cap", "cabochon"}, "base x h", "base 60 mm h 12 mm", "base: the width of the flat face, or r: the radius of the whole sphere; and h"}, capped},
	{Info{Capsule, []string{"pill"}, "d x l", "d 30 mm l 90 mm", "d or r, and l over both round ends"}, capsule},
	{Info{HalfRound, []string{"half cylinder", "half round", "d-bar"}, "d x l", "d 40 mm l 250 mm", "d or r, and l"}, halfRound},
	{Info{LyingCylinder, []string{"lying tank", "horizontal cylinder", "trough"}, "d x l x fill", "d 100 mm l 200 mm fill 30 mm", "d or r, l, and fill: the level above the lowest line"}, lyingCylinder},
	{Info{Ellipsoid, []string{"egg", "pebble"}, "a x b x c", "60 x 40 x 30 mm", "a, b, c: the three full widths"}, ellipsoid},
	{Info{EllipticCylinder, []string{"oval", "oval cylinder", "oval plaque"}, "a x b x h", "a 60 mm b 40 mm h 50 mm", "a, b: the two full widths, and h"}, ellipticCylinder},
	{Info{Torus, []string{"donut", "doughnut", "bangle"}, "R x r", "R 40 mm r 8 mm", "R: the center of the tube from the middle, r: the radius of the tube; or od and id"}, torus},
	{Info{Wedge, []string{"ramp", "roof", "right triangular prism", "prism"}, "base x h x l", "base 60 mm h 30 mm l 100 mm", "base, h and l of a ramp; with ridge: a roof of length l, whose ridge is centered and no longer than l"}, wedge},
	{Info{Pyramid, []string{"square pyramid", "pyramid frustum", "square pyramid frustum", "truncated pyramid"}, "l x w x h", "l 80 mm w 60 mm h 90 mm", "l, w, h; with top: the length of a flat top along l; or a, b, h: a square one, bottom and top side"}, pyramid},
	{Info{HexPrism, []string{"hexagon", "hex", "hexagonal prism", "nut"}, "flats x h", "flats 40 mm h 10 mm", "flats: across two flat sides, or side: one side; and h"}, hexPrism},
}

// Kinds lists every kind, in the order of the help.
func Kinds() []Info {
	out := make([]Info, len(kinds))
	for i, k := range kinds {
		out[i] = k.Info
	}
	return out
}

// ParseKind reads a kind by its name or a word of the trade, whatever the case
// and hyphens. Near names are left to the caller. Error: not_found with the
// choices.
func ParseKind(text string) (Kind, error) {
	key := kindKey(text)
	for _, k := range kinds {
		if key == kindKey(string(k.Kind)) {
			return k.Kind, nil
		}
		for _, a := range k.Aliases {
			if key == kindKey(a) {
				return k.Kind, nil
			}
		}
	}
	names := make([]string, len(kinds))
	for i, k := range kinds {
		names[i] = string(k.Kind)
	}
	return "", fault.New(fault.NotFound, "there is no shape %q", fault.Echo(text)).In("kind").
		Hint("give one of %s", strings.Join(names, ", ")).Choose(names...)
}

func kindKey(text string) string {
	return strings.Join(strings.Fields(strings.NewReplacer("-", " ", "_", " ").Replace(strings.ToLower(text))), " ")
}

func infoOf(k Kind) (row, bool) {
	for _, r := range kinds {
		if r.Kind == k {
			return r, true
		}
	}
	return row{}, false
}
