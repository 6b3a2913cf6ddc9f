package shape

import (
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// FillWant is what was filled into a cavity, by mass or by volume.
type FillWant struct {
	With    string  // water, rice, sand or other; "" is water
	Mass    float64 // g
	Volume  float64 // mL, read in a measuring cup
	Density float64 // g/mL, of a liquid or of the heap as poured
	Temp    float64 // °C of the water
}

// Fill is what the cavity holds.
type Fill struct {
	Volume quantity.Range // mL
	Notes  []string
	Steps  []working.Step
}

// grainError is how far a volume read in rice or sand may be off. Common
// practice says 3 to 5 %. One lot of grain measured in several ways spread by
// 5 % (soybean) to 13 % (barley), half of which is 2.5 to 6.5 % (J. Soc. Agric.
// Struct. Japan 12(1), abstract; milled rice was not among them), so a little
// more is said here.
const (
	grainError  = 0.06
	grainSource = "common practice, widened by what was measured on grain: J. Soc. Agric. Struct. Japan 12(1), abstract"
)

// How far other readings of a fill are off. Common practice, no source.
const (
	waterError = 0.005 // meniscus, drops left behind
	cupError   = 0.02  // reading a measuring cup of liquid
	heapError  = 0.05  // a bulk density taken once
)

// Measure works a fill out: water by mass or volume; rice and sand by volume,
// or by mass with their own bulk density; anything else by volume, or by mass
// with a density. Errors: missing_option, too_many_options, out_of_range,
// not_found (what it was filled with).
func (w FillWant) Measure() (Fill, error) {
	if err := w.check(); err != nil {
		return Fill{}, err
	}
	switch with := strings.ToLower(strings.TrimSpace(w.With)); with {
	case "", "water":
		return w.water()
	case "rice", "sand":
		return w.grain(with)
	case "other":
		return w.other()
	}
	return Fill{}, fault.New(fault.NotFound, "there is no filling %q here", fault.Echo(w.With)).In("with").
		Hint("give water, rice or sand, or other with its density").Choose("water", "rice", "sand", "other")
}

func (w FillWant) check() error {
	const hint = "give the mass that went in, or the volume read in a measuring cup"
	switch {
	case w.Mass != 0 && w.Volume != 0:
		return fault.New(fault.TooManyOptions, "both a mass and a volume are given").In("volume").Hint(hint)
	case w.Mass == 0 && w.Volume == 0:
		return fault.New(fault.MissingOption, "there is no mass and no volume").In("mass").Hint(hint)
	case w.Mass != 0 && !(w.Mass > 0 && w.Mass <= 1e7):
		return fault.New(fault.OutOfRange, "a mass of %s g is outside 0 to 10 t", num(w.Mass)).In("mass").Hint("give it such as 153 g")
	case w.Volume != 0 && !(w.Volume > 0 && w.Volume <= 1e7):
		return fault.New(fault.OutOfRange, "a volume of %s mL is outside 0 to 10 m³", num(w.Volume)).In("volume").Hint("give it such as 240 ml")
	case w.Density != 0 && !(w.Density >= 0.01 && w.Density <= 25):
		return fault.New(fault.OutOfRange, "a density of %s g/mL is outside 0.01 to 25", num(w.Density)).In("density").Hint("give it such as 0.85 g/ml")
	}
	return nil
}

func (w FillWant) water() (Fill, error) {
	if w.Density != 0 {
		return Fill{}, fault.New(fault.TooManyOptions, "the density of water is known from its temperature").In("density").Hint("leave density out, or fill with:other")
	}
	var f Fill
	if w.Volume > 0 {
		f.Volume = spread(w.Volume, cupError)
		f.Steps = working.Add(nil, "volume", "as read", working.Definition, "%s mL", num(w.Volume))
	} else {
		rho, err := WaterDensity(w.Temp)
		if err != nil {
			return Fill{}, err
		}
		v := w.Mass / rho
		f.Volume = spread(v, waterError)
		f.Steps = working.Add(nil, "density of water", "ρ = 0.99997495·(1 − (T − 3.983035)²(T + 301.797)/(522528.9·(T + 69.34881)))", tanaka, "at %s °C: %s g/mL", num(w.Temp), num(math.Round(rho*1e6)/1e6))
		f.Steps = working.Add(f.Steps, "volume", "V = m/ρ", working.Definition, "%s g/%s g/mL = %s mL", num(w.Mass), num(rho), num(v))
		f.Notes = append(f.Notes, "Weighing in air makes water seem 0.1 % lighter than it is; no shop scale shows that.")
	}
	f.Notes = append(f.Notes,
		"Dry the mold fully before you cast: one drop of water left behind foams urethane.",
		"Never fill a plaster mold with water: it drinks it and then gives it to the resin.")
	return f, nil
}

func (w FillWant) grain(with string) (Fill, error) {
	var f Fill
	switch {
	case w.Volume > 0:
		f.Volume = spread(w.Volume, grainError)
		f.Steps = working.Add(nil, "volume", "as read, leveled and not shaken", grainSource, "%s mL ± %s", num(w.Volume), quantity.Percent(grainError))
		f.Notes = append(f.Notes, strings.ToUpper(with[:1])+with[1:]+" heaps differently each time: take it as good to "+quantity.Percent(grainError)+", and fill and pour back twice the same way.")
	case w.Density > 0:
		f = w.byHeap()
	default:
		return Fill{}, fault.New(fault.MissingOption, "%s is read by volume: its weight says nothing without the density of the heap", with).In("volume").
			Hint("pour it from the mold into a measuring cup and give volume, or weigh a level cup of it and give density")
	}
	f.Notes = append(f.Notes, "Blow the mold clean afterwards: every grain left behind shows in the cast.")
	return f, nil
}

func (w FillWant) other() (Fill, error) {
	if w.Volume > 0 {
		return Fill{Volume: spread(w.Volume, cupError), Steps: working.Add(nil, "volume", "as read", working.Definition, "%s mL", num(w.Volume))}, nil
	}
	if w.Density == 0 {
		return Fill{}, fault.New(fault.MissingOption, "the density of what went in is not known").In("density").Hint("give it such as 0.85 g/ml, or give volume in place of mass")
	}
	return w.byHeap(), nil
}

func (w FillWant) byHeap() Fill {
	v := w.Mass / w.Density
	return Fill{
		Volume: spread(v, heapError),
		Notes:  []string{"The result is as good as the density: weigh a level cup of the same stuff, poured the same way, and divide by the cup's volume."},
		Steps:  working.Add(nil, "volume", "V = m/ρ", working.Definition, "%s g/%s g/mL = %s mL", num(w.Mass), num(w.Density), num(v)),
	}
}

func spread(v, share float64) quantity.Range {
	return quantity.Range{Low: v * (1 - share), Mid: v, High: v * (1 + share)}
}

// Part is the volume in mL of a solid cast of mass g: V = m/ρ with the cured
// density in g/mL.
func Part(mass, density float64) float64 { return mass / density }

// Swap is the mass in g of resin that takes the room of a solid master:
// m2 = m1·ρ2/ρ1.
func Swap(masterMass, masterDensity, resinDensity float64) float64 {
	return masterMass * resinDensity / masterDensity
}

// Immersed is the volume in mL and density in g/mL of a part by weighing it in
// air and under water of temp °C, by Archimedes; massInWater is below massAir
// and may be negative where a sinker's own weight was taken off. Error:
// out_of_range.
func Immersed(massAir, massInWater, temp float64) (volume, density float64, err error) {
	rho, err := WaterDensity(temp)
	if err != nil {
		return 0, 0, err
	}
	if !(massAir > 0) || !(massInWater < massAir) {
		return 0, 0, fault.New(fault.OutOfRange, "%s g under water is not below %s g in air", num(massInWater), num(massAir)).In("mass").
			Hint("hang the part free of wall and bottom; push a floating one under with a wire")
	}
	volume = (massAir - massInWater) / rho
	return volume, massAir / volume, nil
}
