package diagnose_test

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/diagnose"
)

// Forty symptoms, each once, in a group, whole, and with signs that exist.
func TestRulesAreWhole(t *testing.T) {
	all := diagnose.Rules()
	if len(all) != 40 {
		t.Fatalf("%d rules, want 40", len(all))
	}
	numbers, names, used := map[int]bool{}, map[string]bool{}, map[diagnose.Sign]bool{}
	for _, r := range all {
		if r.Number < 1 || r.Number > 40 || numbers[r.Number] || names[r.Name] {
			t.Errorf("%d %q: number or name is not its own", r.Number, r.Name)
		}
		numbers[r.Number], names[r.Name] = true, true
		if !slices.Contains(diagnose.Groups(), r.Group) {
			t.Errorf("%s: group %q", r.Name, r.Group)
		}
		if len(r.Say) < 5 || len(r.Causes) == 0 || len(r.Now) == 0 || len(r.Prevent) == 0 {
			t.Errorf("%s: something is missing", r.Name)
		}
		if strings.ToLower(r.Name) != r.Name && r.Number != 38 || utf8.RuneCountInString(r.Name) > 40 {
			t.Errorf("%q does not fit a button or a sentence", r.Name)
		}
		for _, c := range r.Causes {
			if c.Name == "" || !strings.HasSuffix(c.Tell, ".") {
				t.Errorf("%s: cause %q, %q", r.Name, c.Name, c.Tell)
			}
			if len(c.For) == 0 {
				t.Errorf("%s: nothing speaks for %q", r.Name, c.Name)
			}
			for _, s := range slices.Concat(c.For, c.Against) {
				used[s] = true
				if _, ok := diagnose.Saw(s); !ok {
					t.Errorf("%s, %s: no sign %q", r.Name, c.Name, s)
				}
				if slices.Contains(c.For, s) && slices.Contains(c.Against, s) {
					t.Errorf("%s, %s: %q speaks for and against", r.Name, c.Name, s)
				}
			}
		}
		for _, s := range slices.Concat(r.Now, r.Prevent) {
			if !strings.HasSuffix(s, ".") {
				t.Errorf("%s: %q is no sentence", r.Name, s)
			}
		}
	}
	for _, name := range diagnose.SignNames() {
		if !used[diagnose.Sign(name)] {
			t.Errorf("no cause minds the sign %q", name)
		}
		if strings.ContainsAny(name, ",;:\"") || utf8.RuneCountInString(name) > 24 {
			t.Errorf("the sign %q can't be typed in a list", name)
		}
		if f, _ := diagnose.Saw(diagnose.Sign(name)); f.Weight < 1 {
			t.Errorf("%q weighs %v", name, f.Weight)
		}
	}
	for _, g := range diagnose.Groups() {
		if len(diagnose.InGroup(g)) == 0 {
			t.Errorf("nothing in group %q", g)
		}
	}
}

// Each of what people say of a rule leads to it.
func TestEveryRuleIsReached(t *testing.T) {
	for _, r := range diagnose.Rules() {
		for _, say := range append([]string{r.Name}, r.Say...) {
			hits := diagnose.Match(say, "")
			if !slices.ContainsFunc(hits, func(h diagnose.Hit) bool { return h.Rule.Number == r.Number }) {
				t.Errorf("%q: found %s, want %s", say, names(hits), r.Name)
			}
		}
	}
}
