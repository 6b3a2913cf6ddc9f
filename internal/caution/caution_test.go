package caution_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/material"
	"pgregory.net/rapid"
)

func ids(list []caution.Caution) string {
	var out []string
	for _, c := range list {
		out = append(out, string(c.ID))
	}
	return strings.Join(out, " ")
}

func TestTexts(t *testing.T) {
	seen := map[caution.ID]bool{}
	for _, c := range caution.All() {
		if seen[c.ID] {
			t.Errorf("%s is there twice", c.ID)
		}
		seen[c.ID] = true
		if !strings.HasSuffix(c.Full, caution.Deferral) || strings.Count(c.Full, caution.Deferral) != 1 {
			t.Errorf("%s does not end by deferring to SDS, bulletin and local rules", c.ID)
		}
		if c.Title == "" || c.Text == "" || len(c.Full) <= len(c.Text) {
			t.Errorf("%s: a title, a short and a full text are needed", c.ID)
		}
		// An embed field holds 1024 characters, and a reply several cautions.
		if n := utf8.RuneCountInString(c.Text); n > 250 {
			t.Errorf("%s: the short text has %d characters", c.ID, n)
		}
		if got, ok := caution.Get(c.ID); !ok || got != c {
			t.Errorf("Get(%s) = %v, %v", c.ID, got, ok)
		}
	}
	if len(seen) != 21 {
		t.Errorf("%d cautions, want 21", len(seen))
	}
	if _, ok := caution.Get("sunburn"); ok {
		t.Error("Get finds what is not there")
	}
}

// Figures of law and of common advice; the places are named in the texts.
// Those marked "from memory" there were not read again.
func TestFigures(t *testing.T) {
	for _, c := range []struct {
		id   caution.ID
		says string
	}{
		{caution.Isocyanate, `29 CFR 1910\.134`},
		{caution.Isocyanate, `TDI 0\.02 ppm, MDI 0\.02 ppm \(29 CFR 1910\.1000`},
		{caution.Isocyanate, `0\.1 % diisocyanate .* every 5 years \(REACH Annex XVII entry 74`},
		{caution.Isocyanate, `rinse for 15 minutes`},
		{caution.Isocyanate, `dust mask does not`},
		{caution.Amine, `RR079`},
		{caution.Amine, `never with solvent`},
		{caution.Peroxide, `0\.2 ppm`},
		{caution.Tin, `not for food`},
		{caution.Pressure, `ASME BPVC`},
		{caution.Pressure, `30 psi`},
		{caution.Dust, `1910\.1053`},
		{caution.Food, `177\.2600`},
		{caution.Label, `1910\.1200`},
		{caution.Waste, `40 CFR 261`},
		{caution.Mercury, `entry 62`},
		{caution.Exotherm, `without a lid`},
		{caution.Contamination, `never be sealed again`},
	} {
		got, _ := caution.Get(c.id)
		if !regexp.MustCompile(c.says).MatchString(got.Full) {
			t.Errorf("%s does not say %q", c.id, c.says)
		}
	}
}

func TestFor(t *testing.T) {
	for _, c := range []struct {
		name string
		s    caution.Situation
		want string
	}{
		{"urethane batch", caution.Situation{Step: caution.Mixing, Family: material.Urethane}, "isocyanate"},
		{"urethane rubber batch", caution.Situation{Step: caution.Mixing, Family: material.UrethaneRubber}, "isocyanate amine"},
		{"epoxy batch", caution.Situation{Step: caution.Mixing, Family: material.Epoxy}, "amine"},
		{"polyester batch", caution.Situation{Step: caution.Mixing, Family: material.Polyester}, "peroxide styrene"},
		{"tin silicone batch", caution.Situation{Step: caution.Mixing, Family: material.SiliconeCondensation}, "tin"},
		{"addition silicone batch", caution.Situation{Step: caution.Mixing, Family: material.SiliconeAddition}, ""},
		{"something else", caution.Situation{Step: caution.Mixing, Family: material.Other}, ""},
		{"at the bulletin's mass", caution.Situation{Step: caution.Mixing, Family: material.Epoxy, Mass: 500, MaxMass: 500}, "amine"},
		{"over it", caution.Situation{Step: caution.Mixing, Family: material.Epoxy, Mass: 501, MaxMass: 500}, "amine exotherm"},
		{"at 10 mm of epoxy", caution.Situation{Step: caution.Mixing, Family: material.Epoxy, Section: 10}, "amine"},
		{"over it", caution.Situation{Step: caution.Mixing, Family: material.Epoxy, Section: 10.1}, "amine exotherm"},
		{"25 mm of urethane", caution.Situation{Step: caution.Mixing, Family: material.Urethane, Section: 25}, "isocyanate"},
		{"over it", caution.Situation{Step: caution.Mixing, Family: material.Urethane, Section: 26}, "isocyanate exotherm"},
		{"a bulletin that allows more", caution.Situation{Step: caution.Mixing, Family: material.Epoxy, Section: 40, MaxDepth: 50}, "amine"},
		{"and one that allows less", caution.Situation{Step: caution.Mixing, Family: material.Urethane, Section: 12, MaxDepth: 10}, "isocyanate exotherm"},
		{"a thick silicone mold stays cool", caution.Situation{Step: caution.Mixing, Family: material.SiliconeCondensation, Section: 60}, "tin"},
		{"leftovers", caution.Situation{Step: caution.Mixing, Family: material.Urethane, Leftovers: true}, "isocyanate waste"},
		{"a dry filler", caution.Situation{Step: caution.Mixing, Family: material.Urethane, Powder: true}, "isocyanate dust"},
		{"rescue", caution.Situation{Step: caution.Rescuing, Family: material.Epoxy}, "amine exotherm"},
		{"cure", caution.Situation{Step: caution.Curing, Family: material.Epoxy}, "exotherm hot"},
		{"post cure of epoxy", caution.Situation{Step: caution.PostCure, Family: material.Epoxy}, "exotherm hot heat"},
		{"heating urethane", caution.Situation{Step: caution.PostCure, Family: material.Urethane}, "isocyanate exotherm hot heat"},
		{"sanding urethane", caution.Situation{Step: caution.Finishing, Family: material.Urethane}, "isocyanate dust"},
		{"sanding epoxy", caution.Situation{Step: caution.Finishing, Family: material.Epoxy}, "dust"},
		{"a tin mold", caution.Situation{Step: caution.MoldMake, Family: material.SiliconeCondensation}, "tin aerosol"},
		{"release", caution.Situation{Step: caution.Releasing}, "aerosol"},
		{"a jug opened", caution.Situation{Step: caution.Storing, Family: material.Urethane}, "contamination label"},
		{"an old one", caution.Situation{Step: caution.Storing, Family: material.Urethane, OldJug: true}, "mercury contamination label"},
		{"an old jug of epoxy", caution.Situation{Step: caution.Storing, Family: material.Epoxy, OldJug: true}, "contamination label"},
		{"a jug finished", caution.Situation{Step: caution.Disposing, Family: material.Epoxy}, "waste"},
		{"degas", caution.Situation{Step: caution.Degassing, Family: material.SiliconeAddition}, "vacuum"},
		{"pressure pot", caution.Situation{Step: caution.Pressing, Family: material.Urethane}, "isocyanate pressure"},
		{"solvent", caution.Situation{Step: caution.Cleaning}, "fire"},
		{"first pour", caution.Situation{Step: caution.Teaching, Family: material.Urethane}, "isocyanate health children label"},
		{"family alone", caution.Situation{Family: material.Epoxy}, "amine"},
		{"nothing known", caution.Situation{}, ""},
		{"a mug", caution.Situation{Text: "a mug for my desk"}, "food skin"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := ids(caution.For(c.s)); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

func TestEndUse(t *testing.T) {
	for text, want := range map[string]bool{
		"is this food safe?":                true,
		"a Cup for the shelf":               true,
		"coffee cups":                       true,
		"carnival mask":                     true,
		"false teeth":                       true,
		"will be worn on a chain":           true,
		"a bracelet":                        true,
		"chocolate mold":                    true,
		"cast my daughter's hand, skin ok?": true,
		"stir in a second cup":              false,
		"one cup of mix left over":          false,
		"paper cup, wooden stick":           false,
		"wear gloves and a dust mask":       false,
		"skin coat first":                   false,
		"grind the mating face flat":        false,
		"knobs for the cabinet":             false,
		"fast food counter in 1:87":         true,
		"":                                  false,
		"footing of the viaduct":            false,
	} {
		got := ids(caution.For(caution.Situation{Text: text})) != ""
		if got != want {
			t.Errorf("%q: %v, want %v", text, got, want)
		}
	}
}

// More known never takes a caution away, each comes once, and the order is
// that of All.
func TestForGrows(t *testing.T) {
	all := caution.All()
	rapid.Check(t, func(t *rapid.T) {
		s := caution.Situation{
			Step:   rapid.SampledFrom(append(caution.Steps(), caution.NoStep)).Draw(t, "step"),
			Family: rapid.SampledFrom(material.Families()).Draw(t, "family"),
			Text:   rapid.SampledFrom([]string{"", "knob", "mask"}).Draw(t, "text"),
		}
		more := s
		more.Mass, more.MaxMass, more.Section, more.Leftovers, more.Powder, more.OldJug = 2, 1, 100, true, true, true
		few, many := caution.For(s), caution.For(more)
		last := -1
		for _, c := range many {
			i := slices.Index(all, c)
			if i <= last {
				t.Fatalf("%q are out of order", ids(many))
			}
			last = i
		}
		for _, c := range few {
			if !slices.Contains(many, c) {
				t.Fatalf("%s is lost when more is known: %q", c.ID, ids(many))
			}
		}
	})
}
