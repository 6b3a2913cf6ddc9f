package cure

import (
	"math"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// FuzzEstimate gives any setup to one resin. It is refused with the option and
// a hint, or answered with ordered, finite ranges.
func FuzzEstimate(f *testing.F) {
	f.Add(12.0, 4.0, 21.0, 23.0, 35.0, 100.0, 10.0, 0.5, uint8(0))
	f.Add(0.5, 0.5, 0.0, 0.0, 80.0, 1.0, 0.2, 1.0, uint8(1))
	f.Add(200.0, 0.5, 60.0, 60.0, 0.0, 20000.0, 300.0, 0.01, uint8(2))
	f.Add(0.0, -1.0, math.NaN(), math.Inf(1), 1e300, -1e300, 0.0, 2.0, uint8(255))
	m := model(f, rigidSlow())
	f.Fuzz(func(t *testing.T, thick, thin, room, resin, mold, mass, wall, humidity float64, kind uint8) {
		s := Setup{Thickest: thick, Thinnest: thin, Room: room, Resin: &resin, Mold: &mold, Mass: mass, Humidity: humidity,
			Walls: []Wall{{WallKinds()[int(kind)%len(WallKinds())], wall}}, InCup: kind&32 != 0, OpenTop: kind&64 != 0, Fan: kind&128 != 0}
		res, err := m.Estimate(s, Learned{}, 2, nil)
		if err != nil {
			if refusal := fault.As(err); refusal == nil || refusal.Option == "" || refusal.HintText() == "" {
				t.Fatalf("%+v: %v", s, err)
			}
			return
		}
		for _, r := range []quantity.Range{res.PotLife, res.Gel, res.Demold, res.Cool, res.Peak, res.PeakAt, res.Corner} {
			if !(r.Low <= r.Mid && r.Mid <= r.High) || math.IsInf(r.Low, 0) || math.IsInf(r.High, 0) {
				t.Fatalf("%+v: %v", s, r)
			}
		}
		if res.PotLife.Low <= 0 || res.Demold.Low <= 0 || res.Peak.High > 300 {
			t.Fatalf("%+v: pot life %v, demold %v, peak %v", s, res.PotLife, res.Demold, res.Peak)
		}
	})
}
