package color

import (
	"fmt"
	"image"
	"math"
	"slices"

	"github.com/pourwright/pourwright/internal/fault"
)

// CardKind is the neutral card beside a swatch in a photo.
type CardKind string

// The cards: a photographer's gray card, and white card or matte white paper.
const (
	GrayCard  CardKind = "gray"
	WhiteCard CardKind = "white"
)

// cardLight is how much light a card gives back. A gray card is made to 18 %
// (common practice); white paper and card lie near 90 % (common practice).
var cardLight = map[CardKind]float64{GrayCard: 0.18, WhiteCard: 0.90}

// Patch is the mean color of an area of a photo.
type Patch struct {
	Light   Linear  // mean, without the darkest and lightest fifth of the pixels
	Pixels  int     // looked at
	Clipped float64 // share of pixels with a channel at its end
	Uneven  float64 // half of the spread of those kept, relative to the mean
}

// Bounds of an area of a photo.
const (
	pixelsLeast = 25      // a finger's width of noise
	pixelsMost  = 1 << 16 // enough for any mean; larger areas are looked at in a grid
	trimmed     = 0.20    // share of the pixels left out at either end: dust, glare, print
)

// Ends of an 8-bit channel, in 16 bits: beyond, a camera has lost the value.
const (
	burnt  = 0xFCFC
	drowns = 0x0202
)

// Average takes the mean of an area in linear light. The picture is taken to be
// sRGB, as phones write unless told otherwise. Errors: out_of_range for an area
// outside of the picture or with too few pixels.
func Average(img image.Image, area image.Rectangle) (Patch, error) {
	in := area.Canon().Intersect(img.Bounds())
	if in.Dx()*in.Dy() < pixelsLeast || in != area.Canon() {
		b := img.Bounds()
		return Patch{}, fault.New(fault.OutOfRange, "the area %v to %v is too small or not in the picture of %d × %d", area.Min, area.Max, b.Dx(), b.Dy()).
			Hint("mark an area of at least 5 by 5 pixels inside of the picture")
	}
	step := 1
	for (in.Dx()/step)*(in.Dy()/step) > pixelsMost {
		step++
	}
	var channels [3][]float64
	clipped := 0
	for y := in.Min.Y; y < in.Max.Y; y += step {
		for x := in.Min.X; x < in.Max.X; x += step {
			r, g, b, _ := img.At(x, y).RGBA()
			ends := false
			for c, v := range [3]uint32{r, g, b} {
				channels[c] = append(channels[c], decode(float64(v)/0xFFFF))
				ends = ends || v >= burnt || v <= drowns
			}
			if ends {
				clipped++
			}
		}
	}
	p := Patch{Pixels: len(channels[0])}
	p.Clipped = float64(clipped) / float64(p.Pixels)
	for c, values := range channels {
		slices.Sort(values)
		cut := int(trimmed * float64(len(values)))
		kept := values[cut : len(values)-cut]
		for _, v := range kept {
			p.Light[c] += v / float64(len(kept))
		}
		spread := (kept[len(kept)-1] - kept[0]) / 2
		p.Uneven = max(p.Uneven, spread/max(p.Light[c], 0.01))
	}
	return p, nil
}

// Photo is a swatch read off a picture.
type Photo struct {
	Code    RGB
	Quality Quality // Card where a card was there and all went well; else Phone or Poor
	Swatch  Patch
	Card    Patch    // zero without a card
	Notes   []string // what made it worse, and what to do about it
}

// When a photo is worse than a photo, as shares. No source.
const (
	clippedSome = 0.02
	clippedMost = 0.50
	unevenMost  = 0.10
	castMost    = 1.6 // largest channel gain over the smallest: lamp light is about 2
	gainMost    = 3   // a card this much darker than it should be: underexposed
	lightMost   = 1.02
)

// ReadPhoto takes the color of a swatch in a picture. With a card, each channel is
// scaled so that the card has the light it should have: that takes out exposure
// and the tint of the light. Without one (an empty card area) the code is the
// camera's own. Errors: out_of_range (an area), bad_file (swatch or card burnt
// out, or black), not_found (kind of card).
func ReadPhoto(img image.Image, swatch, card image.Rectangle, kind CardKind) (Photo, error) {
	p := Photo{Quality: Phone}
	var err error
	if p.Swatch, err = Average(img, swatch); err != nil {
		return Photo{}, in(err, "swatch_at")
	}
	light := p.Swatch.Light
	if !card.Empty() {
		if card.Overlaps(swatch) {
			return Photo{}, fault.New(fault.OutOfRange, "the areas of swatch and card overlap").In("card_at").Hint("mark an area on the bare card")
		}
		if p.Card, err = Average(img, card); err != nil {
			return Photo{}, in(err, "card_at")
		}
		p.Quality = Card
		if light, err = p.correct(kind); err != nil {
			return Photo{}, err
		}
	} else {
		p.worse(Phone, "without a gray or white card beside the swatch the light's own color is in the reading")
	}
	if p.Swatch.Clipped > clippedMost {
		return Photo{}, fault.New(fault.BadFile, "most of the swatch is burnt out or black in the photo").In("photo").
			Hint("take it again with less or more exposure, without flash and glare")
	}
	p.judge("swatch", p.Swatch)
	if high := max(light[0], light[1], light[2]); high > lightMost {
		p.worse(Poor, "the swatch came out lighter than the card allows: glare, or the card was in the shade")
	}
	for c := range light {
		light[c] = min(max(light[c], 0), 1)
	}
	p.Code, _ = light.RGB()
	return p, nil
}

func in(err error, option string) error {
	if f := fault.As(err); f != nil {
		return f.In(option)
	}
	return err
}

// correct scales the swatch by the card.
func (p *Photo) correct(kind CardKind) (Linear, error) {
	want, ok := cardLight[kind]
	if !ok {
		return Linear{}, fault.New(fault.NotFound, "there is no card %q", fault.Echo(string(kind))).In("card_at").
			Hint("say which card is in the photo: gray or white").Choose(string(GrayCard), string(WhiteCard))
	}
	if p.Card.Clipped > clippedMost || min(p.Card.Light[0], p.Card.Light[1], p.Card.Light[2]) <= 0 {
		return Linear{}, fault.New(fault.BadFile, "the card is burnt out or black in the photo, so it corrects nothing").In("photo").
			Hint("take it again with the exposure set on the card")
	}
	p.judge("card", p.Card)
	var gains, light Linear
	for c := range gains {
		gains[c] = want / p.Card.Light[c]
		light[c] = p.Swatch.Light[c] * gains[c]
	}
	high, low := max(gains[0], gains[1], gains[2]), min(gains[0], gains[1], gains[2])
	if high/low > castMost {
		p.worse(Poor, "the light was strongly colored: use daylight in the shade")
	}
	if high > gainMost || low < 1.0/gainMost {
		p.worse(Poor, fmt.Sprintf("the card is far from the %.0f %% that a %s card has: wrong card, shade or exposure", 100*want, kind))
	}
	return light, nil
}

// judge notes what is wrong with an area.
func (p *Photo) judge(what string, a Patch) {
	if a.Clipped > clippedSome {
		p.worse(Poor, fmt.Sprintf("%.0f %% of the %s is burnt out or black: change the exposure, keep glare away", 100*a.Clipped, what))
	}
	if a.Uneven > unevenMost {
		p.worse(Poor, fmt.Sprintf("the %s is unevenly lit or spotted (± %.0f %%): use soft light and mark an even area", what, 100*a.Uneven))
	}
}

// worse keeps the worst quality and the note.
func (p *Photo) worse(q Quality, note string) {
	if floors[q] > floors[p.Quality] {
		p.Quality = q
	}
	p.Notes = append(p.Notes, note)
}

// Around is a square area about a point, a fiftieth of the picture's shorter
// side wide, but 9 pixels at least.
func Around(img image.Image, at image.Point) image.Rectangle {
	b := img.Bounds()
	half := max(int(math.Round(float64(min(b.Dx(), b.Dy()))/100)), 4)
	return image.Rect(at.X-half, at.Y-half, at.X+half+1, at.Y+half+1).Intersect(b)
}
