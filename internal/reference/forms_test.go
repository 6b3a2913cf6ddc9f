package reference

import (
	"maps"
	"slices"
	"testing"
)

// TestReferenceFormsKnown fails on an entry that neither a test nor the pending
// list knows, and on a pending form that some test knows by now.
func TestReferenceFormsKnown(t *testing.T) {
	for _, file := range []struct {
		name  string
		forms func(*testing.T) []string
		known map[string]string // form to where it is checked
	}{
		{"trade.json", tradeFormsIn, knownTrade()},
		{"cure.json", kindsIn("cure.json"), cureKinds["cure.json"]},
		{"color.json", colorSections, colorKinds["color.json"]},
		{"measured.json", kindsIn("measured.json"), both(cureKinds["measured.json"], colorKinds["measured.json"])},
	} {
		t.Run(file.name, func(t *testing.T) {
			pending := pendingForms[file.name]
			for _, form := range file.forms(t) {
				_, isPending := pending[form]
				where, isKnown := file.known[form]
				switch {
				case isPending && isKnown:
					t.Errorf("%q is checked in %s: take it off pendingForms", form, where)
				case !isPending && !isKnown:
					t.Errorf("no test knows %q: compute it, or list it in pendingForms with its subject", form)
				}
			}
		})
	}
}

// both are the forms of two owners.
func both(a, b map[string]string) map[string]string {
	known := maps.Clone(a)
	maps.Copy(known, b)
	return known
}

func knownTrade() map[string]string {
	known := maps.Clone(elsewhere)
	for form := range tradeForms {
		known[form] = "this package"
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
