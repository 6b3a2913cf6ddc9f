package gas

import (
	"math"

	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// The temperatures in °C between which the Magnus form is taken here: below
// zero it would be ice.
const (
	freezes  = 0.0
	hotMost  = 60.0
	magnusIs = "Magnus form, WMO-No. 8"
)

// WaterBoils is the absolute pressure in kPa below which water of a temperature
// from 0 to 60 °C boils: its vapor's at saturation. Bubbles that never end below
// it may be water, or a part of the resin that boils; more pumping does not help.
// Within 0.35 % of IAPWS-IF97. Error: out_of_range.
func WaterBoils(temp float64) (float64, error) {
	if !(temp >= freezes && temp <= hotMost) {
		return 0, outside("temp", "water of %s °C is outside 0 to 60 °C", working.Num(temp)).Hint("give the mix's temperature, such as 21 C")
	}
	return cure.SaturationPressure(temp) / 10, nil
}

// WaterBoilsAt is the temperature in °C at which water boils under an absolute
// pressure in kPa: WaterBoils turned round, from 0 to 60 °C. Error: out_of_range.
func WaterBoilsAt(absolute float64) (float64, error) {
	low, high := cure.SaturationPressure(freezes)/10, cure.SaturationPressure(hotMost)/10
	// Ends that were told themselves are inside.
	if !(absolute >= low*(1-1e-12) && absolute <= high*(1+1e-12)) {
		return 0, outside("absolute", "water boils at %s kPa outside of 0 to 60 °C", working.Num(absolute)).
			Hint("give a pressure from %s to %s kPa", working.Num(low), working.Num(high))
	}
	a, b := freezes, hotMost
	for range 60 { // halves the 60 K down to the last bit
		if m := (a + b) / 2; cure.SaturationPressure(m)/10 < absolute {
			a = m
		} else {
			b = m
		}
	}
	return (a + b) / 2, nil
}

// Usual is the vacuum that people degas at, as a gauge shows it at sea level, in
// kPa: 29 inHg. Common practice, no source.
var Usual = quantity.InchOfMercury.Base(29)

// Target is a vacuum to degas at, told so that it holds at any height.
type Target struct {
	Absolute float64 // kPa: what Usual leaves at sea level
	Air      float64 // kPa: the air there, and the most that any gauge can show
	Shows    float64 // kPa: what a gauge shows at Absolute
	Water    float64 // kPa absolute: water boils below; 0 where the room is outside 0 to 60 °C
	Steps    []working.Step
}

// Degas is the target at a height above the sea in m, in a room of °C. Error:
// out_of_range.
func Degas(altitude, room float64) (Target, error) {
	air, err := AirPressure(altitude)
	if err != nil {
		return Target{}, err
	}
	t := Target{Absolute: SeaLevel - Usual, Air: air, Steps: AirSteps(altitude, air)}
	t.Steps = working.Add(t.Steps, "vacuum to aim for", "P = P_sea − P_gauge", working.CommonPractice,
		"29 inHg at sea level: 101.325 − %s = %s kPa absolute", working.Num(Usual), working.Num(t.Absolute))
	if t.Shows, err = VacuumGauge(t.Absolute, air); err != nil {
		return Target{}, err
	}
	t.Steps = working.Add(t.Steps, "what a gauge shows there", "P_gauge = P_air − P", working.Definition,
		"%s − %s = %s kPa, or %s inHg", working.Num(air), working.Num(t.Absolute), working.Num(t.Shows), inHg(t.Shows))
	if room >= freezes && room <= hotMost {
		t.Water, err = WaterBoils(room)
		t.Steps = working.Add(t.Steps, "water boils below", "6.112·e^(17.62T/(243.12 + T)) hPa", magnusIs, "at %s °C: %s kPa", working.Num(room), working.Num(t.Water))
	}
	return t, err
}

func round(v, step float64) float64 { return math.Round(v/step) * step }
