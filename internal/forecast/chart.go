package forecast

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/plot"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Chart draws conversion and temperature at core and skin of the thickest
// section over time, in the reader's unit of temperature.
func (f *Forecast) Chart(of string, sys quantity.System) (chat.Image, error) {
	c, beyond := f.curves(sys)
	data, err := c.PNG()
	if err != nil {
		return chat.Image{}, fmt.Errorf("draw the cure: %w", err)
	}
	return chat.Image{Name: "cure.png", Alt: "Cure of " + of + ". " + c.Alt() + beyond, Data: data}, nil
}

// curves are the picture, and in words what lies beyond it.
func (f *Forecast) curves(sys quantity.System) (out plot.Curves, beyond string) {
	unit := quantity.BareUnit(quantity.Temp, sys)
	series := func(label string, values []quantity.Range, as func(float64) float64) plot.Series {
		s := plot.Series{Label: label, Time: f.Curves.Time, Values: make([]quantity.Range, len(values))}
		for i, v := range values {
			s.Values[i] = quantity.Range{Low: as(v.Low), Mid: as(v.Mid), High: as(v.High)}
		}
		return s
	}
	percent := func(v float64) float64 { return 100 * v }
	cured := plot.Panel{Title: "Cured, %", High: 100, Series: []plot.Series{
		series("core", f.Curves.ConvCore, percent), series("skin", f.Curves.ConvSkin, percent)}}
	if f.Ready > 0 {
		cured.Levels = []plot.Level{{Label: "enough to demold", At: 100 * f.Ready}}
	}
	heat := plot.Panel{Title: "Temperature, " + unit.Symbol(), Series: []plot.Series{
		series("core", f.Curves.TempCore, unit.From), series("skin", f.Curves.TempSkin, unit.From)}}
	if f.Peak.High > cure.CoolFace {
		heat.Levels = []plot.Level{{Label: "cool to handle", At: unit.From(cure.CoolFace)}}
	}
	out = plot.Curves{Since: "since the pour", Panels: []plot.Panel{cured, heat}}
	mark := func(label string, at quantity.Range) bool { return f.mark(&out, label, at, sys) }
	late := func(label string, at quantity.Range) {
		beyond += fmt.Sprintf(" %s after %s, past the right edge.", label, quantity.TextRange(cure.RoundOut(at), quantity.Time, sys))
	}
	mark("gel", f.Gel)
	if !mark("demold", f.Demold) && f.Demold.Mid > 0 {
		mark("thick section firm", f.ThickDemold)
		late("Ready to demold", f.Demold)
	}
	if f.Peak.High > cure.CoolFace && !mark("cool", f.Cool) && f.Cool.Mid > 0 {
		late("Cool to handle", f.Cool)
	}
	return out, beyond
}

// mark adds a time where the picture reaches it.
func (f *Forecast) mark(c *plot.Curves, label string, at quantity.Range, sys quantity.System) bool {
	if end := f.Curves.Time[len(f.Curves.Time)-1]; at.Mid <= 0 || at.Mid > end {
		return false
	}
	text := label + " " + quantity.TextRange(cure.RoundOut(at), quantity.Time, sys)
	c.Marks = append(c.Marks, plot.Mark{Label: text, At: at})
	return true
}
