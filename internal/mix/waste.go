package mix

import (
	"math"

	"github.com/pourwright/pourwright/internal/working"
)

// The default allowance for resin that never reaches the part. Common
// practice, no source.
const (
	FilmMM      = 0.3  // left on the cup, of a band from 0.2 to 0.5 mm
	WastePerCup = 2.0  // mL
	WasteShare  = 0.04 // of the volume
	// cupFull is how full a cup is taken to be when its size was not said.
	cupFull = 2.0 / 3
)

// Waste is what is added to a volume, and why.
type Waste struct {
	Volume   float64 // mL, negative where the member asked for less
	Fraction float64 // of the volume that must reach the mold
	Rule     string  // what decided: "4 % of the volume"
	Given    bool    // typed by the member
	Steps    []working.Step
}

// CupFilm is the resin that clings to a cup, V = t(πDh + πD²/4)/1000 in mL,
// from inner diameter, wetted height and film thickness in mm.
func CupFilm(diameter, height, film float64) float64 {
	return film * (math.Pi*diameter*height + math.Pi*diameter*diameter/4) / 1000
}

// cupDiameter is that of a straight cup as wide as it is tall, in mm, from its
// capacity in mL: V = πD³/4.
func cupDiameter(capacity float64) float64 { return math.Cbrt(4 * capacity * 1000 / math.Pi) }

// DefaultWaste gives the allowance for volume mL in a number of cups: the
// largest of the film left in the cups, 2 mL for each cup and 4 % of the
// volume. cupSize is a cup's capacity in mL; zero takes cups that are two
// thirds full. Cups are taken as straight and as wide as tall, wetted up to
// the mix, with a film of 0.3 mm.
func DefaultWaste(volume float64, cups int, cupSize float64) Waste {
	n := float64(cups)
	each := volume / n
	if cupSize <= 0 {
		cupSize = each / cupFull
	}
	d := cupDiameter(cupSize)
	h := min(each*1000/(math.Pi*d*d/4), d)
	film := n * CupFilm(d, h, FilmMM)
	w := Waste{Volume: WasteShare * volume, Rule: "4 % of the volume"}
	if v := WastePerCup * n; v > w.Volume {
		w.Volume, w.Rule = v, "2 mL for each cup"
	}
	if film > w.Volume {
		w.Volume, w.Rule = film, "the film left in the cup"
	}
	w.Fraction = w.Volume / volume
	w.Steps = working.Add(nil, "film left in the cups", "cups·t·(πDh + πD²/4)", working.CommonPractice,
		"%d × %s mm on a straight cup %.0f mm wide, wetted %.0f mm high = %s mL", cups, num(FilmMM), d, h, num(film))
	w.Steps = working.Add(w.Steps, "waste", "the largest of film, 2 mL per cup, 4 % of the volume", working.CommonPractice,
		"max(%s, %s, %s) = %s mL, %s %%", num(film), num(WastePerCup*n), num(WasteShare*volume), num(w.Volume), num(100*w.Fraction))
	return w
}

// givenWaste is a typed fraction.
func givenWaste(volume, fraction float64) Waste {
	w := Waste{Volume: volume * fraction, Fraction: fraction, Rule: "as asked", Given: true}
	w.Steps = working.Add(nil, "waste", "V·w", working.Definition, "%s mL × %s %% = %s mL", num(volume), num(100*fraction), num(w.Volume))
	return w
}

// Band is what casters allow when they know nothing of the cup, as fractions
// of the volume.
type Band struct{ Low, Usual, High float64 }

// tight tells that the usual rule allows less than half of what casters do for
// a volume that small.
func (w Waste) tight(volume float64) bool {
	return !w.Given && w.Fraction < WasteBand(volume).Usual/2
}

// WasteBand gives that band for a volume in mL: small batches lose more.
// Common practice, no source.
func WasteBand(volume float64) Band {
	switch {
	case volume < 60:
		return Band{0.12, 0.15, 0.20}
	case volume < 250:
		return Band{0.08, 0.10, 0.12}
	case volume < 1000:
		return Band{0.05, 0.07, 0.08}
	}
	return Band{0.03, 0.04, 0.05}
}
