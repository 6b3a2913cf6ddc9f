package formula

import (
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"

	"github.com/pourwright/pourwright/internal/fault"
)

// calls makes a call of a function of the program.
func (t *typer) calls(inner string, k kind, at int, args ...ast.Node) typed {
	callee := placed(&ast.IdentifierNode{Value: inner}, k, at)
	return placed(&ast.CallNode{Callee: callee.node, Arguments: args}, k, at)
}

// call is a call of a declared function.
func (t *typer) call(n *ast.CallNode, st statement, at int) (typed, error) {
	callee, ok := n.Callee.(*ast.IdentifierNode)
	if !ok || functions[callee.Value] == nil {
		return typed{}, t.wrong(at, "only functions can be called").Hint("/formula help shows them all")
	}
	t.nodes++
	f := functions[callee.Value]
	args := make([]typed, len(n.Arguments))
	for i, a := range n.Arguments {
		var err error
		if args[i], err = t.expression(a, st); err != nil {
			return typed{}, err
		}
	}
	var first, closest *fault.Error
	for i, o := range f.forms {
		gives, which, what := o.takes(args)
		if what == "" {
			return t.called(f, i, gives, args, at)
		}
		place := at
		if which >= 0 && which < len(args) {
			place = args[which].at
		}
		refusal := t.wrong(place, "%s: %s", f.name, what).Hint("type %s, such as %s", o.signature(f.name), f.example)
		if first == nil {
			first = refusal
		}
		if closest == nil && which >= 0 {
			closest = refusal
		}
	}
	if closest != nil {
		return typed{}, closest
	}
	return typed{}, first.Hint("type %s, such as %s", f.signature(), f.example)
}

// called emits the call: the run, the place of its uncertainty, its arguments.
func (t *typer) called(f *function, form int, gives kind, args []typed, at int) (typed, error) {
	if gives == aBatch {
		if t.batches++; t.batches > maxBatches {
			return typed{}, t.over(at, "this is batch %d, at most %d are worked out", t.batches, maxBatches).Hint("make several formulas of it")
		}
	}
	t.remember(f, form, len(args))
	site := 0
	if f.unsure {
		var err error
		if site, err = t.site(f, at); err != nil {
			return typed{}, err
		}
	}
	nodes := []ast.Node{placed(&ast.IdentifierNode{Value: "$run"}, plain, at).node, placed(&ast.IntegerNode{Value: site}, plain, at).node}
	for i, a := range args {
		q := f.forms[form].params[min(i, len(f.forms[form].params)-1)]
		node := a.node
		switch {
		case q.thing != 0:
			i, err := t.thing(q.thing, a)
			if err != nil {
				return typed{}, err
			}
			t.things[i].Life = t.things[i].Life || q.thing == AMold && f.unsure
			node = placed(&ast.IntegerNode{Value: i}, plain, a.at).node
		case q.ratio:
			r, _ := readRatio(a.name)
			node = placed(&ast.ConstantNode{Value: r}, plain, a.at).node
		}
		nodes = append(nodes, node)
	}
	return t.calls(inner(f.name, form), gives, at, nodes...), nil
}

// remember keeps that the function is called, and which of the shop's constants
// such a call reads.
func (t *typer) remember(f *function, form, args int) {
	if !slices.Contains(t.callees, f.name) {
		t.callees = append(t.callees, f.name)
	}
	if f.reads != "" && args < len(f.forms[form].params) {
		t.uses[f.reads] = true
	}
}

// thing is the number of a material or mold that the formula names.
func (t *typer) thing(k ThingKind, a typed) (int, error) {
	for i, have := range t.things {
		if have.Kind == k && have.Name == a.name {
			return i, nil
		}
	}
	if len(t.things) == maxThings {
		return 0, t.over(a.at, "more than %d materials and molds are named", maxThings).Hint("make several formulas of it")
	}
	t.things = append(t.things, Thing{Kind: k, Name: a.name, at: a.at})
	return len(t.things) - 1, nil
}

// site is the number of an uncertain call. Calls that are typed alike are one:
// names never change, so they give the same.
func (t *typer) site(f *function, at int) (int, error) {
	key := t.callText(at)
	if i, ok := t.sites[key]; ok {
		return i, nil
	}
	if len(t.sites) == maxUnsure {
		return 0, t.over(at, "more than %d uncertain values come in", maxUnsure).Hint("make several formulas of it")
	}
	if f.slow {
		if t.slow++; t.slow > maxSlow {
			return 0, t.over(at, "%s is called more than %d times", f.name, maxSlow).Hint("set it to a name once with let, or make several formulas of it")
		}
	}
	t.sites[key] = len(t.sites)
	return t.sites[key], nil
}

// callText is a call as typed, without its spaces.
func (t *typer) callText(at int) string {
	var b strings.Builder
	depth := 0
	for at < len(t.runes) {
		tok, ok := t.tokens[at]
		if !ok {
			at++
			continue
		}
		b.WriteString(string(t.runes[tok.from:tok.to]))
		b.WriteByte(' ')
		switch {
		case tok.is("("):
			depth++
		case tok.is(")"):
			if depth--; depth == 0 {
				return b.String()
			}
		}
		at = tok.to
	}
	return b.String()
}
