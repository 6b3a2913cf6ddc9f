package color

import (
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Sources of the working.
const (
	kubelka    = "Kubelka and Munk 1931; Kubelka 1948, DOI 10.1364/JOSA.38.000448"
	saunderson = "Saunderson 1942; ISO 18314-2"
	observer   = "CIE 15, D65 and 2°; IEC 61966-2-1"
	ciede2000  = "ISO/CIE 11664-6"
)

// shown are the bands that the working writes out: blue, green and red light.
var shown = [...]struct {
	name string
	band int
}{{"450 nm", 7}, {"550 nm", 17}, {"650 nm", 27}}

// Steps shows how the color of a recipe was worked out, at three of the 36
// bands.
func (p *Prediction) Steps(r Recipe) []working.Step {
	var m stack
	m.fill(r.Base, r.Doses, r.Wall)
	at := func(s *Spectrum) string {
		var parts []string
		for _, b := range shown {
			parts = append(parts, fmt.Sprintf("%s at %s", num(s[b.band]), b.name))
		}
		return strings.Join(parts, ", ")
	}
	mix := Blend{Doses: r.Doses}
	steps := working.Add(nil, "tint load", "Σd", working.Definition, "%s: %s of the mix", mix.Text(), quantity.Percent(p.Load))
	steps = working.Add(steps, "absorption K", "K_base + Σ d·k", kubelka, "%s per mm", at(&m.k))
	steps = working.Add(steps, "scattering S", "S_base + Σ d·s", kubelka, "%s per mm", at(&m.s))
	layer := "1/(1 + K/S + √((K/S)² + 2K/S)), too thick to see through"
	if m.wall > 0 {
		layer = fmt.Sprintf("layer of %s mm over %s", num(m.wall), behindWord(r.Wall.Backing))
	}
	steps = working.Add(steps, "reflectance beside the gloss", layer+"; then (1−0.04)(1−0.60)·R/(1−0.60·R)", kubelka+"; "+saunderson, "%s", at(&p.Curve))
	steps = working.Add(steps, "color", "Σ daylight · observer · R over 36 bands", observer, "L* %.1f, a* %.1f, b* %.1f = %s", p.Lab.L, p.Lab.A, p.Lab.B, p.Code)
	return working.Add(steps, "10 % too much of every tint", "ΔE00", ciede2000, "changes the color by %.1f", p.Tenth)
}

// Steps shows what was searched and how the offered set was picked.
func (m *Match) Steps(w Want) []working.Step {
	t := w.Target.Lab()
	steps := working.Add(nil, "wanted color", "sRGB to CIELAB", observer, "%s = L* %.1f, a* %.1f, b* %.1f", w.Target.Code(), t.L, t.A, t.B)
	for i, b := range m.Ranked {
		what := "nearest set"
		if i > 0 {
			what = fmt.Sprintf("set %d", i+1)
		}
		steps = working.Add(steps, what, "least ΔE00 under the load limit", ciede2000, "%s: %s, ΔE00 %.2f", b.Text(), b.Code, b.Difference)
	}
	return working.Add(steps, "offered", "fewest tints within 0.3 of the nearest, in the same class", working.CommonPractice,
		"%s: ΔE00 %.2f, %s (match up to 2, close up to 5)", m.Best.Text(), m.Best.Difference, m.Verdict)
}

// Text is the doses in words, "brick red 0.5 %, soot black 0.02 %".
func (b *Blend) Text() string {
	if len(b.Doses) == 0 {
		return "no tint"
	}
	var parts []string
	for _, d := range b.Doses {
		parts = append(parts, tintName(d.Tint.Name)+" "+quantity.Percent(d.Part))
	}
	return strings.Join(parts, ", ")
}

// Steps shows how the doses came onto the scale.
func (w *Weighing) Steps(want WeighWant) []working.Step {
	cups := max(want.Cups, 1)
	steps := working.Add(nil, "whole mix", "resin/(1 − Σd)", working.Definition, "%s g/(1 − %s) = %s g", num(want.Resin), num(w.Load), num(w.Total))
	steps = working.Add(steps, "least that the scale is trusted with", "step/allowed error", working.CommonPractice, "%s g/%s = %s g", num(want.Step), num(want.Step/w.Least), num(w.Least))
	carried := 0.0
	for i, t := range w.Tints {
		carried += t.Carries
		steps = working.Add(steps, fmt.Sprintf("tint %d per cup", i+1), "d·total/cups", working.Definition, "%s × %s g/%d = %s g", num(t.Dose), num(w.Total), cups, num(t.PerCup))
		if t.Letdown > 1 {
			steps = working.Add(steps, fmt.Sprintf("letdown 1:%d of tint %d", t.Letdown, i+1), "parts·tint; it brings (parts − 1)·tint of the tint side", working.Definition,
				"%d × %s g = %s g, with %s g of the tint side in it", t.Letdown, num(t.PerCup), num(t.Weigh), num(t.Carries))
		}
	}
	return working.Add(steps, "tint side still to add per cup", "side/cups − what the letdowns bring", working.Definition, "%s g/%d − %s g = %s g", num(want.Side), cups, num(carried), num(w.SideLeft))
}
