package formula

import (
	"slices"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/file"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// typed is an expression that was understood: its kind, and the new tree that
// works it out.
type typed struct {
	node ast.Node
	kind kind
	at   int
	name string   // of a string
	lit  *literal // of a number as typed
}

// variable is a name that is set, and what it is called within the program.
type variable struct {
	kind  kind
	inner string
}

// typer walks trees of the parser. It refuses every node it does not know.
type typer struct {
	source
	tokens   map[int]token // by their first character
	names    map[string]variable
	seen     map[ast.Node]bool
	nodes    int
	things   []Thing
	sites    map[string]int // uncertain calls, by their text
	slow     int
	batches  int
	currency string
	uses     map[string]bool // constants
	callees  []string        // functions that are called, each once
}

// expression types a node. Every case counts what it took, so that no tree
// costs more than maxNodes.
func (t *typer) expression(n ast.Node, st statement) (typed, error) {
	at := st.from()
	if n == nil {
		return typed{}, t.wrong(at, "this can't be read").Hint("type it anew, one sign at a time")
	}
	at += n.Location().From
	if t.nodes++; t.nodes > maxNodes {
		return typed{}, t.over(at, "the formula has more than %d parts", maxNodes).Hint("make several formulas of it")
	}
	if t.seen[n] {
		return typed{}, t.wrong(at, "one value is compared with two others at once").Hint("type a < b and b < c")
	}
	t.seen[n] = true
	switch n := n.(type) {
	case *ast.IdentifierNode:
		return t.identifier(n.Value, at)
	case *ast.BoolNode:
		return placed(&ast.BoolNode{Value: n.Value}, aTruth, at), nil
	case *ast.UnaryNode:
		return t.unary(n, st, at)
	case *ast.BinaryNode:
		return t.binary(n, st, at)
	case *ast.ConditionalNode:
		return t.conditional(n, st)
	case *ast.CallNode:
		return t.call(n, st, at)
	}
	return typed{}, t.wrong(at, "this has no place in a formula").Hint("type numbers, units, names, functions, and + - * / ^ ( )")
}

// placed gives a new node its place in the whole text.
func placed(n ast.Node, k kind, at int) typed {
	n.SetLocation(file.Location{From: at, To: at})
	return typed{node: n, kind: k, at: at}
}

// identifier is a placeholder of a literal or a string, a name or a constant.
func (t *typer) identifier(name string, at int) (typed, error) {
	if tok, ok := t.tokens[at]; ok && tok.kind == literalToken {
		return t.number(tok.literal, at)
	} else if ok && tok.kind == stringToken {
		out := placed(&ast.NilNode{}, aName, at)
		out.name = tok.text
		return out, nil
	}
	if v, ok := t.names[name]; ok {
		return placed(&ast.IdentifierNode{Value: v.inner}, v.kind, at), nil
	}
	if c, ok := constants[name]; ok {
		t.uses[name] = true
		return placed(&ast.IdentifierNode{Value: "c_" + name}, c.kind, at), nil
	}
	return typed{}, t.unknown(name, at)
}

// unknown refuses a name that was never set.
func (t *typer) unknown(name string, at int) error {
	f := t.wrong(at, "nothing here is called %s", name)
	var all []string
	for n := range t.names {
		all = append(all, n)
	}
	for n := range constants {
		all = append(all, n)
	}
	slices.Sort(all)
	_, isUnit := quantity.UnitNamed(name, quantity.Metric)
	switch like := near(name, all); {
	case functions[name] != nil:
		return f.Hint("%s is a function: type %s", name, functions[name].signature())
	case like != "":
		return f.Hint("did you mean %s?", like)
	case isUnit:
		return f.Hint("a unit needs a number before it, such as 1 %s", name)
	}
	return f.Hint("set it before, such as let %s = 5 mm, or ask for it: input %s = 5 mm", name, name)
}

// number is a literal.
func (t *typer) number(l literal, at int) (typed, error) {
	if l.currency != "" {
		if t.currency != "" && t.currency != l.currency {
			return typed{}, t.wrong(at, "the prices are in %s and %s", t.currency, l.currency).Hint("give them in one currency")
		}
		t.currency = l.currency
	}
	out := placed(&ast.FloatNode{Value: l.value}, l.kind, at)
	out.lit = &l
	return out, nil
}

func (t *typer) unary(n *ast.UnaryNode, st statement, at int) (typed, error) {
	x, err := t.expression(n.Node, st)
	if err != nil {
		return typed{}, err
	}
	switch n.Operator {
	case "!", "not":
		if x.kind != aTruth {
			return typed{}, t.wrong(at, "not wants a yes or no, and this is %s", x.kind).Hint("compare it first, such as not (temp < 18 C)")
		}
		return placed(&ast.UnaryNode{Operator: "!", Node: x.node}, aTruth, at), nil
	case "+", "-":
		if x.kind.sort != number || x.kind.point && x.lit == nil {
			return typed{}, t.wrong(at, "%s can't have a sign", x.kind).Hint("put the sign before a number or a quantity")
		}
		if n.Operator == "+" {
			return x, nil
		}
		if x.lit != nil {
			l := x.lit.negative()
			return t.number(l, at)
		}
		return placed(&ast.UnaryNode{Operator: "-", Node: x.node}, x.kind, at), nil
	}
	return typed{}, t.wrong(at, "%s has no meaning in a formula", n.Operator).Hint("type + - * / ^ ( )")
}

func (t *typer) binary(n *ast.BinaryNode, st statement, at int) (typed, error) {
	a, err := t.expression(n.Left, st)
	if err != nil {
		return typed{}, err
	}
	b, err := t.expression(n.Right, st)
	if err != nil {
		return typed{}, err
	}
	op := n.Operator
	switch op {
	case "and", "or", "&&", "||":
		if a.kind != aTruth || b.kind != aTruth {
			return typed{}, t.wrong(at, "%s joins what is yes or no, and this is %s and %s", op, a.kind, b.kind).Hint("such as temp > 18 C and humidity < 60 %%")
		}
		return placed(&ast.BinaryNode{Operator: op, Left: a.node, Right: b.node}, aTruth, at), nil
	case "==", "!=", "<", ">", "<=", ">=":
		ordered := a.kind.sort == number
		if a.kind != b.kind || !ordered && (a.kind != aTruth || op != "==" && op != "!=") {
			return typed{}, t.unlike(at, "can't be compared", a, b)
		}
		return placed(&ast.BinaryNode{Operator: op, Left: a.node, Right: b.node}, aTruth, at), nil
	}
	if a.kind.sort != number || b.kind.sort != number {
		return typed{}, t.unlike(at, "can't be worked with "+op, a, b)
	}
	switch op {
	case "+", "-":
		return t.sum(op, a, b, at)
	case "*", "/":
		return t.product(op, a, b, at)
	case "^":
		return t.power(a, b, at)
	}
	return typed{}, t.wrong(at, "%s has no meaning in a formula", op).Hint("type + - * / ^ ( )")
}

// sum adds and subtracts. Two temperatures have a difference and no sum.
func (t *typer) sum(op string, a, b typed, at int) (typed, error) {
	k := a.kind
	switch {
	case a.kind.point && b.kind.point && op == "-":
		k = degrees
	case a.kind.point && b.kind.point:
		return typed{}, t.wrong(at, "two temperatures do not add up").Hint("a difference is typed in dC or dF: 20 C + 5 dC")
	case a.kind.point && b.kind == degrees:
	case b.kind.point && a.kind == degrees && op == "+":
		k = b.kind
	case a.kind != b.kind:
		return typed{}, t.unlike(at, map[string]string{"+": "can't be added", "-": "can't be subtracted"}[op], a, b)
	}
	return placed(&ast.BinaryNode{Operator: op, Left: a.node, Right: b.node}, k, at), nil
}

// product multiplies and divides.
func (t *typer) product(op string, a, b typed, at int) (typed, error) {
	if a.kind.point || b.kind.point {
		return typed{}, t.wrong(at, "a temperature can't be multiplied or divided: 40 C is not twice 20 C").
			Hint("take a difference first, such as (temp - 20 C) / 1 dC")
	}
	d, ok := a.kind.dims.add(b.kind.dims)
	if op == "/" {
		d, ok = a.kind.dims.sub(b.kind.dims)
	}
	if !ok {
		return typed{}, t.wrong(at, "this measures nothing any more: %s and %s", a.kind, b.kind).Hint("look whether a unit is meant where it stands")
	}
	if op == "/" {
		if b.lit != nil && b.lit.value == 0 {
			return typed{}, t.wrong(at, "nothing can be divided by zero").Hint("give a value other than zero")
		}
		return t.calls("f_divide", kind{dims: d}, at, a.node, b.node), nil
	}
	return placed(&ast.BinaryNode{Operator: "*", Left: a.node, Right: b.node}, kind{dims: d}, at), nil
}

// power raises. A value with a unit takes whole powers as typed, so that its
// unit is known.
func (t *typer) power(a, b typed, at int) (typed, error) {
	if b.kind != plain {
		return typed{}, t.wrong(at, "an exponent is a bare number, and this is %s", b.kind).Hint("such as 5 mm ^ 2")
	}
	k := plain
	if a.kind != plain {
		whole := b.lit != nil && b.lit.value == float64(int(b.lit.value))
		if !whole || b.lit.value > maxPower || b.lit.value < -maxPower || a.kind.point {
			return typed{}, t.wrong(at, "%s can't be raised to that", a.kind).
				Hint("a quantity with a unit takes a whole number up to %d as typed, such as (5 mm)^2; for a root type sqrt or cbrt", maxPower)
		}
		d, ok := a.kind.dims.power(int(b.lit.value))
		if !ok {
			return typed{}, t.wrong(at, "this measures nothing any more").Hint("raise it to a smaller power")
		}
		k = kind{dims: d}
	}
	return t.calls("f_power", k, at, a.node, b.node), nil
}

func (t *typer) conditional(n *ast.ConditionalNode, st statement) (typed, error) {
	cond, err := t.expression(n.Cond, st)
	if err != nil {
		return typed{}, err
	}
	if cond.kind != aTruth {
		return typed{}, t.wrong(cond.at, "a condition is yes or no, and this is %s", cond.kind).Hint("compare it, such as temp < 18 C ? 2 : 1")
	}
	a, err := t.expression(n.Exp1, st)
	if err != nil {
		return typed{}, err
	}
	b, err := t.expression(n.Exp2, st)
	if err != nil {
		return typed{}, err
	}
	if a.kind != b.kind || a.kind.sort == named {
		return typed{}, t.unlike(b.at, "can't be the two sides of one choice", a, b)
	}
	return placed(&ast.ConditionalNode{Ternary: true, Cond: cond.node, Exp1: a.node, Exp2: b.node}, a.kind, cond.at), nil
}

// unlike refuses two values that do not go together, with what often is the
// matter.
func (t *typer) unlike(at int, what string, a, b typed) *fault.Error {
	f := t.wrong(at, "%s and %s %s", a.kind, b.kind, what)
	for _, x := range []typed{a, b} {
		if x.lit != nil && (x.lit.unit == quantity.Ounce) && x.kind == of(quantity.Mass) {
			return f.Hint("oz is a weight here; for fluid ounces type floz")
		}
	}
	pair := func(x, y quantity.Dim) bool {
		return a.kind == of(x) && b.kind == of(y) || a.kind == of(y) && b.kind == of(x)
	}
	switch {
	case pair(quantity.Mass, quantity.Volume):
		return f.Hint("a volume times a density is a weight, such as 250 ml * 1.1 g/ml")
	case a.kind.point && b.kind == plain || b.kind.point && a.kind == plain:
		return f.Hint("a difference of temperatures is typed in dC or dF, such as temp + 5 dC")
	case a.kind == plain && a.lit != nil || b.kind == plain && b.lit != nil:
		return f.Hint("a bare number has no unit: type it behind the number, such as 2 mm")
	case a.kind == degrees || b.kind == degrees:
		return f.Hint("5 dC is a difference, 5 C a temperature")
	}
	return f.Hint("both must measure the same; let lines show what each part is")
}
