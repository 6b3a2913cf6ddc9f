package gas_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/gas"
	"github.com/pourwright/pourwright/internal/quantity"
)

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %v, want %v within %v", what, got, want, relative)
	}
}

// TestAtmosphere: the table by geometric altitude of ISO 2533:1975, which is the
// US Standard Atmosphere 1976 up to 50 km, in hPa (read as several libraries for
// flight carry it). The last digit of the table is half of 1e-5.
func TestAtmosphere(t *testing.T) {
	for z, hPa := range map[float64]float64{
		0: 1013.25, 500: 954.613, 1000: 898.763, 2000: 795.014, 3000: 701.212, 4000: 616.604, 5000: 540.483,
		6000: 472.176, 7000: 411.051, 8000: 356.516, 9000: 308.007, 10000: 264.999,
	} {
		got, err := gas.AirPressure(gas.Geopotential(z))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "air", got, hPa/10, 2e-5)
		// What a tape measures is close enough for a workshop.
		if rough, _ := gas.AirPressure(z); math.Abs(rough/got-1) > 2.5e-3 {
			t.Errorf("at %v m a tape's height gives %v, want near %v", z, rough, got)
		}
	}
	top, _ := gas.AirPressure(11_000)
	near(t, "tropopause", top, 22.6321, 1e-5) // table 4 of the standard, geopotential
}

// TestUnits holds the pressures that members type against NIOSH Manual of
// Analytical Methods, appendix A: 1 atm is 760 mmHg, 14.696 psi and 101.33 kPa,
// 1 psi 51.715 mmHg and 6.8947 kPa.
func TestUnits(t *testing.T) {
	near(t, "psi", quantity.PSI.From(gas.SeaLevel), 14.696, 5e-5)
	near(t, "mmHg", quantity.Torr.From(gas.SeaLevel), 760, 1e-12)
	near(t, "psi in mmHg", quantity.Torr.From(quantity.PSI.Base(1)), 51.715, 2e-5)
	near(t, "psi in kPa", quantity.PSI.Base(1), 6.8947, 2e-5)
}

// TestMolarVolume: the table of NIOSH Manual of Analytical Methods, appendix A,
// in L by °C and mmHg, told to two decimals.
func TestMolarVolume(t *testing.T) {
	for _, c := range []struct{ temp, mmHg, want float64 }{
		{40, 640, 30.51}, {30, 640, 29.54}, {25, 640, 29.05}, {20, 640, 28.56}, {10, 640, 27.59}, {0, 640, 26.62},
		{40, 760, 25.70}, {30, 760, 24.87}, {25, 760, 24.46}, {20, 760, 24.05}, {10, 760, 23.23}, {0, 760, 22.41},
		{25, 680, 27.34}, {25, 720, 25.82},
	} {
		got, err := gas.MolarVolume(c.temp, quantity.Torr.Base(c.mmHg))
		if err != nil || math.Abs(got-c.want) > 0.008 {
			t.Errorf("%v °C, %v mmHg: %v, %v, want %v", c.temp, c.mmHg, got, err, c.want)
		}
	}
	// CCOHS: a mole at 25 °C and 760 torr is 24.45 L; its example is toluene.
	mg, err := gas.MilligramsPerCubicMeter(100, 92.13, gas.Molar)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "100 ppm of toluene", mg, 376.8, 1e-4) // 100·92.13/24.45
}

// saturation is the equation of the saturation line of IAPWS-IF97 (equation 30),
// in kPa by K: an independent one, held against table 35 below.
func saturation(kelvin float64) float64 {
	n := [...]float64{0, 0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5, -0.32325550322333e7,
		0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3}
	v := kelvin + n[9]/(kelvin-n[10])
	a := v*v + n[1]*v + n[2]
	b := n[3]*v*v + n[4]*v + n[5]
	c := n[6]*v*v + n[7]*v + n[8]
	return 1000 * math.Pow(2*c/(-b+math.Sqrt(b*b-4*a*c)), 4)
}

func TestWaterBoils(t *testing.T) {
	for kelvin, MPa := range map[float64]float64{300: 0.353658941e-2, 500: 0.263889776e1, 600: 0.123443146e2} { // IAPWS-IF97, table 35
		near(t, "the reference itself", saturation(kelvin), 1000*MPa, 1e-8)
	}
	for temp := 1.0; temp <= 60; temp++ {
		got, err := gas.WaterBoils(temp)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "water", got, saturation(temp+273.15), 3.5e-3)
		back, err := gas.WaterBoilsAt(got)
		if err != nil || math.Abs(back-temp) > 1e-9 {
			t.Errorf("%v kPa boils at %v, %v, want %v", got, back, err, temp)
		}
	}
}

// TestVessel: a 230 mm lid at 60 psi bears 1.75 t, by hand in pounds:
// 60·π/4·(230/25.4)² lbf.
func TestVessel(t *testing.T) {
	const lbf = 4.4482216152605 // N, NIST SP 811
	got, err := gas.LidForce(quantity.PSI.Base(60), 230)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lid", got, 60*math.Pi/4*math.Pow(230/25.4, 2)*lbf, 1e-12)
	e, err := gas.Stored(quantity.PSI.Base(60), 10_000, gas.Air)
	if err != nil {
		t.Fatal(err)
	}
	// The plain sum in SI: 413 685 Pa on 0.01 m³, heat capacity 5/2 R.
	near(t, "stored", e, 413685.43759*0.01*2.5, 1e-9)
}

// TestDegas: at one mile the most a gauge can show is 24.6 inHg, and the target
// is the same absolute pressure as below.
func TestDegas(t *testing.T) {
	mile, err := gas.Degas(1609.344, 21)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "most", quantity.InchOfMercury.From(mile.Air), 24.636, 1e-4)
	near(t, "target", mile.Absolute, gas.SeaLevel-29*3.386388640341, 1e-9)
	near(t, "gauge", mile.Shows, mile.Air-mile.Absolute, 1e-12)
	if mile.Water == 0 || len(mile.Steps) != 4 {
		t.Errorf("%+v", mile)
	}
	if cold, err := gas.Degas(0, -5); err != nil || cold.Water != 0 {
		t.Errorf("below freezing: %+v, %v", cold, err)
	}
	if _, err := gas.Degas(12_000, 21); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("above the troposphere: %v", err)
	}
	pot, err := gas.Press(1609.344)
	if err != nil || !(pot.Width.Low < pot.Width.Mid && pot.Width.Mid < pot.Width.High && pot.Width.High < 1) || len(pot.Steps) != 7 {
		t.Errorf("a pot: %+v, %v", pot, err)
	}
	near(t, "width at 60 psi", pot.Width.Low, math.Cbrt(0.167824), 1e-5)
	if _, err := gas.Press(-501); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("below ground: %v", err)
	}
}

// TestProperties: there and back, the more the smaller, and what must add up.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := rapid.Float64Range(-500, 10_999).Draw(t, "h")
		air, err := gas.AirPressure(h)
		higher, err2 := gas.AirPressure(h + 1)
		if err != nil || err2 != nil || !(higher < air) {
			t.Fatalf("%v m has %v, 1 m more %v (%v, %v)", h, air, higher, err, err2)
		}
		if air < 20 {
			t.Skip("too thin for people")
		}
		g := rapid.Float64Range(0, 9000).Draw(t, "gauge")
		p, err := gas.Absolute(g, air)
		back, err2 := gas.Gauge(p, air)
		if err != nil || err2 != nil || math.Abs(back-g) > 1e-9 {
			t.Fatalf("gauge %v, absolute %v, back %v (%v, %v)", g, p, back, err, err2)
		}
		v, _ := gas.BubbleVolume(g, air)
		d, _ := gas.BubbleSize(g, air)
		less, _ := gas.BubbleVolume(g+1, air)
		if math.Abs(d*d*d-v) > 1e-12 || !(less < v) || v > 1 || math.Abs(v*p-air) > 1e-9 {
			t.Fatalf("at %v kPa: volume %v, width %v, 1 kPa more %v", g, v, d, less)
		}
		left := rapid.Float64Range(0.01, air).Draw(t, "left")
		shows, err := gas.VacuumGauge(left, air)
		again, err2 := gas.Under(shows, air)
		if err != nil || err2 != nil || math.Abs(again-left) > 1e-9 {
			t.Fatalf("%v left shows %v, back %v (%v, %v)", left, shows, again, err, err2)
		}
		share := rapid.Float64Range(0, 0.99).Draw(t, "share")
		rise, err := gas.FoamRise(share, left, air)
		all, _ := gas.BubbleUnder(1, left, air)
		if err != nil || rise < 1-1e-12 || math.Abs(rise-(1-share+share*all*all*all)) > 1e-9*rise {
			t.Fatalf("foam of %v at %v: %v, a bubble %v (%v)", share, left, rise, all, err)
		}
		mm := rapid.Float64Range(1, 1000).Draw(t, "lid")
		one, _ := gas.LidForce(g, mm)
		four, _ := gas.LidForce(g, 2*mm)
		if math.Abs(four-4*one) > 1e-9*four {
			t.Fatalf("a lid twice as wide bears %v, want 4 × %v", four, one)
		}
		ppm := rapid.Float64Range(0, 1e5).Draw(t, "ppm")
		molar := rapid.Float64Range(1, 1000).Draw(t, "molar")
		mg, err := gas.MilligramsPerCubicMeter(ppm, molar, gas.Molar)
		same, err2 := gas.PartsPerMillion(mg, molar, gas.Molar)
		if err != nil || err2 != nil || math.Abs(same-ppm) > 1e-9*math.Max(1, ppm) {
			t.Fatalf("%v ppm is %v mg/m³, back %v (%v, %v)", ppm, mg, same, err, err2)
		}
	})
}

// TestRefusals: each says which value, and what to give.
func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	type of = func() (float64, error)
	for name, c := range map[string]struct {
		f      of
		option string
	}{
		"too high":                {func() (float64, error) { return gas.AirPressure(11_001) }, "altitude"},
		"no height":               {func() (float64, error) { return gas.AirPressure(nan) }, "altitude"},
		"gauge below the air":     {func() (float64, error) { return gas.Absolute(-1, 101) }, "gauge"},
		"gauge without end":       {func() (float64, error) { return gas.Absolute(inf, 101) }, "gauge"},
		"air of the moon":         {func() (float64, error) { return gas.Absolute(1, 0) }, "air"},
		"no air to gauge by":      {func() (float64, error) { return gas.Gauge(101, nan) }, "air"},
		"a vacuum in a pot":       {func() (float64, error) { return gas.Gauge(50, 101) }, "absolute"},
		"less than nothing":       {func() (float64, error) { return gas.Gauge(-1, 101) }, "absolute"},
		"too much":                {func() (float64, error) { return gas.VacuumGauge(2e4, 101) }, "absolute"},
		"more vacuum than air":    {func() (float64, error) { return gas.Under(100, 83.4) }, "vacuum"},
		"a vacuum with a minus":   {func() (float64, error) { return gas.Under(-80, 83.4) }, "vacuum"},
		"a vacuum on the moon":    {func() (float64, error) { return gas.Under(80, 0) }, "air"},
		"a pot's vacuum":          {func() (float64, error) { return gas.VacuumGauge(200, 101) }, "absolute"},
		"bubbles below the air":   {func() (float64, error) { return gas.BubbleVolume(-1, 101) }, "gauge"},
		"a bubble in empty space": {func() (float64, error) { return gas.BubbleUnder(1, 0, 101) }, "absolute"},
		"no bubble":               {func() (float64, error) { return gas.BubbleUnder(0, 5, 101) }, "width"},
		"all air":                 {func() (float64, error) { return gas.FoamRise(1, 5, 101) }, "share"},
		"foam in empty space":     {func() (float64, error) { return gas.FoamRise(0.1, 0, 101) }, "absolute"},
		"foam on the moon":        {func() (float64, error) { return gas.FoamRise(0.1, 5, 0) }, "air"},
		"no lid":                  {func() (float64, error) { return gas.LidForce(400, 0) }, "width"},
		"no pressure":             {func() (float64, error) { return gas.LidForce(nan, 200) }, "gauge"},
		"a lid under pressure":    {func() (float64, error) { return gas.VacuumLidForce(200, 300) }, "absolute"},
		"a vessel of nothing":     {func() (float64, error) { return gas.Stored(400, 0, gas.Air) }, "volume"},
		"a gas of nothing":        {func() (float64, error) { return gas.Stored(400, 1e4, 1) }, "gamma"},
		"a gauge of nothing":      {func() (float64, error) { return gas.Stored(-1, 1e4, gas.Air) }, "gauge"},
		"ice":                     {func() (float64, error) { return gas.WaterBoils(-1) }, "temp"},
		"steam":                   {func() (float64, error) { return gas.WaterBoilsAt(101.3) }, "absolute"},
		"a mole on the moon":      {func() (float64, error) { return gas.MolarVolume(20, 0) }, "air"},
		"a mole in an oven":       {func() (float64, error) { return gas.MolarVolume(300, 101) }, "temp"},
		"more than all":           {func() (float64, error) { return gas.MilligramsPerCubicMeter(2e6, 100, 24.45) }, "ppm"},
		"less than none":          {func() (float64, error) { return gas.PartsPerMillion(-1, 100, 24.45) }, "mg"},
		"lighter than hydrogen":   {func() (float64, error) { return gas.PartsPerMillion(1, 0.5, 24.45) }, "molar_mass"},
		"a mole of no room":       {func() (float64, error) { return gas.PartsPerMillion(1, 100, 0) }, "volume"},
	} {
		v, err := c.f()
		if f := fault.As(err); f == nil || f.Code != fault.OutOfRange || f.Option != c.option || f.HintText() == "" || v != 0 {
			t.Errorf("%s: %v, %v, want out_of_range in %s with a hint", name, v, err, c.option)
		}
	}
}
