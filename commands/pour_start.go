package commands

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// start begins a pour: its forecast, its clock, its call.
func (p pourCommand) start(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := p.library.Material(ctx, c, "material", library.Offer)
	if err != nil {
		return nil, err
	}
	if err := oneTarget(c); err != nil {
		return nil, err
	}
	if err := forecast.Reaches(m.Profile); err != nil {
		return nil, err
	}
	site, err := p.cures.Section(ctx, c, m)
	if err != nil {
		return nil, err
	}
	if err := inUse(c, site.Molds); err != nil {
		return nil, err
	}
	f, err := p.cures.Estimate(ctx, c, m, site.Setup)
	if err != nil {
		return nil, forecast.Blame(c, err)
	}
	pour := planned(c, m, &site, &f)
	filler, err := filled(c, m, &site, &pour)
	if err != nil {
		return nil, err
	}
	stir, err := p.tinted(ctx, c, m, &pour)
	if err != nil {
		return nil, err
	}
	if site.Notes, err = p.full(ctx, c, pour, site.Notes); err != nil {
		return nil, err
	}
	from, err := p.pourSupply(ctx, c, m, pour, filler)
	if err != nil {
		return nil, err
	}
	begun, drew, called, err := p.begin(ctx, c, pour, from)
	if err != nil {
		return nil, err
	}
	if from != nil {
		notes, err := from.notes(ctx, c, p.Stock, p.Materials, drew)
		if err != nil {
			return nil, err
		}
		site.Notes = append(site.Notes, notes...)
	}
	if !called {
		site.Notes = append(site.Notes, notCalled)
	}
	return p.begun(c, m, site, f, stir, begun), nil
}

// oneTarget wants a mold or several, or a file, or a volume or thickness or
// both. A part built in coats has a thickness of its own wherever it is built.
func oneTarget(c *chat.Call) error {
	if c.Has("mold") && c.Has("molds") {
		return fault.New(fault.TooManyOptions, "mold is one, molds are several").In("molds").Hint(`name all of them in molds:"harbor pawn, harbor pawn 2"`)
	}
	named := "mold"
	if c.Has("molds") {
		named = "molds"
	}
	stored, loose := c.Has(named), c.Has("volume") || c.Has("thickness")
	switch {
	case c.Has("coats") && c.Has("file"):
		return fault.New(fault.TooManyOptions, "a file tells the section of a solid part, not of coats").In("coats").
			Hint(`give thickness of all coats together, such as thickness:"6 mm" coats:3`)
	case c.Has("coats"):
		return nil
	case stored && (loose || c.Has("file")):
		return fault.New(fault.TooManyOptions, "a stored mold has its own volume and sections").In(named).
			Hint("keep %s, or file, or volume and thickness", named)
	case c.Has("file") && loose:
		return fault.New(fault.TooManyOptions, "a file has its own volume and sections").In("file").
			Hint("keep file, or volume and thickness")
	case !stored && !c.Has("file") && !loose:
		return fault.New(fault.MissingOption, "what was it poured into?").In("mold").
			Hint(`give mold:"harbor pawn", or thickness:"12 mm" with volume:"250 ml" if you like`)
	}
	return nil
}

// inUse refuses a mold that casts no more.
func inUse(c *chat.Call, molds []shop.Mold) error {
	option := "mold"
	if c.Has("molds") {
		option = "molds"
	}
	for _, m := range molds {
		if m.Retired == "" {
			continue
		}
		f := fault.New(fault.NotAllowed, "%s is retired: %s", m.Name, m.Retired).In(option)
		if m.Owner == c.By.Member.ID {
			return f.Hint("/mold edit mold:%q clear:retired puts it back in use; or name another mold", m.Name)
		}
		return f.Hint("ask %s, or name another mold", m.OwnerOf)
	}
	return nil
}

// planned is what is kept of a pour as it begins.
func planned(c *chat.Call, m shop.Material, site *forecast.Site, f *forecast.Forecast) shop.Pour {
	s := site.Setup
	pour := shop.Pour{MaterialID: m.ID, MaterialVersion: m.Version, PourPlan: shop.PourPlan{
		Material: m.Name, Thickest: s.Thickest, Thinnest: s.Thinnest, Room: s.Room, Resin: s.Resin, MoldTemp: s.Mold,
		Count: c.Count("count", 1), Volume: c.Value("volume", s.Volume), Coats: c.Count("coats", 0), Where: c.Text("where"),
		Foreseen: shop.Foreseen{PotLife: f.PotLife, Gel: f.Gel, Demold: f.Title, Cool: f.Cool, Peak: f.Peak, FullCure: f.FullCure, Physics: f.Physics, Remind: f.Remind},
	}}
	pour.Shared = c.Yes("share", c.Yes("show", false))
	if len(site.Molds) > 0 {
		fillMolds(c, site, &pour)
	}
	if rho, ok := m.Mixed(); ok {
		pour.Mass = pour.Volume * float64(pour.Count) * rho.Value
	}
	if site.Guessed || f.Has(cure.NoModel) || pour.Coats > 0 {
		pour.Foreseen.Physics = 0 // its answers can't be held against the model
	}
	if site.Guessed {
		pour.Thickest, pour.Foreseen.Peak = 0, quantity.Range{}
	}
	return pour
}

// fillMolds shares the parts out over the molds, each filled once. Built in
// coats, only the volume that was given counts: a hollow part does not fill its
// mold.
func fillMolds(c *chat.Call, site *forecast.Site, pour *shop.Pour) {
	room, total := 0, 0.0
	for _, m := range site.Molds {
		room += m.Cavities
	}
	left := c.Count("count", room)
	if left > room {
		fills := fillsOf((left+room-1)/room, room)
		if len(site.Molds) > 1 {
			fills = fmt.Sprintf("more than the %d cavities of these molds", room)
		}
		site.Notes = append(site.Notes, fmt.Sprintf("%d parts are %s; this clock is the first one's: start one for each.", left, fills))
		left = room
	}
	pour.Count = left
	for _, m := range site.Molds {
		fill := shop.Fill{Mold: m.ID, Name: m.Name, Volume: m.Volume, Count: min(left, m.Cavities)}
		left -= fill.Count
		if fill.Count == 0 {
			site.Notes = append(site.Notes, fmt.Sprintf("%s stays empty: the parts are fewer than the cavities before it.", library.Capital(m.Name)))
			continue
		}
		total += m.Volume * float64(fill.Count)
		pour.Fills = append(pour.Fills, fill)
	}
	pour.MoldID, pour.Mold = site.Molds[0].ID, site.Molds[0].Name
	if len(pour.Fills) == 1 {
		pour.Fills = nil
	}
	if pour.Volume = total / float64(pour.Count); pour.Coats > 0 {
		pour.Volume = c.Value("volume", 0)
	}
}

// tinted works out the tints of a pour: of a batch of known mass in grams and
// drops too, else in shares alone.
func (p pourCommand) tinted(ctx context.Context, c *chat.Call, m shop.Material, pour *shop.Pour) (*library.Tinting, error) {
	if !c.Has("tint") {
		return nil, nil
	}
	asks, err := p.library.Tints(ctx, c, "tint")
	if err != nil {
		return nil, err
	}
	for _, a := range asks {
		if err := library.Miscible(a.Tint, m, "tint"); err != nil {
			return nil, err
		}
	}
	mass := pour.Mass
	if mass == 0 {
		if library.Counted(asks) {
			return nil, fault.New(fault.MissingOption, "grams and drops of tint need the volume that they went into").In("volume").
				Hint(`give volume, such as volume:"250 ml", or the tint in percent of the mix`)
		}
		mass = 100 // shares alone: any mass gives the same
	}
	job := library.TintJob{Material: m, Asks: asks, Step: c.By.Shop.Set.ScaleStep}
	if job.Side, _, err = library.TintSide(m, "material"); err != nil {
		return nil, err
	}
	share, err := library.SideShare(m, job.Side, "material")
	if err != nil {
		return nil, err
	}
	if job.Doses, err = library.DosesOf(asks, mass, "tint"); err != nil {
		return nil, err
	}
	job.Cups = []library.TintCup{{Resin: mass, Side: mass * share}}
	stir, err := library.Stir(job)
	if err != nil {
		return nil, err
	}
	pour.Tint = library.Recipe(asks, job.Doses)
	for i, a := range asks {
		pour.Doses = append(pour.Doses, shop.Dose{Tint: a.ID, Version: a.Version, Name: a.Name, Share: job.Doses[i]})
	}
	return stir, nil
}

// full notes molds that hold a pour already, as far as it is in sight.
func (p pourCommand) full(ctx context.Context, c *chat.Call, pour shop.Pour, notes []string) ([]string, error) {
	if pour.Mold == "" {
		return notes, nil
	}
	const looked = 200
	running, err := p.Pours.Running(ctx, c.By, looked)
	if err != nil {
		return nil, fmt.Errorf("list running pours: %w", err)
	}
	for _, other := range running {
		for _, mine := range pour.InMolds() {
			held := slices.ContainsFunc(other.InMolds(), func(f shop.Fill) bool { return f.Mold != 0 && f.Mold == mine.Mold })
			if !held || !library.OpenPour(other, c.At) {
				continue
			}
			note := fmt.Sprintf("%s is still full by our book: pour %s of %s.", library.Capital(mine.Name), chat.Ref(other.ID, 0), clock(c, other.Started))
			if other.Owner == c.By.Member.ID {
				note += fmt.Sprintf(" If it is out, say /pour done pour:%s.", chat.Ref(other.ID, 0))
			}
			notes = append(notes, note)
		}
	}
	return notes, nil
}

func (p pourCommand) begun(c *chat.Call, m shop.Material, site forecast.Site, f forecast.Forecast, stir *library.Tinting, pour shop.Pour) *chat.Reply {
	r := p.card(c, pour)
	r.Title = begunTitle(c, pour)
	if stir != nil {
		r.Facts = append(r.Facts, tintFacts(c, stir, pour)...)
		if limit := library.Limit(m); stir.Load > limit {
			r.Notes = append(r.Notes, fmt.Sprintf("%s of tint is over the limit of %s: it can soften or slow the cure.", quantity.Percent(stir.Load), quantity.Percent(limit)))
		}
	}
	for _, remark := range f.Remarks {
		if pressing[remark.Flag] && (!site.Guessed || remark.Flag == cure.TooCold || remark.Flag == cure.Moist) {
			r.Notes = append(r.Notes, pouredRemark(c, remark, &f)...)
		}
	}
	r.Notes = append(r.Notes, site.Notes...)
	if text := takenText(f); text != "" && pour.Foreseen.Demold.High > 0 {
		r.Notes = append(r.Notes, text)
	}
	if text := f.Learned.Text(); text != "" {
		r.Notes = append(r.Notes, text)
	}
	r.Notes = append(r.Notes, begunNotes(c, pour)...)
	r.Cautions = chat.Cautions(caution.For(caution.Situation{
		Step: caution.Mixing, Family: m.Family, Mass: site.Setup.Mass, MaxMass: m.MaxMass, Section: pour.Thickest, MaxDepth: m.MaxDepth,
		Powder: stir != nil && library.Dusty(stir.Asks), Text: m.Notes,
	}))
	return r
}

// takenText says which figures of the bulletin were not there, and what was
// taken in their place.
func takenText(f forecast.Forecast) string {
	var taken []string
	for _, a := range f.Assumed {
		if a.Widens {
			taken = append(taken, strings.ReplaceAll(a.Option, "_", " ")+" of "+a.Used)
		}
	}
	if len(taken) == 0 {
		return ""
	}
	return "The profile does not say, so taken: " + strings.Join(taken, "; ") + ". The ranges are wide for it: fill them in from the bulletin with /material edit."
}

// pouredRemark is what is left to say of a remark once it is in the mold: what
// would have kept it cooler comes too late for this one.
func pouredRemark(c *chat.Call, remark cure.Remark, f *forecast.Forecast) []string {
	hot := quantity.Text(math.Round(f.Peak.High), quantity.Temp, c.By.System())
	switch {
	case remark.Flag == cure.Stop:
		return []string{fmt.Sprintf("It may reach %s inside, where it cracks, scorches the mold and can smoke. If it smokes, leave it, go out and let air in; else leave it alone until it is cool. Ask /cure before the next: it says what keeps it cooler.", hot)}
	case remark.Flag == cure.Hot:
		return []string{fmt.Sprintf("It may run hot: up to %s inside. Leave it alone until it is cool; /cure says what keeps the next one cooler.", hot)}
	case remark.Flag == cure.TooFast, remark.Flag == cure.OverDepth && (f.Has(cure.Stop) || f.Has(cure.Hot)):
		return nil
	}
	return []string{remark.Text}
}

func begunTitle(c *chat.Call, pour shop.Pour) string {
	f := pour.Foreseen
	if pour.Coats > 0 {
		title := fmt.Sprintf("Coat 1 of %d on at %s: %s", pour.Coats, clock(c, pour.Started), library.PourName(pour))
		if pour.Coats > 1 && f.Gel.High > 0 {
			title += ". Next coat " + coatWindow(c, pour)
		}
		return title
	}
	title := fmt.Sprintf("Started at %s: %s", clock(c, pour.Started), library.PourName(pour))
	if f.Demold.High > 0 {
		title += ". Out " + between(c, pour.Started, f.Demold)
		if f.Peak.High > cure.CoolFace && f.Cool.High > f.Demold.High {
			title += ", cool by " + clock(c, after(pour.Started, cure.RoundOut(f.Cool).High))
		}
	}
	return title
}

// coatWindow is when the next coat goes on, on the clock.
func coatWindow(c *chat.Call, pour shop.Pour) string {
	return between(c, pour.CoatedAt(), library.Recoat(pour.Foreseen))
}

// tintFacts are the tints of a pour; where its mass is not known, their shares
// alone.
func tintFacts(c *chat.Call, stir *library.Tinting, pour shop.Pour) []chat.Fact {
	if pour.Mass > 0 {
		return append(stir.Facts(c.By.System()), library.LoadFact(stir.Load, library.Limit(stir.Material)))
	}
	var facts []chat.Fact
	for i, d := range pour.Doses {
		facts = append(facts, chat.Share(fmt.Sprintf("dose_%d", i+1), library.Capital(d.Name), d.Share))
	}
	return append(facts, library.LoadFact(stir.Load, library.Limit(stir.Material)))
}

func begunNotes(c *chat.Call, pour shop.Pour) []string {
	var notes []string
	ref := chat.Ref(pour.ID, 0)
	switch {
	case pour.Coats > 1:
		notes = append(notes, fmt.Sprintf("It is pour %s. The next coat goes on once the last no longer moves and is still tacky (common practice); the bulletin's own recoat time wins. Press Coat is on, or say /pour coat, and the clock starts anew.", ref))
	case pour.Foreseen.Physics > 0:
		notes = append(notes, fmt.Sprintf("It is pour %s. Look when it may be ready and say so, ready or still soft: that narrows the next forecast. Done counts the pull.", ref))
	default:
		notes = append(notes, fmt.Sprintf("It is pour %s. Look when it may be ready and say so, ready or still soft.", ref))
	}
	if pour.Shared {
		notes = append(notes, "The members of this shop see that it runs; your notes and answers stay yours.")
	}
	return notes
}
