package plot_test

import (
	"bytes"
	"fmt"
	"image/png"
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/plot"
)

func bar(k plot.RunKind, from, to float64) plot.RunBar {
	return plot.RunBar{RunSpan: plot.RunSpan{From: from, To: to}, Kind: k}
}

// aRun is two molds poured twice each, with a coat and a night between.
func aRun() plot.Run {
	row := func(label string, at float64) plot.RunRow {
		return plot.RunRow{Label: label, Bars: []plot.RunBar{
			bar(plot.RunCoat, at, at+300), bar(plot.RunWait, at+300, at+3900), bar(plot.RunPour, at+3900, at+4500), bar(plot.RunCure, at+4500, at+8000), bar(plot.RunOut, at+8000, at+8180),
			bar(plot.RunPour, at+8180, at+8700), bar(plot.RunCure, at+8700, at+12000), bar(plot.RunOut, 18000+at, 18180+at)}}
	}
	return plot.Run{Rows: []plot.RunRow{row("harbor pawn", 0), row("a mold with a very long name", 300), {Label: "spare"}}, Span: 20000,
		Closed: []plot.RunSpan{{From: 10000, To: 17000}},
		Ticks:  []plot.RunTick{{At: 1800, Label: "10:00"}, {At: 5400, Label: "11:00"}, {At: 9000, Label: "12:00"}, {At: 12600, Label: "13:00"}, {At: 16200, Label: "Tue 14:00"}, {At: 19800, Label: "15:00"}},
		Marks:  []plot.RunTick{{At: 19000, Label: "wanted by 14:46"}}}
}

func TestRun(t *testing.T) {
	data, err := aRun().PNG()
	if err != nil {
		t.Fatal(err)
	}
	show(t, "run", data)
	pic, err := png.Decode(bytes.NewReader(data))
	if err != nil || pic.Bounds().Dx() != 720 {
		t.Fatalf("%v %v", pic.Bounds(), err)
	}
	alt := aRun().Alt()
	for _, want := range []string{"harbor pawn: poured 2 times, coated 1×, from 1 h 5 min", "spare: not used", "wanted by 14:46 after"} {
		if !strings.Contains(alt, want) {
			t.Errorf("alt text lacks %q: %s", want, alt)
		}
	}
	many := plot.Run{Span: 3e5}
	for i := range 20 {
		row := plot.RunRow{Label: fmt.Sprintf("mold %d", i+1)}
		for k := range 25 {
			at := float64(k)*12000 + float64(i)*100
			row.Bars = append(row.Bars, bar(plot.RunPour, at, at+460), bar(plot.RunCure, at+460, at+5000), bar(plot.RunOut, at+5000, at+5180))
		}
		many.Rows = append(many.Rows, row)
	}
	if data, err = many.PNG(); err != nil {
		t.Fatal(err)
	}
	show(t, "run_many", data)
	if alt := many.Alt(); !strings.Contains(alt, "And 8 more molds") || len(alt) > 1500 {
		t.Errorf("alt text: %s", alt)
	}
}

func TestRunRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*plot.Run){
		"no rows":         func(r *plot.Run) { r.Rows = nil },
		"too many rows":   func(r *plot.Run) { r.Rows = make([]plot.RunRow, 41) },
		"no span":         func(r *plot.Run) { r.Span = 0 },
		"endless":         func(r *plot.Run) { r.Span = math.Inf(1) },
		"not a number":    func(r *plot.Run) { r.Rows[0].Bars[0].From = math.NaN() },
		"backwards":       func(r *plot.Run) { r.Rows[0].Bars[0].To = -1 },
		"past the end":    func(r *plot.Run) { r.Ticks[0].At = 20001 },
		"mark outside":    func(r *plot.Run) { r.Marks[0].At = -1 },
		"too many marks":  func(r *plot.Run) { r.Marks = make([]plot.RunTick, 4) },
		"closed outside":  func(r *plot.Run) { r.Closed[0].To = 30000 },
		"an unknown kind": func(r *plot.Run) { r.Rows[0].Bars[0].Kind = 9 },
		"too many bars":   func(r *plot.Run) { r.Rows[0].Bars = make([]plot.RunBar, 4001) },
	} {
		r := aRun()
		spoil(&r)
		if _, err := r.PNG(); err == nil {
			t.Errorf("%s: drawn", name)
		}
		if alt := r.Alt(); alt != "A run plan that could not be drawn." {
			t.Errorf("%s: alt text %q", name, alt)
		}
	}
}
