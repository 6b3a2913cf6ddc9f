package plot

import (
	"image"
	"image/color"
	"math"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
)

// sheetWidth is the width of every picture in pixels.
const sheetWidth = 720

// The colors of all pictures. The ground is neutral, since a tinted one would
// change how patches of color look. On it, ink has a contrast of 14:1, faded 5:1
// and the rest over 3:1 (WCAG 2.2, 1.4.3 and 1.4.11; a test computes them).
var (
	ground = color.RGBA{0xF3, 0xF3, 0xF3, 0xFF}
	ink    = color.RGBA{0x1F, 0x27, 0x2E, 0xFF}
	faded  = color.RGBA{0x59, 0x62, 0x6B, 0xFF}
	blue   = color.RGBA{0x0F, 0x4C, 0x9E, 0xFF}
	orange = color.RGBA{0xB8, 0x48, 0x00, 0xFF}
	violet = color.RGBA{0x7A, 0x2E, 0x9E, 0xFF}
	green  = color.RGBA{0x1B, 0x73, 0x4B, 0xFF}
	faint  = color.RGBA{0xD3, 0xD6, 0xD9, 0xFF} // grids and frames only
	white  = color.RGBA{0xFF, 0xFF, 0xFF, 0xFF}
)

// spot is a place on the sheet in pixels, x to the right and y down.
type spot struct{ x, y float64 }

func (p spot) plus(q spot) spot          { return spot{p.x + q.x, p.y + q.y} }
func (p spot) minus(q spot) spot         { return spot{p.x - q.x, p.y - q.y} }
func (p spot) times(k float64) spot      { return spot{p.x * k, p.y * k} }
func (p spot) length() float64           { return math.Hypot(p.x, p.y) }
func (p spot) to(q spot, k float64) spot { return p.plus(q.minus(p).times(k)) }

// sheet is a picture being drawn, in pixels: one point of the library is one
// pixel at 72 to the inch.
type sheet struct {
	canvas draw.Canvas
	pic    *image.RGBA
	h      float64
}

func newSheet(w, h int) *sheet {
	c := vgimg.NewWith(vgimg.UseWH(vg.Length(w), vg.Length(h)), vgimg.UseDPI(72), vgimg.UseBackgroundColor(ground))
	return &sheet{canvas: draw.New(c), pic: c.Image().(*image.RGBA), h: float64(h)}
}

func (s *sheet) point(p spot) vg.Point { return vg.Point{X: vg.Length(p.x), Y: vg.Length(s.h - p.y)} }

func (s *sheet) points(list []spot) []vg.Point {
	out := make([]vg.Point, len(list))
	for i, p := range list {
		out[i] = s.point(p)
	}
	return out
}

// pen is how a line looks. Dashes are lengths on and off, in turn.
type pen struct {
	color  color.Color
	width  float64
	dashes []float64
}

func (p pen) style() draw.LineStyle {
	st := draw.LineStyle{Color: p.color, Width: vg.Length(p.width)}
	for _, d := range p.dashes {
		st.Dashes = append(st.Dashes, vg.Length(d))
	}
	return st
}

func (s *sheet) line(p pen, path ...spot) { s.canvas.StrokeLines(p.style(), s.points(path)) }

func (s *sheet) fill(c color.Color, corners ...spot) { s.canvas.FillPolygon(c, s.points(corners)) }

func (s *sheet) circle(p pen, at spot, r float64) {
	s.canvas.SetLineStyle(p.style())
	var path vg.Path
	path.Move(s.point(at.plus(spot{r, 0})))
	path.Arc(s.point(at), vg.Length(r), 0, 2*math.Pi)
	path.Close()
	s.canvas.Stroke(path)
}

// block is a rectangle on the sheet.
type block struct{ x0, y0, x1, y1 float64 }

func (b block) meets(o block) bool { return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1 }

func (b block) grown(by float64) block { return block{b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by} }

func (b block) center() spot { return spot{(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2} }

func (b block) moved(by spot) block { return block{b.x0 + by.x, b.y0 + by.y, b.x1 + by.x, b.y1 + by.y} }

// inside moves the block by as little as brings it into the other.
func (b block) inside(o block) block {
	b = b.moved(spot{min(o.x1-b.x1, 0), min(o.y1-b.y1, 0)})
	return b.moved(spot{max(o.x0-b.x0, 0), max(o.y0-b.y0, 0)})
}

// room is the block that a line of text takes with its middle at a place.
func room(f font.Font, s string, middle spot) block {
	w, h := width(f, s), float64(f.Size)*1.25
	return block{middle.x - w/2, middle.y - h/2, middle.x + w/2, middle.y + h/2}
}

// write puts a line of text into its room.
func (s *sheet) write(f font.Font, c color.Color, text string, in block) {
	s.place(f, c, text, spot{in.x0, in.center().y}, draw.XLeft)
}

// place puts a line of text beside a place, with its middle at that height.
func (s *sheet) place(f font.Font, c color.Color, words string, at spot, align text.XAlignment) {
	x := at.x + float64(align)*width(f, words)
	// Letters with neither tail nor hat should look centered: their middle is
	// about 0.36 of the size above the baseline in this font.
	base := math.Round(at.y + 0.36*float64(f.Size))
	s.canvas.SetColor(c)
	s.canvas.FillString(letters().Fonts.Lookup(f, f.Size), s.point(spot{math.Round(x), base}), words)
}

// tag is text on a plate of the ground's color, to be read on top of anything.
func (s *sheet) tag(f font.Font, c color.Color, words string, in block) {
	s.panel(color.NRGBA{ground.R, ground.G, ground.B, 0xE0}, in.grown(3))
	s.write(f, c, words, in)
}

func (s *sheet) panel(c color.Color, b block) {
	s.fill(c, spot{b.x0, b.y0}, spot{b.x1, b.y0}, spot{b.x1, b.y1}, spot{b.x0, b.y1})
}
