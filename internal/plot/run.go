package plot

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Run shows what is done to several molds over time: a row for each mold with
// what happens to it, from left to right.
type Run struct {
	Rows   []RunRow  // 1 to 40, from top to bottom
	Span   float64   // s
	Closed []RunSpan // when nobody works
	Ticks  []RunTick // times of the clock along the bottom
	Marks  []RunTick // times that stand out, such as a deadline; 3 at most
}

// RunRow is a mold.
type RunRow struct {
	Label string
	Bars  []RunBar // in rising order; all rows together 4000 at most
}

// RunKind is what happens to a mold. Each has a shape of its own beside its
// color.
type RunKind uint8

// The kinds of bars.
const (
	RunPour RunKind = iota // a solid block
	RunCure                // a hatched box
	RunOut                 // a triangle that points up
	RunCoat                // a diamond
	RunWait                // a dotted line: the coat sits
)

// RunSpan is a stretch of time in s.
type RunSpan struct{ From, To float64 }

// RunBar is a stretch of a row.
type RunBar struct {
	RunSpan
	Kind RunKind
}

// RunTick is a labeled time in s.
type RunTick struct {
	At    float64
	Label string
}

const (
	mostRows     = 40
	mostBars     = 4000
	mostRunMarks = 3
)

// The measures of a run's picture in pixels.
const (
	runLeft  = 168
	runRight = 24
	runRow   = 34
	runHead  = 78
	runFoot  = 46
	runMark  = 30
)

var errNoRun = errors.New("plot: a run of 1 to 40 rows over a span of time can be drawn")

// PNG draws the run, 720 wide. Errors: more rows, bars or marks than the fields
// say; times outside the span, or that are not finite.
func (r Run) PNG() ([]byte, error) {
	if err := r.check(); err != nil {
		return nil, err
	}
	top := float64(runHead)
	if len(r.Marks) > 0 {
		top += runMark
	}
	height := top + float64(len(r.Rows)*runRow) + runFoot
	s := newSheet(sheetWidth, int(height))
	field := block{runLeft, top, sheetWidth - runRight, height - runFoot}
	x := func(t float64) float64 { return field.x0 + (field.x1-field.x0)*t/r.Span }
	for _, c := range r.Closed {
		s.panel(faint, block{x(c.From), field.y0, x(c.To), field.y1})
	}
	s.runAxis(r, field, x)
	for i, row := range r.Rows {
		y := field.y0 + (float64(i)+0.5)*runRow
		s.place(regular(small), ink, fit(regular(small), row.Label, runLeft-22), spot{14, y}, 0)
		s.line(pen{color: faint, width: 1}, spot{field.x0, y + runRow/2}, spot{field.x1, y + runRow/2})
		for _, b := range row.Bars {
			s.runBar(b.Kind, x(b.From), x(b.To), y)
		}
	}
	s.runLegend(len(r.Closed) > 0)
	for _, m := range r.Marks {
		s.line(pen{color: violet, width: 3, dashes: []float64{8, 5}}, spot{x(m.At), field.y0 - 4}, spot{x(m.At), field.y1})
		words := fit(bold(small), m.Label, field.x1-field.x0)
		half := width(bold(small), words) / 2
		at := min(max(x(m.At), field.x0+half), field.x1-half)
		s.tag(bold(small), ink, words, room(bold(small), words, spot{at, field.y0 - 18}))
	}
	return encode(s.pic)
}

// runAxis draws the clock along the bottom. Labels that would touch are left out.
func (s *sheet) runAxis(r Run, field block, x func(float64) float64) {
	s.line(pen{color: faded, width: 2}, spot{field.x0, field.y0}, spot{field.x0, field.y1}, spot{field.x1, field.y1})
	last := math.Inf(-1)
	for _, t := range r.Ticks {
		at := x(t.At)
		s.line(pen{color: faded, width: 2}, spot{at, field.y1}, spot{at, field.y1 + 7})
		words := fit(regular(small), t.Label, 160)
		half := width(regular(small), words) / 2
		if middle := min(at, sheetWidth-4-half); middle-half > last+10 {
			s.place(regular(small), ink, words, spot{middle, field.y1 + 24}, -0.5)
			last = middle + half
		}
	}
}

// runBar draws what happens from x0 to x1, around the middle y of its row.
func (s *sheet) runBar(k RunKind, x0, x1, y float64) {
	const tall, flat, sign = 13.0, 9.0, 8.0
	switch k {
	case RunPour:
		s.panel(blue, block{x0, y - tall, max(x1, x0+3), y + tall})
	case RunCure:
		s.runHatch(block{x0, y - flat, x1, y + flat})
	case RunOut:
		at := (x0 + x1) / 2
		s.fill(green, spot{at - sign, y + tall}, spot{at, y - 3}, spot{at + sign, y + tall})
	case RunCoat:
		at := (x0 + x1) / 2
		s.fill(orange, spot{at - sign, y}, spot{at, y - tall}, spot{at + sign, y}, spot{at, y + tall})
	case RunWait:
		s.line(pen{color: orange, width: 3, dashes: []float64{3, 4}}, spot{x0, y}, spot{x1, y})
	}
}

// runHatch is a box with slanting lines.
func (s *sheet) runHatch(b block) {
	s.panel(white, b)
	thin := pen{color: blue, width: 1.5}
	h := b.y1 - b.y0
	const step = 9
	for at := b.x0 - h; at < b.x1; at += step {
		from, to := spot{at, b.y1}, spot{at + h, b.y0}
		if from.x < b.x0 {
			from = spot{b.x0, b.y1 - (b.x0 - at)}
		}
		if to.x > b.x1 {
			to = spot{b.x1, b.y0 + (to.x - b.x1)}
		}
		if to.x > from.x {
			s.line(thin, from, to)
		}
	}
	s.line(thin, spot{b.x0, b.y0}, spot{b.x1, b.y0}, spot{b.x1, b.y1}, spot{b.x0, b.y1}, spot{b.x0, b.y0})
}

// runLegend names the shapes, in two lines at the top.
func (s *sheet) runLegend(closed bool) {
	type sign struct {
		words string
		draw  func(x, y float64)
	}
	bar := func(k RunKind) func(x, y float64) { return func(x, y float64) { s.runBar(k, x, x+30, y) } }
	signs := []sign{{"pour", bar(RunPour)}, {"cures", bar(RunCure)}, {"take out", bar(RunOut)}, {"release coat", bar(RunCoat)}, {"coat sits", bar(RunWait)}}
	if closed {
		signs = append(signs, sign{"nobody works", func(x, y float64) { s.panel(faint, block{x, y - 13, x + 30, y + 13}) }})
	}
	x, y := 14.0, 20.0
	for _, g := range signs {
		w := 38 + width(regular(small), g.words)
		if x+w > sheetWidth-14 {
			x, y = 14, y+34
		}
		g.draw(x, y)
		s.place(regular(small), ink, g.words, spot{x + 38, y}, 0)
		x += w + 22
	}
}

// Alt tells of each row how often it is poured, and from when to when.
func (r Run) Alt() string {
	if r.check() != nil {
		return "A run plan that could not be drawn."
	}
	const told = 12
	var b strings.Builder
	fmt.Fprintf(&b, "A run plan over %s, a row for each mold.", timeText(r.Span))
	for _, m := range r.Marks {
		fmt.Fprintf(&b, " %s after %s.", clean(m.Label), timeText(m.At))
	}
	for i, row := range r.Rows {
		if i == told {
			fmt.Fprintf(&b, " And %d more molds.", len(r.Rows)-told)
			break
		}
		pours, coats, first, last := 0, 0, -1.0, 0.0
		for _, bar := range row.Bars {
			switch bar.Kind {
			case RunPour:
				pours++
				if first < 0 {
					first = bar.From
				}
			case RunCoat:
				coats++
			}
			last = max(last, bar.To)
		}
		fmt.Fprintf(&b, " %s: ", clean(row.Label))
		switch {
		case pours == 0 && last == 0:
			b.WriteString("not used.")
			continue
		case pours == 0:
			fmt.Fprintf(&b, "emptied after %s.", timeText(last))
			continue
		case pours == 1:
			b.WriteString("poured once")
		default:
			fmt.Fprintf(&b, "poured %d times", pours)
		}
		if coats > 0 {
			fmt.Fprintf(&b, ", coated %d×", coats)
		}
		from := "the start"
		if first > 0 {
			from = timeText(first)
		}
		fmt.Fprintf(&b, ", from %s to %s.", from, timeText(last))
	}
	return b.String()
}

func (r Run) check() error {
	if n := len(r.Rows); n < 1 || n > mostRows || !(r.Span > 0 && r.Span <= mostTime) {
		return errNoRun
	}
	if len(r.Marks) > mostRunMarks {
		return fmt.Errorf("plot: %d marks, at most %d", len(r.Marks), mostRunMarks)
	}
	inside := func(t float64) bool { return t >= 0 && t <= r.Span }
	for _, list := range [][]RunTick{r.Ticks, r.Marks} {
		for _, t := range list {
			if !inside(t.At) {
				return fmt.Errorf("plot: %q at %g of %g s", t.Label, t.At, r.Span)
			}
		}
	}
	bars := 0
	spans := func(s RunSpan) bool { return inside(s.From) && inside(s.To) && s.From <= s.To }
	for _, c := range r.Closed {
		if !spans(c) {
			return fmt.Errorf("plot: closed from %g to %g of %g s", c.From, c.To, r.Span)
		}
	}
	for _, row := range r.Rows {
		for _, b := range row.Bars {
			if bars++; !spans(b.RunSpan) || b.Kind > RunWait || bars > mostBars {
				return fmt.Errorf("plot: bar %d of %q from %g to %g of %g s", bars, row.Label, b.From, b.To, r.Span)
			}
		}
	}
	return nil
}
