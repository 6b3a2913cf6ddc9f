package formula

import (
	"fmt"
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// between writes a range in the units of a formula.
func (r *run) between(v quantity.Range, k kind) string {
	if d, ok := k.dim(); ok {
		return quantity.TextRange(quantity.Range{Low: outward(v.Low, d), Mid: outward(v.Mid, d), High: outward(v.High, d)}, d, r.set.System)
	}
	low, high := k.read(v.Low, r.set.Currency, r.set.System), k.read(v.High, r.set.Currency, r.set.System)
	if low == high {
		return low
	}
	return low + " to " + high
}

// values are the figures of the last line.
func (r *run) values() ([]Value, *Batch) {
	last := len(r.lines) - 1
	k := r.p.kind
	switch v := r.lines[last].(type) {
	case bool:
		text := "no"
		if v {
			text = "yes"
		}
		return []Value{{Key: "result", Label: "Result", Is: v, Text: text, kind: k}}, nil
	case *Batch:
		return v.values(r.set), v
	case float64:
		unit, _ := k.unit(r.set.Currency)
		out := Value{Key: "result", Label: "Result", Is: k.base(v, r.set.Currency), Unit: unit, Text: k.read(v, r.set.Currency, r.set.System), kind: k}
		if step := r.set.ScaleStep; k == of(quantity.Mass) && step > 0 && math.Abs(v) >= step { // it may be weighed
			out.Text = quantity.TextStep(v, step, r.set.System)
		}
		if kPa := v / scale(quantity.Pressure); k == of(quantity.Pressure) && math.Abs(kPa) <= 120 { // vacuum gauges show these
			out.Text += " (" + quantity.TextIn(kPa, quantity.InchOfMercury) + ")"
		}
		out.text = func(a, b float64) string {
			return r.between(quantity.Range{Low: k.inward(a, r.set.Currency), High: k.inward(b, r.set.Currency)}, k)
		}
		return []Value{out}, nil
	}
	return nil, nil
}

// inward is a value of the kind from the unit it is told in.
func (k kind) inward(v float64, currency string) float64 {
	if d, ok := k.dim(); ok {
		return inward(v, d)
	}
	_, holds := k.unit(currency)
	return v * holds
}

// widen makes a range of a value, down and up from it.
func (v *Value) widen(down, up float64) {
	mid, ok := v.Is.(float64)
	if !ok {
		return
	}
	low, high := mid-down, mid+up
	if v.Unsure {
		low, high = math.Min(low, v.Low), math.Max(high, v.High)
	}
	v.Low, v.High, v.Unsure = low, high, true
	if v.text != nil && (down > 0 || up > 0) {
		v.Text = v.text(low, high)
	}
}

// values are what to weigh or measure, with the names that /batch gives them.
func (b *Batch) values(s *Setting) []Value {
	var out []Value
	add := func(key, label string, v float64, d quantity.Dim, said bool) {
		if said {
			out = append(out, Value{Key: key, Label: label, Is: v, Unit: quantity.BaseUnit(d), Text: quantity.Text(v, d, s.System), kind: of(d),
				text: func(low, high float64) string {
					return quantity.TextRange(quantity.Range{Low: low, High: high}, d, s.System)
				}})
		}
	}
	weighed := func(key, label string, v float64) {
		add(key, label, v, quantity.Mass, b.NoWeights == "")
		if at := len(out) - 1; at >= 0 && out[at].Key == key {
			out[at].Text = quantity.TextStep(v, b.Step, s.System)
			out[at].Low, out[at].High, out[at].Unsure = v-b.Step/2, v+b.Step/2, true
		}
	}
	weighed("mass_a", "Part A", b.MassA)
	weighed("mass_b", "Part B", b.MassB)
	add("mass_total", "Total", b.MassTotal, quantity.Mass, b.NoWeights == "")
	add("volume_total", "Total volume", b.VolumeTotal, quantity.Volume, b.VolumeTotal > 0)
	add("volume_a", "Volume of A", b.VolumeA, quantity.Volume, b.VolumeA > 0)
	add("volume_b", "Volume of B", b.VolumeB, quantity.Volume, b.VolumeB > 0)
	if b.Cost > 0 {
		out = append(out, Value{Key: "cost", Label: "Cost", Is: b.Cost, Unit: s.Currency, kind: money, Text: strings.TrimSpace(fmt.Sprintf("%.2f %s", b.Cost, s.Currency))})
	}
	return out
}

// working is every line with its value, and the working of the functions that
// it called.
func (r *run) working() []working.Step {
	var steps []working.Step
	for i, in := range r.p.inputs {
		v := r.set.Given.value(i, in)
		steps = append(steps, working.Step{What: in.Name, Formula: "input", Value: r.between(v, in.kind), Source: "given"})
		if in.given && v == quantity.Exactly(in.value) {
			steps[i].Source = "the formula's own value"
		}
	}
	for i, l := range r.p.lines {
		what := l.name
		if what == "" {
			what = "result"
		}
		steps = append(steps, working.Step{What: what, Formula: strings.Join(strings.Fields(l.text), " "), Value: r.told(r.lines[i], l.kind), Source: "the formula"})
	}
	return append(steps, r.steps...)
}

// told is the value of a line in words.
func (r *run) told(v any, k kind) string {
	switch v := v.(type) {
	case bool:
		if v {
			return "yes"
		}
		return "no"
	case float64:
		return k.read(v, r.set.Currency, r.set.System)
	case *Batch:
		if v.NoWeights != "" {
			return quantity.Text(v.VolumeA, quantity.Volume, r.set.System) + " A, " + quantity.Text(v.VolumeB, quantity.Volume, r.set.System) + " B"
		}
		return quantity.TextStep(v.MassA, v.Step, r.set.System) + " A, " + quantity.TextStep(v.MassB, v.Step, r.set.System) + " B"
	}
	return ""
}
