package layers

import (
	"fmt"
	"go/ast"
	"path"
	"slices"
	"strings"
)

// Refused in core, with all packages below them: what reaches disk, network,
// log or database, or waits for a caller to give up.
var impureImports = []string{"os", "net", "log", "context", "database/sql", "syscall", "crypto/rand"}

// clockCalls are the functions of package time that read or wait for the clock.
var clockCalls = []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTicker", "NewTimer"}

// chanceAllowed are the parts of math/rand with a source given by the caller.
// Its other functions draw from one that all of the program shares.
var chanceAllowed = []string{"New", "NewPCG", "NewChaCha8", "NewSource", "NewZipf", "Rand", "Source", "Source64", "PCG", "ChaCha8", "Zipf"}

// impurities tells what f, a file of the core, may not have.
func impurities(f file) []string {
	var problems []string
	add := func(what, instead string) {
		problems = append(problems, fmt.Sprintf("%s: core uses %s.\n\t%s", f.path, what, instead))
	}
	clock, chance := "", ""
	for _, imp := range f.imports {
		for _, impure := range impureImports {
			if !imp.ours && within(imp.path, impure) {
				add(imp.path, "Core is pure: take bytes, values or a reader from the caller, and a done channel in place of a context.")
			}
		}
		if imp.name == "." {
			add("a dot import of "+imp.path, "Name the package, so that its calls can be seen.")
		}
		switch imp.path {
		case "time":
			clock = imp.name
		case "math/rand", "math/rand/v2":
			chance = imp.name
		}
	}
	for _, use := range f.uses {
		switch {
		case use.pkg == clock && clock != "" && slices.Contains(clockCalls, use.name):
			add("time."+use.name, "Take the time as a value: the edge reads the clock once, as Invocation.At.")
		case use.pkg == chance && chance != "" && !slices.Contains(chanceAllowed, use.name):
			add("rand."+use.name, "Take a *rand.Rand from the caller, so that a result can be had again.")
		}
	}
	return problems
}

// usesOf lists the selectors on imported packages. A local variable that hides
// a package's name resolves to an object and is left out.
func usesOf(syntax *ast.File) []use {
	var uses []use
	ast.Inspect(syntax, func(n ast.Node) bool {
		if sel, ok := n.(*ast.SelectorExpr); ok {
			if id, ok := sel.X.(*ast.Ident); ok && id.Obj == nil {
				uses = append(uses, use{pkg: id.Name, name: sel.Sel.Name})
			}
		}
		return true
	})
	return uses
}

// defaultName is the name that an import without one has: the last element
// that is not a version.
func defaultName(importPath string) string {
	base := path.Base(importPath)
	if rest, ok := strings.CutPrefix(base, "v"); ok && strings.Trim(rest, "0123456789") == "" && rest != "" {
		return path.Base(path.Dir(importPath))
	}
	return base
}
