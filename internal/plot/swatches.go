package plot

import (
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"strings"

	textalign "gonum.org/v1/plot/vg/draw"
)

// Swatch is a color as a screen shows it, sRGB, with its name.
type Swatch struct {
	Label   string // such as "predicted" or "0.5 %"
	R, G, B uint8
}

// Hex is the color as a member types it, "#C9837F".
func (w Swatch) Hex() string { return fmt.Sprintf("#%02X%02X%02X", w.R, w.G, w.B) }

// Swatches are flat patches of color that touch, since the eye tells colors
// apart best where they meet. In order from the left: base, predicted, target;
// or the doses of a ladder.
type Swatches struct {
	List   []Swatch // 1 to 6
	Target *Swatch  // if set it runs below all of them, to hold each against
}

const mostSwatches = 6

// The measures of patches in pixels.
const (
	patchLeft   = 20
	patchTop    = 20
	patchHeight = 240
	labelHeight = 76
	stripHeight = 84
	stripLabel  = 44
	frameWidth  = 1
)

var errNoSwatches = errors.New("plot: 1 to 6 swatches can be drawn")

// blocks are the patches of the list, without gaps between.
func (w Swatches) blocks() []image.Rectangle {
	out := make([]image.Rectangle, len(w.List))
	wide := sheetWidth - 2*patchLeft
	for i := range out {
		out[i] = image.Rect(patchLeft+wide*i/len(out), patchTop, patchLeft+wide*(i+1)/len(out), patchTop+patchHeight)
	}
	return out
}

// PNG draws the patches, 720 wide and 336 or 464 high. Error: another number of
// swatches.
func (w Swatches) PNG() ([]byte, error) {
	if len(w.List) == 0 || len(w.List) > mostSwatches {
		return nil, errNoSwatches
	}
	height := patchTop + patchHeight + labelHeight
	if w.Target != nil {
		height += stripHeight + stripLabel
	}
	s := newSheet(sheetWidth, height)
	below := patchTop + patchHeight
	if w.Target != nil {
		below += stripHeight
	}
	// a frame round all, since a base may be as light as the sheet
	s.panel(faded, block{patchLeft, patchTop, sheetWidth - patchLeft, float64(below)}.grown(frameWidth))
	if w.Target != nil {
		s.patch(image.Rect(patchLeft, patchTop+patchHeight, sheetWidth-patchLeft, below), *w.Target)
	}
	for i, r := range w.blocks() {
		s.patch(r, w.List[i])
		s.patchLabel(w.List[i], float64(r.Min.X), float64(r.Max.X), float64(below))
	}
	if w.Target != nil {
		words := fit(bold(plain), w.Target.Label, sheetWidth-200) + "  " + w.Target.Hex()
		y := float64(below + labelHeight + stripLabel/2 - 6)
		s.line(pen{color: faded, width: 2}, spot{patchLeft, y - 24}, spot{sheetWidth - patchLeft, y - 24})
		s.place(bold(plain), ink, "lower strip: "+words, spot{sheetWidth / 2, y}, textalign.XCenter)
	}
	return encode(s.pic)
}

// patch fills a rectangle with exactly the color.
func (s *sheet) patch(r image.Rectangle, w Swatch) {
	draw.Draw(s.pic, r, image.NewUniform(color.RGBA{w.R, w.G, w.B, 0xFF}), image.Point{}, draw.Src)
}

// patchLabel writes name and code below a patch, with a tick at its left and
// right ends: two patches of one color would else look like one.
func (s *sheet) patchLabel(w Swatch, x0, x1, y float64) {
	mid := (x0 + x1) / 2
	tick := pen{color: faded, width: 2}
	s.line(tick, spot{x0, y + 2}, spot{x0, y + 14})
	s.line(tick, spot{x1, y + 2}, spot{x1, y + 14})
	s.place(bold(plain), ink, fit(bold(plain), w.Label, x1-x0-12), spot{mid, y + 24}, textalign.XCenter)
	s.place(regular(plain), ink, w.Hex(), spot{mid, y + 52}, textalign.XCenter)
}

// Alt names the colors from the left.
func (w Swatches) Alt() string {
	var names []string
	for _, one := range w.List {
		names = append(names, strings.TrimSpace(clean(one.Label)+" "+one.Hex()))
	}
	text := "Patches of color, from the left: " + strings.Join(names, ", ") + "."
	if w.Target != nil {
		text += " Below them, to compare: " + strings.TrimSpace(clean(w.Target.Label)+" "+w.Target.Hex()) + "."
	}
	return text
}
