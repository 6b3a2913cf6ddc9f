package formula

import (
	"errors"
	"fmt"
	"math"
	"sync"

	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/vm"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Setting is what a run is given besides the text: plain values all.
type Setting struct {
	Given    Given
	Things   []Thing // found, in the order of Program.Things
	Temp     float64 // °C, the room
	Humidity float64 // fraction, relative
	Altitude float64 // m above sea level
	// ScaleStep is the smallest step of the shop's scale in g.
	ScaleStep float64
	Currency  string          // of the prices of materials, or ""
	System    quantity.System // that results are told in
	// PotLife tells how long a cup stays pourable, in s; mass in g, room in °C.
	PotLife func(m material.Profile, mass, room float64) (quantity.Range, error)
}

// Result is what a formula gives.
type Result struct {
	Values []Value  // "result", or what to weigh of a batch
	Batch  *Batch   // where the result is one
	Rests  []string // the uncertain values it rests on, as ranges
	Sure   bool     // of a yes or no: it is the same at the ends of these ranges
	from   *run
}

// Working is every line with its value, and the working of the functions that
// it called. It is written when it is asked for.
func (out Result) Working() []working.Step { return out.from.working() }

// Value is one figure of a result, in the base unit of its dimension.
type Value struct {
	Key, Label string
	Is         any // float64 or bool
	Unit, Text string
	Low, High  float64
	Unsure     bool // low and high tell a range
	kind       kind
	text       func(low, high float64) string
}

// run is one run of a program.
type run struct {
	p     *Program
	set   *Setting
	lines []any           // values of the lines
	again map[int]float64 // uncertain calls that were made
	sites []unsureValue
	shift int // the uncertain value that is at one of its ends, or -1
	up    bool
	quiet bool // no working
	steps []working.Step
}

// unsureValue is an uncertain value that came up.
type unsureValue struct {
	r    quantity.Range
	text string
	came bool
}

// work keeps the working of a function.
func (r *run) work(steps []working.Step) {
	if !r.quiet && len(r.steps)+len(steps) <= maxSteps {
		r.steps = append(r.steps, steps...)
	}
}

// wrong is a refusal while the formula runs; Run adds where it was.
func (r *run) wrong(what, hint string) error {
	return fault.New(fault.FormulaError, "%s", what).Hint("%s", hint)
}

// unsure gives the value that an uncertain one has in this run, in base units.
func (r *run) unsure(site int, v quantity.Range, what string, d quantity.Dim) float64 {
	if r.shift < 0 {
		r.sites[site] = unsureValue{r: v, came: true, text: what + ": " + quantity.TextRange(v, d, r.set.System)}
	}
	return r.at(site, v)
}

func (r *run) at(site int, v quantity.Range) float64 {
	switch {
	case r.shift != site:
		return v.Mid
	case r.up:
		return v.High
	}
	return v.Low
}

// Run works the formula out. Errors: formula_error in option text, with line
// and column.
func (p *Program) Run(s Setting) (Result, error) {
	if p.currency != "" && s.Currency != "" && p.currency != s.Currency {
		return Result{}, fault.New(fault.FormulaError, "the formula counts in %s and this shop in %s", p.currency, s.Currency).
			In("text").Hint("give its prices in %s", s.Currency)
	}
	if s.Currency == "" {
		s.Currency = p.currency
	}
	r := &run{p: p, set: &s, shift: -1, sites: make([]unsureValue, p.sites+len(p.inputs))}
	if err := r.once(); err != nil {
		return Result{}, err
	}
	out := Result{Sure: true, from: r}
	out.Values, out.Batch = r.values()
	if err := r.spread(&out); err != nil {
		return Result{}, err
	}
	return out, nil
}

// machine runs programs, and keeps its stack and the table of what a program is
// given from run to run; each run begins anew.
type machine struct {
	vm.VM
	env map[string]any
}

var machines = sync.Pool{New: func() any { return &machine{env: map[string]any{}} }}

// once runs the program.
func (r *run) once() error {
	p := r.p
	r.lines, r.again = make([]any, len(p.lines)), nil
	if p.sites > 0 {
		r.again = map[int]float64{}
	}
	m := machines.Get().(*machine)
	env := m.env
	env["$run"] = r
	for i, in := range p.inputs {
		v := r.set.Given.value(i, in)
		if r.shift < 0 && v.Low < v.High {
			r.sites[p.sites+i] = unsureValue{r: v, came: true, text: in.Name + ": " + r.between(v, in.kind)}
		}
		env["i_"+in.Name] = r.at(p.sites+i, v)
	}
	for _, c := range p.constants {
		env["c_"+c] = constants[c].of(r.set)
	}
	result, err := m.Run(p.code, env)
	// The program's variables are the lines that set a name, in their order.
	last := len(p.lines) - 1
	copy(r.lines, m.Variables[:min(last, len(m.Variables))])
	clear(m.Variables)
	clear(env)
	machines.Put(m)
	r.lines[last] = result
	if err != nil {
		return r.placed(err)
	}
	return r.finite()
}

// finite refuses a line whose value can't be told.
func (r *run) finite() error {
	for i, v := range r.lines {
		if x, ok := v.(float64); ok && (math.IsNaN(x) || math.IsInf(x, 0)) {
			return r.p.src.wrong(r.p.lines[i].at, "the value of this line is too large to be told").Hint("give smaller values")
		}
	}
	return nil
}

// value is what an input was given, its default where nothing was.
func (g Given) value(i int, in Input) quantity.Range {
	if i < len(g.values) {
		return g.values[i]
	}
	return quantity.Exactly(in.value)
}

// placed adds the place to a refusal that came up in the program.
func (r *run) placed(err error) error {
	if err == nil {
		return nil
	}
	var e *file.Error
	f := fault.As(err)
	if !errors.As(err, &e) || f == nil {
		return fmt.Errorf("run a formula: %w", err)
	}
	return r.p.src.wrong(e.From, "%s", f.Message).Hint("%s", f.HintText())
}

// spread runs the formula with each uncertain value at its ends, and tells the
// results as ranges: the moves to one side are added in quadrature (JCGM
// 100:2008, 5.1.2 and the note to 5.1.3, the sides kept apart).
func (r *run) spread(out *Result) error {
	var down, up []float64
	for site, u := range r.sites {
		if !u.came {
			continue
		}
		if out.Rests == nil {
			down, up = make([]float64, len(out.Values)), make([]float64, len(out.Values))
		}
		out.Rests = append(out.Rests, u.text)
		low, err := r.end(site, u, false)
		if err != nil {
			return err
		}
		high, err := r.end(site, u, true)
		if err != nil {
			return err
		}
		for i, v := range out.Values {
			if i >= len(low) || i >= len(high) || low[i].Key != v.Key || high[i].Key != v.Key {
				continue // another batch, with other figures
			}
			mid, isNumber := v.Is.(float64)
			a, _ := low[i].Is.(float64)
			b, _ := high[i].Is.(float64)
			if !isNumber {
				out.Sure = out.Sure && low[i].Is == v.Is && high[i].Is == v.Is
				continue
			}
			down[i] = math.Hypot(down[i], max(0, mid-min(a, b)))
			up[i] = math.Hypot(up[i], max(0, max(a, b)-mid))
		}
	}
	if len(out.Rests) > 0 {
		for i := range out.Values {
			out.Values[i].widen(down[i], up[i])
		}
	}
	return nil
}

// end is what the formula gives with one uncertain value at an end of its range.
func (r *run) end(site int, u unsureValue, high bool) ([]Value, error) {
	other := &run{p: r.p, set: r.set, shift: site, up: high, quiet: true, sites: r.sites}
	err := other.once()
	if f := fault.As(err); f != nil {
		which := "low"
		if high {
			which = "high"
		}
		f.Message += fmt.Sprintf(" (at the %s end of the %s)", which, u.text)
	}
	if err != nil {
		return nil, err
	}
	values, _ := other.values()
	return values, nil
}
