package forecast

import (
	"fmt"
	"math"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/plot"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Chart draws conversion and temperature at core and skin of the thickest
// section over time, in the reader's unit of temperature.
func (f *Forecast) Chart(of string, sys quantity.System) (chat.Image, error) {
	c := f.curves(sys)
	data, err := c.PNG()
	if err != nil {
		return chat.Image{}, fmt.Errorf("draw the cure: %w", err)
	}
	return chat.Image{Name: "cure.png", Alt: "Cure of " + of + ". " + c.Alt(), Data: data}, nil
}

func (f *Forecast) curves(sys quantity.System) plot.Curves {
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
		// The bands are over all draws at one time, and each peaks at its own:
		// their hottest is lower than the hottest of the answer.
		hottest := math.Round(f.Peak.High)
		heat.Levels = []plot.Level{{Label: "cool to handle", At: unit.From(cure.CoolFace)},
			{Label: "hottest it may get", At: unit.From(hottest)}}
	}
	out := plot.Curves{Since: "since the pour", Panels: []plot.Panel{cured, heat}}
	mark := func(label string, at quantity.Range) {
		if at.Mid > 0 {
			text := label + " " + quantity.TextRange(cure.RoundOut(at), quantity.Time, sys)
			out.Marks = append(out.Marks, plot.Mark{Label: text, At: at})
		}
	}
	mark("gel", f.Gel)
	if f.Demold.Mid > f.Curves.Time[len(f.Curves.Time)-1] {
		mark("thick section firm", f.ThickDemold) // the thin one is ready past the edge
	}
	mark("demold", f.Demold)
	if f.FacePeak.High > cure.CoolFace { // else it is never hot to the hand
		mark("cool", f.Cool)
	}
	return out
}
