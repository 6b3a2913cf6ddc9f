package formula

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// function is what a formula may call. Its declaration is what checks a call,
// what /formula help shows and what completion offers.
type function struct {
	name    string
	group   string
	help    string // one sentence without its full stop
	example string
	source  string // of the formula behind it; "" is a definition
	forms   []form // the first that fits a call is taken
	slow    bool   // it takes milliseconds
	unsure  bool   // its result is a range
	band    bool   // a range by practice or judgement, not of 10 to 90 %
	note    string // what its reader must know, a sentence
	caution string // the id of the one that goes with its result
	reads   string // the shop's constant that a call without its last value reads
}

// form is one way to call a function.
type form struct {
	params []param
	least  int // of the params that must be given; zero is all of them
	// result is what a call gives; where it is nil the call gives gives.
	gives  kind
	result func(args []kind) (kind, string)
	run    func(c *call) (any, error)
}

// param is one argument.
type param struct {
	name string
	kind kind
	any  bool // of any dimension; the form's result says what fits
	// what is named, where kind is a name
	thing ThingKind
	ratio bool
	many  bool // it may be given again and again
}

func p(name string, d quantity.Dim) param { return param{name: name, kind: of(d)} }

func anything(name string) param { return param{name: name, any: true} }

// String is how a form is called, "round(x, step)".
func (f form) signature(name string) string {
	var b strings.Builder
	for i, q := range f.params {
		text := q.name
		if q.many {
			text += ", …"
		}
		if i > 0 {
			text = ", " + text
		}
		if f.least > 0 && i >= f.least && !q.many {
			text = "[" + text + "]"
		}
		b.WriteString(text)
	}
	return name + "(" + b.String() + ")"
}

// signature is how the function is called.
func (f function) signature() string {
	all := make([]string, len(f.forms))
	for i, o := range f.forms {
		all[i] = o.signature(f.name)
	}
	return strings.Join(all, " or ")
}

// takes checks a call against a form. what tells what is wrong with argument
// which; which below zero is the number of them.
func (f form) takes(args []typed) (gives kind, which int, what string) {
	most := len(f.params)
	least := most
	if f.least > 0 {
		least = f.least
	}
	if last := len(f.params) - 1; last >= 0 && f.params[last].many {
		most = 8
	}
	switch {
	case len(args) < least:
		return kind{}, -1, fmt.Sprintf("%d values are too few", len(args))
	case len(args) > most:
		return kind{}, -1, fmt.Sprintf("%d values are too many", len(args))
	}
	kinds := make([]kind, len(args))
	for i, a := range args {
		q := f.params[min(i, len(f.params)-1)]
		kinds[i] = a.kind
		if problem := q.refuses(a); problem != "" {
			return kind{}, i, problem
		}
	}
	if f.result == nil {
		return f.gives, 0, ""
	}
	gives, what = f.result(kinds)
	return gives, 0, what
}

// refuses tells why an argument does not fit, or "".
func (q param) refuses(a typed) string {
	switch {
	case q.any && (a.kind.sort == number):
		return ""
	case q.kind == aName && a.kind == aName:
		_, isRatio := readRatio(a.name)
		if q.ratio && !isRatio {
			return fmt.Sprintf("%q is no ratio such as \"100:45 wt\" or \"1:1 vol\"", a.name)
		}
		return ""
	case !q.any && q.kind == a.kind:
		return ""
	case q.kind == aName:
		return fmt.Sprintf("%s is a name in quotes, and this is %s", q.name, a.kind)
	case q.any:
		return fmt.Sprintf("%s is a number or a quantity, and this is %s", q.name, a.kind)
	}
	return fmt.Sprintf("%s is %s, and this is %s", q.name, q.kind, a.kind)
}

// readRatio reads a ratio with its basis.
func readRatio(text string) (quantity.Ratio, bool) {
	r, err := quantity.ParseRatio(text, quantity.RatioWant{Option: "text"})
	return r, err == nil
}

// declared are all functions, group by group.
func declared() []function {
	return slices.Concat(arithmetic, shapes(), mixing, shelf, surroundings, pressures, sizes, hardnesses, chemistry)
}

// functions are all that a formula can call, by name; they are not changed.
var functions = func() map[string]*function {
	all := map[string]*function{}
	for _, f := range declared() {
		if all[f.name] != nil {
			panic("formula: function " + f.name + " is declared twice")
		}
		all[f.name] = &f
	}
	return all
}()

// FunctionNames lists the functions.
func FunctionNames() []string { return slices.Sorted(maps.Keys(functions)) }

// call is one call of a function while a formula runs: its arguments in base
// units, in order.
type call struct {
	run    *run
	site   int // of an uncertain function
	args   []any
	params []param
}

// has reports whether an argument was given.
func (c *call) has(i int) bool { return i < len(c.args) }

// num is a number in the base unit of its parameter; one of any dimension is in
// the units of the formula.
func (c *call) num(i int) float64 {
	v, _ := c.args[i].(float64)
	q := c.params[min(i, len(c.params)-1)]
	if q.any {
		return v
	}
	d, _ := q.kind.dim()
	return outward(v, d)
}

// material is one that the formula names.
func (c *call) material(i int) material.Profile {
	return c.run.set.Things[c.args[i].(int)].Material
}

func (c *call) mold(i int) MoldFacts { return c.run.set.Things[c.args[i].(int)].Mold }

func (c *call) ratio(i int) quantity.Ratio {
	r, _ := c.args[i].(quantity.Ratio)
	return r
}

func (c *call) batch(i int) *Batch {
	b, _ := c.args[i].(*Batch)
	return b
}
