package reference

import (
	"maps"
	"slices"
	"testing"
)

// TestReferenceFormsKnown fails on an entry that no test knows.
func TestReferenceFormsKnown(t *testing.T) {
	for _, file := range []struct {
		name  string
		forms func(*testing.T) []string
		known map[string]string // form to where it is checked
	}{
		{"trade.json", tradeFormsIn, knownTrade()},
		{"cure.json", kindsIn("cure.json"), cureKinds["cure.json"]},
		{"color.json", colorSections, colorKinds["color.json"]},
		{"measured.json", kindsIn("measured.json"), knownMeasured()},
	} {
		t.Run(file.name, func(t *testing.T) {
			for _, form := range file.forms(t) {
				if _, ok := file.known[form]; !ok {
					t.Errorf("no test knows %q", form)
				}
			}
		})
	}
}

func knownTrade() map[string]string {
	known := maps.Clone(elsewhere)
	for form := range tradeForms {
		known[form] = "this package"
	}
	return known
}

func knownMeasured() map[string]string {
	known := maps.Clone(cureKinds["measured.json"])
	maps.Copy(known, colorKinds["measured.json"])
	for kind := range measuredKinds {
		known[kind] = "this package"
	}
	return known
}

func tradeFormsIn(t *testing.T) []string {
	var entries []entry
	load(t, "trade.json", &entries)
	set := map[string]bool{}
	for _, e := range entries {
		set[e.form()] = true
	}
	return slices.Sorted(maps.Keys(set))
}

// kindsIn gives the kinds of a file that holds a list named checks.
func kindsIn(name string) func(*testing.T) []string {
	return func(t *testing.T) []string {
		var file struct {
			Checks []struct {
				Kind string `json:"kind"`
			} `json:"checks"`
		}
		load(t, name, &file)
		set := map[string]bool{}
		for _, c := range file.Checks {
			set[c.Kind] = true
		}
		return slices.Sorted(maps.Keys(set))
	}
}

// colorSections gives the sections of color.json; "about" and a license notice
// hold no values.
func colorSections(t *testing.T) []string {
	var file map[string]any
	load(t, "color.json", &file)
	delete(file, "about")
	delete(file, "license_notice")
	return slices.Sorted(maps.Keys(file))
}
