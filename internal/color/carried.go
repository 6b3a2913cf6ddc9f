package color

import "slices"

// strengthBy is the factor by which a strength may be off that its swatch does
// not settle; our own choice, no source. An opaque swatch shows K over S alone
// (Kubelka, J. Opt. Soc. Am. 38 (1948) 448), so K is as sure as the usual S of
// the base, which has no source either: in a base of another kind that counts.
const strengthBy = 2

// unsettled reports that a dose's strength in a base is no more than a guess.
func (d *Dose) unsettled(b *Base) bool {
	return d.Part > 0 && (d.Tint.weak || d.Tint.base != "" && d.Tint.base != b.Kind)
}

// carried is how far the color moves, as ΔE00, where such strengths are half or
// double; no further than a guess from the neat color is off.
func (r *Recipe) carried(from Lab) (far float64) {
	for _, by := range [2]float64{1.0 / strengthBy, strengthBy} {
		doses := slices.Clone(r.Doses)
		for i := range doses {
			if doses[i].unsettled(r.Base) {
				doses[i].Part *= by
			}
		}
		var m stack
		m.fill(r.Base, doses, r.Wall)
		far = max(far, Difference(from, m.lab()))
	}
	return min(far, floors[Masstone])
}
