package cure

import (
	"math"
	"testing"
)

func TestDewPoint(t *testing.T) {
	for _, c := range []struct {
		name          string
		air, humidity float64
		want, tol     float64
	}{
		// Printed rows of WMO-No. 8 and of climate tables are in
		// testdata/reference/trade.json; these are the ends.
		{"saturated", 20, 1, 20, 1e-9},
		{"a damp workshop", 22, 0.65, 15.12, 0.02},
		// Saturation over water at 0 °C is 6.11 hPa and at 10 °C 12.27 hPa
		// (steam tables, from memory): half of the latter is nearly the former.
		{"half of 10 degrees", 10, 0.4982, 0, 0.1},
		{"below freezing", -10, 0.8, -12.8, 0.1},
	} {
		if got := DewPoint(c.air, c.humidity); math.Abs(got-c.want) > c.tol {
			t.Errorf("%s: %v, want %v ± %v", c.name, got, c.want, c.tol)
		}
	}
	if !Damp(17, 22, 0.65) || Damp(22, 22, 0.65) {
		t.Error("a mold at 17 °C in a room of 22 °C and 65 % is damp, one at 22 °C is not")
	}
	if WarmPastDew(20, 22, 0.5, 3) != 0 {
		t.Error("a jug above the dew point needs no time")
	}
	// What has warmed for WarmPastDew is at the dew point.
	if got := Warmed(5, 22, WarmPastDew(5, 22, 0.5, 3), 3); math.Abs(got-DewPoint(22, 0.5)) > 1e-9 {
		t.Errorf("after the time to warm the jug is at %v °C", got)
	}
}

func TestTimeFactorsUndoEachOther(t *testing.T) {
	e := ActivationEnergy(2, 20, 30)
	if got := 1 / TimeFactor(e, 30, 20); math.Abs(got-2) > 1e-12 {
		t.Errorf("an energy for a factor of 2 gives %v", got)
	}
}

func TestInverseG(t *testing.T) {
	for _, l := range []Law{{B: 0, N: 2}, {B: 3, N: 2}, {B: 100, N: 2}, {B: 20, N: 1}, {B: 0, N: 1}} {
		for _, a := range []float64{1e-9, 1e-3, 0.3, 0.6, 0.9, 0.995, 0.99999} {
			if got := l.inverseG(l.G(a)); math.Abs(got-a) > 1e-8 {
				t.Errorf("b %v n %d: %v comes back as %v", l.B, l.N, a, got)
			}
		}
		if l.inverseG(0) != 0 || l.inverseG(-1) != 0 {
			t.Error("nothing has reacted before the start")
		}
	}
}
