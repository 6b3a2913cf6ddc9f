package plot_test

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/plot"
	"github.com/pourwright/pourwright/internal/quantity"
)

// span is v with a share of it to both sides.
func span(v, share float64) quantity.Range {
	return quantity.Range{Low: v * (1 - share), Mid: v, High: v * (1 + share)}
}

// cureLike are curves as a cure has them: conversion that rises in an S and
// temperature that peaks and falls, at the core and at the skin.
func cureLike(minutes float64) plot.Curves {
	var t []float64
	var convCore, convSkin, tempCore, tempSkin []quantity.Range
	s := func(x, at, w float64) float64 { return 1 / (1 + math.Exp(-(x-at)/w)) }
	for i := range 97 {
		x := float64(i) / 96
		at := minutes * 60 * x * x
		t = append(t, at)
		u := x * x * 10
		core := quantity.Range{Low: 100 * s(u, 2.4, 0.4), Mid: 100 * s(u, 1.9, 0.35), High: 100 * s(u, 1.5, 0.3)}
		skin := quantity.Range{Low: 90 * s(u, 4.6, 1), Mid: 94 * s(u, 3.6, 0.8), High: 97 * s(u, 2.8, 0.7)}
		convCore, convSkin = append(convCore, core), append(convSkin, skin)
		peak := func(h, at, w float64) float64 {
			if u < at {
				return 21 + h*math.Exp(-(u-at)*(u-at)/w)
			}
			return 21 + h*math.Exp(-(u-at)/3.2)
		}
		tempCore = append(tempCore, quantity.Range{Low: peak(42, 2.2, 0.8), Mid: max(peak(42, 2.2, 0.8), peak(58, 2, 0.9)), High: max(peak(42, 2.2, 0.8), peak(58, 2, 0.9), peak(76, 1.8, 1))})
		tempSkin = append(tempSkin, span(peak(22, 2.8, 2), 0.12))
	}
	ser := func(name string, v []quantity.Range) plot.Series { return plot.Series{Label: name, Time: t, Values: v} }
	m := minutes * 60 / 10
	return plot.Curves{
		Since: "since the pour",
		Panels: []plot.Panel{
			{Title: "Cured, %", High: 100, Series: []plot.Series{ser("core", convCore), ser("skin", convSkin)}, Levels: []plot.Level{{Label: "firm enough to demold", At: 85}}},
			{Title: "Temperature, °C", Series: []plot.Series{ser("core", tempCore), ser("skin", tempSkin)}, Levels: []plot.Level{{Label: "cool to the touch", At: 45}}},
		},
		Marks: []plot.Mark{
			{Label: "gel 9 min", At: span(1.9*m, 0.2)}, {Label: "demold 21 min", At: span(4.6*m, 0.25)}, {Label: "cool 24 min", At: span(5.3*m, 0.2)},
		},
	}
}

func TestCurves(t *testing.T) {
	one := cureLike(45)
	one.Panels = one.Panels[1:]
	one.Marks = nil
	late := cureLike(3000)
	for i := range late.Marks {
		late.Marks[i].At = span(170000+2000*float64(i), 0.02)
	}
	four := cureLike(600)
	for i := range 2 {
		more := four.Panels[0].Series[i]
		more.Label = "wall " + more.Label
		more.Values = slices.Clone(more.Values)
		for k := range more.Values {
			v := &more.Values[k]
			v.Low, v.Mid, v.High = v.Low*0.6, v.Mid*0.7, v.High*0.8
		}
		four.Panels[0].Series = append(four.Panels[0].Series, more)
	}
	for name, c := range map[string]plot.Curves{"cure": cureLike(45), "short": cureLike(3), "one": one, "late": late, "four": four} {
		pic := picture(t, "curves_"+name, c.PNG)
		all := pic.Bounds()
		if n := count(pic, all, isBlue); n < 1500 {
			t.Errorf("%s: %d blue pixels: the first series is missing", name, n)
		}
		if n := count(pic, all, isOrange); n < 800 {
			t.Errorf("%s: %d orange pixels: the second series is missing", name, n)
		}
		for _, edge := range []image.Rectangle{{all.Min, image.Pt(2, all.Max.Y)}, {image.Pt(718, 0), all.Max}, {all.Min, image.Pt(720, 2)}, {image.Pt(0, all.Max.Y-2), all.Max}} {
			if n := count(pic, edge, isDark); n > 0 {
				t.Errorf("%s: %d dark pixels at %v, the edge of the sheet", name, n, edge)
			}
		}
	}
}

// A mark's line stands at its time in each panel: dark pixels over most of the
// panel's height in one column, and only there.
func TestCurvesMarksStandAtTheirTime(t *testing.T) {
	flat := plot.Series{Label: "core", Time: []float64{0, 6000}, Values: []quantity.Range{quantity.Exactly(1), quantity.Exactly(2)}}
	for _, at := range []float64{600, 3000, 5400} {
		c := plot.Curves{Panels: []plot.Panel{{Title: "a", Series: []plot.Series{flat}, Low: 0, High: 10}, {Title: "b", Series: []plot.Series{flat}, Low: 0, High: 10}},
			Marks: []plot.Mark{{Label: "demold", At: quantity.Exactly(at)}}}
		pic := picture(t, "", c.PNG)
		var columns []int
		for x := 90; x < 700; x++ {
			if n := count(pic, image.Rect(x, 120, x+1, 290), isDark); n > 60 {
				columns = append(columns, x)
			}
		}
		if len(columns) < 1 || len(columns) > 3 {
			t.Fatalf("mark at %g s: dark columns %v, want one line", at, columns)
		}
		// the panel's ends, from its lowest grid line
		left, right := axisEnds(pic)
		want := float64(left) + float64(right-left)*at/6000
		if got := float64(columns[0]); math.Abs(got-want) > 3 {
			t.Errorf("mark at %g s stands at %g, want %.1f between %d and %d", at, got, want, left, right)
		}
	}
}

// A mark long after the curves leaves them their room: it has a name but no line.
func TestCurvesLateMark(t *testing.T) {
	c := cureLike(10)
	before := picture(t, "", c.PNG)
	c.Marks = append(c.Marks, plot.Mark{Label: "cool 2 h", At: span(7200, 0.2)})
	after := picture(t, "curves_late_mark", c.PNG)
	l0, r0 := axisEnds(before)
	l1, r1 := axisEnds(after)
	if l0 != l1 || r0 != r1 {
		t.Fatalf("the axis moved from %d–%d to %d–%d", l0, r0, l1, r1)
	}
	down := after.Bounds().Dy() - before.Bounds().Dy() // rows of names push the panels down
	for y := before.Bounds().Dy() - 560; y < before.Bounds().Dy(); y += 7 {
		for x := l0; x < 720; x++ {
			if before.At(x, y) != after.At(x, y+down) {
				t.Fatalf("the panels differ at %d, %d", x, y)
			}
		}
	}
	if !strings.Contains(c.Alt(), "cool 2 h: 2 h (") {
		t.Errorf("alt %q lacks the late mark", c.Alt())
	}
}

// axisEnds finds the longest row of one dark-gray line: the axis of time.
func axisEnds(pic image.Image) (left, right int) {
	for y := range pic.Bounds().Dy() {
		run := 0
		for x := range 720 {
			if lightness(pic.At(x, y)) < 0.3 {
				run++
				continue
			}
			if run > right-left {
				left, right = x-run, x
			}
			run = 0
		}
	}
	return left, right
}

func TestCurvesAltTellsTheNumbers(t *testing.T) {
	alt := cureLike(45).Alt()
	for _, words := range []string{
		"over 45 min since the pour", "gel 9 min: ", "demold 21 min: ", "Cured, %: core from ", "skin from ", "firm enough to demold at 85",
		"Temperature, °C: core from 2", " up to 7", " after ", "cool to the touch at 45",
	} {
		if !strings.Contains(alt, words) {
			t.Errorf("alt %q lacks %q", alt, words)
		}
	}
	if n := len([]rune(alt)); n > 1000 {
		t.Errorf("alt has %d letters", n)
	}
}

func TestCurvesThatCannotBeDrawn(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	change := func(f func(c *plot.Curves)) plot.Curves {
		c := cureLike(45)
		f(&c)
		return c
	}
	values := func(r quantity.Range) plot.Curves {
		return change(func(c *plot.Curves) { c.Panels[0].Series[0].Values[3] = r })
	}
	for name, c := range map[string]plot.Curves{
		"nothing":      {},
		"three panels": change(func(c *plot.Curves) { c.Panels = append(c.Panels, c.Panels[0]) }),
		"no series":    change(func(c *plot.Curves) { c.Panels[1].Series = nil }),
		"five series":  change(func(c *plot.Curves) { s := c.Panels[0].Series[0]; c.Panels[0].Series = []plot.Series{s, s, s, s, s} }),
		"one point":    change(func(c *plot.Curves) { s := &c.Panels[0].Series[0]; s.Time, s.Values = s.Time[:1], s.Values[:1] }),
		"fewer values": change(func(c *plot.Curves) { s := &c.Panels[0].Series[0]; s.Values = s.Values[1:] }),
		"no span": change(func(c *plot.Curves) {
			c.Marks = nil
			for i := range c.Panels {
				for k := range c.Panels[i].Series {
					clear(c.Panels[i].Series[k].Time)
				}
			}
		}),
		"time falls":      change(func(c *plot.Curves) { c.Panels[0].Series[0].Time[5] = 0 }),
		"time before 0":   change(func(c *plot.Curves) { c.Panels[0].Series[0].Time[0] = -1 }),
		"time NaN":        change(func(c *plot.Curves) { c.Panels[0].Series[0].Time[5] = nan }),
		"time infinite":   change(func(c *plot.Curves) { c.Panels[0].Series[0].Time[96] = inf }),
		"value NaN":       values(quantity.Exactly(nan)),
		"value infinite":  values(quantity.Range{Low: 0, Mid: 1, High: inf}),
		"value huge":      values(quantity.Exactly(1e300)),
		"value unordered": values(quantity.Range{Low: 2, Mid: 1, High: 3}),
		"mark NaN":        change(func(c *plot.Curves) { c.Marks[0].At.Mid = nan }),
		"mark before 0":   change(func(c *plot.Curves) { c.Marks[0].At = quantity.Exactly(-5) }),
		"nine marks":      change(func(c *plot.Curves) { c.Marks = make([]plot.Mark, 9) }),
		"level infinite":  change(func(c *plot.Curves) { c.Panels[0].Levels[0].At = inf }),
		"five levels":     change(func(c *plot.Curves) { c.Panels[0].Levels = make([]plot.Level, 5) }),
		"axis NaN":        change(func(c *plot.Curves) { c.Panels[0].High = nan }),
		"axis turned":     change(func(c *plot.Curves) { c.Panels[0].Low, c.Panels[0].High = 5, 1 }),
	} {
		if png, err := c.PNG(); err == nil {
			t.Errorf("%s: %d bytes, want an error", name, len(png))
		}
		c.Alt() // must not panic either
	}
}

func FuzzCurves(f *testing.F) {
	f.Add(10.0, 20.0, 1.0, 3.0, 2.0, "core", 5.0)
	f.Add(0.0, 1e-300, 0.0, 0.0, 0.0, "", 1e10)
	f.Add(1e10, 1e10, -1e9, 1e9, 1e9, strings.Repeat("long ", 60), 0.0)
	f.Add(0.0, 1.0, 1e9, 1e9, 1e9-1e-7, "\n\x00", 0.5)
	f.Fuzz(func(t *testing.T, t0, dt, a, b, level float64, label string, mark float64) {
		s := plot.Series{Label: label, Time: []float64{t0, t0 + dt, t0 + 2*dt}, Values: []quantity.Range{
			quantity.Exactly(a), {Low: min(a, b), Mid: (a + b) / 2, High: max(a, b)}, quantity.Exactly(b)}}
		p := plot.Panel{Title: label, Series: []plot.Series{s, s}, Levels: []plot.Level{{Label: label, At: level}}}
		c := plot.Curves{Panels: []plot.Panel{p, p}, Marks: []plot.Mark{{Label: label, At: quantity.Exactly(mark)}, {Label: label, At: quantity.Exactly(t0)}}, Since: label}
		data, err := c.PNG()
		if err != nil {
			return
		}
		if size, err := png.DecodeConfig(bytes.NewReader(data)); err != nil || size.Width != 720 || size.Height > 1200 {
			t.Errorf("%v: %v", size, err)
		}
		if strings.ContainsAny(c.Alt(), "\n\x00") {
			t.Errorf("alt %q is not one line", c.Alt())
		}
	})
}
