package color

import (
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// Family is what a tint does with light.
type Family string

// The families. Their values are stored and typed by members. The last four
// can be put on record, but not computed with.
const (
	Colored     Family = "colored"
	White       Family = "white"
	NeatOnly    Family = "masstone" // known by the color of the neat tint alone
	Metallic    Family = "metallic"
	Pearl       Family = "pearl"
	Fluorescent Family = "fluorescent"
	Glow        Family = "glow"
)

// Families lists them in the order they are offered.
func Families() []Family {
	return []Family{Colored, White, NeatOnly, Metallic, Pearl, Fluorescent, Glow}
}

// familyWords are other names, in lower case.
var familyWords = map[string]Family{
	"color": Colored, "colour": Colored, "pigment": Colored, "dye": Colored, "opaque": Colored, "transparent": Colored,
	"neat": NeatOnly, "metal": Metallic, "metal flake": Metallic, "flake": Metallic, "bronze": Metallic,
	"pearlescent": Pearl, "mica": Pearl, "interference": Pearl, "color shift": Pearl, "color-shift": Pearl, "iridescent": Pearl,
	"neon": Fluorescent, "fluoro": Fluorescent, "uv reactive": Fluorescent,
	"glow in the dark": Glow, "phosphorescent": Glow, "luminous": Glow, "photoluminescent": Glow,
}

// ParseFamily reads a family by its own or another name. Errors:
// missing_option, not_found, each with the choices.
func ParseFamily(text string) (Family, error) {
	word := strings.Join(strings.Fields(strings.ToLower(text)), " ")
	for _, f := range Families() {
		if word == string(f) {
			return f, nil
		}
	}
	if f, ok := familyWords[word]; ok {
		return f, nil
	}
	err := fault.New(fault.NotFound, "there is no kind of tint %q", fault.Echo(text))
	if word == "" {
		err = fault.New(fault.MissingOption, "the kind of tint is missing")
	}
	err.In("family").Hint("colored for most; white; masstone if only the neat tint's color is known; metallic, pearl, fluorescent or glow")
	for _, f := range Families() {
		err.Choose(string(f))
	}
	return "", err
}

// whyNot says in one line why a family has no numbers.
var whyNot = map[Family]string{
	Metallic:    "metal flakes mirror light by the angle they settle at",
	Pearl:       "pearl, interference and color-shift tints change with the angle they are seen at",
	Fluorescent: "a fluorescent tint gives off light that it took in as another color",
	Glow:        "a glow tint gives light back later, and its grains settle",
}

// Refuse says why a tint of this family is not computed with, or nil. Error:
// unsupported_colorant.
func (f Family) Refuse() error {
	why, ok := whyNot[f]
	if !ok {
		return nil
	}
	return fault.New(fault.Unsupported, "the color of a %s tint cannot be worked out: %s", f, why).
		In("tint").Hint("cast a test swatch at a known dose and judge it by eye")
}

// watery are names of colorants whose water or alcohol meets the isocyanate of
// a urethane. Common practice, no source.
var watery = []string{
	"acrylic", "poster paint", "tempera", "gouache", "food color", "food dye", "food coloring", "water color", "watercolor",
	"water based", "waterbased", "water ink", "alcohol ink", "alcohol based", "spirit ink", "latex paint", "emulsion paint", "drawing ink", "fabric paint",
}

// RefuseWatery refuses a colorant that by its name holds water or alcohol, for
// a material with isocyanate. A name that tells nothing passes: the caution on
// water stands in every answer. Error: unsupported_colorant.
func RefuseWatery(name string) error {
	words := strings.NewReplacer("-", " ", "_", " ", "colour", "color").Replace(strings.ToLower(name))
	words = strings.Join(strings.Fields(words), " ")
	for _, w := range watery {
		if strings.Contains(words, w) {
			return fault.New(fault.Unsupported, "%s is made with water or alcohol, and a urethane foams, stays soft or sticky with either", fault.Echo(name)).
				In("tint").Hint("use a tint that is sold for urethanes: pigment paste, liquid dye without water, or dry pigment (with a mask)")
		}
	}
	return nil
}
