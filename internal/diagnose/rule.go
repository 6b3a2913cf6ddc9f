package diagnose

import (
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/material"
)

// Group gathers symptoms for those who would rather look than type.
type Group string

// The groups, in the order they are shown.
const (
	NotSet   Group = "does not set"
	Bubbles  Group = "bubbles and foam"
	Surface  Group = "surface"
	Shape    Group = "heat and shape"
	Coloring Group = "color and filler"
	Rubber   Group = "silicone and rubber"
	Mold     Group = "mold"
	Jugs     Group = "jugs and season"
)

// Groups lists them.
func Groups() []Group {
	return []Group{NotSet, Bubbles, Surface, Shape, Coloring, Rubber, Mold, Jugs}
}

// Lead names where a cause is looked into further; what it is called is for
// the layer that knows the commands.
type Lead string

// The leads.
const (
	NoLead      Lead = ""
	ToRatio     Lead = "ratio"     // check what was weighed
	ToCure      Lead = "cure"      // times, heat and layers
	ToRelease   Lead = "release"   // a release coat
	ToLife      Lead = "life"      // what a mold has left
	ToStock     Lead = "stock"     // how old a jug is
	ToBatch     Lead = "batch"     // amounts, split into cups
	ToTint      Lead = "tint"      // a dose by weight
	ToMoldBuild Lead = "mold"      // walls and halves
	ToSafety    Lead = "safety"    // what can hurt
	ToFirstPour Lead = "first"     // a small trial
	ToCoat      Lead = "coat"      // brushed coats
	ToDryAir    Lead = "dew point" // when a thing sweats
)

// Cause is one reason for a symptom.
type Cause struct {
	Name    string // "A and B off their ratio", as it follows "most likely:"
	Tell    string // how it is told from the others, a sentence
	For     []Sign // that make it likelier
	Against []Sign // that make it less likely
	Lead    Lead
}

// Rule is one symptom and everything that is said of it. What it rests on is
// Practice.
type Rule struct {
	Number int // stable, from 1
	Name   string
	Group  Group
	Say    []string // what people say of it, besides its name
	Of     []material.Family
	NotOf  []material.Family
	Causes []Cause  // the most common first
	Now    []string // in shop order
	// Prevent says how it does not come again.
	Prevent []string
	// Cautions are ids of package caution, beside those of the family.
	Cautions []string
	// Wet says that uncured material is touched.
	Wet bool
}

// Rules gives every rule by its number.
func Rules() []Rule { return slices.Clone(rules) }

var rules = slices.SortedFunc(slices.Values(slices.Concat(notSetRules, bubbleRules, castRules, colorRules, jugRules, moldRules)),
	func(a, b Rule) int { return a.Number - b.Number })

// Named finds a rule by its name, whatever the case and spaces.
func Named(name string) (Rule, bool) {
	name = strings.Join(strings.Fields(strings.ToLower(name)), " ")
	i := slices.IndexFunc(rules, func(r Rule) bool { return strings.ToLower(r.Name) == name })
	if i < 0 {
		return Rule{}, false
	}
	return rules[i], true
}

// InGroup lists the rules of a group.
func InGroup(g Group) []Rule {
	return slices.DeleteFunc(Rules(), func(r Rule) bool { return r.Group != g })
}

// Names lists the symptoms by their numbers.
func Names() []string {
	names := make([]string, len(rules))
	for i, r := range rules {
		names[i] = r.Name
	}
	return names
}

// Minds lists the signs that bear on a rule's causes.
func (r Rule) Minds() (signs []string) {
	for _, name := range SignNames() {
		if slices.ContainsFunc(r.Causes, func(c Cause) bool { return c.mentions(Sign(name)) }) {
			signs = append(signs, name)
		}
	}
	return signs
}

// suits reports whether a rule is about a family; one that is not known may be
// any.
func (r Rule) suits(f material.Family) bool {
	if f == "" || f == material.Other {
		return true
	}
	return (len(r.Of) == 0 || slices.Contains(r.Of, f)) && !slices.Contains(r.NotOf, f)
}

var (
	silicones = []material.Family{material.SiliconeCondensation, material.SiliconeAddition}
	rubbers   = []material.Family{material.SiliconeCondensation, material.SiliconeAddition, material.UrethaneRubber}
)
