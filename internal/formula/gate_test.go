package formula

import (
	"testing"

	"github.com/expr-lang/expr/ast"

	"github.com/pourwright/pourwright/internal/fault"
)

// TestSecondGate: should a text ever reach the parser that the reader here would
// refuse, the walk over its tree refuses it as well.
func TestSecondGate(t *testing.T) {
	for _, text := range []string{
		"1..5", "[1]", "{a: 1}", "temp.x", "temp?.x", "temp[0]", "temp[1:2]", "$env", "map([1], #)", "filter([1], {# > 0})",
		"[1] | map(#)", `"a" + "b"`, `"a" matches "b"`, "temp ?? 1", "nil", "b'x'", "let a = 1; a", "1; 2", "if true {1} else {2}",
		"1 in [1]", "len([1])", "now()", "::len([1])", "temp()", "sqrt(4)(1)", "sqrt.x", "1 % 2", "1", "1.5", `"a"`, "1 < 2 < 3", "all([true], #)",
	} {
		tree, err := parse(text)
		if err != nil {
			continue // refused before it comes to the gate
		}
		ty := &typer{source: source{[]rune(text)}, tokens: map[int]token{}, names: map[string]variable{}, seen: map[ast.Node]bool{},
			sites: map[string]int{}, uses: map[string]bool{}}
		st := statement{tokens: []token{{from: 0, to: len(text)}}}
		if v, err := ty.expression(tree.Node, st); fault.As(err) == nil {
			t.Errorf("%q got through as %+v, %v", text, v, err)
		}
	}
}

// TestSharedOperands: the parser gives the middle of a < b < c to two
// comparisons. Nested, a plain walk over such a tree takes 2^n steps; ours
// takes one for each node.
func TestSharedOperands(t *testing.T) {
	text := "a"
	for range 80 {
		text = "a < (" + text + ") < a"
	}
	tree, err := parse(text)
	if err != nil {
		t.Fatal(err)
	}
	ty := &typer{source: source{[]rune(text)}, tokens: map[int]token{}, names: map[string]variable{"a": {inner: "v_a"}}, seen: map[ast.Node]bool{}}
	_, err = ty.expression(tree.Node, statement{tokens: []token{{from: 0, to: len(text)}}})
	if !fault.Is(err, fault.FormulaError) || ty.nodes > maxNodes {
		t.Errorf("got %v after %d nodes", err, ty.nodes)
	}
}
