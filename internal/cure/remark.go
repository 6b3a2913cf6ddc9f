package cure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Flag names a remark for machines.
type Flag string

// The remarks, most pressing first.
const (
	Stop      Flag = "stop"        // p90 peak above 120 °C
	Hot       Flag = "hot"         // p90 peak above 100 °C
	OverDepth Flag = "over_depth"  // thicker than the bulletin allows at once
	TooFast   Flag = "too_fast"    // layers would have to be too thin
	OverMass  Flag = "over_mass"   // more in the cup than the bulletin allows
	TooCold   Flag = "too_cold"    // below the bulletin's range
	TooWarm   Flag = "too_warm"    // above it
	Moist     Flag = "damp"        // near the dew point
	CureHot   Flag = "cured_hot"   // ready before it is cool
	Corners   Flag = "corners"     // corners lag
	Slow      Flag = "slow_rubber" // the bulletin's time leads
	Misfit    Flag = "misfit"      // pot life and demold time do not fit
	Scaled    Flag = "scaled"      // demold scaled from the bulletin
	NoDemold  Flag = "no_demold"   // the bulletin gives no demold time
	NoModel   Flag = "peroxide"    // times are the bulletin's
	Outside   Flag = "outside"     // beyond what was tried
	NoFull    Flag = "no_full"     // room below 15 °C: no full cure
	Never     Flag = "never"       // not within 30 days
	WarmRoom  Flag = "warm_room"   // the room itself is too warm to cool in
	PostCure  Flag = "post"        // post cure cautions
)

// Remark is a finding in a full sentence.
type Remark struct {
	Flag Flag
	Text string
}

func (e *estimate) remark(f Flag, format string, args ...any) {
	e.out.Remarks = append(e.out.Remarks, Remark{f, fmt.Sprintf(format, args...)})
}

func (e *estimate) temp(c float64) string {
	return quantity.Text(math.Round(c), quantity.Temp, e.s.System)
}

func (e *estimate) span(k float64) string { return quantity.TextSpan(math.Round(k), e.s.System) }

func (e *estimate) time(t float64) string { return quantity.Text(t, quantity.Time, e.s.System) }

func (e *estimate) length(mm float64) string {
	return quantity.Text(mm, quantity.Length, e.s.System)
}

// judge makes the remarks in the order of their weight.
func (e *estimate) judge() {
	e.judgeHeat()
	e.judgeLimits()
	e.judgeRoom()
	e.judgeDemold()
	e.judgeFit()
}

func (e *estimate) judgeHeat() {
	less := "Pour thinner layers, start with cooler resin, or use a slower grade."
	switch { // what is too cold already is not to be cooled
	case e.tooCold() && (e.tooFast() || e.out.OneGo):
		less = "Use a slower grade."
	case e.out.OneGo && !e.tooFast():
		less = "Start with cooler parts, or use a slower grade."
	case e.tooFast():
		less = "Start with much cooler parts, or use a slower grade."
	case e.tooCold():
		less = "Pour thinner layers, or use a slower grade."
	}
	peak := e.out.Peak.High
	switch {
	case peak+zeroC <= warnPeak:
		return
	case e.allowed():
		e.remark(Hot, "The bulletin allows this depth, and its word counts; the hot end of the estimate is %s inside. Pour no deeper, no warmer, and stay with it.", e.temp(peak))
		return
	case e.s.InCup:
		e.remark(hotness(peak), "A cup left standing may reach %s inside: pour it out in time, and spread what is left thin while it is cool and liquid.", e.temp(peak))
		return
	case peak+zeroC > stopPeak:
		e.remark(Stop, "Do not pour it like this: the inside may reach %s, where it cracks, scorches the mold and can smoke. %s", e.temp(peak), less)
	default:
		e.remark(Hot, "It may run hot: up to %s inside. %s", e.temp(peak), less)
	}
	e.judgeLifts()
}

func hotness(peak float64) Flag {
	if peak+zeroC > stopPeak {
		return Stop
	}
	return Hot
}

// allowedWarmer is how much warmer than the bulletin a pour may be for the
// bulletin's depth still to speak for it, in K; judgement.
const allowedWarmer = 2

// allowed reports whether the bulletin's own depth covers this pour.
func (e *estimate) allowed() bool {
	r := e.m.Resin
	return r.MaxDepth > 0 && !e.s.InCup && e.s.Thickest <= 1000*r.MaxDepth*(1+1e-9) && !e.s.Bench && !e.warmer()
}

// warmer reports a pour warmer than the bulletin's figures allow for.
func (e *estimate) warmer() bool {
	return max(e.p.air, e.p.part0, e.p.wall0) > e.m.Resin.Temp+allowedWarmer
}

// warmerThanBulletin says that a depth from the bulletin is none for this pour:
// it holds at the bulletin's temperature.
func (e *estimate) warmerThanBulletin() string {
	if e.out.LiftFrom != LiftDepth || !e.warmer() {
		return ""
	}
	return fmt.Sprintf(" That depth is the bulletin's, taken to be for %s: it is warmer here, so pour less at once.", e.temp(e.m.Resin.Temp-zeroC))
}

// fewLifts and thinLift part what layers can do from what they cannot;
// judgement.
const (
	fewLifts = 6
	thinLift = 3.0 // mm
)

// tooFast reports whether layers would have to be so thin that they are no
// way out.
func (e *estimate) tooFast() bool {
	out := &e.out
	return out.LiftFrom == LiftModel && out.Lifts > 1 && (out.Lifts > fewLifts || out.MaxLift < thinLift)
}

func (e *estimate) judgeLifts() {
	switch out := &e.out; {
	case out.Lifts <= 1, out.OneGo:
	case e.tooFast() && e.s.shut(): // nobody asks for layers there
	case e.tooFast():
		e.remark(TooFast, "Layers are slow work with it: poured open on a base that takes no heat, more than %s at once can get as hot, which makes %d lifts. On a cold lift or in a cold mold more may go: try it on scrap.", e.length(out.MaxLift), out.Lifts)
	case e.s.shut():
		e.remark(OverDepth, "Deepest single pour about %s: %d lifts, if the mold can be filled from an open top, each once the last has gelled and is below %s.%s", e.length(out.MaxLift), out.Lifts, e.temp(nextLift), e.warmerThanBulletin())
	default:
		e.remark(OverDepth, "Deepest single pour about %s: %d lifts, each once the last has gelled and is below %s.%s", e.length(out.MaxLift), out.Lifts, e.temp(nextLift), e.warmerThanBulletin())
	}
}

// nextLift is the temperature in °C below which the next lift may go on;
// judgement.
const nextLift = 40.0

func (e *estimate) judgeLimits() {
	r := e.m.Resin
	switch d := 1000 * r.MaxDepth; {
	case d == 0 || e.s.InCup || e.s.Thickest <= d*(1+1e-9) || e.out.Has(OverDepth):
	case e.out.OneGo:
		e.remark(OverDepth, "The bulletin allows %s in one pour and this is %s, in a closed mold that takes no lifts: use a material that may be poured deeper.%s", e.length(d), e.length(e.s.Thickest), e.warmerThanBulletin())
	default:
		e.remark(OverDepth, "The bulletin allows %s in one pour: this is %d lifts, each once the last has gelled and is below %s.%s", e.length(d), e.out.Lifts, e.temp(nextLift), e.warmerThanBulletin())
	}
	if r.MaxMass > 0 && e.p.cup > r.MaxMass*(1+1e-9) {
		e.remark(OverMass, "The bulletin allows %s in one cup: split the %s.",
			quantity.Text(1000*r.MaxMass, quantity.Mass, e.s.System), quantity.Text(1000*e.p.cup, quantity.Mass, e.s.System))
	}
}

func (e *estimate) judgeRoom() {
	r := e.m.Resin
	for _, t := range e.parts() {
		switch {
		case e.colder(t):
			e.remark(TooCold, "Too cold for this material: the %s is at %s and its range begins at %s. %s It may stay soft for good otherwise.",
				t.name, e.temp(t.k-zeroC), e.temp(r.MinTemp-zeroC), t.warm)
		case r.MaxTemp > 0 && t.k > r.MaxTemp+1e-6:
			e.remark(TooWarm, "Too warm for this material: the %s is at %s and its range ends at %s.", t.name, e.temp(t.k-zeroC), e.temp(r.MaxTemp-zeroC))
		}
	}
	h := e.s.Humidity
	if h <= 0 || h > 1 {
		return
	}
	dew := DewPoint(e.s.Room, h)
	for _, t := range e.parts() {
		at := t.k - zeroC
		switch {
		case !Damp(at, e.s.Room, h):
		case t.k == e.p.air && t.name == "room":
			e.remark(Moist, "The air is damp: at %s in it water settles%s, and the room is hardly warmer. Wait for drier air or warm the room, and open the jugs for no longer than it takes.",
				e.temp(dew), e.foams())
		case at < dew:
			e.remark(Moist, "The %s at %s is below the dew point, %s: water settles on it%s. Warm it first, closed or wrapped.",
				t.name, e.temp(at), e.temp(dew), e.foams())
		default:
			e.remark(Moist, "The %s at %s is within %s of the dew point, %s: water settles on it%s. Warm it first, closed or wrapped.",
				t.name, e.temp(at), e.span(DewMargin), e.temp(dew), e.foams())
		}
	}
}

// foams says what a drop of water does where there is an isocyanate.
func (e *estimate) foams() string {
	if !e.m.Resin.Family.Isocyanate() {
		return ""
	}
	const seaLevel = 101.325 // kPa
	return fmt.Sprintf(", and one drop makes about %s of gas in a urethane",
		quantity.Text(math.Round(GasFromWater(Drop, e.s.Room, seaLevel)), quantity.Volume, e.s.System))
}

// colder reports whether something is below the bulletin's range.
func (e *estimate) colder(t partTemp) bool {
	r := e.m.Resin
	return r.MinTemp > 0 && t.k < r.MinTemp-1e-6
}

// tooCold reports whether anything is.
func (e *estimate) tooCold() bool { return slices.ContainsFunc(e.parts(), e.colder) }

// partTemp is something with a temperature and how to warm it.
type partTemp struct {
	name, warm string
	k          float64
}

// parts lists room, resin and mold, leaving out what is at the room's
// temperature anyway.
func (e *estimate) parts() []partTemp {
	all := []partTemp{{"room", "Warm the room, and let resin and mold warm up in it for some hours.", e.p.air}}
	if e.p.part0 != e.p.air {
		all = append(all, partTemp{"resin", "Stand the closed jugs in a warm room until both parts are there.", e.p.part0})
	}
	if e.p.wall0 != e.p.air && !e.s.InCup {
		all = append(all, partTemp{"mold", "Warm the mold through before the pour, at low heat.", e.p.wall0})
	}
	return all
}

// cornerLag is how much slower a corner has to be to be worth a word.
const cornerLag = 1.2

func (e *estimate) judgeDemold() {
	out, r := &e.out, e.m.Resin
	if r.Family == material.Polyester {
		e.remark(NoModel, "Times of a peroxide-cured resin are the bulletin's own: this model has no waiting time before its gel. The peak temperature is the model's.")
		return
	}
	if out.Cool.High > out.Demold.Low && out.FacePeak.High+zeroC > coolFace {
		e.remark(CureHot, "Cured is not cool: before %s it may burn fingers, and it warps if it comes out hot.", e.time(RoundOut(out.Cool).High))
	}
	if out.Corner.Mid > cornerLag*out.ThickDemold.Mid && out.Corner.Mid > out.Demold.Mid && !e.s.InCup {
		e.remark(Corners, "Edges and corners lag: about %s and %s where the flat face takes %s.", e.time(about(out.Edge.Mid)), e.time(about(out.Corner.Mid)), e.time(about(out.ThickDemold.Mid)))
	}
	if e.slowRubber() {
		e.remark(Slow, "The bulletin's %s stands until %d pours here say otherwise; it may be ready earlier, test the sprue.", e.time(r.Demold), slowRubberLogs)
	}
	if out.Demold.High >= longestRun {
		e.remark(Never, "At this temperature it may not be ready within 30 days.")
	}
}

func (e *estimate) judgeFit() {
	r := e.m.Resin
	switch {
	case r.Family == material.Polyester:
	case r.Demold == 0:
		e.remark(NoDemold, "The profile has no demold time: taken as ready when %s cured. Add the bulletin's time and its section.", quantity.Percent(defaultDemold))
	case e.m.Misfit:
		e.remark(Misfit, "Pot life and demold time do not fit together: after %s its sample would hardly have gelled. Check both, and the section, in the bulletin; until then times are on the late side.", e.time(r.Demold))
	case e.m.Scaled:
		e.remark(Scaled, "Demold times are scaled from the bulletin's %s: the reaction itself is over long before.", e.time(r.Demold))
	}
	if r.FullCure > 0 && e.p.air < leastFull {
		e.remark(NoFull, "No time for full cure below %s: many systems never reach it there.", e.temp(leastFull-zeroC))
	}
	if e.p.air+3 > coolFace {
		e.remark(WarmRoom, "The room or oven itself is near %s: \"cool\" means within %s of it. Let it cool down outside of the oven.", e.temp(coolFace-zeroC), e.span(3))
	}
	if p := e.s.Post; p != nil {
		e.remark(PostCure, "A post cure is only for what the bulletin allows: not above its temperature, raised slowly, in the mold or a fixture, never in a kitchen oven.")
	}
	if len(e.p.outside) > 0 {
		e.remark(Outside, "Outside the tested range, so take it as a rough guide: %s.", strings.Join(e.p.outside, ", "))
	}
}
