package plot

import (
	"errors"
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"github.com/pourwright/pourwright/internal/quantity"
)

// Curves shows how something goes on over time, or over a count of things, in one
// panel or two above each other with one axis along. Two values at one time make
// a step.
type Curves struct {
	Panels []Panel
	Marks  []Mark // times that stand out, in any order; 8 at most
	Since  string // what time 0 is, such as "since the pour"
	// Of is what is counted along the axis, such as "pulls": whatever is a time
	// in s elsewhere is then a number of them. "" is time.
	Of string
}

// Panel is what shares an axis of values.
type Panel struct {
	Title  string   // with its unit, such as "Temperature, °C"
	Series []Series // 1 to 4
	Levels []Level  // values that stand out; 4 at most
	// Low and High are shown whatever the series hold: 0 and 100 for percent.
	// Where both are zero the series decide.
	Low, High float64
}

// Series is a curve with its range: at each time the low end, the middle and the
// high end, in the unit of the panel.
type Series struct {
	Label  string
	Time   []float64 // s from 0, never falling; 2 to 5000 of them
	Values []quantity.Range
}

// Mark is a time in s with its range, which may have no width.
type Mark struct {
	Label string
	At    quantity.Range
}

// Level is a value in the unit of its panel.
type Level struct {
	Label string
	At    float64
}

// Limits of curves.
const (
	mostPanels = 2
	mostSeries = 4
	mostPoints = 5000
	mostMarks  = 8
	mostLevels = 4
	mostTime   = 1e10 // s
	mostValue  = 1e9
)

var errNoCurves = errors.New("plot: curves of one or two panels with 1 to 4 series each can be drawn")

// The measures of a chart in pixels.
const (
	panelHeight = 214
	titleHeight = 38
	markRow     = 40
	chartFoot   = 74 // numbers and name of the time axis
	chartRight  = 26
)

// PNG draws the curves, 720 wide and 370 to 740 high by what there is to show.
// Errors: another number of panels, series, points, marks or levels than the
// fields say; times that fall; ranges that are not ordered; numbers that are not
// finite or beyond 1e9 (times 1e10 s).
func (c Curves) PNG() ([]byte, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	flags := c.flags()
	top := float64(flags.rows*markRow + 6)
	n := len(c.Panels)
	height := top + float64(n*(panelHeight+titleHeight)+chartFoot)
	s := newSheet(sheetWidth, int(height))

	plots := make([][]*plot.Plot, n)
	for i, p := range c.Panels {
		plots[i] = []*plot.Plot{c.axes(p, i == n-1)}
	}
	tiles := draw.Tiles{Rows: n, Cols: 1, PadX: 0, PadTop: vg.Length(top) + titleHeight, PadY: titleHeight,
		PadLeft: 14, PadRight: chartRight, PadBottom: 10}
	areas := plot.Align(plots, tiles, s.canvas)
	for i, p := range c.Panels {
		s.panelOf(plots[i][0], areas[i][0], p, c)
	}
	panels := make([]block, n)
	for i := range c.Panels {
		panels[i] = s.blockOf(plots[i][0].DataCanvas(areas[i][0]))
	}
	s.flags(flags, panels, c.span())
	for i, p := range c.Panels {
		at := panels[i]
		words := fit(bold(small), p.Title, at.x1-at.x0)
		s.tag(bold(small), ink, words, room(bold(small), words, spot{at.x0 + width(bold(small), words)/2, at.y0 - 18}))
	}
	return encode(s.pic)
}

func (s *sheet) blockOf(c draw.Canvas) block {
	return block{float64(c.Min.X), s.h - float64(c.Max.Y), float64(c.Max.X), s.h - float64(c.Min.Y)}
}

// markReach is how far beyond the curves a mark may lie, as a multiple of their
// span, to stretch the axis. A later one stands at the right end with an arrow:
// it must not squeeze the curves into a corner.
const markReach = 1.6

// span is the last time shown in s: of all series and of the marks near them.
func (c Curves) span() float64 {
	t := 0.0
	for _, p := range c.Panels {
		for _, s := range p.Series {
			t = max(t, s.Time[len(s.Time)-1])
		}
	}
	last := t
	for _, m := range c.Marks {
		if m.At.Mid <= markReach*t || t == 0 {
			last = max(last, m.At.Mid)
		}
	}
	return last
}

// axes makes a panel's axes and grid; only the lowest panel has numbers below.
func (c Curves) axes(p Panel, lowest bool) *plot.Plot {
	a := plot.New()
	a.BackgroundColor, a.TextHandler = nil, letters()
	unit := c.unit()
	a.X.Min, a.X.Max = 0, c.span()
	a.Y.Min, a.Y.Max = p.valueSpan()
	for _, axis := range []*plot.Axis{&a.X, &a.Y} {
		axis.Padding = 0
		axis.LineStyle = pen{color: faded, width: 2}.style()
		axis.Tick.LineStyle, axis.Tick.Length = axis.LineStyle, 6
		axis.Tick.Label.Font, axis.Tick.Label.Color, axis.Tick.Label.Handler = regular(small), ink, letters()
		axis.Label.TextStyle.Font, axis.Label.TextStyle.Color, axis.Label.TextStyle.Handler = regular(small), ink, letters()
	}
	a.X.Tick.Marker = timeTicks{unit, lowest}
	a.Y.Tick.Marker = valueTicks{}
	if lowest {
		a.X.Label.Text = clean(unit.name + " " + c.Since)
		a.X.Label.Padding = 4
	}
	grid := plotter.NewGrid()
	grid.Horizontal, grid.Vertical = pen{color: faint, width: 1}.style(), pen{color: faint, width: 1}.style()
	a.Add(grid)
	return a
}

// seriesPens tell series apart by dash as well as by color.
var seriesPens = [mostSeries]pen{
	{color: blue, width: 4},
	{color: orange, width: 4, dashes: []float64{14, 7}},
	{color: violet, width: 4, dashes: []float64{4, 5}},
	{color: green, width: 4, dashes: []float64{18, 5, 4, 5}},
}

// bandAlpha lets what lies under a range be seen.
const bandAlpha = 0x38

// panelOf draws a panel: ranges below, then levels, then curves, then words.
func (s *sheet) panelOf(a *plot.Plot, area draw.Canvas, p Panel, c Curves) {
	for i, ser := range p.Series {
		a.Add(ser.band(seriesPens[i]))
	}
	for i, ser := range p.Series {
		line := &plotter.Line{XYs: ser.xys(func(r quantity.Range) float64 { return r.Mid }), LineStyle: seriesPens[i].style()}
		a.Add(line)
	}
	at := s.blockOf(a.DataCanvas(area))
	a.Draw(area)
	words := &layout{limit: at.grown(-4)}
	for _, m := range c.Marks {
		if x := at.x0 + (at.x1-at.x0)*m.At.Mid/c.span(); x <= at.x1 {
			words.lines = append(words.lines, block{x - 3, at.y0, x + 3, at.y1})
		}
	}
	x, y := a.Transforms(new(a.DataCanvas(area)))
	curves := p.paths(func(t, v float64) spot { return spot{float64(x(t)), s.h - float64(y(v))} })
	for _, l := range p.Levels { // they have less choice of place
		s.level(l, at, s.h-float64(y(l.At)), curves, words)
	}
	for i, ser := range p.Series {
		s.curveLabel(ser.Label, seriesPens[i], i, curves, words)
	}
}

func (s Series) xys(of func(quantity.Range) float64) plotter.XYs {
	out := make(plotter.XYs, len(s.Time))
	for i, t := range s.Time {
		out[i] = plotter.XY{X: t, Y: of(s.Values[i])}
	}
	return out
}

// band is the area from the low end to the high end.
func (s Series) band(p pen) *plotter.Polygon {
	n := len(s.Time)
	ring := make(plotter.XYs, 2*n)
	for i, t := range s.Time {
		ring[i] = plotter.XY{X: t, Y: s.Values[i].Low}
		ring[2*n-1-i] = plotter.XY{X: t, Y: s.Values[i].High}
	}
	c := p.color.(color.RGBA)
	return &plotter.Polygon{XYs: []plotter.XYs{ring}, Color: color.NRGBA{c.R, c.G, c.B, bandAlpha}}
}

// valueSpan is what the axis of values shows: all series and levels, and a
// little air, but nothing beyond Low and High without need.
func (p Panel) valueSpan() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, s := range p.Series {
		for _, v := range s.Values {
			lo, hi = min(lo, v.Low), max(hi, v.High)
		}
	}
	for _, l := range p.Levels {
		lo, hi = min(lo, l.At), max(hi, l.At)
	}
	if p.Low != 0 || p.High != 0 {
		return min(lo, p.Low), max(hi, p.High)
	}
	air := 0.06 * (hi - lo)
	if air < 1e-9*max(math.Abs(lo), math.Abs(hi), 1) {
		air = max(0.05*math.Abs(hi), 1e-3)
	}
	return lo - air, hi + air
}

// check refuses what can't be drawn.
func (c Curves) check() error {
	if n := len(c.Panels); n < 1 || n > mostPanels {
		return errNoCurves
	}
	if len(c.Marks) > mostMarks {
		return fmt.Errorf("plot: %d marks, at most %d", len(c.Marks), mostMarks)
	}
	for _, m := range c.Marks {
		if !(m.At.Low >= 0 && ordered(m.At, mostTime)) {
			return fmt.Errorf("plot: mark %q at %v", m.Label, m.At)
		}
	}
	for i, p := range c.Panels {
		if err := p.check(); err != nil {
			return fmt.Errorf("plot: panel %d: %w", i+1, err)
		}
	}
	if !(c.span() > 0) {
		return errors.New("plot: curves without a span of time")
	}
	return nil
}

func (p Panel) check() error {
	if n := len(p.Series); n < 1 || n > mostSeries {
		return errNoCurves
	}
	if len(p.Levels) > mostLevels {
		return fmt.Errorf("%d levels, at most %d", len(p.Levels), mostLevels)
	}
	if !(math.Abs(p.Low) <= mostValue && math.Abs(p.High) <= mostValue && p.Low <= p.High) {
		return fmt.Errorf("axis from %g to %g", p.Low, p.High)
	}
	for _, l := range p.Levels {
		if !(math.Abs(l.At) <= mostValue) {
			return fmt.Errorf("level %q at %g", l.Label, l.At)
		}
	}
	for _, s := range p.Series {
		if err := s.check(); err != nil {
			return fmt.Errorf("series %q: %w", s.Label, err)
		}
	}
	return nil
}

func (s Series) check() error {
	if n := len(s.Time); n < 2 || n > mostPoints || n != len(s.Values) {
		return fmt.Errorf("%d times and %d values, want 2 to %d of both", n, len(s.Values), mostPoints)
	}
	last := 0.0
	for i, t := range s.Time {
		if !(t >= last && t <= mostTime) {
			return fmt.Errorf("time %d is %g after %g", i, t, last)
		}
		last = t
		if v := s.Values[i]; !ordered(v, mostValue) {
			return fmt.Errorf("value %d is %v", i, v)
		}
	}
	return nil
}

// ordered reports low ≤ mid ≤ high within ±most; false for NaN.
func ordered(r quantity.Range, most float64) bool {
	return r.Low <= r.Mid && r.Mid <= r.High && r.Low >= -most && r.High <= most
}
