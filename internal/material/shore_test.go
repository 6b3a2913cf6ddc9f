package material_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
)

// TestShoreOverlap: a band goes up with the reading, holds its middle, and the
// two ways agree: a D reading's band holds every A whose band holds it. The band
// itself is common practice, no source.
func TestShoreOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(80, 94).Draw(t, "a")
		r, err := material.ShoreOverlap(material.Hardness{Shore: a, Scale: "A"}, "D")
		harder, err2 := material.ShoreOverlap(material.Hardness{Shore: a + 1, Scale: "A"}, "D")
		if err != nil || err2 != nil || !(r.Low < r.Mid && r.Mid < r.High) || !(harder.Low > r.Low && harder.Mid > r.Mid && harder.High > r.High) {
			t.Fatalf("A %v: %+v, %v; 1 harder: %+v, %v", a, r, err, harder, err2)
		}
		back, err := material.ShoreOverlap(material.Hardness{Shore: r.Mid, Scale: "D"}, "A")
		if err != nil || math.Abs(back.Mid-a) > 1e-9 || !(back.Low < a && a < back.High) || back.High > 100 {
			t.Fatalf("A %v is about D %v, which is A %+v, %v", a, r.Mid, back, err)
		}
		d := rapid.Float64Range(29, 46).Draw(t, "d")
		band, err := material.ShoreOverlap(material.Hardness{Shore: d, Scale: "D"}, "A")
		if err != nil {
			t.Fatal(err)
		}
		if in := a > band.Low && a < band.High; in != (d > r.Low && d < r.High) {
			t.Fatalf("A %v and D %v: %+v one way, %+v the other", a, d, band, r)
		}
	})
}

// TestDurometer: ASTM D2240 has a point of 2.54 mm, 8.05 N at A 100 and 44.45 N
// at D 100, 0.55 N at A 0 (from memory); a stiffer rubber reads higher.
func TestDurometer(t *testing.T) {
	for reading, mm := range map[float64]float64{0: 2.54, 50: 1.27, 100: 0} {
		if got, err := material.ShoreDepth(reading); err != nil || math.Abs(got-mm) > 1e-12 {
			t.Errorf("%v: %v mm, %v, want %v", reading, got, err, mm)
		}
	}
	for h, n := range map[material.Hardness]float64{{Shore: 0, Scale: "A"}: 0.55, {Shore: 100, Scale: "A"}: 8.05, {Shore: 0, Scale: "D"}: 0, {Shore: 100, Scale: "D"}: 44.45} {
		if got, err := material.ShoreForce(h); err != nil || math.Abs(got-n) > 1e-12 {
			t.Errorf("%s: %v N, %v, want %v", h, got, err, n)
		}
	}
	last := 0.0
	for a := 20.0; a <= 80; a++ {
		r, err := material.Modulus(a)
		if err != nil || !(r.Mid > last && r.Low < r.Mid && r.Mid < r.High) {
			t.Fatalf("A %v: %+v, %v", a, r, err)
		}
		last = r.Mid
	}
}

func TestShoreRefusals(t *testing.T) {
	h := func(v float64, scale string) material.Hardness { return material.Hardness{Shore: v, Scale: scale} }
	overlap := func(from material.Hardness, to string) error { _, err := material.ShoreOverlap(from, to); return err }
	second := func(_ any, err error) error { return err }
	for name, c := range map[string]struct {
		err  error
		code fault.Code
	}{
		"soft A as D":     {overlap(h(50, "A"), "D"), fault.OutOfRange},
		"hard A as D":     {overlap(h(97, "A"), "D"), fault.OutOfRange},
		"soft D as A":     {overlap(h(20, "D"), "A"), fault.OutOfRange},
		"hard D as A":     {overlap(h(74, "D"), "A"), fault.OutOfRange},
		"no number":       {overlap(h(math.NaN(), "A"), "D"), fault.OutOfRange},
		"00":              {overlap(h(90, "00"), "A"), fault.NotFound},
		"the same":        {overlap(h(90, "A"), "A"), fault.NotFound},
		"depth past 100":  {second(material.ShoreDepth(101)), fault.OutOfRange},
		"force below 0":   {second(material.ShoreForce(h(-1, "A"))), fault.OutOfRange},
		"force of 00":     {second(material.ShoreForce(h(50, "00"))), fault.NotFound},
		"too soft":        {second(material.Modulus(10)), fault.OutOfRange},
		"no rubber":       {second(material.Modulus(90)), fault.OutOfRange},
		"stiffness of no": {second(material.Modulus(math.NaN())), fault.OutOfRange},
	} {
		if f := fault.As(c.err); f == nil || f.Code != c.code || f.HintText() == "" {
			t.Errorf("%s: %v, want %s with a hint", name, c.err, c.code)
		}
	}
}
