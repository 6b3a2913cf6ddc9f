package cure

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// assumed lists what of the setup was not said and what was taken.
func (e *estimate) assumed() {
	say := func(format string, args ...any) { e.out.Assumed = append(e.out.Assumed, fmt.Sprintf(format, args...)) }
	if e.s.Mass == 0 {
		say("a cup of %s, the bulletin's, for the pot life", quantity.Text(1000*e.p.cup, quantity.Mass, e.s.System))
	}
	if e.s.InCup {
		return
	}
	if e.s.Walls == nil {
		say("a %s wall of %s", DefaultWall().Kind, e.length(DefaultWall().Thick))
	}
	if e.s.Thinnest == 0 {
		say("no section thinner than %s: thin parts take longer", e.length(e.s.Thickest))
	}
	switch {
	case e.s.Area > 0 || e.s.Length > 0:
	case e.s.Volume > 0:
		say("the least surface that %s can have: a true part is no hotter", quantity.Text(e.s.Volume, quantity.Volume, e.s.System))
	default:
		say("a wide, flat part: a compact one loses its heat sooner")
	}
	if e.s.Resin == nil {
		say("resin at the room's %s", e.temp(e.s.Room))
	}
	if e.s.Mold == nil {
		say("mold at the room's %s", e.temp(e.s.Room))
	}
}

// Sources of the steps.
const (
	sourceLaw    = "autocatalytic rate law after Kamal (from memory), Arrhenius temperature"
	sourceHeat   = "heat equation in finite volumes, RODAS3 in time (Sandu et al., Atmos. Environ. 31 (1997) 3459)"
	sourceSpread = "own judgement of the spreads; Latin hypercube with a fixed seed"
	sourceSheet  = "the material's profile"
)

var num = working.Num

// steps writes the working.
func (e *estimate) steps() {
	m, v := e.m, &e.m.mid
	r := m.Resin
	add := func(what, formula, source, format string, args ...any) {
		e.out.Steps = working.Add(e.out.Steps, what, formula, source, format, args...)
	}
	if e.p.inCup {
		add("size of the cup", "R = (m/(2πρ))^(1/3)", "a cup as high as wide", "%s mm", num(1000*cupRadius(e.p.cup, r.Rho)))
	} else {
		add("shape", "s = R·A/V, held to 1 to 3", "exact for a plate 1, a long rod 2, a ball 3; judgement between", "R = %s mm, s = %s", num(1000*e.p.r), num(e.p.s))
	}
	add("heat of cure", "ΔT = H/cp at most", "the profile, or usual for the family", "%s J/g / %s J/gK = %s", num(r.Heat/1000), num(r.Cp/1000), e.span(AdiabaticRise(r.Heat, r.Cp)))
	add("rate", "da/dt = K·exp(−E/R(1/T − 1/Tb))·(1 + b·a)·(1 − a)^n", sourceLaw,
		"E = %s kJ/mol, b = %s, n = %d", num(r.E/1000), num(v.law.B), r.Order)
	add("rate from the pot life", "mean a = 0.50 in the bulletin's cup at its pot life", sourceHeat,
		"%s in %s at %s: K = %s 1/s", e.time(r.PotLife), quantity.Text(1000*r.PotMass, quantity.Mass, e.s.System), e.temp(r.Temp-zeroC), num(v.law.K))
	if r.Demold > 0 {
		add("cured enough to demold", "least of core and skin in the bulletin's sheet", sourceHeat,
			"%s in %s of silicone-molded sheet: a = %s", e.time(r.Demold), e.length(1000*r.Sheet), num(v.ready))
	}
	if v.scale > 1 {
		add("scale on demold times", "bulletin / time to 99.5 %", sourceSheet, "%s", num(v.scale))
	}
	add("range", "p10, p50, p90 of 64 draws", sourceSpread, "demold %s, %s, %s s", num(e.out.Demold.Low), num(e.out.Demold.Mid), num(e.out.Demold.High))
	add("peak", "hottest cell of each draw", sourceHeat, "%s, %s, %s °C", num(e.out.Peak.Low), num(e.out.Peak.Mid), num(e.out.Peak.High))
	if e.out.FullCure.Mid > 0 {
		room := e.temp(e.s.Room)
		if p := e.s.Post; p != nil {
			room += fmt.Sprintf(" and, from demold on, %s at %s", e.time(p.Time), e.temp(p.Temp))
		}
		add("full cure", "t·exp(E/R(1/T − 1/Tb)), shares of it added up", "Arrhenius; the profile", "%s at %s: %s at %s", e.time(r.FullCure), e.temp(r.Temp-zeroC), e.time(e.out.FullCure.Mid), room)
	}
	if n := e.l.Logs(); n > 0 {
		add("learned factor on demold", "exp(θ), posterior of the logs", "normal prior 0.25, scatter 0.20, slips 2 %, judgement",
			"%d logs: × %s (%s to %s)", n, num(e.l.Factor(0.5)), num(e.l.Factor(0.1)), num(e.l.Factor(0.9)))
	}
	if e.s.Humidity > 0 && e.s.Humidity <= 1 {
		add("dew point", "Td = 243.12·g/(17.62 − g), g = ln(RH) + 17.62·T/(243.12 + T)", "Magnus form, WMO-No. 8", "%s", e.temp(DewPoint(e.s.Room, e.s.Humidity)))
	}
}
