package diagnose_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/diagnose"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

func at[T any](v T) *T { return &v }

// white is a bulletin with every figure that a record is held against.
func white() material.Profile {
	return material.Profile{Name: "white", Family: material.Urethane, PotLife: 180, PotLifeMass: 100, Demold: 720, DemoldSection: 6,
		MinTemp: at(18.0), MaxTemp: at(28.0), MaxDepth: 20, MaxMass: 500, MaxTint: 0.02}
}

func span(low, mid, high float64) quantity.Range {
	return quantity.Range{Low: low, Mid: mid, High: high}
}

// What a record shows, and what it does not: each figure on both sides of its
// bound. Bounds that no bulletin gives are common practice, no source.
func TestRecordShows(t *testing.T) {
	type record = diagnose.Record
	for _, c := range []struct {
		name   string
		r      record
		want   diagnose.Sign // "" is none of not
		not    diagnose.Sign
		saying string
	}{
		{"cold for its bulletin", record{Room: at(15.0), Material: white()}, diagnose.ColdRoom, diagnose.RoomFine, "The room was 15 °C; your bulletin says 18 °C at least."},
		{"cold with no bulletin", record{Room: at(15.0)}, diagnose.ColdRoom, "", "common practice says 18 °C"},
		{"warm enough", record{Room: at(18.0), Material: white()}, diagnose.RoomFine, diagnose.ColdRoom, ""},
		{"hot for its bulletin", record{Room: at(29.0), Material: white()}, diagnose.HotRoom, diagnose.RoomFine, "28 °C at most"},
		{"hot with no bulletin", record{Room: at(26.0)}, diagnose.HotRoom, "", "25 °C at most"},
		{"cold parts in a warm room", record{Room: at(21.0), Resin: at(10.0), Material: white()}, diagnose.ColdRoom, diagnose.RoomFine, "The parts were at 10 °C"},
		{"hot parts", record{Room: at(21.0), Resin: at(35.0), Material: white()}, diagnose.HotRoom, diagnose.RoomFine, "The parts were at 35 °C"},
		{"parts as warm as they should be", record{Room: at(21.0), Resin: at(20.0), Material: white()}, diagnose.RoomFine, diagnose.ColdRoom, ""},
		{"a cold mold", record{Room: at(21.0), Mold: at(10.0), Material: white()}, diagnose.ColdMold, diagnose.MoldFine, "The mold was at 10 °C"},
		{"a warm mold", record{Room: at(21.0), Mold: at(35.0), Material: white()}, diagnose.MoldFine, diagnose.ColdMold, ""},
		{"no mold temperature", record{Room: at(10.0)}, "", diagnose.ColdMold, ""},
		{"a mold that sweats", record{Room: at(21.0), Mold: at(8.0), Humidity: 0.5}, diagnose.MoldSweats, "", "things sweat below 10 °C"},
		{"damp air", record{Humidity: 0.65}, diagnose.DampAir, diagnose.DryAir, "65 %"},
		{"dry air", record{Humidity: 0.4}, diagnose.DryAir, diagnose.DampAir, ""},
		{"usual air", record{Humidity: 0.55}, "", diagnose.DampAir, ""},
		{"too much B", record{Off: at(0.111)}, diagnose.OffRatio, diagnose.RatioRight, "11.1 % too much B"},
		{"too much A", record{Off: at(-0.2)}, diagnose.OffRatio, "", "25 % too much A"},
		{"at the edge", record{Off: at(0.03)}, diagnose.OffRatio, "", "at the edge"},
		{"on ratio", record{Off: at(-0.01)}, diagnose.RatioRight, diagnose.OffRatio, ""},
		{"not weighed", record{}, "", diagnose.RatioRight, ""},
		{"an old jug", record{OpenDays: at(150.0), OpenMost: 120}, diagnose.OldJug, diagnose.FreshJug, "150 days; the bulletin gives an opened jug 120 days"},
		{"a fresh jug", record{OpenDays: at(10.0), OpenMost: 120}, diagnose.FreshJug, diagnose.OldJug, ""},
		{"neither", record{OpenDays: at(100.0), OpenMost: 120}, "", diagnose.OldJug, ""},
		{"an old urethane without a bulletin's time", record{OpenDays: at(120.0), Material: material.Profile{Family: material.Urethane}}, diagnose.OldJug, "", "common practice"},
		{"an epoxy without one", record{OpenDays: at(300.0), Material: material.Profile{Family: material.Epoxy}}, "", diagnose.OldJug, ""},
		{"thin", record{Thinnest: 3, Material: white()}, diagnose.Thin, diagnose.NotThin, "3 mm"},
		{"not thin", record{Thinnest: 6, Material: white()}, diagnose.NotThin, diagnose.Thin, ""},
		{"thick for its bulletin", record{Thickest: 22, Material: white()}, diagnose.Thick, diagnose.NotThick, "the bulletin allows 20 mm"},
		{"thick for an epoxy", record{Thickest: 12, Material: material.Profile{Family: material.Epoxy}}, diagnose.Thick, "", "10 mm"},
		{"not thick", record{Thickest: 12}, diagnose.NotThick, diagnose.Thick, ""},
		{"thick beside thin", record{Thickest: 13, Thinnest: 4}, diagnose.Uneven, diagnose.Even, ""},
		{"even", record{Thickest: 12, Thinnest: 4}, diagnose.Even, diagnose.Uneven, ""},
		{"hot", record{Peak: span(90, 100, 110)}, diagnose.HotInside, diagnose.StayedCool, "110 °C"},
		{"cool", record{Peak: span(30, 40, 50)}, diagnose.StayedCool, diagnose.HotInside, ""},
		{"over its mass", record{Mass: 600, Material: white()}, diagnose.BigBatch, "", "the bulletin's 500 g"},
		{"a small cup", record{Mass: 40, Material: white()}, diagnose.SmallBatch, diagnose.BigBatch, ""},
		{"far over the mass of its pot life", record{Mass: 300, Material: material.Profile{PotLifeMass: 100}}, diagnose.BigBatch, "", ""},
		{"much tint", record{Tint: at(0.03), Material: white()}, diagnose.MuchTint, diagnose.LittleTint, "3 % of the mix"},
		{"little tint", record{Tint: at(0.02), Material: white()}, diagnose.LittleTint, diagnose.MuchTint, ""},
		{"tint not known", record{}, "", diagnose.LittleTint, ""},
		{"long past its time", record{SoftAt: 7300, Demold: span(600, 720, 900)}, diagnose.PastTime, diagnose.TooEarly, "nine in ten are ready by 15 min"},
		{"before its time", record{SoftAt: 300, Demold: span(600, 720, 900)}, diagnose.TooEarly, diagnose.PastTime, ""},
		{"given up", record{Failed: true, Demold: span(600, 720, 900)}, diagnose.PastTime, "", "given up"},
		{"out early", record{OutAt: 300, Demold: span(600, 720, 900)}, diagnose.OutEarly, diagnose.OutInTime, ""},
		{"out in time", record{OutAt: 1000, Demold: span(600, 720, 900)}, diagnose.OutInTime, diagnose.OutEarly, ""},
		{"out hot", record{OutAt: 1000, Cool: span(1500, 1800, 2000), Peak: span(80, 90, 95)}, diagnose.OutHot, diagnose.OutCool, ""},
		{"out cool", record{OutAt: 3000, Cool: span(1500, 1800, 2000), Peak: span(80, 90, 95)}, diagnose.OutCool, diagnose.OutHot, ""},
		{"a young tin mold", record{MoldFamily: "condensation", MoldDays: at(2.0)}, diagnose.YoungTin, diagnose.RestedMold, "2 days"},
		{"a rested tin mold", record{MoldFamily: "condensation", MoldDays: at(5.0)}, diagnose.RestedMold, diagnose.YoungTin, ""},
		{"a young mold of another rubber", record{MoldFamily: "addition", MoldDays: at(1.0)}, diagnose.RestedMold, diagnose.YoungTin, ""},
		{"a worn mold", record{MoldPulls: at(40), MoldLife: 30}, diagnose.WornMold, diagnose.YoungMold, "40 pulls"},
		{"a mold of few pulls", record{MoldPulls: at(4), MoldLife: 30}, diagnose.YoungMold, diagnose.WornMold, ""},
		{"a thin wall", record{MoldWall: 4}, diagnose.ThinWall, diagnose.ThickWall, ""},
		{"a full wall", record{MoldWall: 10}, diagnose.ThickWall, diagnose.ThinWall, ""},
		{"release overdue", record{SinceCoat: at(5), CoatEvery: 5}, diagnose.CoatOverdue, diagnose.CoatFresh, "5 pulls since"},
		{"release fresh", record{SinceCoat: at(2), CoatEvery: 5}, diagnose.CoatFresh, diagnose.CoatOverdue, ""},
		{"release wet", record{CoatAge: at(600.0)}, diagnose.WetRelease, diagnose.DryRelease, "10 min before the pour"},
		{"release dry", record{CoatAge: at(4000.0)}, diagnose.DryRelease, diagnose.WetRelease, ""},
		{"a late coat", record{Coats: 3, CoatGaps: []float64{1500, 5000}, Recoat: span(1200, 1200, 2400)}, diagnose.LateCoat, diagnose.CoatInTime, ""},
		{"coats in time", record{Coats: 3, CoatGaps: []float64{1500, 1600}, Recoat: span(1200, 1200, 2400)}, diagnose.CoatInTime, diagnose.LateCoat, ""},
		{"an epoxy", record{Material: material.Profile{Family: material.Epoxy}}, diagnose.IsEpoxy, diagnose.NotEpoxy, ""},
		{"no epoxy", record{Material: white()}, diagnose.NotEpoxy, diagnose.IsEpoxy, "white is no epoxy"},
		{"a family that is not known", record{Material: material.Profile{Family: material.Other}}, "", diagnose.NotEpoxy, ""},
		{"urethane in urethane", record{Material: white(), MoldFamily: "urethane"}, diagnose.InUrethane, diagnose.InSilicone, ""},
		{"silicone on silicone", record{Material: material.Profile{Family: material.SiliconeAddition}, MoldFamily: "condensation"}, diagnose.SilOnSil, diagnose.NotSilicone, ""},
		{"a fast resin", record{Material: white()}, diagnose.FastResin, diagnose.SlowResin, "3 min"},
	} {
		t.Run(c.name, func(t *testing.T) {
			found := diagnose.Signs(c.r)
			i := slices.IndexFunc(found, func(f diagnose.Found) bool { return f.Sign == c.want })
			if c.want != "" && i < 0 {
				t.Fatalf("no %q in %+v", c.want, found)
			}
			if c.saying != "" && !strings.Contains(found[i].Because, c.saying) {
				t.Errorf("%q does not say %q", found[i].Because, c.saying)
			}
			if c.not != "" && slices.ContainsFunc(found, func(f diagnose.Found) bool { return f.Sign == c.not }) {
				t.Errorf("it shows %q: %+v", c.not, found)
			}
		})
	}
}

// Whatever a record holds, its signs exist, each has a sentence, none weighs
// less than nothing, and no two of them contradict each other.
func TestRecordSigns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, low, high float64) *float64 {
			if rapid.Bool().Draw(t, "no "+name) {
				return nil
			}
			return at(rapid.Float64Range(low, high).Draw(t, name))
		}
		or := func(p *float64) float64 {
			if p == nil {
				return 0
			}
			return *p
		}
		m := white()
		m.Family = rapid.SampledFrom(append(material.Families(), "")).Draw(t, "family")
		m.MinTemp, m.MaxDepth, m.MaxMass, m.PotLife = num("least", 5, 25), or(num("depth", 1, 100)), or(num("most", 1, 1e4)), or(num("pot", 10, 1e4))
		r := diagnose.Record{
			Material: m, Thickest: or(num("thick", 0.1, 200)), Thinnest: or(num("thin", 0.1, 50)), Mass: or(num("mass", 0.1, 1e5)),
			Room: num("room", -20, 60), Resin: num("parts", -20, 90), Mold: num("mold", -20, 90), Humidity: rapid.Float64Range(0, 1).Draw(t, "humidity"), Off: num("off", -0.99, 20),
			OpenDays: num("open", 0, 5000), OpenMost: or(num("shelf", 1, 1000)), Tint: num("tint", 0, 1), Coats: 3, CoatGaps: []float64{or(num("gap", 0, 1e5))},
			Recoat: span(60, 60, or(num("recoat", 60, 1e4))), MoldFamily: rapid.SampledFrom([]string{"", "condensation", "addition", "urethane", "plaster"}).Draw(t, "of"),
			MoldPulls: at(rapid.IntRange(0, 500).Draw(t, "pulls")), MoldLife: or(num("life", 1, 100)), MoldDays: num("days", 0, 1000), MoldWall: or(num("wall", 0.1, 50)),
			SinceCoat: at(rapid.IntRange(0, 100).Draw(t, "since")), CoatEvery: rapid.IntRange(0, 20).Draw(t, "every"), CoatAge: num("age", 0, 1e6),
			Demold: span(10, 20, 30), Cool: span(20, 30, 40), Peak: span(20, 50, or(num("peak", 20, 300))), SoftAt: or(num("soft", 1, 1e6)), OutAt: or(num("out", 1, 1e6)),
			Failed: rapid.Bool().Draw(t, "failed"),
		}
		found := diagnose.Signs(r)
		if a, b, twice := diagnose.Contradicts(found); twice {
			t.Fatalf("%q and %q: %+v", a, b, found)
		}
		for _, f := range found {
			if _, ok := diagnose.Saw(f.Sign); !ok {
				t.Errorf("no sign %q", f.Sign)
			}
			if !(f.Weight >= 1) || f.Weight > 20 || math.IsNaN(f.Weight) || !strings.HasSuffix(f.Because, ".") {
				t.Errorf("%q weighs %v: %q", f.Sign, f.Weight, f.Because)
			}
		}
	})
}

// The further past a bound, the more it tells.
func TestFurtherPastTellsMore(t *testing.T) {
	weight := func(room float64) float64 {
		found := diagnose.Signs(diagnose.Record{Room: at(room)})
		return found[0].Weight
	}
	if a, b, c := weight(17.5), weight(15), weight(5); !(a < b && b < c) {
		t.Errorf("17.5, 15 and 5 °C weigh %v, %v and %v", a, b, c)
	}
}
