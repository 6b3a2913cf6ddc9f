package library

import (
	"bytes"
	"fmt"
	"image"
	_ "image/jpeg" // what phones send
	_ "image/png"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
)

// photoMost is the most pixels of a photo that is opened. A progressive JPEG
// takes about 12 bytes for each while it is decoded.
const photoMost = 16 << 20

// SwatchPhoto reads a swatch off the photo of one option, at the place that
// another gives, corrected by the card at the place of a third where that was
// given. It is a reading and marked as one: its quality is never better than
// that of a photo with a card. Errors: bad_file, file_too_large, missing_option,
// out_of_range.
func (l *Library) SwatchPhoto(c *chat.Call, photo, swatchAt, cardAt string) (color.Photo, error) {
	if !c.Has(swatchAt) {
		return color.Photo{}, fault.New(fault.MissingOption, "where the swatch is in the photo is missing").In(swatchAt).
			Hint(`give a point from the left and the top, such as %s:"40 %%, 60 %%", or two corners in pixels, such as %s:"600,400 640,430"`, swatchAt, swatchAt)
	}
	l.photo.Lock() // one at a time: a photo takes much memory
	defer l.photo.Unlock()
	img, foreign, err := openPhoto(c.File(photo).Data)
	if err != nil {
		return color.Photo{}, inOption(err, photo)
	}
	swatch, err := color.ParseArea(tidyPlace(c.Text(swatchAt)), img)
	if err != nil {
		return color.Photo{}, inOption(err, swatchAt)
	}
	var card image.Rectangle
	var kind color.CardKind
	guessed := ""
	if c.Has(cardAt) {
		word, place := cardWord(tidyPlace(c.Text(cardAt)))
		if card, err = color.ParseArea(place, img); err != nil {
			return color.Photo{}, inOption(err, cardAt)
		}
		if kind = word; kind == "" {
			if kind, err = likelyCard(img, card); err != nil {
				return color.Photo{}, inOption(err, cardAt)
			}
			guessed = fmt.Sprintf("the card was taken for a %s one by its look: write %s:\"white …\" or \"gray …\" to say which", kind, cardAt)
		}
	}
	p, err := color.ReadPhoto(img, swatch, card, kind)
	if err != nil {
		return color.Photo{}, err
	}
	if guessed != "" {
		p.Notes = append(p.Notes, guessed)
	}
	if foreign {
		p.Quality = color.Poor
		p.Notes = append(p.Notes, "the photo's colors are not in sRGB (a wide color space): read as they stand they come out duller, so save it as sRGB and add it again")
	}
	return p, nil
}

// tidyPlace joins "40 %" to "40%".
func tidyPlace(text string) string {
	return strings.NewReplacer(" %", "%", "\u00a0%", "%", "px", "").Replace(strings.ToLower(text))
}

// cardWord takes the kind of card off the front of a place.
func cardWord(text string) (color.CardKind, string) {
	for word, kind := range map[string]color.CardKind{"gray": color.GrayCard, "grey": color.GrayCard, "white": color.WhiteCard, "paper": color.WhiteCard} {
		if rest, ok := strings.CutPrefix(strings.TrimSpace(text), word); ok {
			return kind, strings.TrimLeft(strings.TrimPrefix(strings.TrimSpace(rest), "card"), " :,at")
		}
	}
	return "", text
}

// likelyWhite is the light of a card, linear, from which it is taken for a
// white one: between 18 % and 90 % as a camera exposes them.
const likelyWhite = 0.4

func likelyCard(img image.Image, at image.Rectangle) (color.CardKind, error) {
	p, err := color.Average(img, at)
	if err != nil {
		return "", err
	}
	if p.Light.XYZ()[1]/100 > likelyWhite {
		return color.WhiteCard, nil
	}
	return color.GrayCard, nil
}

// openPhoto decodes a photo and turns it the way its viewer shows it. foreign
// tells that its colors are in another space than sRGB.
func openPhoto(data []byte) (img image.Image, foreign bool, err error) {
	const hint = "attach it as JPEG or PNG of at most 16 megapixels, as a phone saves it"
	if len(data) == 0 {
		return nil, false, fault.New(fault.BadFile, "no photo came with the call").Hint("attach it again")
	}
	cfg, format, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, false, fault.New(fault.BadFile, "that is no photo that can be read").Hint(hint).Because(err)
	}
	if cfg.Width <= 0 || cfg.Height <= 0 || cfg.Width > photoMost/cfg.Height {
		return nil, false, fault.New(fault.FileTooLarge, "the photo has %d × %d pixels, more than 16 million", cfg.Width, cfg.Height).Hint(hint)
	}
	if img, _, err = image.Decode(bytes.NewReader(data)); err != nil {
		return nil, false, fault.New(fault.BadFile, "the photo is damaged").Hint(hint).Because(err)
	}
	tags := readTags(data, format)
	if tags.turn > 1 {
		img = turned{img, tags.turn}
	}
	return img, tags.foreign, nil
}
