package cure

import (
	"math"
	"regexp"
	"strings"
	"testing"
)

// sentence is the remark with a flag, "" where it is not made.
func sentence(r Result, f Flag) string {
	for _, m := range r.Remarks {
		if m.Flag == f {
			return m.Text
		}
	}
	return ""
}

// TestBulletinDepthHoldsAtItsTemperature: a rate doubles or so with 10 K more
// (Arrhenius), so a depth that a bulletin gives for its own room is not passed
// on as if it held in a warm one.
func TestBulletinDepthHoldsAtItsTemperature(t *testing.T) {
	m := model(t, castingEpoxy())
	const words = "it is warmer here"
	for _, c := range []struct {
		room float64
		mold *float64
		want bool
	}{{21, nil, false}, {24, nil, false}, {30, nil, true}, {21, celsiusOf(40), true}} {
		res := estimated(t, m, Setup{Thickest: 25, Room: c.room, Mold: c.mold})
		if text := sentence(res, OverDepth); text == "" || strings.Contains(text, words) != c.want {
			t.Errorf("at %v °C: %q", c.room, text)
		}
	}
}

// TestLayersAreNotSaidToFail: a lift on a cold one loses heat into it, as a
// plate twice as thick does into a wall that conducts alike (mirror symmetry,
// Carslaw and Jaeger), the open face taken as losing none. So thin lifts of a
// fast resin stay calm though they would not on a base that takes no heat, and
// the remark has to say which base it speaks of.
func TestLayersAreNotSaidToFail(t *testing.T) {
	m := model(t, rigidWhite())
	thick := estimated(t, m, Setup{Thickest: 25, Room: 21})
	text := sentence(thick, TooFast)
	calm := estimated(t, m, Setup{Thickest: 6, Room: 21, Walls: []Wall{{WallUrethane, 10}}})
	if lift := 3.0; !(thick.MaxLift < lift) || calm.Peak.High > 100 {
		t.Fatalf("%v mm by the remark, %v mm twice over peak at %v", thick.MaxLift, lift, calm.Peak)
	}
	for _, words := range []string{"on a base that takes no heat", "On a cold lift"} {
		if !strings.Contains(text, words) {
			t.Errorf("%q does not say %q", text, words)
		}
	}
}

// TestCornersAreNoSurerThanRanges: a single time is told in the steps of the
// ranges, and about is the nearest of them.
func TestCornersAreNoSurerThanRanges(t *testing.T) {
	for in, want := range map[float64]float64{570: 600, 250: 240, 24780: 25200, 3840: 3900, 42: 40, 1799: 1800} {
		if got := about(in); got != want || math.Abs(got-in) > outStep(in)/2 {
			t.Errorf("about %v s is %v s, want %v", in, got, want)
		}
	}
	odd := regexp.MustCompile(`min [1-9]\d? s`)
	for _, thick := range []float64{12, 25, 40} {
		for _, room := range []float64{21, 30, 38} {
			if text := sentence(estimated(t, model(t, rigidWhite()), Setup{Thickest: thick, Room: room}), Corners); odd.MatchString(text) {
				t.Errorf("%v mm at %v °C: %q", thick, room, text)
			}
		}
	}
}

// TestPolyesterAssumesNoConversion: its times are the bulletin's own, so no
// conversion or section is taken in their place, nor a range widened by one.
func TestPolyesterAssumesNoConversion(t *testing.T) {
	p := castingEpoxy()
	p.Family, p.Demold, p.DemoldSection, p.MaxDepth = "polyester", 0, 0, 0
	for _, demold := range []float64{0, 3600} {
		p.Demold = demold
		r, assumed, err := FromProfile(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range assumed {
			if a.Option == "demold" || a.Option == "demold_section" {
				t.Errorf("demold %v: %+v is taken", demold, a)
			}
		}
		if res := estimated(t, model(t, p), Setup{Thickest: 10, Room: 21}); r.Sheet <= 0 || math.IsNaN(res.Peak.Mid) || res.Demold.Mid != demold {
			t.Errorf("demold %v: sheet %v, peak %v, demold %v", demold, r.Sheet, res.Peak, res.Demold)
		}
	}
}
