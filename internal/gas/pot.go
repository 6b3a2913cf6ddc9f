package gas

import (
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Cast is what people cast under, as a pot's gauge shows it in kPa: 40 to 60
// psi. Common practice, no source, and never past the plate on the pot.
var Cast = quantity.Range{Low: quantity.PSI.Base(40), Mid: quantity.PSI.Base(50), High: quantity.PSI.Base(60)}

// Pot is what a pot's usual pressure does at a height above the sea.
type Pot struct {
	Air      float64        // kPa: the air there
	Absolute quantity.Range // kPa: Cast from empty space on
	Width    quantity.Range // share of a bubble's width that is left; Low is at the high end of Cast
	Steps    []working.Step
}

// Press is the usual pressure at a height above the sea in m. Error:
// out_of_range.
func Press(altitude float64) (Pot, error) {
	air, err := AirPressure(altitude)
	if err != nil {
		return Pot{}, err
	}
	p := Pot{Air: air, Steps: AirSteps(altitude, air)}
	for _, at := range []struct {
		gauge      float64
		abs, width *float64
	}{
		{Cast.Low, &p.Absolute.Low, &p.Width.High},
		{Cast.Mid, &p.Absolute.Mid, &p.Width.Mid},
		{Cast.High, &p.Absolute.High, &p.Width.Low},
	} {
		if *at.abs, err = Absolute(at.gauge, air); err != nil {
			return Pot{}, err
		}
		if *at.width, err = BubbleSize(at.gauge, air); err != nil {
			return Pot{}, err
		}
		p.Steps = working.Add(p.Steps, "absolute pressure", "P = P_gauge + P_air", working.Definition, "%s + %s = %s kPa",
			working.Num(at.gauge), working.Num(air), working.Num(*at.abs))
		p.Steps = working.Add(p.Steps, "width of a bubble that is left", "∛(P_air/P)", Boyle, "∛(%s/%s) = %s",
			working.Num(air), working.Num(*at.abs), working.Num(*at.width))
	}
	return p, nil
}
