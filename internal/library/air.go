package library

import (
	"fmt"
	"math"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/gas"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// AirHere adds to a reply what vacuum or pressure comes to at the shop's
// altitude, for the steps that are done under them, and nothing for others.
func AirHere(c *chat.Call, step caution.Step, r *chat.Reply) error {
	var err error
	switch step {
	case caution.Degassing:
		err = vacuumHere(c, r)
	case caution.Pressing:
		err = pressureHere(c, r)
	}
	if err != nil {
		return fmt.Errorf("tell the air at the shop's altitude: %w", err)
	}
	return nil
}

func vacuumHere(c *chat.Call, r *chat.Reply) error {
	sys, room := c.By.System(), c.By.Shop.Set.Temp
	t, err := gas.Degas(c.By.Shop.Set.Altitude.M, room)
	if err != nil {
		return err
	}
	r.Facts = append(r.Facts,
		kPa("vacuum_target", "Vacuum to aim for", t.Absolute, fmt.Sprintf("%s absolute, or %s", inKPa(t.Absolute), quantity.TextIn(t.Absolute, quantity.Millibar))),
		kPa("gauge_target", "A gauge shows then", t.Shows, gaugeText(t.Shows)),
		kPa("gauge_most", "The most that any gauge can show", t.Air, gaugeText(t.Air)))
	if t.Water > 0 {
		r.Facts = append(r.Facts, kPa("water_boils", "Water boils below", t.Water,
			fmt.Sprintf("%s absolute at %s", inKPa(t.Water), quantity.Text(room, quantity.Temp, sys))))
	}
	r.Notes = append(r.Notes, whereAir(c)+fmt.Sprintf(" The most any gauge can show here is %s: aim by absolute pressure.", inches(t.Air)),
		"The target is what 29 inHg leave at sea level (common practice, no source); the bulletin's comes first. Weather moves what a gauge shows by some 3 % (from memory).")
	r.Working = append(r.Working, t.Steps...)
	return nil
}

func pressureHere(c *chat.Call, r *chat.Reply) error {
	p, err := gas.Press(c.By.Shop.Set.Altitude.M)
	if err != nil {
		return err
	}
	between := func(q quantity.Range, u quantity.Unit) string {
		return fmt.Sprintf("%s to %s", quantity.TextIn(q.Low, u), quantity.TextIn(q.High, u))
	}
	r.Facts = append(r.Facts,
		kPa("absolute", "40 to 60 psi on the gauge", p.Absolute.Mid, between(rounded(p.Absolute, 1), quantity.Kilopascal)+" absolute, or "+between(rounded(p.Absolute, quantity.PSI.Base(0.1)), quantity.PSI)).
			Between(p.Absolute.Low, p.Absolute.High),
		chat.Share("bubble_size", "A bubble keeps", p.Width.Mid).Between(p.Width.Low, p.Width.High).
			Says(fmt.Sprintf("%.0f to %.0f %% of its width", 100*p.Width.Low, 100*p.Width.High)),
		kPa("air_pressure", "Air here", p.Air, inKPa(p.Air)+", or "+quantity.TextIn(round(p.Air, quantity.PSI.Base(0.1)), quantity.PSI)))
	r.Notes = append(r.Notes, whereAir(c)+" Pressure shrinks bubbles and takes none away: it has to hold until the cast has set.",
		"40 to 60 psi is common practice, no source, and no leave: the plate on the pot is the limit, whatever the bubbles do.")
	r.Working = append(r.Working, p.Steps...)
	return nil
}

// whereAir says which altitude was taken.
func whereAir(c *chat.Call) string {
	return Capital(AltitudeTaken(c.By.Shop.Set.Altitude, c.By.System())) + "."
}

// AltitudeTaken says which altitude an answer rests on, and that nobody said it
// where nobody did.
func AltitudeTaken(a shop.Altitude, s quantity.System) string {
	switch {
	case !a.Known:
		return "sea level was taken, as the shop does not say its altitude: /shop set altitude does"
	case a.M == 0:
		return "at sea level, as the shop says"
	}
	return "at the shop's altitude of " + AltitudeText(a.M, s)
}

// AltitudeText writes a height in m as maps do.
func AltitudeText(m float64, s quantity.System) string {
	unit := quantity.Meter
	if s != quantity.Metric {
		unit = quantity.Foot
	}
	return quantity.TextIn(m*meter, unit)
}

func kPa(key, label string, v float64, text string) chat.Fact {
	return chat.Num(key, label, v, quantity.Pressure, quantity.Metric).Says(text)
}

func inKPa(v float64) string { return quantity.Text(v, quantity.Pressure, quantity.Metric) }

// inches is a vacuum as gauges of workshops show it, to the tenth that can be
// read on them.
func inches(v float64) string {
	const tenth = 0.1
	return quantity.TextIn(round(v, quantity.InchOfMercury.Base(tenth)), quantity.InchOfMercury)
}

func gaugeText(v float64) string { return inches(v) + ", or −" + inKPa(v) }

func rounded(r quantity.Range, step float64) quantity.Range {
	return quantity.Range{Low: round(r.Low, step), Mid: round(r.Mid, step), High: round(r.High, step)}
}

func round(v, step float64) float64 { return math.Round(v/step) * step }
