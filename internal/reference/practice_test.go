package reference

import (
	"fmt"
	"regexp"
	"strings"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/shape"
)

// practiceForms hold our defaults against what is usual. What a default of a
// later capability rests on is skipped until then.
var practiceForms = map[string]computes{
	"common practice: family": says("family", map[string]computes{
		"rigid casting urethane":                           inTerm("ratio", "1:1 by volume", 1.0),
		"fast rigid resin, small cup":                      ours(caution.StirLeast, caution.StirHigh),
		"many rigid fast resins, 3-25 mm section, 22 degC": rigidDemold,
		"two-part resins":                                  ours(100*mix.TolLow, 100*mix.TolHigh),
	}),
	"common practice: mold": says("mold", map[string]computes{
		"silicone, rigid resin":                             inTerm("release", "about every 5 pulls", 5.0),
		"condensation-cure (tin) silicone, urethane casts":  priorMedian(moldcare.Condensation),
		"addition-cure (platinum) silicone, urethane casts": priorMedian(moldcare.Addition),
	}),
	"common practice: what": says("what", map[string]computes{
		"room and materials":                  ours(caution.RoomLow, caution.RoomHigh),
		"relative humidity for urethane work": ours(0, 100*caution.HumidityMost),
		"block mold wall":                     ours(shape.WallUsual, shape.WallMost),
		"rigid mold or rigid jacket draft":    draft,
		"silicone mold before first cast":     ours(caution.RubberHoursLow, caution.RubberHoursHigh),
		"colorant load in total mix":          ours(100*color.LoadUsual, 100*color.LoadUsual),
		"first pour of a new material":        ours(mix.TrialMass(0.1), mix.TrialMass(1)),
	}),
	"catalyst: system": says("system", map[string]computes{
		"condensation-cure (tin) silicone":        ours(100*material.TinDose.Low, 100*material.TinDose.High),
		"unsaturated polyester + ketone peroxide": ours(100*material.PeroxideDose.Low, 100*material.PeroxideDose.High),
	}),
}

// says chooses by the text of one input.
func says(input string, by map[string]computes) computes {
	return func(e entry) (any, error) {
		f, ok := by[e.text(input)]
		if !ok {
			return nil, errUnsaid
		}
		return f(e)
	}
}

// ours is a band of defaults that must lie within the usual one.
func ours(low, high float64) computes {
	return func(entry) (any, error) { return band{low, high}, nil }
}

// priorMedian is the life that is believed of a family before any pull.
func priorMedian(f moldcare.Family) computes {
	p := moldcare.PriorOf(f)
	return ours(p.Median, p.Median)
}

// inTerm gives v if the glossary's sentence holds the words.
func inTerm(word, words string, v float64) computes {
	return func(entry) (any, error) {
		t, ok := caution.Lookup(word)
		if !ok || !strings.Contains(t.Text, words) {
			return nil, fmt.Errorf("the glossary does not say %q under %q", words, word)
		}
		return v, nil
	}
}

func draft(entry) (any, error) {
	t, _ := caution.Lookup("draft")
	m := regexp.MustCompile(`(\d+) to (\d+) degrees`).FindStringSubmatch(t.Text)
	if m == nil {
		return nil, fmt.Errorf("the glossary gives no draft")
	}
	return band{atof(m[1]), atof(m[2])}, nil
}

// limitForms hold the figures of law in the cautions against their texts.
var limitForms = map[string]computes{
	"public limit: law substance": says("substance", map[string]computes{
		"2,4-TDI": inCaution(caution.Isocyanate, `TDI (\S+) ppm`),
		"MDI":     inCaution(caution.Isocyanate, `MDI (\S+) ppm`),
	}),
	"public limit: substance": says("substance", map[string]computes{
		"methyl ethyl ketone peroxide": inCaution(caution.Peroxide, `peroxide: (\S+) ppm`),
	}),
	"public limit: rule": says("rule", map[string]computes{
		"REACH Annex XVII entry 74, Regulation (EU) 2020/1149": inCaution(caution.Isocyanate, `(\S+) % diisocyanate or more`),
		"REACH Annex XVII entry 74":                            inCaution(caution.Isocyanate, `renewed every (\d+) years`),
		"29 CFR 1910.242(b), compressed air for cleaning":      inCaution(caution.Pressure, `at or below (\d+) psi`),
		"29 CFR 1917.155 air receiver safety valve":            inCaution(caution.Pressure, `within (\d+) % of`),
	}),
}

// inCaution gives the number that a caution's full text states.
func inCaution(id caution.ID, pattern string) computes {
	find := regexp.MustCompile(pattern)
	return func(entry) (any, error) {
		c, _ := caution.Get(id)
		m := find.FindStringSubmatch(c.Full)
		if m == nil {
			return nil, fmt.Errorf("the caution %s does not state %s", id, pattern)
		}
		return atof(m[1]), nil
	}
}
