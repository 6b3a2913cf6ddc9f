package cure

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

func model(t testing.TB, p material.Profile) *Model {
	t.Helper()
	r, _, err := FromProfile(p)
	if err != nil {
		t.Fatal(err)
	}
	m, err := Calibrate(r, 2, nil)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func estimated(t testing.TB, m *Model, s Setup) Result {
	t.Helper()
	res, err := m.Estimate(s, Learned{}, 2, nil)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// TestAnswersTheBulletin asks back what went in: the bulletin's cup has its
// pot life and the bulletin's sheet its demold time.
func TestAnswersTheBulletin(t *testing.T) {
	for _, p := range demoProfiles() {
		t.Run(p.Name, func(t *testing.T) {
			m := model(t, p)
			section := p.DemoldSection
			if section == 0 {
				section = 1000 * defaultSheet
			}
			res := estimated(t, m, Setup{Thickest: section, Room: *p.PotLifeTemp})
			if off := res.PotLife.Mid/p.PotLife - 1; math.Abs(off) > 0.03 {
				t.Errorf("pot life %.4g s, bulletin %v s", res.PotLife.Mid, p.PotLife)
			}
			if off := res.Demold.Mid/p.Demold - 1; math.Abs(off) > 0.15 {
				t.Errorf("demold %.5g s, bulletin %v s", res.Demold.Mid, p.Demold)
			}
			if res.Demold.Low >= p.Demold || res.Demold.High <= p.Demold {
				t.Errorf("demold %v does not hold the bulletin's %v s", res.Demold, p.Demold)
			}
		})
	}
}

// TestRangesAreOrdered for every material, each fact a member reads.
func TestRangesAreOrdered(t *testing.T) {
	for _, p := range demoProfiles() {
		t.Run(p.Name, func(t *testing.T) {
			res := estimated(t, model(t, p), Setup{Thickest: 14, Thinnest: 5, Room: 21, Humidity: 0.5, Lift: true})
			for name, r := range map[string]quantity.Range{
				"pot life": res.PotLife, "gel": res.Gel, "gel core": res.GelCore, "gel skin": res.GelSkin, "demold": res.Demold,
				"thick": res.ThickDemold, "thin": res.ThinDemold, "edge": res.Edge, "corner": res.Corner,
				"cool": res.Cool, "full cure": res.FullCure, "peak": res.Peak, "peak at": res.PeakAt, "face peak": res.FacePeak,
			} {
				if !(0 < r.Low && r.Low <= r.Mid && r.Mid <= r.High) || math.IsInf(r.High, 0) {
					t.Errorf("%s: %v", name, r)
				}
			}
			if !(res.MaxLift > 0) || res.Lifts < 1 || res.Remind < res.Demold.Mid || len(res.Steps) < 6 {
				t.Errorf("lift %v, lifts %d, remind %v, %d steps", res.MaxLift, res.Lifts, res.Remind, len(res.Steps))
			}
			for _, s := range res.Steps {
				if s.What == "" || s.Formula == "" || s.Value == "" || s.Source == "" {
					t.Errorf("step %+v has an empty part", s)
				}
			}
		})
	}
}

// TestCommonPractice holds what casters know: rigid resins come out in under
// an hour, thin is slower than thick, thick is hotter. Common practice, no
// source.
func TestCommonPractice(t *testing.T) {
	m := model(t, rigidWhite())
	last := Result{}
	for i, mm := range []float64{3, 6, 12, 25} {
		res := estimated(t, m, Setup{Thickest: mm, Room: 22})
		if res.Demold.Mid > 3600 {
			t.Errorf("%v mm: %v s to demold", mm, res.Demold.Mid)
		}
		if i > 0 && (res.Demold.Mid >= last.Demold.Mid || res.Peak.Mid <= last.Peak.Mid) {
			t.Errorf("%v mm: %.4g s and %.4g °C after %.4g s and %.4g °C of a thinner one", mm, res.Demold.Mid, res.Peak.Mid, last.Demold.Mid, last.Peak.Mid)
		}
		last = res
	}
	thin := estimated(t, m, Setup{Thickest: 25, Thinnest: 3, Room: 22})
	if thin.Demold.Mid < 2*last.Demold.Mid || math.Abs(thin.Peak.Mid-last.Peak.Mid) > 1e-9 {
		t.Errorf("a 3 mm wall on a 25 mm part: %v s, %v °C; without it %v s, %v °C", thin.Demold.Mid, thin.Peak.Mid, last.Demold.Mid, last.Peak.Mid)
	}
}

func TestSameAnswerWhateverTheWorkers(t *testing.T) {
	r, _, _ := FromProfile(rigidSlow())
	s := Setup{Thickest: 25, Thinnest: 4, OpenTop: true, Room: 21}
	one, err := Estimate(r, s, Learned{}, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	many, err := Estimate(r, s, Learned{}, 7, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(one, many) {
		t.Error("one worker and seven give different answers")
	}
}

func TestStops(t *testing.T) {
	done := make(chan struct{})
	close(done)
	r, _, _ := FromProfile(castingEpoxy())
	if _, err := Calibrate(r, 3, done); err != ErrStopped {
		t.Errorf("Calibrate gives %v, want %v", err, ErrStopped)
	}
	m := model(t, rigidWhite())
	if _, err := m.Estimate(Setup{Thickest: 25, Room: 21}, Learned{}, 3, done); err != ErrStopped {
		t.Errorf("Estimate gives %v, want %v", err, ErrStopped)
	}
	if _, err := m.CalmCup(Cup{Room: 21}, 3, done); err != ErrStopped {
		t.Errorf("CalmCup gives %v, want %v", err, ErrStopped)
	}
}

// remarks lists the flags of a result.
func remarks(r Result) string {
	var flags []string
	for _, m := range r.Remarks {
		flags = append(flags, string(m.Flag))
	}
	return strings.Join(flags, " ")
}

func TestRemarks(t *testing.T) {
	white, slow, epoxy, amber, silicone := model(t, rigidWhite()), model(t, rigidSlow()), model(t, castingEpoxy()), model(t, flexibleAmber()), model(t, additionSilicone())
	for _, c := range []struct {
		name string
		m    *Model
		s    Setup
		want []Flag
		not  []Flag
	}{
		{"14 °C", white, Setup{Thickest: 6, Room: 14}, []Flag{TooCold, NoFull}, []Flag{Stop, Hot}},
		{"cold resin", white, Setup{Thickest: 6, Room: 21, Resin: celsiusOf(12)}, []Flag{TooCold}, []Flag{NoFull}},
		{"fast and thick", white, Setup{Thickest: 40, Room: 21}, []Flag{Stop, TooFast, CureHot, Corners}, []Flag{Hot, OverDepth}},
		{"fast and thick, open", white, Setup{Thickest: 40, Room: 21, Closed: true, OpenTop: true}, []Flag{Stop, TooFast}, nil},
		{"fast, small and closed", white, Setup{Thickest: 26, Volume: 31, Room: 21, Closed: true}, []Flag{Stop}, []Flag{TooFast, OverDepth}},
		{"epoxy beyond its depth, small and closed", epoxy, Setup{Thickest: 14, Volume: 6.2, Room: 21, Closed: true}, []Flag{OverDepth}, []Flag{TooFast}},
		{"slow and thick", slow, Setup{Thickest: 25, Room: 21}, []Flag{Hot}, []Flag{Stop}},
		{"thin and mild", slow, Setup{Thickest: 4, Room: 21}, nil, []Flag{Stop, Hot, CureHot, TooCold, Outside, Moist}},
		{"epoxy within its depth", epoxy, Setup{Thickest: 10, Room: 21}, []Flag{Hot}, []Flag{Stop, OverDepth}},
		{"epoxy beyond it", epoxy, Setup{Thickest: 25, Room: 21}, []Flag{Stop, OverDepth}, []Flag{TooFast}},
		{"epoxy within it, but warm", epoxy, Setup{Thickest: 10, Room: 30}, []Flag{Stop}, nil},
		{"thick rubber", amber, Setup{Thickest: 40, Room: 21}, []Flag{Slow}, nil},
		{"silicone", silicone, Setup{Thickest: 20, Room: 21}, []Flag{Scaled}, []Flag{Hot, Stop}},
		{"damp mold", white, Setup{Thickest: 6, Room: 21, Mold: celsiusOf(10), Humidity: 0.7}, []Flag{Moist}, nil},
		{"dry room", white, Setup{Thickest: 6, Room: 21, Humidity: 0.45}, nil, []Flag{Moist}},
		{"oven", slow, Setup{Thickest: 6, Room: 50, Fan: true}, []Flag{WarmRoom, Outside}, nil},
		{"post cure", white, Setup{Thickest: 6, Room: 21, Post: &Post{4 * 3600, 65}}, []Flag{PostCure}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			res := estimated(t, c.m, c.s)
			for _, f := range c.want {
				if !res.Has(f) {
					t.Errorf("no remark %q among %q", f, remarks(res))
				}
			}
			for _, f := range c.not {
				if res.Has(f) {
					t.Errorf("remark %q among %q", f, remarks(res))
				}
			}
			for _, m := range res.Remarks {
				if !strings.HasSuffix(m.Text, ".") || strings.Contains(m.Text, "%!") || strings.Contains(m.Text, "NaN") {
					t.Errorf("%s: %q", m.Flag, m.Text)
				}
			}
		})
	}
}

// TestClosedMoldsTakeNoLifts: what is said of a small closed mold never speaks
// of layers, and the figures stay those of the open pour.
func TestClosedMoldsTakeNoLifts(t *testing.T) {
	for _, c := range []struct {
		name   string
		m      *Model
		s      Setup
		oneGo  bool
		layers bool // what is said speaks of them
	}{
		{"a pawn", model(t, rigidWhite()), Setup{Thickest: 14, Volume: 6.2, Room: 21, Closed: true}, true, false},
		{"a thick knob", model(t, rigidWhite()), Setup{Thickest: 26, Volume: 31, Room: 21, Closed: true}, true, false},
		{"a thin panel", model(t, castingEpoxy()), Setup{Thickest: 18, Volume: 400, Room: 21, Closed: true}, true, false},
		{"a block", model(t, castingEpoxy()), Setup{Thickest: 60, Volume: 900, Room: 21, Closed: true}, false, true},
		{"a pawn poured open", model(t, rigidWhite()), Setup{Thickest: 14, Volume: 6.2, Room: 21, Closed: true, OpenTop: true}, false, true},
		{"a section alone", model(t, rigidWhite()), Setup{Thickest: 14, Room: 21}, false, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.s.Lift = true
			res := estimated(t, c.m, c.s)
			open := c.s
			open.Closed = false
			if was := estimated(t, c.m, open); was.MaxLift != res.MaxLift || was.Lifts != res.Lifts {
				t.Errorf("%v mm, %d lifts; without a mold %v mm, %d", res.MaxLift, res.Lifts, was.MaxLift, was.Lifts)
			}
			text := ""
			for _, r := range res.Remarks {
				text += r.Text + " "
			}
			layers := strings.Contains(strings.ToLower(text), "layers") || strings.Contains(text, "lifts, ")
			if res.OneGo != c.oneGo || layers != c.layers {
				t.Errorf("one go %v, layers %v: %s", res.OneGo, layers, text)
			}
		})
	}
}

// TestTooColdSaysWhatToWarm: the remark names the temperature, the range and
// the way out.
func TestTooColdSaysWhatToWarm(t *testing.T) {
	res := estimated(t, model(t, rigidWhite()), Setup{Thickest: 6, Room: 14})
	for _, m := range res.Remarks {
		if m.Flag != TooCold {
			continue
		}
		for _, words := range []string{"Too cold for this material", "14 °C", "18 °C", "Warm the room"} {
			if !strings.Contains(m.Text, words) {
				t.Errorf("%q does not say %q", m.Text, words)
			}
		}
	}
}

// What is too cold already is not told to start colder, hot as it may run.
func TestTooColdIsNotCooled(t *testing.T) {
	for _, room := range []float64{14, 19} { // below the range, and within it
		res, said := estimated(t, model(t, rigidWhite()), Setup{Thickest: 30, Room: room}), ""
		for _, m := range res.Remarks {
			if m.Flag == Hot || m.Flag == Stop {
				said = m.Text
			}
		}
		if cooler := strings.Contains(said, "cooler"); said == "" || cooler != (room > 18) {
			t.Errorf("at %v °C: %q", room, said)
		}
	}
}

func TestMisfit(t *testing.T) {
	p := rigidWhite()
	p.PotLife, p.Demold, p.DemoldSection = 20*60, 21*60, 2
	m := model(t, p)
	res := estimated(t, m, Setup{Thickest: 2, Room: 23})
	if !m.Misfit || !res.Has(Misfit) {
		t.Errorf("a 2 mm sheet ready a minute after the pot life passes: %q", remarks(res))
	}
	if res.Demold.Mid <= p.Demold {
		t.Errorf("demold %v s, want later than the bulletin's %v s", res.Demold.Mid, p.Demold)
	}
}

func TestScaledNeverEarlier(t *testing.T) {
	p := additionSilicone()
	p.DemoldSection = 10
	m := model(t, p)
	if !m.Scaled || m.mid.scale <= 1 {
		t.Fatalf("scale %v", m.mid.scale)
	}
	v := m.mid
	w := &bench{r: m.Resin}
	b := sheet(m.Resin.Sheet, v.part, v.heat, v.conv, v.wall, v.law.Tb)
	w.s.start(&b, v.law, m.Resin.cells(&b), defaultTol)
	w.s.run(goal{least: 0.999}, nil)
	got := v.scale * max(crossing(w.s.steps, pickCore, v.ready), crossing(w.s.steps, pickSkin, v.law.G(v.ready)))
	if math.Abs(got/p.Demold-1) > 1e-3 {
		t.Errorf("the bulletin's sheet answers %v s, want the bulletin's %v", got, p.Demold)
	}
}

func TestSlowRubberKeepsTheBulletin(t *testing.T) {
	m := model(t, flexibleAmber())
	s := Setup{Thickest: 40, Room: 21}
	res := estimated(t, m, s)
	if res.Title != quantity.Exactly(16*3600) || res.Demold.Mid >= 8*3600 || res.Remind < 16*3600 {
		t.Errorf("title %v, demold %v, remind %v", res.Title, res.Demold, res.Remind)
	}
	logs := repeat(3, Log{Pred: res.Physics, ReadyBy: res.Physics})
	taught, err := m.Estimate(s, Learn(logs), 2, nil)
	if err != nil {
		t.Fatal(err)
	}
	if taught.Title != taught.Demold || taught.Has(Slow) || taught.OwnLogs != 3 {
		t.Errorf("after three logs: title %v, demold %v, %d logs", taught.Title, taught.Demold, taught.OwnLogs)
	}
}

// TestLearnedScalesDemoldOnly: neither peaks nor warnings nor the pot life.
func TestLearnedScalesDemoldOnly(t *testing.T) {
	m := model(t, rigidSlow())
	s := Setup{Thickest: 25, Room: 21}
	plain := estimated(t, m, s)
	l := Learn(repeat(8, Log{Pred: plain.Physics, SoftAt: 1.2 * plain.Physics, ReadyBy: 1.5 * plain.Physics}))
	res, err := m.Estimate(s, l, 2, nil)
	if err != nil {
		t.Fatal(err)
	}
	if f := res.Demold.Mid / plain.Demold.Mid; f < 1.15 || f > 1.5 {
		t.Errorf("eight pours at 1.2 to 1.5 times: × %v", f)
	}
	if res.Physics != plain.Physics || res.Peak != plain.Peak || res.PotLife != plain.PotLife || res.Cool != plain.Cool || remarks(res) == "" {
		t.Error("more than the demold time moved")
	}
	if before, after := plain.Demold.High/plain.Demold.Low, res.Demold.High/res.Demold.Low; after >= before {
		t.Errorf("the band went from %v to %v", before, after)
	}
}

func TestOpenTopIsWider(t *testing.T) {
	m := model(t, rigidSlow())
	closed := estimated(t, m, Setup{Thickest: 10, Room: 21})
	open := estimated(t, m, Setup{Thickest: 10, Room: 21, OpenTop: true})
	if open.Demold.Low > closed.Demold.Low || open.Demold.High < closed.Demold.High || open.Peak.High < closed.Peak.High {
		t.Errorf("open %v and %v, closed %v and %v", open.Demold, open.Peak, closed.Demold, closed.Peak)
	}
}

func TestWarmMoldHelpsThinParts(t *testing.T) {
	m := model(t, rigidSlow())
	cool := estimated(t, m, Setup{Thickest: 3, Room: 21})
	warm := estimated(t, m, Setup{Thickest: 3, Room: 21, Mold: celsiusOf(40)})
	if warm.Demold.Mid > 0.8*cool.Demold.Mid {
		t.Errorf("a mold at 40 °C: %v s, at 21 °C: %v s", warm.Demold.Mid, cool.Demold.Mid)
	}
}

// TestSkirtsDoNotHideACore: an area that thin skirts set must not cool a core
// below what it reaches as a rod.
func TestSkirtsDoNotHideACore(t *testing.T) {
	m := model(t, rigidSlow())
	skirts := estimated(t, m, Setup{Thickest: 40, Volume: 100, Area: 30000, Room: 21})
	rod := estimated(t, m, Setup{Thickest: 40, Volume: 100, Area: 10000, Room: 21})
	if skirts.Peak.Mid < rod.Peak.Mid-0.5 {
		t.Errorf("with skirts %v °C, as a rod %v °C", skirts.Peak.Mid, rod.Peak.Mid)
	}
}

func TestFullCure(t *testing.T) {
	m := model(t, rigidWhite())
	at := func(s Setup) quantity.Range { return estimated(t, m, s).FullCure }
	room := at(Setup{Thickest: 6, Room: 23})
	if math.Abs(room.Mid/(24*3600)-1) > 0.02 {
		t.Errorf("at the bulletin's temperature %v s", room)
	}
	if cold := at(Setup{Thickest: 6, Room: 18}); cold.Mid <= room.Mid {
		t.Errorf("18 °C %v, 23 °C %v", cold, room)
	}
	if post := at(Setup{Thickest: 6, Room: 23, Post: &Post{4 * 3600, 65}}); post.Mid > 0.4*room.Mid {
		t.Errorf("4 h at 65 °C leave %v of %v", post, room)
	}
	if half := at(Setup{Thickest: 6, Room: 23, Post: &Post{1800, 40}}); half.Mid >= room.Mid || half.Mid < 0.5*room.Mid {
		t.Errorf("half an hour at 40 °C leaves %v of %v", half, room)
	}
	if none := at(Setup{Thickest: 6, Room: 12}); none != (quantity.Range{}) {
		t.Errorf("at 12 °C %v is told", none)
	}
	p := rigidWhite()
	p.FullCure = 0
	if res := estimated(t, model(t, p), Setup{Thickest: 6, Room: 23}); res.FullCure != (quantity.Range{}) {
		t.Errorf("without the bulletin's figure %v is told", res.FullCure)
	}
}

// TestPolyester has the bulletin's own times and the model's peak.
func TestPolyester(t *testing.T) {
	p := material.Profile{Name: "clear polyester", Family: material.Polyester, Ratio: quantity.Ratio{A: 100, B: 2, By: quantity.ByWeight},
		DensityMixed: 1.12, PotLife: 780, PotLifeMass: 100, PotLifeTemp: celsiusOf(23), Demold: 4 * 3600, DemoldSection: 10}
	res := estimated(t, model(t, p), Setup{Thickest: 20, Room: 23})
	if res.PotLife != quantity.Exactly(780) || res.Demold != quantity.Exactly(4*3600) || res.PeakAt != (quantity.Range{}) || !res.Has(NoModel) {
		t.Errorf("pot life %v, demold %v, peak at %v, %q", res.PotLife, res.Demold, res.PeakAt, remarks(res))
	}
	if res.Peak.High < 120 {
		t.Errorf("20 mm of polyester peak at %v", res.Peak)
	}
}

// TestWhatIsMissingWidens the range.
func TestWhatIsMissingWidens(t *testing.T) {
	width := func(r quantity.Range) float64 { return math.Log(r.High / r.Low) }
	p := rigidSlow()
	p.DemoldSection = 3 // what is taken where nothing is said
	full := estimated(t, model(t, p), Setup{Thickest: 3, Room: 21})
	p.DemoldSection, p.PotLifeMass, p.PotLifeTemp = 0, 0, nil
	gaps := estimated(t, model(t, p), Setup{Thickest: 3, Room: 21})
	if width(gaps.PotLife) < 1.3*width(full.PotLife) || width(gaps.Demold) <= width(full.Demold) {
		t.Errorf("pot life %.3f after %.3f, demold %.3f after %.3f", width(gaps.PotLife), width(full.PotLife), width(gaps.Demold), width(full.Demold))
	}
	p = rigidSlow()
	p.Demold = 0
	if res := estimated(t, model(t, p), Setup{Thickest: 3, Room: 21}); !res.Has(NoDemold) || width(res.Demold) < 0.3 {
		t.Errorf("without a demold time: %q, %v", remarks(res), res.Demold)
	}
}

func TestCup(t *testing.T) {
	m := model(t, castingEpoxy())
	small, err := m.Cup(Cup{Mass: 50, Room: 22}, 2, nil)
	if err != nil {
		t.Fatal(err)
	}
	large, err := m.Cup(Cup{Mass: 1000, Room: 22}, 2, nil)
	if err != nil {
		t.Fatal(err)
	}
	if large.PotLife.Mid >= small.PotLife.Mid || large.Peak.Mid <= small.Peak.Mid {
		t.Errorf("1 kg: %v, %v; 50 g: %v, %v", large.PotLife, large.Peak, small.PotLife, small.Peak)
	}
	calm, err := m.CalmCup(Cup{Room: 22}, 2, nil)
	if err != nil {
		t.Fatal(err)
	}
	at, err := m.Cup(Cup{Mass: max(calm, 1), Room: 22}, 2, nil)
	if err != nil {
		t.Fatal(err)
	}
	if calm > 50 || at.Peak.High > 115 {
		t.Errorf("a calm cup of epoxy holds %v g and peaks at %v", calm, at.Peak)
	}
	if _, err := m.Cup(Cup{Mass: 0, Room: 22}, 2, nil); !fault.Is(err, fault.MissingOption) {
		t.Errorf("an empty cup gives %v", err)
	}
	soft, err := model(t, additionSilicone()).CalmCup(Cup{Room: 22}, 2, nil)
	if err != nil || soft < 15000 {
		t.Errorf("a calm cup of silicone holds %v g (%v)", soft, err)
	}
}

// The quick answer for a cup is that of the whole estimate.
func TestCupAgreesWithEstimate(t *testing.T) {
	for _, p := range demoProfiles() {
		m := model(t, p)
		for _, mass := range []float64{20, 150, 900} {
			c := Cup{Mass: mass, Room: 22}
			quick, err := m.Cup(c, 2, nil)
			if err != nil {
				t.Fatal(err)
			}
			whole := estimated(t, m, c.setup())
			if quick.PotLife != whole.PotLife {
				t.Errorf("%g g of %s: pot life %v, by the estimate %v", mass, p.Name, quick.PotLife, whole.PotLife)
			}
			if d := math.Abs(quick.Peak.High - whole.Peak.High); d > 0.5 {
				t.Errorf("%g g of %s: peak %v, by the estimate %v", mass, p.Name, quick.Peak, whole.Peak)
			}
		}
	}
}

func TestLift(t *testing.T) {
	m := model(t, flexibleAmber())
	res := estimated(t, m, Setup{Thickest: 60, Room: 21})
	if res.LiftFrom != LiftModel || res.Lifts != int(math.Ceil(60/res.MaxLift)) {
		t.Fatalf("%v mm by %q, %d lifts", res.MaxLift, res.LiftFrom, res.Lifts)
	}
	if !(res.LiftEven > res.MaxLift) {
		t.Errorf("half of the draws pass 100 °C at %v mm, a tenth at %v mm", res.LiftEven, res.MaxLift)
	}
	// As deep as that, on a bench and open, it must indeed stay near 100 °C.
	p := place{r: res.MaxLift / 1000, s: 1, raw: 1, conv: 1, air: 294.15, part0: 294.15, wall0: 294.15, cup: 0.1}
	e := estimate{m: m, p: p, workers: 2}
	if !e.simulate() {
		t.Fatal("stopped")
	}
	if peak := band(&e.walled, func(o *outcome) float64 { return o.peak }).High - zeroC; peak > 100.5 || peak < 90 {
		t.Errorf("a lift of %v mm peaks at %v °C, want just below 100", res.MaxLift, peak)
	}
}

func TestRoundOut(t *testing.T) {
	const m, h = 60, 3600
	for _, c := range []struct{ low, high, wantLow, wantHigh float64 }{
		{146, 217, 2 * m, 4 * m},
		{45, 70, 40, 2 * m},
		{29*m + 1, 31 * m, 29 * m, 35 * m},
		{3*h - 1, 3*h + 1, 2*h + 55*m, 3*h + 30*m},
		{120, 120, 120, 120},
	} {
		got := RoundOut(quantity.Range{Low: c.low, Mid: c.low, High: c.high})
		if got.Low != c.wantLow || got.High != c.wantHigh || got.Mid < got.Low || got.Mid > got.High {
			t.Errorf("%v to %v s: %v, want %v to %v", c.low, c.high, got, c.wantLow, c.wantHigh)
		}
	}
}

func TestCurves(t *testing.T) {
	for _, p := range demoProfiles() {
		t.Run(p.Name, func(t *testing.T) {
			res := estimated(t, model(t, p), Setup{Thickest: 12, Thinnest: 5, Room: 21})
			c := res.Curves
			if len(c.Time) != curvePoints || len(c.ConvCore) != curvePoints || len(c.TempSkin) != curvePoints || c.Time[0] != 0 {
				t.Fatalf("%d times, %d and %d values", len(c.Time), len(c.ConvCore), len(c.TempSkin))
			}
			top := 0.0
			for i := range c.Time {
				for _, r := range []quantity.Range{c.ConvCore[i], c.ConvSkin[i], c.TempCore[i], c.TempSkin[i]} {
					if !(r.Low <= r.Mid && r.Mid <= r.High) {
						t.Fatalf("at %v s: %v", c.Time[i], r)
					}
				}
				if r := c.ConvSkin[i]; r.Low < 0 || r.High > 1 {
					t.Fatalf("at %v s the skin's conversion is %v", c.Time[i], r)
				}
				if i > 0 && (c.Time[i] <= c.Time[i-1] || c.ConvCore[i].Mid < c.ConvCore[i-1].Mid-2e-3) {
					t.Fatalf("at %v s conversion %v after %v", c.Time[i], c.ConvCore[i].Mid, c.ConvCore[i-1].Mid)
				}
				top = max(top, c.TempCore[i].High)
			}
			if last := c.ConvSkin[curvePoints-1].Mid; last < 0.85 {
				t.Errorf("the picture ends at a conversion of %v", last)
			}
			if top > res.Peak.High+8 {
				t.Errorf("the curve reaches %v °C, the peak is %v", top, res.Peak)
			}
		})
	}
}
