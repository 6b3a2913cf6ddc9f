package diagnose

import (
	"fmt"
	"math"

	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Record is what is known of a pour. A nil pointer, and zero but for
// temperatures, is "not known".
type Record struct {
	Material material.Profile

	Thickest, Thinnest float64  // mm
	Mass               float64  // g of mix in all
	Room               *float64 // °C
	Resin, Mold        *float64 // °C, where they were not the room's
	Humidity           float64  // fraction; the shop's usual one

	Off      *float64 // excess of B, as a fraction
	OpenDays *float64 // since the jug was opened, at the pour
	OpenMost float64  // days that the bulletin gives an opened jug
	Tint     *float64 // fraction of the mix
	Coats    int
	CoatGaps []float64      // s between coats
	Recoat   quantity.Range // s, when the next one may go on

	// The mold at the pour.
	MoldFamily string // of moldcare, "condensation", "urethane"
	MoldPulls  *int
	MoldLife   float64 // pulls by which half of such molds are gone
	MoldWall   float64 // mm
	SinceCoat  *int    // pulls since the last release coat
	CoatEvery  int
	CoatAge    *float64 // s from the last release coat to the pour
	MoldDays   *float64 // since it was made

	// What was foreseen, s from the pour and °C, and what was found.
	Demold, Cool, Peak quantity.Range
	SoftAt             float64 // the last "still soft"
	OutAt              float64 // out of the mold; zero if it is not
	Failed             bool    // it never set

	System quantity.System
}

// Thresholds of what a record is said to show. Common practice unless said.
const (
	coldest     = 18.0 // °C, where the bulletin gives no least
	warmest     = 25.0 // °C, where it gives no most
	wetAir      = 0.60 // relative humidity
	dryAir      = 0.50
	ratioFine   = 0.02
	ratioOff    = 0.05
	agedDays    = 90.0 // an open urethane jug, where no bulletin says
	tintMost    = 0.02
	thickMost   = 25.0 // mm, other resins
	epoxyMost   = 10.0 // mm
	unevenRatio = 3.0
	fastPotLife = 5 * 60.0
	hotPeak     = 100.0 // °C inside, as the forecast warns from
	coolPeak    = 60.0
	bigCup      = 2.0 // times the bulletin's own mass
	smallCup    = 0.5
	releaseWait = 30 * 60.0
	releaseFull = 60 * 60.0
	tinRest     = 3.0 // days
	thinWall    = 5.0 // mm
	fullWall    = 10.0
)

// Signs are what a record shows, each with the reason in a sentence. How
// telling a figure is grows with how far it is past its bound.
func Signs(r Record) []Found {
	s := signs{Record: r}
	s.ratio()
	s.warmth()
	s.air()
	s.jug()
	s.family()
	s.section()
	s.heat()
	s.amount()
	s.times()
	s.mold()
	s.release()
	s.coats()
	return s.found
}

type signs struct {
	Record
	found []Found
}

func (s *signs) add(sign Sign, weight float64, format string, args ...any) {
	s.found = append(s.found, Found{Sign: sign, Weight: weight, Because: fmt.Sprintf(format, args...)})
}

// grown is a weight that grows from hint to strong as x goes from the bound to
// far past it.
func grown(x, bound, far float64) float64 {
	t := min(max((x-bound)/(far-bound), 0), 1)
	return hint * math.Pow(strong/hint, t)
}

func (s *signs) temp(c float64) string   { return quantity.Text(c, quantity.Temp, s.System) }
func (s *signs) length(v float64) string { return quantity.Text(v, quantity.Length, s.System) }
func (s *signs) mass(v float64) string   { return quantity.Text(v, quantity.Mass, s.System) }
func (s *signs) time(v float64) string   { return quantity.Text(v, quantity.Time, s.System) }

func (s *signs) ratio() {
	if s.Off == nil {
		return
	}
	off, side := *s.Off, "B"
	if off < 0 {
		// so much too little B is that much too much A
		off, side = 1/(1+off)-1, "A"
	}
	switch {
	case off > ratioOff:
		s.add(OffRatio, grown(off, ratioOff, 4*ratioOff)*hint, "There was %s too much %s; most systems forgive 2 %%, few 5 %%.", quantity.Percent(off), side)
	case off > ratioFine:
		s.add(OffRatio, hint, "There was %s too much %s, at the edge of what most systems forgive.", quantity.Percent(off), side)
	default:
		s.add(RatioRight, telling, "A and B were within %s of the ratio.", quantity.Percent(ratioFine))
	}
}

// warmth holds room and mold against the bulletin.
func (s *signs) warmth() {
	least, most, says := coldest, warmest, "common practice says"
	if s.Material.MinTemp != nil {
		least, says = *s.Material.MinTemp, "your bulletin says"
	}
	if s.Room != nil {
		room := *s.Room
		hot := "common practice says"
		if s.Material.MaxTemp != nil {
			most, hot = *s.Material.MaxTemp, "your bulletin says"
		}
		switch {
		case s.Resin != nil && *s.Resin < min(least, room):
			s.add(ColdRoom, grown(least-*s.Resin, 0, 6), "The parts were at %s; %s %s at least.", s.temp(*s.Resin), says, s.temp(least))
		case s.Resin != nil && *s.Resin > max(most, room):
			s.add(HotRoom, grown(*s.Resin-most, 0, 8), "The parts were at %s; %s %s at most.", s.temp(*s.Resin), hot, s.temp(most))
		case room < least:
			s.add(ColdRoom, grown(least-room, 0, 6), "The room was %s; %s %s at least.", s.temp(room), says, s.temp(least))
		case room > most:
			s.add(HotRoom, grown(room-most, 0, 8), "The room was %s; %s %s at most.", s.temp(room), hot, s.temp(most))
		default:
			s.add(RoomFine, hint, "The room was %s, which is warm enough: %s %s at least.", s.temp(room), says, s.temp(least))
		}
	}
	if s.Mold != nil {
		if *s.Mold < least {
			s.add(ColdMold, grown(least-*s.Mold, 0, 6), "The mold was at %s; %s %s at least.", s.temp(*s.Mold), says, s.temp(least))
		} else {
			s.add(MoldFine, hint, "The mold was at %s, which is warm enough.", s.temp(*s.Mold))
		}
	}
}

// air is the shop's usual humidity, which may not have been that day's: a hint.
func (s *signs) air() {
	if s.Humidity <= 0 {
		return
	}
	percent := quantity.Percent(s.Humidity)
	switch {
	case s.Humidity > wetAir:
		s.add(DampAir, hint, "The shop's usual humidity is %s, above 60 %%.", percent)
	case s.Humidity < dryAir:
		s.add(DryAir, math.Sqrt(hint), "The shop's usual humidity is %s.", percent)
	}
	if s.Mold != nil && s.Room != nil && cure.Damp(*s.Mold, *s.Room, s.Humidity) {
		s.add(MoldSweats, telling, "The mold was at %s, and at the shop's usual %s things sweat below %s.", s.temp(*s.Mold), percent, s.temp(math.Round(cure.DewPoint(*s.Room, s.Humidity))))
	}
}

func (s *signs) jug() {
	if s.OpenDays == nil {
		return
	}
	days, most, says := *s.OpenDays, s.OpenMost, "the bulletin gives an opened jug"
	if most <= 0 {
		if !s.Material.Family.Isocyanate() {
			return
		}
		most, says = agedDays, "common practice gives an open urethane jug"
	}
	switch {
	case days > most:
		s.add(OldJug, grown(days, most, 2*most)*math.Sqrt(hint), "The jug had been open for %s; %s %s.", dayText(days), says, dayText(most))
	case days > most/2:
		// neither old nor fresh
	default:
		s.add(FreshJug, telling, "The jug had been open for %s only; %s %s.", dayText(days), says, dayText(most))
	}
}

func dayText(days float64) string { return quantity.Count(int(math.Round(days)), "day", "days") }

func (s *signs) family() {
	f := s.Material.Family
	switch {
	case f == "" || f == material.Other:
		return
	case f == material.Epoxy:
		s.add(IsEpoxy, hint, "%s is an epoxy.", s.name())
	default:
		s.add(NotEpoxy, strong, "%s is no epoxy.", s.name())
	}
	switch {
	case f == material.SiliconeAddition:
		s.add(IsAddition, telling, "%s is an addition-cure silicone.", s.name())
	case f == material.SiliconeCondensation:
		s.add(IsTin, strong, "%s is a condensation-cure silicone.", s.name())
	}
	inSilicone := s.MoldFamily == "condensation" || s.MoldFamily == "addition"
	switch {
	case f.Silicone() && inSilicone:
		s.add(SilOnSil, strong, "%s is a silicone, and so is the mold.", s.name())
	case !f.Silicone():
		s.add(NotSilicone, strong, "%s is no silicone.", s.name())
	}
	switch {
	case inSilicone:
		s.add(InSilicone, strong, "The mold is of silicone.")
	case s.MoldFamily == "urethane" && f.Isocyanate():
		s.add(InUrethane, telling, "%s and the mold are both urethanes.", s.name())
	}
	if s.Material.PotLife > 0 {
		if s.Material.PotLife < fastPotLife {
			s.add(FastResin, telling, "Its pot life is %s.", s.time(s.Material.PotLife))
		} else {
			s.add(SlowResin, telling, "Its pot life is %s.", s.time(s.Material.PotLife))
		}
	}
}

func (s *signs) name() string {
	if s.Material.Name == "" {
		return "The material"
	}
	return s.Material.Name
}

func (s *signs) section() {
	if s.Thinnest > 0 && s.Material.DemoldSection > 0 {
		if s.Thinnest < s.Material.DemoldSection {
			s.add(Thin, grown(s.Material.DemoldSection/s.Thinnest, 1, 3), "The thinnest place was %s; the bulletin's demold time is for %s.", s.length(s.Thinnest), s.length(s.Material.DemoldSection))
		} else {
			s.add(NotThin, hint, "The thinnest place was %s, no thinner than the bulletin's %s.", s.length(s.Thinnest), s.length(s.Material.DemoldSection))
		}
	}
	if s.Thickest <= 0 {
		return
	}
	most, says := thickMost, "common practice says"
	if s.Material.Family == material.Epoxy {
		most = epoxyMost
	}
	if s.Material.MaxDepth > 0 {
		most, says = s.Material.MaxDepth, "the bulletin allows"
	}
	if s.Thickest > most {
		s.add(Thick, grown(s.Thickest/most, 1, 2), "The thickest place was %s; %s %s at most at once.", s.length(s.Thickest), says, s.length(most))
	} else {
		s.add(NotThick, telling, "The thickest place was %s; %s %s at most at once.", s.length(s.Thickest), says, s.length(most))
	}
	if s.Thinnest > 0 {
		if s.Thickest > unevenRatio*s.Thinnest {
			s.add(Uneven, telling, "The thickest place was %s and the thinnest %s, more than three to one.", s.length(s.Thickest), s.length(s.Thinnest))
		} else {
			s.add(Even, telling, "The thickest place was %s and the thinnest %s.", s.length(s.Thickest), s.length(s.Thinnest))
		}
	}
}

func (s *signs) heat() {
	switch {
	case s.Peak.High <= 0:
	case s.Peak.High > hotPeak:
		s.add(HotInside, telling, "The forecast had it at up to %s inside.", s.temp(math.Round(s.Peak.High)))
	case s.Peak.High < coolPeak:
		s.add(StayedCool, telling, "The forecast had it at %s inside at most.", s.temp(math.Round(s.Peak.High)))
	}
}

func (s *signs) amount() {
	if s.Mass > 0 {
		switch most, of := s.Material.MaxMass, s.Material.PotLifeMass; {
		case most > 0 && s.Mass > most:
			s.add(BigBatch, grown(s.Mass/most, 1, 2)*hint, "The mix was %s, in one cup more than the bulletin's %s.", s.mass(s.Mass), s.mass(most))
		case of > 0 && s.Mass > bigCup*of:
			s.add(BigBatch, grown(s.Mass/of, bigCup, 4*bigCup), "The mix was %s; the bulletin's pot life is for %s.", s.mass(s.Mass), s.mass(of))
		case of > 0 && s.Mass < smallCup*of:
			s.add(SmallBatch, telling, "The mix was %s; the bulletin's pot life is for %s.", s.mass(s.Mass), s.mass(of))
		}
	}
	if s.Tint == nil {
		return
	}
	most, says := tintMost, "common practice says"
	if s.Material.MaxTint > 0 {
		most, says = s.Material.MaxTint, "the bulletin allows"
	}
	switch {
	case *s.Tint > most:
		s.add(MuchTint, grown(*s.Tint/most, 1, 3)*hint, "The tint was %s of the mix; %s %s.", quantity.Percent(*s.Tint), says, quantity.Percent(most))
	case *s.Tint > 0:
		s.add(LittleTint, telling, "The tint was %s of the mix; %s %s.", quantity.Percent(*s.Tint), says, quantity.Percent(most))
	default:
		s.add(LittleTint, telling, "No tint was recorded.")
	}
}

// times holds what was found against what was foreseen.
func (s *signs) times() {
	if s.Demold.High > 0 {
		switch {
		case s.Failed || s.SoftAt > s.Demold.High:
			if s.SoftAt > s.Demold.High {
				s.add(PastTime, telling, "It was still soft after %s; nine in ten are ready by %s.", s.time(s.SoftAt), s.time(s.Demold.High))
			} else {
				s.add(PastTime, hint, "It was given up as never set.")
			}
		case s.SoftAt > 0 && s.SoftAt < s.Demold.Mid:
			s.add(TooEarly, strong, "It was found soft after %s; half are ready only after %s.", s.time(s.SoftAt), s.time(s.Demold.Mid))
		}
		switch {
		case s.OutAt <= 0:
		case s.OutAt < s.Demold.Low:
			s.add(OutEarly, strong, "It was out after %s; one in ten is ready by %s.", s.time(s.OutAt), s.time(s.Demold.Low))
		case s.OutAt > s.Demold.High:
			s.add(OutInTime, telling, "It was out after %s; nine in ten are ready by %s.", s.time(s.OutAt), s.time(s.Demold.High))
		}
	}
	if s.OutAt > 0 && s.Cool.High > 0 && s.Peak.High > cure.CoolFace {
		switch {
		case s.OutAt < s.Cool.Low:
			s.add(OutHot, telling, "It was out after %s, and hardly cool before %s.", s.time(s.OutAt), s.time(s.Cool.Low))
		case s.OutAt > s.Cool.High:
			s.add(OutCool, telling, "It was out after %s, and cool by %s.", s.time(s.OutAt), s.time(s.Cool.High))
		}
	}
}

func (s *signs) mold() {
	if s.MoldDays != nil && s.MoldFamily != "" {
		if s.MoldFamily == "condensation" && *s.MoldDays < tinRest {
			s.add(YoungTin, strong, "The mold is of condensation-cure rubber and was made %s before the pour; such a one rests 3 days.", dayText(*s.MoldDays))
		} else {
			s.add(RestedMold, telling, "The mold was made %s before the pour.", dayText(*s.MoldDays))
		}
	} else if s.MoldFamily != "" && s.MoldFamily != "condensation" {
		s.add(RestedMold, telling, "The mold is not of condensation-cure rubber.")
	}
	if s.MoldPulls != nil && s.MoldLife > 0 {
		n := float64(*s.MoldPulls)
		switch {
		case n > s.MoldLife:
			s.add(WornMold, grown(n/s.MoldLife, 1, 1.5)*math.Sqrt(hint), "The mold had had %s; half of such molds are gone by %.0f.", pullText(*s.MoldPulls), s.MoldLife)
		case n < s.MoldLife/2:
			s.add(YoungMold, telling, "The mold had had %s; half of such molds last %.0f.", pullText(*s.MoldPulls), s.MoldLife)
		}
	}
	switch {
	case s.MoldWall <= 0:
	case s.MoldWall < thinWall:
		s.add(ThinWall, telling, "The mold's wall is %s.", s.length(s.MoldWall))
	case s.MoldWall >= fullWall:
		s.add(ThickWall, hint, "The mold's wall is %s.", s.length(s.MoldWall))
	}
}

func pullText(n int) string { return quantity.Count(n, "pull", "pulls") }

func (s *signs) release() {
	if s.SinceCoat != nil && s.CoatEvery > 0 {
		switch n := *s.SinceCoat; {
		case n >= s.CoatEvery:
			s.add(CoatOverdue, grown(float64(n), float64(s.CoatEvery), 3*float64(s.CoatEvery))*math.Sqrt(hint), "The mold had had %s since its last release coat; one is due every %d.", pullText(n), s.CoatEvery)
		default:
			s.add(CoatFresh, telling, "The mold had had %s since its last release coat; one is due every %d.", pullText(n), s.CoatEvery)
		}
	}
	switch {
	case s.CoatAge == nil:
	case *s.CoatAge < releaseWait:
		s.add(WetRelease, strong, "The release coat went on %s before the pour; it wants an hour.", s.time(*s.CoatAge))
	case *s.CoatAge >= releaseFull:
		s.add(DryRelease, telling, "The release coat had an hour and more to dry.")
	}
}

func (s *signs) coats() {
	if s.Coats < 2 || len(s.CoatGaps) == 0 || s.Recoat.High <= 0 {
		return
	}
	longest := 0.0
	for _, g := range s.CoatGaps {
		longest = max(longest, g)
	}
	if longest > s.Recoat.High {
		s.add(LateCoat, grown(longest/s.Recoat.High, 1, 3)*math.Sqrt(hint), "A coat went on %s after the one before; it is tacky until %s.", s.time(longest), s.time(s.Recoat.High))
	} else {
		s.add(CoatInTime, telling, "Each coat went on within %s of the one before.", s.time(longest))
	}
}
