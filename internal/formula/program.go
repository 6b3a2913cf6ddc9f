package formula

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/builtin"
	"github.com/expr-lang/expr/checker"
	"github.com/expr-lang/expr/compiler"
	"github.com/expr-lang/expr/conf"
	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/parser"
	"github.com/expr-lang/expr/vm"

	"github.com/pourwright/pourwright/internal/quantity"
)

// Program is a formula that is ready to run. It is not changed by running and
// may run in several places at once.
type Program struct {
	src       source
	code      *vm.Program
	inputs    []Input
	lines     []line
	kind      kind // of the result
	things    []Thing
	sites     int
	currency  string
	constants []string
	callees   []string // functions that it calls
	national  []string // US and imperial measures, by symbol
}

// line is one line of a program for its working.
type line struct {
	name, text string
	kind       kind
	at         int
}

// Inputs are what the formula asks for, in the order of the text.
func (p *Program) Inputs() []Input { return p.inputs }

// Things are the materials and molds that it names, to be found by the caller
// and handed in as Setting.Things in the same order.
func (p *Program) Things() []Thing { return p.things }

// Uses are the shop's constants that it reads, by name.
func (p *Program) Uses() []string { return slices.Sorted(slices.Values(p.constants)) }

// Calls are the functions that it calls, in the order of the text: some have a
// note or a caution that belongs with the result.
func (p *Program) Calls() []Doc {
	var all []Doc
	for _, name := range p.callees {
		all = append(all, functions[name].doc())
	}
	return all
}

// Where is the place of a thing in the text, "line 2, column 7".
func (p *Program) Where(t Thing) string {
	line, column := p.src.place(t.at)
	return fmt.Sprintf("line %d, column %d", line, column)
}

// Compile reads a text. A gallon is that of the system. Errors: formula_error
// and formula_limit in option text, with line and column.
func Compile(text string, s quantity.System) (*Program, error) {
	src := source{[]rune(strings.ReplaceAll(text, "\r\n", "\n"))}
	if n := len(src.runes); n > MaxText {
		return nil, src.over(MaxText, "the formula has %d characters, at most %d are read", n, MaxText).Hint("make several formulas of it")
	}
	reader := literalReader{system: s}
	inputs, at, err := reader.head(&src)
	if err != nil {
		return nil, err
	}
	l := lexer{source: src, reader: reader, at: at}
	for _, in := range inputs {
		l.names = append(l.names, in.Name)
	}
	tokens, err := l.all()
	if err != nil {
		return nil, err
	}
	statements, err := src.statements(tokens)
	if err != nil {
		return nil, err
	}
	p := &Program{src: src, inputs: inputs}
	return p, p.build(statements)
}

// build types the statements and makes one program of them.
func (p *Program) build(statements []statement) error {
	t := &typer{source: p.src, tokens: map[int]token{}, names: map[string]variable{}, seen: map[ast.Node]bool{},
		sites: map[string]int{}, uses: map[string]bool{}}
	for _, in := range p.inputs {
		t.names[in.Name] = variable{kind: in.kind, inner: "i_" + in.Name}
		if in.currency != "" {
			t.currency = in.currency
		}
		p.measured(in.unit)
	}
	values := make([]typed, len(statements))
	for i, st := range statements {
		for _, tok := range st.tokens {
			t.tokens[tok.from] = tok
			p.measured(tok.literal.unit)
		}
		v, err := t.statement(st)
		if err != nil {
			return err
		}
		values[i] = v
		p.lines = append(p.lines, line{name: st.name, text: string(p.src.runes[st.from():st.to()]), kind: v.kind, at: st.from()})
		if st.name != "" {
			if _, twice := t.names[st.name]; twice {
				return p.src.wrong(st.nameAt, "%s is set already", st.name).Hint("give this one another name, such as %s_2", st.name)
			}
			t.names[st.name] = variable{kind: v.kind, inner: "v_" + st.name}
		}
	}
	p.kind = values[len(values)-1].kind
	p.things, p.sites, p.currency, p.callees = t.things, len(t.sites), t.currency, t.callees
	for name := range t.uses {
		p.constants = append(p.constants, name)
	}
	return p.compile(statements, values)
}

// measured keeps a unit that differs between countries.
func (p *Program) measured(u quantity.Unit) {
	symbol := u.Symbol()
	us, _ := quantity.UnitNamed(symbol, quantity.US)
	imperial, _ := quantity.UnitNamed(symbol, quantity.Imperial)
	switch {
	case symbol == "":
		return
	case us != imperial:
		symbol = "US " + symbol
	case !strings.HasPrefix(symbol, "imp "):
		return
	}
	if !slices.Contains(p.national, symbol) {
		p.national = append(p.national, symbol)
	}
}

// National are the measures in the text that differ between countries, as they
// were read: "US fl oz", "imp gal".
func (p *Program) National() []string { return p.national }

// statement parses and types one line.
func (t *typer) statement(st statement) (typed, error) {
	if err := t.knownFunctions(st); err != nil {
		return typed{}, err
	}
	tree, err := parse(t.placed(st))
	if err != nil {
		return typed{}, t.unparsed(st, err)
	}
	v, err := t.expression(tree.Node, st)
	if err != nil {
		return typed{}, err
	}
	if v.kind == aName {
		return typed{}, t.wrong(v.at, "a name in quotes is no value").Hint(`give it to a function, such as density("demo rigid white")`)
	}
	return v, nil
}

// parse runs the parser over an expression of names and signs. It holds no
// strings, numbers or comments; and should the parser fall over what is left,
// the text is refused like any that it can't read.
func parse(text string) (tree *parser.Tree, err error) {
	defer func() {
		if r := recover(); r != nil {
			tree, err = nil, &file.Error{Message: fmt.Sprint(r)}
		}
	}()
	return parser.ParseWithConfig(text, parsing)
}

// parsing makes every declared function a plain call, also where the parser has
// one of its own by that name.
var parsing = func() *conf.Config {
	c := conf.CreateNew()
	c.MaxNodes = maxNodes
	c.Builtins, c.Functions = conf.FunctionsTable{}, conf.FunctionsTable{}
	for name := range functions {
		c.Functions[name] = &builtin.Function{Name: name}
	}
	return c
}()

// knownFunctions refuses a call of what is not declared, before the parser
// takes it for something of its own.
func (t *typer) knownFunctions(st statement) error {
	for i, tok := range st.tokens[:len(st.tokens)-1] {
		if tok.kind != wordToken || operatorWord(tok.text) || !st.tokens[i+1].is("(") || functions[tok.text] != nil {
			continue
		}
		f := t.wrong(tok.from, "there is no function %s", tok.text)
		if _, set := t.names[tok.text]; set {
			return f.Hint("to multiply type %s * (", tok.text)
		}
		if hint := elsewhere[tok.text]; hint != "" {
			return f.Hint("%s", hint)
		}
		if like := near(tok.text, FunctionNames()); like != "" {
			return f.Hint("did you mean %s?", functions[like].signature())
		}
		return f.Hint("/formula help shows them all")
	}
	return nil
}

// elsewhere are functions of other languages, each with what it is here.
var elsewhere = map[string]string{
	"pow": "type x ^ 2", "power": "type x ^ 2", "log": "type ln(x) or log10(x)", "ceiling": "type ceil(x)", "sum": "type a + b + c",
	"average": "type (a + b) / 2", "mean": "type (a + b) / 2", "map": noLoops, "filter": noLoops, "reduce": noLoops, "repeat": noLoops,
	"volume": "each shape has its own, such as cylinder(d, h): see /formula help function:shapes",
}

// unparsed turns an error of the parser into one at its place in the text.
func (t *typer) unparsed(st statement, err error) error {
	var e *file.Error
	if !errors.As(err, &e) {
		return t.wrong(st.from(), "this line can't be read").Hint("type it anew, one sign at a time").Because(err)
	}
	at := st.from() + e.From
	if strings.Contains(e.Message, "maximum allowed nodes") {
		return t.over(at, "the formula has more than %d parts", maxNodes).Hint("make several formulas of it").Because(err)
	}
	for _, tok := range st.tokens {
		if tok.to > at && !strings.Contains(e.Message, "token EOF") {
			text := t.text(tok.from, tok.to)
			return t.wrong(tok.from, "%s does not fit here", text).Hint("a value or a sign is missing before it; the decimal sign is a point").Because(err)
		}
	}
	last := st.tokens[len(st.tokens)-1]
	return t.wrong(last.to, "the line ends too early").Hint("type a value behind %s", t.text(last.from, last.to)).Because(err)
}

// compile puts the lines together: one variable after another, and the result.
func (p *Program) compile(statements []statement, values []typed) error {
	last := len(values) - 1
	root := values[last].node
	for i := last - 1; i >= 0; i-- {
		root = placed(&ast.VariableDeclaratorNode{Name: "v_" + statements[i].name, Value: values[i].node, Expr: root}, values[i].kind, statements[i].from()).node
	}
	config := conf.CreateNew()
	config.Optimize = false // its folding gains nothing here and would have to be trusted
	config.Builtins, config.Functions = conf.FunctionsTable{}, compiled
	env := map[string]any{"$run": (*run)(nil)}
	for _, in := range p.inputs {
		env["i_"+in.Name] = 0.0
	}
	for _, c := range p.constants {
		env["c_"+c] = 0.0
	}
	config.WithEnv(env)
	tree := &parser.Tree{Node: root, Source: file.NewSource("")}
	if _, err := checker.Check(tree, config); err != nil {
		return fmt.Errorf("check a formula: %w", err)
	}
	code, err := compiler.Compile(tree, config)
	if err != nil {
		return fmt.Errorf("compile a formula: %w", err)
	}
	p.code = code
	return nil
}

// inner is what a form of a function is called within a program.
func inner(name string, form int) string { return fmt.Sprintf("f_%s_%d", name, form) }

var (
	givesNumber = reflect.TypeFor[func(...any) float64]()
	givesBatch  = reflect.TypeFor[func(...any) *Batch]()
)

// compiled are the functions that a program calls, by their inner names; they
// are not changed.
var compiled = func() conf.FunctionsTable {
	all := conf.FunctionsTable{}
	add := func(name string, t reflect.Type, f func(...any) (any, error)) {
		all[name] = &builtin.Function{Name: name, Func: f, Types: []reflect.Type{t}}
	}
	add("f_divide", givesNumber, divide)
	add("f_power", givesNumber, power)
	for _, f := range functions {
		for i, o := range f.forms {
			t := givesNumber
			if o.gives == aBatch {
				t = givesBatch
			}
			add(inner(f.name, i), t, o.bind(f))
		}
	}
	return all
}()

// bind makes the function that the program calls for a form.
func (f form) bind(of *function) func(...any) (any, error) {
	known := f.result == nil && f.gives.sort == number
	return func(args ...any) (any, error) {
		r, _ := args[0].(*run)
		site, _ := args[1].(int)
		if of.unsure {
			if v, again := r.again[site]; again {
				return v, nil
			}
		}
		c := call{run: r, site: site, args: args[2:], params: f.params}
		out, err := f.run(&c)
		if err != nil {
			return nil, err
		}
		v, isNumber := out.(float64)
		if !isNumber {
			return out, nil
		}
		if known {
			v = f.gives.inward(v, "")
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, r.wrong(of.name+" gives no number for these values", "give values that are not so large or so small")
		}
		if of.unsure {
			r.again[site] = v
		}
		return v, nil
	}
}

func divide(args ...any) (any, error) {
	a, _ := args[0].(float64)
	b, _ := args[1].(float64)
	if b == 0 {
		return nil, (*run)(nil).wrong("a division by zero", "see that what stands below is never zero, such as max(x, 1 mm)")
	}
	return a / b, nil
}

func power(args ...any) (any, error) {
	a, _ := args[0].(float64)
	b, _ := args[1].(float64)
	v := pow(a, b)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil, (*run)(nil).wrong("this power is no number", "a value below zero takes whole powers only, and zero none below it")
	}
	return v, nil
}

// pow multiplies small whole powers out, as a person would.
func pow(a, b float64) float64 {
	switch b {
	case 1:
		return a
	case 2:
		return a * a
	case 3:
		return a * a * a
	}
	return math.Pow(a, b)
}
