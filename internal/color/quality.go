package color

import (
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// Quality says how a color was read. The zero value is none said.
type Quality string

// The qualities, best first. Their values are stored and typed by members.
const (
	Instrument Quality = "instrument" // spectrophotometer or colorimeter
	Careful    Quality = "careful"    // code matched by eye or camera in daylight beside a gray card
	Chart      Quality = "chart"      // phone photo with a full color chart
	Card       Quality = "card"       // phone photo corrected by a gray or white card
	Phone      Quality = "phone"      // phone photo alone
	Poor       Quality = "poor"       // poor or colored light
	Masstone   Quality = "masstone"   // the neat tint only, or a usual strength assumed
)

// Qualities lists them, best first.
func Qualities() []Quality {
	return []Quality{Instrument, Careful, Chart, Card, Phone, Poor, Masstone}
}

// floors are ΔE00 of a real part against its prediction, within which about two
// in three come. Instrument: Ma, Johnston and Koran, J. Dent. Res. 66 (1987)
// 1438 found 1.6 to 3.5 for thick pigmented silicone. Chart and phone: a study
// of phone photos found over 10 alone and half of that with a chart (abstract
// only). Card lies between. Careful, poor and masstone: our own simulated mixes
// of measured pigments, no published source.
var floors = map[Quality]float64{Instrument: 3, Careful: 3.5, Chart: 5, Card: 8, Phone: 10, Poor: 13, Masstone: 17}

// remade is how far one weighed recipe moves when it is made again, at least;
// no prediction is better. 0.4 to 1.4 were measured.
const remade = 1.5

// ParseQuality reads a quality. Errors: missing_option, not_found.
func ParseQuality(text string) (Quality, error) {
	q := Quality(strings.ToLower(strings.TrimSpace(text)))
	if _, ok := floors[q]; ok {
		return q, nil
	}
	code, message := fault.NotFound, "there is no swatch quality "+`"`+fault.Echo(text)+`"`
	if q == "" {
		code, message = fault.MissingOption, "how the swatch was read is missing"
	}
	err := fault.New(code, "%s", message).In("quality").
		Hint("instrument: measured; careful: in daylight beside a gray card; phone: a photo; poor: poor or colored light")
	// The others come of photos and guesses, and can't be typed.
	for _, q := range []Quality{Instrument, Careful, Phone, Poor} {
		err.Choose(string(q))
	}
	return "", err
}

// Floor is the honest error of a prediction in ΔE00: about two real parts in
// three come within it. The worst reading among base, tints and target counts;
// one whose quality is not known counts as a phone photo.
func Floor(read ...Quality) float64 {
	worst := remade
	for _, q := range read {
		f, ok := floors[q]
		if !ok {
			f = floors[Phone]
		}
		worst = max(worst, f)
	}
	return worst
}
