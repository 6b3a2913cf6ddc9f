package commands

import (
	"context"
	"fmt"
	"math"
	"time"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/stock"
	"github.com/pourwright/pourwright/internal/working"
)

// What is uncertain of the air: a room thermometer and a hygrometer, in °C and
// as a fraction; from memory.
const (
	airTempOff     = 1.0
	airHumidityOff = 0.05
)

// The time constant of a gallon jug that warms in still air, in s: common
// practice, no source. A smaller one is quicker.
const (
	tauLow  = 1.5 * 3600
	tauHigh = 4 * 3600
)

// trialCup is g of a trial: common practice, no source.
const trialCup = 50.0

// warmStore is °C from which a shelf time is warned of.
const warmStore = 26.0

// air is the room about a jug.
type air struct{ jug, room, humidity float64 }

func airOf(c *chat.Call) air {
	a := air{room: c.Value("temp", c.By.Shop.Set.Temp), humidity: c.Value("humidity", c.By.Shop.Set.Humidity)}
	if a.humidity <= 0 {
		a.humidity = 0.5
	}
	a.jug = c.Value("jug_temp", a.room)
	return a
}

// margin is how far the jug is above the dew point, in K.
func (a air) margin() quantity.Range {
	low := a.jug - cure.DewPoint(a.room+airTempOff, math.Min(a.humidity+airHumidityOff, 1))
	high := a.jug - cure.DewPoint(a.room-airTempOff, math.Max(a.humidity-airHumidityOff, 0.01))
	return quantity.Range{Low: low, Mid: a.jug - cure.DewPoint(a.room, a.humidity), High: high}
}

// warms is how long the jug needs to be DewMargin above the dew point, in s;
// zero where it is. ok is false where the room itself is not.
func (a air) warms() (r quantity.Range, ok bool) {
	want := cure.DewPoint(a.room, a.humidity) + cure.DewMargin
	if a.jug >= want {
		return r, true
	}
	if a.room <= want {
		return r, false
	}
	share := math.Log((a.room - a.jug) / (a.room - want))
	return quantity.Range{Low: tauLow * share, Mid: math.Sqrt(tauLow*tauHigh) * share, High: tauHigh * share}, true
}

// check says whether a jug is still good and fit to be opened here.
func (s stockCommand) check(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	shelf, one, err := s.which(ctx, c, anyContainer)
	if err != nil {
		return nil, err
	}
	m, known := shelf.Profile(one)
	a := airOf(c)
	r := &chat.Reply{Title: checkTitle(c, shelf, one, a), Facts: append(shelfFacts(c, shelf, one), dewFacts(c, a)...)}
	r.Facts = append(r.Facts, leftFact(c, one))
	r.Steps = checkSteps(c, shelf, one, m, a)
	r.Notes = append(r.Notes, agesNotes(c, shelf, one, m, known, a)...)
	if !c.Has("temp") || !c.Has("humidity") {
		r.Notes = append(r.Notes, fmt.Sprintf("In the shop's air, %s and %s humidity%s; jug_temp:, temp: and humidity: say otherwise.",
			quantity.Text(a.room, quantity.Temp, c.By.System()), quantity.Percent(a.humidity), map[bool]string{true: ", with a jug as warm as the room"}[!c.Has("jug_temp")]))
	}
	r.Notes = append(r.Notes, lowNotes(c, shelf, one.ID)...)
	r.Working = checkWorking(shelf, one, m, a)
	if others := s.others(c, shelf, one, m); len(others) > 0 {
		r.Facts = append(r.Facts, others...)
	}
	r.Cautions = chat.Cautions(caution.For(caution.Situation{Step: caution.Storing, Family: m.Family, Text: m.Notes,
		OldJug: one.OpenedOn.IsZero() && one.Bought.IsZero() && one.UseBy.IsZero()}))
	if one.OpenedOn.IsZero() {
		r.Actions = append(r.Actions, chat.Action{Label: "I opened it today", Line: stockLine("open", one, nil)})
	}
	r.Actions = append(r.Actions, chat.Action{Label: "All about it", Line: stockLine("show", one, nil)})
	return r, nil
}

func checkTitle(c *chat.Call, shelf library.Stock, one shop.Container, a air) string {
	k := shelf.Keeps(one)
	text := "nobody said until when it is good"
	switch {
	case shelf.Past(one):
		text = "past its date since " + dayText(k.Last) + ": a trial cup first"
	case k.Guessed:
		text = fmt.Sprintf("good until %s to %s, as is usual", dayText(k.Early), dayText(k.Late))
	case !k.Last.IsZero():
		text = "good until " + dayText(k.Last)
	}
	if margin := a.margin(); margin.Mid < cure.DewMargin {
		text += ", but too cold to open here: water would settle in it"
	}
	return jugName(one) + ": " + text
}

func dewFacts(c *chat.Call, a air) []chat.Fact {
	sys, margin := c.By.System(), a.margin()
	text := fmt.Sprintf("%s above the dew point, %s", quantity.TextSpan(margin.Mid, sys), quantity.Text(cure.DewPoint(a.room, a.humidity), quantity.Temp, sys))
	if margin.Mid < 0 {
		text = fmt.Sprintf("%s below the dew point, %s", quantity.TextSpan(-margin.Mid, sys), quantity.Text(cure.DewPoint(a.room, a.humidity), quantity.Temp, sys))
	}
	facts := []chat.Fact{{Key: "dew_margin", Label: "Jug", Value: margin.Mid, Unit: "degC", Low: &margin.Low, High: &margin.High, Text: text}}
	if warm, ok := a.warms(); ok && warm.High > 0 {
		facts = append(facts, chat.Num("warm_time", "Warm it closed for", warm.Mid, quantity.Time, sys).Between(warm.Low, warm.High).Says(timeSpan(warm, sys)))
	}
	return facts
}

// checkSteps are what to look for, in the order of the hands.
func checkSteps(c *chat.Call, shelf library.Stock, one shop.Container, m shop.Material, a air) []string {
	var steps []string
	if m.Family.Isocyanate() || m.Family == "" {
		steps = append(steps, "Look at the jug from outside first. If it bulges, don't open or move it: keep people away and follow the SDS.")
	}
	if warm, ok := a.warms(); !ok {
		steps = append(steps, "This air is too damp to open it in: dry or warm the room first.")
	} else if warm.High > 0 {
		steps = append(steps, fmt.Sprintf("Let it warm closed, %s for a gallon, less for a small jug, and wipe it dry before you open it.", timeSpan(warm, c.By.System())))
	}
	steps = append(steps, lookFor(m, one))
	if text := trialText(c, m); text != "" {
		steps = append(steps, text)
	}
	return append(steps, "Close it again at once, tight and dry, with its own cap; dry gas over it if you have some.")
}

// lookFor is how what is past its best looks: common practice, no source.
func lookFor(m shop.Material, one shop.Container) string {
	switch {
	case m.Family.Isocyanate():
		return "Look in: lumps, a skin or haze in the isocyanate side come from damp, and that jug is done. Crystals may come from frost: warm it as the bulletin says. Pigment that settled is stirred up."
	case m.Family.Silicone():
		return "Look in: a base that pulls strings, or lumps and a skin in the catalyst, are signs of age. Stir up what settled."
	case m.Family == "epoxy":
		return "Look in: crystals in the resin come from cold, and go when it is warmed as the bulletin says. A hardener that went dark still cures, and yellows what it is in."
	}
	return "Look in: lumps, a skin, crystals or haze that were not there before are signs of damp or age."
}

// trialText is the trial cup in grams.
func trialText(c *chat.Call, m shop.Material) string {
	b, err := mix.New(mix.Want{Profile: m.Profile, Mass: trialCup, Step: c.By.Shop.Set.ScaleStep})
	if err != nil || b.NoWeights != "" {
		return "Mix a trial cup of about 50 g and let it set: soft, foamed or streaky means no."
	}
	step, sys := c.By.Shop.Set.ScaleStep, c.By.System()
	text := fmt.Sprintf("Mix a trial cup of %s, %s A and %s B, and let it set", quantity.Text(trialCup, quantity.Mass, sys), quantity.TextStep(b.MassA, step, sys), quantity.TextStep(b.MassB, step, sys))
	if m.Demold > 0 {
		text += ", " + quantity.Text(m.Demold, quantity.Time, sys) + " or longer"
	}
	return text + ": soft, foamed or streaky means no."
}

// agesNotes are what makes a date doubtful.
func agesNotes(c *chat.Call, shelf library.Stock, one shop.Container, m shop.Material, known bool, a air) (notes []string) {
	k, sys := shelf.Keeps(one), c.By.System()
	switch {
	case k.Last.IsZero() && one.OpenedOn.IsZero():
		notes = append(notes, "No day is kept until which it is good sealed: its label says one. /stock add takes it as use_by.")
	case k.Last.IsZero() || k.Guessed:
		notes = append(notes, fmt.Sprintf(`Its profile does not say how long it lasts once opened: add it from the bulletin with /material edit material:%q shelf_opened:"4 months".`, one.Material))
	}
	if !known {
		notes = append(notes, "The profile of its material is gone, or not shared with you.")
	}
	if days := stock.Days(shelf.Today(), k.Last); a.room > warmStore && !k.Last.IsZero() && days > 0 {
		notes = append(notes, fmt.Sprintf("Kept at %s it ages faster than at 23 °C: of %s count on about %.0f (twice as fast for ten degrees, common practice). The date on the label rules, and a cooler shelf is better.",
			quantity.Text(a.room, quantity.Temp, sys), quantity.Count(days, "day", "days"), stock.ShelfAt(float64(days), a.room, stock.ShelfTemp, stock.ShelfQ10)))
	}
	if !c.By.MayChange(one.Record) {
		notes = append(notes, fmt.Sprintf("It is %s's.", one.OwnerOf))
	}
	return append(notes, "A date is no proof: the label and the data sheet win, and a trial cup settles it.")
}

// others are the other containers of the same material, each on a line.
func (s stockCommand) others(c *chat.Call, shelf library.Stock, one shop.Container, m shop.Material) (facts []chat.Fact) {
	if c.Has("container") || m.ID == 0 {
		return nil
	}
	for _, other := range shelf.Of(m) {
		if other.ID != one.ID {
			facts = append(facts, chat.Fact{Key: "other", Label: jugName(other), Value: chat.Ref(other.ID, 0), Text: containerText(c, shelf, other)})
		}
	}
	return facts
}

func checkWorking(shelf library.Stock, one shop.Container, m shop.Material, a air) []working.Step {
	var steps []working.Step
	if k := shelf.Keeps(one); !k.Last.IsZero() {
		opened := "sealed"
		if !one.OpenedOn.IsZero() {
			opened = "opened " + one.OpenedOn.Format(time.DateOnly)
		}
		steps = working.Add(steps, "last day", "min(sealed date, opened + months), at most the month's end", "the label and the bulletin's shelf times", "%s: %s, by %s", opened, k.Last.Format(time.DateOnly), k.Why)
	}
	dew := cure.DewPoint(a.room, a.humidity)
	steps = working.Add(steps, "dew point", "Td = 243.12·g/(17.62 − g), g = ln(RH) + 17.62·T/(243.12 + T)", "Magnus form, WMO-No. 8", "%s °C and %s: %s °C", working.Num(a.room), quantity.Percent(a.humidity), working.Num(dew))
	steps = working.Add(steps, "margin", "T − Td", working.Definition, "%s − %s = %s K; a hygrometer is off by 5 %% and a thermometer by 1 K (from memory)", working.Num(a.jug), working.Num(dew), working.Num(a.jug-dew))
	if warm, ok := a.warms(); ok && warm.High > 0 {
		steps = working.Add(steps, "time to warm", "τ·ln((Ta − T0)/(Ta − Td − 3 K))", "lumped warming; τ of a gallon 1.5 to 4 h, common practice, no source", "%s to %s s", working.Num(warm.Low), working.Num(warm.High))
	}
	a1, b1 := one.Left()
	return working.Add(steps, "left", "what was in it − what was taken", working.Definition, "A %s − %s = %s g, B %s − %s = %s g; what pours took unweighed may be off by 5 %% (common practice)",
		working.Num(one.A), working.Num(one.UsedA), working.Num(a1), working.Num(one.B), working.Num(one.UsedB), working.Num(b1))
}

// list shows what there is, or where a lot went.
func (s stockCommand) list(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	shelf, err := s.shelf(ctx, c)
	if err != nil {
		return nil, err
	}
	if c.Has("lot") {
		return s.ofLot(ctx, c, shelf)
	}
	all := shelf.All
	if c.Has("material") {
		m, err := s.library.Material(ctx, c, "material", library.Take)
		if err != nil {
			return nil, err
		}
		all = shelf.Of(m)
	}
	r := &chat.Reply{}
	past, shown := 0, 0
	var ids []int64
	for _, one := range all {
		if !one.Finished.IsZero() && !c.Yes("finished", false) {
			continue
		}
		shown++
		if shelf.Past(one) && one.Finished.IsZero() {
			past++
		}
		ids = append(ids, one.ID)
		r.Facts = append(r.Facts, chat.Fact{Key: "container", Label: jugName(one), Value: chat.Ref(one.ID, 0), Text: containerText(c, shelf, one)})
		if len(r.Actions) < 5 {
			r.Actions = append(r.Actions, chat.Action{Label: jugName(one), Line: stockLine("show", one, nil)})
		}
	}
	r.Title = quantity.Count(shown, "container", "containers") + " in stock"
	switch {
	case shown == 0:
		r.Title = "Nothing in stock"
		r.Notes = append(r.Notes, "/stock add keeps a jug or a pack; pours then take from it.")
	case past > 0:
		r.Title += fmt.Sprintf(", %d past the date", past)
	}
	r.Notes = append(r.Notes, lowNotes(c, shelf, ids...)...)
	return r, nil
}

// drawsShown is how much of a log a reply tells of.
const drawsShown = 50

// ofLot tells where a lot went.
func (s stockCommand) ofLot(ctx context.Context, c *chat.Call, shelf library.Stock) (*chat.Reply, error) {
	lot := chat.Fold(c.Text("lot"))
	r := &chat.Reply{}
	found, drew := 0, 0
	for _, one := range shelf.All {
		if one.Lot == "" || chat.Fold(one.Lot) != lot {
			continue
		}
		found++
		r.Facts = append(r.Facts, chat.Fact{Key: "container", Label: jugName(one), Value: chat.Ref(one.ID, 0), Text: containerText(c, shelf, one)})
		facts, n, err := s.logFacts(ctx, c, one, true)
		if err != nil {
			return nil, err
		}
		r.Facts, drew = append(r.Facts, facts...), drew+n
	}
	if found == 0 {
		return nil, fault.New(fault.NotFound, "nothing in stock here is of lot %q", fault.Echo(c.Text("lot"))).In("lot").
			Hint("/stock list shows the lots; with finished:yes also what is used up")
	}
	r.Title = fmt.Sprintf("Lot %s: %s, drawn from by %s", c.Text("lot"), quantity.Count(found, "container", "containers"), quantity.Count(drew, "pour", "pours"))
	r.Notes = append(r.Notes, "If the lot is bad, these are the parts to look at. A cup cast of the old lot beside one of the new tells which it is.")
	return r, nil
}

// logFacts are the log of a container, newest first; of pours alone where only
// they are asked for. n counts those.
func (s stockCommand) logFacts(ctx context.Context, c *chat.Call, one shop.Container, pours bool) (facts []chat.Fact, n int, err error) {
	log, err := s.Stock.ContainerLog(ctx, c.By, one.ID, drawsShown)
	if err != nil {
		return nil, 0, fmt.Errorf("read the log of a container: %w", err)
	}
	for _, e := range log {
		text := library.When(c, e.At)
		if e.By != c.By.Member.Name && e.By != "" {
			text += ", " + e.By
		}
		if e.What == shop.StockPoured {
			n++
			if text, err = s.pourText(ctx, c, e, text); err != nil {
				return nil, 0, err
			}
		} else if pours {
			continue
		}
		facts = append(facts, chat.Fact{Key: e.What, Label: library.Capital(stockEventText(c, e)), Value: e.A + e.B, Unit: "g", Text: text})
	}
	return facts, n, nil
}

// pourText names the pour that drew, as far as the viewer sees it.
func (s stockCommand) pourText(ctx context.Context, c *chat.Call, e shop.StockEvent, text string) (string, error) {
	if e.Pour == 0 {
		return text, nil
	}
	text += ", pour " + chat.Ref(e.Pour, 0)
	p, err := s.Pours.Pour(ctx, c.By, e.Pour)
	switch {
	case fault.As(err) != nil: // another's, and not shown
		return text, nil
	case err != nil:
		return "", fmt.Errorf("fetch a pour: %w", err)
	}
	return text + ": " + library.PourName(p), nil
}

// show is all about a container.
func (s stockCommand) show(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	shelf, err := s.shelf(ctx, c)
	if err != nil {
		return nil, err
	}
	one, err := shelf.Container(c, "container", shelf.All)
	if err != nil {
		return nil, err
	}
	r := s.card(c, shelf, one)
	facts, _, err := s.logFacts(ctx, c, one, false)
	if err != nil {
		return nil, err
	}
	r.Facts = append(r.Facts, facts...)
	if len(facts) == drawsShown {
		r.Notes = append(r.Notes, fmt.Sprintf("The newest %d of its log; /me export has all of yours.", drawsShown))
	}
	return r, nil
}
