package material

import (
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Warning is a figure that can be right but seldom is.
type Warning struct {
	Option string // the option it is about
	Text   string // a full sentence for the member
}

// Checked is what Check found.
type Checked struct {
	Errors   []*fault.Error // the profile must not be stored
	Warnings []Warning      // it may be, once read
}

// Err is the first error, or nil.
func (c Checked) Err() error {
	if len(c.Errors) == 0 {
		return nil
	}
	return c.Errors[0]
}

// Longest texts of a profile, in characters.
const (
	MaxName  = 60
	MaxNotes = 1000
	MaxLink  = 300
)

// Check judges a profile's numbers one by one and against each other. Required
// are name, family, ratio and pot life; everything else may be left out.
// Errors carry missing_option, out_of_range, bad_quantity or not_found with
// the option's name. The plausible bands are common practice, no source.
func Check(p Profile) Checked {
	c := &checker{p: p}
	c.required()
	c.texts()
	c.ratio()
	c.densities()
	c.times()
	c.temperatures()
	c.hardness()
	c.tint()
	c.limits()
	c.packs()
	return c.out
}

// checker gathers findings; one method per subject.
type checker struct {
	p   Profile
	out Checked
}

func (c *checker) refuse(code fault.Code, option, hint, format string, args ...any) {
	c.out.Errors = append(c.out.Errors, fault.New(code, format, args...).In(option).Hint("%s", hint))
}

func (c *checker) warn(option, text string) {
	c.out.Warnings = append(c.out.Warnings, Warning{option, text})
}

// within refuses a stated value outside lo to hi; zero means not said.
func (c *checker) within(option, what string, v, lo, hi float64, d quantity.Dim, hint string) bool {
	if v == 0 {
		return false
	}
	if math.IsNaN(v) || v < lo || v > hi {
		c.refuse(fault.OutOfRange, option, hint, "%s of %s is outside %s to %s", what, text(v, d), text(lo, d), text(hi, d))
		return false
	}
	return true
}

func text(v float64, d quantity.Dim) string { return quantity.Text(v, d, quantity.Metric) }

func (c *checker) required() {
	p := c.p
	if strings.TrimSpace(p.Name) == "" {
		c.refuse(fault.MissingOption, "name", `give the name you will call it by, such as "rigid white"`, "the material has no name")
	}
	switch {
	case p.Family == "":
		c.refuse(fault.MissingOption, "family", "give one of "+familyList(), "the material has no family")
	case !slices.Contains(Families(), p.Family):
		c.refuse(fault.NotFound, "family", "give one of "+familyList(), "there is no family %q", fault.Echo(string(p.Family)))
	}
	if p.Ratio == (quantity.Ratio{}) {
		c.refuse(fault.MissingOption, "ratio", "copy it from the bulletin, such as 1:1 vol or 100:45 wt", "the material has no ratio")
	}
	if p.PotLife == 0 {
		c.refuse(fault.MissingOption, "pot_life", "copy it from the bulletin with its mass and temperature, such as 3 min, 100 g, 23 C", "the material has no pot life")
	}
}

func (c *checker) texts() {
	p := c.p
	for _, t := range []struct {
		option, text string
		most         int
	}{{"name", p.Name, MaxName}, {"cured_color", p.CuredColor, 40}, {"notes", p.Notes, MaxNotes}, {"link", p.Link, MaxLink}} {
		if n := utf8.RuneCountInString(t.text); n > t.most {
			c.refuse(fault.OutOfRange, t.option, "shorten it; what does not fit may stand behind the link", "%s has %d characters and may have %d", t.option, n, t.most)
		}
		if !utf8.ValidString(t.text) || strings.IndexFunc(t.text, func(r rune) bool { return unicode.IsControl(r) && (t.option != "notes" || r != '\n') }) >= 0 {
			c.refuse(fault.OutOfRange, t.option, "type it in plain letters", "%s holds characters that cannot be shown", t.option)
		}
	}
	if code, ok := strings.CutPrefix(p.CuredColor, "#"); ok && !isHex(code) {
		c.refuse(fault.BadColor, "cured_color", "give a # and six hex digits, such as #F2EFE6, or a word: clear, amber, sand", "%q is no color code", fault.Echo(p.CuredColor))
	}
	if p.Link != "" && !strings.HasPrefix(p.Link, "https://") && !strings.HasPrefix(p.Link, "http://") {
		c.refuse(fault.OutOfRange, "link", "start it with https://", "the link %q is no web address", fault.Echo(p.Link))
	}
}

// isHex reports the three or six digits of a color code.
func isHex(code string) bool {
	return (len(code) == 3 || len(code) == 6) && strings.Trim(code, "0123456789abcdefABCDEF") == ""
}

// A part below a hundredth of the other is rare and below a thousandth is a
// slip of the pen.
const (
	ratioOdd  = 100
	ratioMost = 1000
)

func (c *checker) ratio() {
	r := c.p.Ratio
	if r == (quantity.Ratio{}) {
		return
	}
	const hint = "give A:B with its basis, such as 1:1 vol or 100:45 wt"
	switch {
	case !(r.A > 0) || !(r.B > 0) || math.IsInf(r.A, 0) || math.IsInf(r.B, 0):
		c.refuse(fault.OutOfRange, "ratio", hint, "both sides of the ratio %s:%s must be more than zero", num(r.A), num(r.B))
		return
	case r.By == quantity.NoBasis:
		c.refuse(fault.AmbiguousUnit, "ratio", hint, "the ratio %s:%s does not say whether by volume or by weight", num(r.A), num(r.B))
		return
	}
	most := max(r.A/r.B, r.B/r.A)
	if most > ratioMost {
		c.refuse(fault.OutOfRange, "ratio", hint, "a ratio of %s:%s is more than %d to 1", num(r.A), num(r.B), ratioMost)
		return
	}
	if most > ratioOdd {
		c.warn("ratio", "A ratio of "+num(r.A)+":"+num(r.B)+" is unusual: read the bulletin again, a comma may have slipped.")
	}
	c.dose()
}

// Dose is the usual share of catalyst, by weight of the base.
type Dose struct{ Low, High float64 }

// Usual catalyst doses. Tin silicone: common practice, no source; more shortens
// the mold's life. Ketone peroxide in polyester: a composites trade article of
// 2017; too much and too little both leave it soft. The bulletin wins.
var (
	TinDose      = Dose{0.02, 0.10}
	PeroxideDose = Dose{0.010, 0.025}
)

func (c *checker) dose() {
	r := c.p.Ratio
	if r.By != quantity.ByWeight {
		return
	}
	var d Dose
	switch c.p.Family {
	case SiliconeCondensation:
		d = TinDose
	case Polyester:
		d = PeroxideDose
	default:
		return
	}
	if share := r.B / r.A; share < d.Low*(1-1e-9) || share > d.High*(1+1e-9) {
		c.warn("ratio", "The catalyst of "+string(c.p.Family)+" is usually "+quantity.Percent(d.Low)+" to "+quantity.Percent(d.High)+" of the base by weight; this ratio has "+quantity.Percent(share)+". The bulletin decides.")
	}
}

func (c *checker) tint() {
	p := c.p
	switch p.TintSide {
	case NoSide, SideA, SideB:
	default:
		c.refuse(fault.NotFound, "tint_side", "give A or B", "there is no part %q", fault.Echo(string(p.TintSide)))
	}
	if def, ok := TintSideDefault(p.Family); ok && p.TintSide != NoSide && p.TintSide != def {
		c.warn("tint_side", "Colorant usually goes into part "+string(def)+" of a "+string(p.Family)+"; the bulletin decides.")
	}
	if !c.within("max_tint", "a tint limit", p.MaxTint, 1e-5, 0.2, quantity.Number, "give a share of the whole mix, such as 2 %") {
		return
	}
	if p.MaxTint > 0.03 {
		c.warn("max_tint", "More than 3 % colorant softens most casts; "+quantity.Percent(p.MaxTint)+" should come from the bulletin.")
	}
}

func (c *checker) limits() {
	p := c.p
	c.within("max_depth", "a pour depth", p.MaxDepth, 0.5, 2000, quantity.Length, "give the deepest single pour, such as 10 mm")
	c.within("max_mass", "a cup limit", p.MaxMass, 1, 1e6, quantity.Mass, "give the largest mass in one cup, such as 500 g")
	c.within("heat", "a heat of reaction in J/g", p.Heat, 10, 1000, quantity.Number, "give J per gram of mix, such as 250")
	c.within("price", "a price", p.Price, 0.001, 1e7, quantity.Number, "give the price of one pack, such as 42.00")
	for _, s := range []struct {
		option string
		span   Span
	}{{"shelf_life", p.ShelfLife}, {"shelf_opened", p.ShelfOpened}} {
		if s.span.Months < 0 || s.span.Days < 0 || s.span.Months > maxSpanMonths || s.span.Days > 31*maxSpanMonths {
			c.refuse(fault.OutOfRange, s.option, "give months or days, such as 4 months", "a shelf time of %d months and %d days is outside 50 years", s.span.Months, s.span.Days)
		}
	}
	if p.ShelfLife != (Span{}) && days(p.ShelfOpened) > days(p.ShelfLife) {
		c.warn("shelf_opened", "An opened jug rarely keeps longer ("+p.ShelfOpened.String()+") than a sealed one ("+p.ShelfLife.String()+").")
	}
}

// days compares spans; a month is its mean length here.
func days(s Span) float64 { return 30.44*float64(s.Months) + float64(s.Days) }

func (c *checker) packs() {
	p := c.p
	for _, v := range []struct {
		option string
		g      float64
	}{{"pack", p.Pack}, {"pack_a", p.PackA}, {"pack_b", p.PackB}} {
		if v.g != 0 && !c.within(v.option, "a pack", v.g, 1, 1e6, quantity.Mass, "give the grams or kilograms in one pack, such as 1.8 kg") {
			return
		}
	}
	switch {
	case p.Pack > 0 && p.PackA > 0 && p.PackB > 0 && math.Abs(p.PackA+p.PackB-p.Pack) > 0.01*p.Pack:
		c.refuse(fault.OutOfRange, "pack", "give pack alone, or pack_a and pack_b",
			"A %s and B %s make %s, not the pack of %s", text(p.PackA, quantity.Mass), text(p.PackB, quantity.Mass), text(p.PackA+p.PackB, quantity.Mass), text(p.Pack, quantity.Mass))
		return
	case p.Pack > 0 && p.PackA >= p.Pack, p.Pack > 0 && p.PackB >= p.Pack:
		c.refuse(fault.OutOfRange, "pack", "pack is A and B together", "one part alone is the whole pack of %s", text(p.Pack, quantity.Mass))
		return
	case p.Pack == 0 && (p.PackA > 0) != (p.PackB > 0):
		c.warn("pack", "Only one part's pack is given: without the other the cost of a batch cannot be told.")
	}
	r, ok := p.ByWeight()
	if a, b, okP := p.Packs(); ok && okP {
		if off := (b/a)/(r.B/r.A) - 1; math.Abs(off) > 0.1 {
			c.warn("pack_b", "The pack holds "+quantity.Percent(math.Abs(off))+" "+moreOrLess(off)+" B than the ratio uses: check whether the ratio is by volume or by weight.")
		}
	}
}

func moreOrLess(v float64) string {
	if v < 0 {
		return "less"
	}
	return "more"
}
