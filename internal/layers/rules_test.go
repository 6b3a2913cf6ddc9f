package layers

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// rules say for each package what it may import.
type rules struct {
	may    map[string]map[string]bool
	groups map[string]map[string]bool
}

func set(names ...string) map[string]bool {
	s := make(map[string]bool, len(names))
	for _, n := range names {
		s[n] = true
	}
	return s
}

// parsePolicy reads the policy text. Errors name the line: a name on the right
// that stands on no line above, a package or group with two lines, a line of
// another form.
func parsePolicy(text string) (*rules, error) {
	r := &rules{may: make(map[string]map[string]bool), groups: make(map[string]map[string]bool)}
	for n, line := range strings.Split(text, "\n") {
		line, _, _ = strings.Cut(line, "#")
		if line = strings.TrimSpace(line); line == "" {
			continue
		}
		if err := r.add(line); err != nil {
			return nil, fmt.Errorf("policy line %d: %w", n+1, err)
		}
	}
	return r, nil
}

func (r *rules) add(line string) error {
	into := r.may
	name, right, ok := strings.Cut(line, "<")
	if !ok {
		into = r.groups
		if name, right, ok = strings.Cut(line, "="); !ok {
			return fmt.Errorf("%q is neither \"a < b\" nor \"A = b\"", line)
		}
	}
	name = strings.TrimSpace(name)
	if name == "" || r.may[name] != nil || r.groups[name] != nil {
		return fmt.Errorf("%q has no name or a line already", name)
	}
	names, err := r.expand(right)
	if err != nil {
		return err
	}
	into[name] = names
	return nil
}

// expand resolves a list of packages, groups and "*".
func (r *rules) expand(list string) (map[string]bool, error) {
	names := make(map[string]bool)
	if strings.TrimSpace(list) == "" {
		return names, nil
	}
	for _, name := range strings.Split(list, ",") {
		name = strings.TrimSpace(name)
		switch {
		case name == "*":
			for p := range r.may {
				names[p] = true
			}
		case r.groups[name] != nil:
			maps.Copy(names, r.groups[name])
		case r.may[name] != nil:
			names[name] = true
		default:
			return nil, fmt.Errorf("%q stands on no line above", name)
		}
	}
	return names, nil
}

// checker holds files to rules.
type checker struct {
	rules   *rules
	core    map[string]bool
	helpers map[string]bool
	owners  map[string]string
}

// check tells every wrong import and impure call, in order of files. Tests of a
// package may import what they like of ours; owners hold for them too.
func (c checker) check(files []file) []string {
	var problems []string
	unlisted := make(map[string]bool)
	for _, f := range files {
		may, listed := c.rules.may[f.pkg]
		if !listed && !unlisted[f.pkg] {
			unlisted[f.pkg] = true
			problems = append(problems, fmt.Sprintf(
				"package %s (%s) is not in the policy.\n\tGive it a line \"%s < …\" at its level in internal/layers/policy_test.go and in DEVELOPERS.md, or put the code into a package that is there.",
				f.pkg, f.path, f.pkg))
		}
		for _, imp := range f.imports {
			problems = append(problems, c.checkOwner(f, imp)...)
			if imp.ours && !f.test && listed {
				problems = append(problems, c.checkArrow(f, imp, may)...)
			}
		}
		if c.core[f.pkg] && !f.test {
			problems = append(problems, impurities(f)...)
		}
	}
	return problems
}

func (c checker) checkArrow(f file, imp imported, may map[string]bool) []string {
	switch {
	case c.helpers[imp.path] && !c.helpers[f.pkg]:
		return []string{fmt.Sprintf(
			"%s imports %s, which is for tests.\n\tUse it in a _test.go file, or move what the program needs out of it.", f.path, imp.path)}
	case !may[imp.path]:
		return []string{fmt.Sprintf(
			"%s: %s may not import %s; it may import %s.\n\tMove the code up to a package that may, or hand the value in. Only if the tree itself is wrong: change the policy and DEVELOPERS.md in a commit of its own that says why.",
			f.path, f.pkg, imp.path, listing(may))}
	}
	return nil
}

func listing(names map[string]bool) string {
	if len(names) == 0 {
		return "nothing of ours"
	}
	return strings.Join(slices.Sorted(maps.Keys(names)), ", ")
}

func (c checker) checkOwner(f file, imp imported) []string {
	for module, owner := range c.owners {
		if within(imp.path, module) && !imp.ours && !within(f.pkg, owner) {
			return []string{fmt.Sprintf(
				"%s: %s imports %s, which %s alone may import.\n\tAsk %s for what you need, in its own types.",
				f.path, f.pkg, imp.path, owner, owner)}
		}
	}
	return nil
}

// within reports whether path is root or below it.
func within(path, root string) bool {
	return path == root || strings.HasPrefix(path, root+"/")
}
