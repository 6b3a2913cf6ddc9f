package commands

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file reads what a run is asked for and gathers what it rests on.

// runAsk is a run with all it rests on.
type runAsk struct {
	c        *chat.Call
	material shop.Material
	molds    []shop.Mold
	lives    []library.Outlook // of each mold
	copies   int               // good ones still wanted
	spares   int
	scrap    float64
	start    time.Time
	by       time.Time // zero without
	hours    library.WorkHours
	log      library.RunLog
	tints    []library.TintAsk
	job      plan.Job
	cure     forecast.Forecast // of the slowest mold
	mass     float64           // g in the fullest cup
	short    int               // molds to be made, of the first one's kind
	done     *runDone          // of a run under way; nil before it
	notes    []string
}

// asked reads the options of a run.
func (p planCommand) asked(ctx context.Context, c *chat.Call) (*runAsk, error) {
	r := &runAsk{c: c, copies: c.Count("copies", 1)}
	var err error
	if r.material, err = p.library.Material(ctx, c, "material", library.Offer); err != nil {
		return nil, err
	}
	if err = forecast.Reaches(r.material.Profile); err != nil {
		return nil, err
	}
	if r.molds, err = p.library.RunMolds(ctx, c, "molds"); err != nil {
		return nil, err
	}
	if err = inUse(c, r.molds); err != nil {
		return nil, err
	}
	if err = r.times(); err != nil {
		return nil, err
	}
	if err = r.colors(ctx, p.library); err != nil {
		return nil, err
	}
	own, err := p.Pours.Pours(ctx, c.By, poursRead)
	if err != nil {
		return nil, fmt.Errorf("list pours: %w", err)
	}
	r.log = library.ReadRunLog(own, r.material.ID)
	r.scrap = c.Value("scrap", plan.Scrap(r.log.Good, r.log.Spoiled))
	return r, nil
}

// poursRead is how many logged pours a run learns from, newest first.
const poursRead = 300

// times reads start, by and hours, and pins what they mean.
func (r *runAsk) times() (err error) {
	c := r.c
	if r.start, err = runTime(c, "start", c.At); err != nil {
		return err
	}
	r.start = r.start.Truncate(time.Minute)
	c.Pin("start", r.start.UTC().Format(time.RFC3339))
	if c.Has("by") {
		if r.by, err = runTime(c, "by", time.Time{}); err != nil {
			return err
		}
		c.Pin("by", r.by.UTC().Format(time.RFC3339))
		if !r.by.After(r.start) {
			return fault.New(fault.BadTime, "%s is before the run begins, at %s", clock(c, r.by), clock(c, r.start)).In("by").Hint("give a later time")
		}
	}
	typed := library.UsualHours
	if c.Has("hours") {
		typed = c.Text("hours")
	}
	r.hours, err = library.ParseWorkHours(typed)
	return err
}

// pinnedAge is how old a time in a button may be.
const pinnedAge = 366 * 24 * time.Hour

// runTime reads a time to come; one that a button pinned may be past by now.
func runTime(c *chat.Call, option string, otherwise time.Time) (time.Time, error) {
	if !c.Has(option) {
		return otherwise, nil
	}
	if at, err := time.Parse(time.RFC3339, c.Text(option)); err == nil && at.After(c.At.Add(-pinnedAge)) && !at.After(c.At) {
		return at, nil
	}
	at, err := library.At(c.Text(option), c.At, c.By.Zone())
	if f := fault.As(err); f != nil {
		moved := *f
		moved.Option = option
		return at, &moved
	}
	return at, err
}

// colors reads the tints, which a run wants in shares: grams and drops belong to
// one cup.
func (r *runAsk) colors(ctx context.Context, lib *library.Library) (err error) {
	if !r.c.Has("tint") {
		return nil
	}
	if r.tints, err = lib.Tints(ctx, r.c, "tint"); err != nil {
		return err
	}
	if library.Counted(r.tints) {
		return fault.New(fault.BadQuantity, "grams and drops belong to one cup, and a run has many").In("tint").Hint(`give percent of the mix, such as tint:"brick red 0.5%%"`)
	}
	for _, a := range r.tints {
		if err := library.Miscible(a.Tint, r.material, "tint"); err != nil {
			return err
		}
	}
	_, err = library.DosesOf(r.tints, 100, "tint")
	return err
}

// gathered fills in the job: cures, cups, coats, lives and what is in the molds.
func (p planCommand) gathered(ctx context.Context, r *runAsk) error {
	c := r.c
	r.spares = plan.Spares(r.copies, r.scrap)
	if r.done != nil {
		r.spares = max(r.done.spares(r), 0)
	}
	r.job = plan.Job{Copies: r.copies + r.spares, People: c.Count("people", 1), Hands: plan.UsualHands(), Open: r.hours.Open(r.start, c.By.Zone())}
	switch {
	case c.Has("pour_time"):
		r.job.Hands.Batch, r.job.Hands.Cavity = int(math.Ceil(c.Value("pour_time", 0))), 0
	case r.log.Pace > 0:
		r.job.Hands.Batch, r.job.Hands.Cavity = int(math.Ceil(r.log.Pace)), 0
	}
	if err := p.cured(ctx, r); err != nil {
		return err
	}
	if err := p.filled(ctx, r); err != nil {
		return err
	}
	if err := p.lasting(ctx, r); err != nil {
		return err
	}
	return p.cupful(ctx, r)
}

// cured asks how long each mold cures; molds that are alike are asked about once.
func (p planCommand) cured(ctx context.Context, r *runAsk) error {
	type shape struct {
		family                           string
		volume, thickest, thinnest, wall float64
		cavities                         int
	}
	known := map[shape]plan.Times{}
	for _, m := range r.molds {
		key := shape{m.Family, m.Volume, m.Thickest, m.Thinnest, m.Wall, m.Cavities}
		times, ok := known[key]
		if !ok {
			if m.Thickest == 0 {
				return fault.New(fault.MissingOption, "%s does not say its thickest section, and cure times rest on it", m.Name).In("molds").
					Hint("its owner adds it: /mold edit mold:%q thickest:\"14 mm\" thinnest:\"5 mm\"", m.Name)
			}
			site, err := p.cures.MoldSite(r.c, r.material, m)
			if err != nil {
				return forecast.Blame(r.c, err)
			}
			f, err := p.cures.Estimate(ctx, r.c, r.material, site.Setup)
			if err != nil {
				return forecast.Blame(r.c, err)
			}
			times = outOf(f)
			known[key] = times
			if f.Remind >= r.cure.Remind {
				r.cure = f
			}
		}
		one := plan.Mold{Cavities: m.Cavities, Cure: times, Since: library.CareOf(m).Since(), Every: cmp.Or(m.ReleaseEvery, moldcare.ReleaseEvery)}
		r.job.Molds = append(r.job.Molds, one)
	}
	if !r.c.Has("temp") {
		r.notes = append(r.notes, fmt.Sprintf("At the shop's %s; is your room colder?", quantity.Text(r.c.By.Shop.Set.Temp, quantity.Temp, r.c.By.System())))
	}
	return nil
}

// outOf is when a part comes out: ready, and cool enough not to warp or burn.
func outOf(f forecast.Forecast) plan.Times {
	s := func(demold, cool float64) int { return int(math.Ceil(max(demold, cool))) }
	return plan.Times{Low: s(f.Title.Low, f.Cool.Low), Mid: s(f.Title.Mid, f.Cool.Mid), High: s(f.Title.High, f.Cool.High)}
}

// filled looks for pours that are in the molds as the run begins.
func (p planCommand) filled(ctx context.Context, r *runAsk) error {
	running, err := p.Pours.Running(ctx, r.c.By, poursRead)
	if err != nil {
		return fmt.Errorf("list running pours: %w", err)
	}
	for _, pour := range running {
		if !library.OpenPour(pour, r.c.At) {
			continue
		}
		for _, fill := range pour.InMolds() {
			for i, m := range r.molds {
				if fill.Mold == 0 || fill.Mold != m.ID {
					continue
				}
				one := &r.job.Molds[i]
				one.Full = true
				if pour.State == shop.PourRunning {
					one.Out = stillCures(pour, r.start)
				}
				whose := "its parts are not of this run"
				if r.done != nil && r.done.holds(pour) {
					whose = "its parts count"
				}
				r.notes = append(r.notes, fmt.Sprintf("%s holds pour %s: it comes out first, and %s.", library.Capital(m.Name), chat.Ref(pour.ID, 0), whose))
			}
		}
	}
	return nil
}

// stillCures is how long a pour that runs is still in its mold.
func stillCures(pour shop.Pour, start time.Time) plan.Times {
	f, gone := pour.Foreseen, start.Sub(pour.CoatedAt()).Seconds()
	left := func(demold, cool float64) int { return int(math.Ceil(max(demold-gone, cool-gone, 0))) }
	return plan.Times{Low: left(f.Demold.Low, f.Cool.Low), Mid: left(f.Demold.Mid, f.Cool.Mid), High: left(f.Demold.High, f.Cool.High)}
}

// lasting gives each mold the pulls that such molds have left at even odds. Where
// they are too few for the run, it goes on as if they lasted, and says how many
// molds to make.
func (p planCommand) lasting(ctx context.Context, r *runAsk) error {
	all, err := p.Molds.Molds(ctx, r.c.By)
	if err != nil {
		return fmt.Errorf("list molds: %w", err)
	}
	lasts := 0
	for i, m := range r.molds {
		o, err := library.LifeAhead(m, all, r.c.By, moldcare.LateWear, ctx.Done())
		if err != nil {
			return err
		}
		r.lives = append(r.lives, o)
		left, _ := o.Left(o.Age)
		pulls := max(int(left.Mid), 1)
		if r.job.Molds[i].Full {
			pulls = max(pulls-1, 1)
		}
		r.job.Molds[i].Left = pulls
		lasts += pulls * m.Cavities
	}
	if missing := r.job.Copies - lasts; missing > 0 {
		fresh := max(int(r.lives[0].Median().Mid), 1) * r.molds[0].Cavities
		r.short = plan.Batches(missing, fresh)
		for i := range r.job.Molds {
			r.job.Molds[i].Left = 0
		}
	}
	return nil
}

// cupful finds how many molds one cup fills in time, the largest counting for
// all.
func (p planCommand) cupful(ctx context.Context, r *runAsk) error {
	largest := 0.0
	for _, m := range r.molds {
		largest = max(largest, m.Volume*float64(m.Cavities))
	}
	fits := func(n int) (bool, error) {
		b, err := p.cures.Batch(ctx, r.want(largest*float64(n), n), r.room(), r.c.By.System())
		if err != nil {
			return false, err
		}
		return len(b.Cups) == 1 && !b.OverMass, nil
	}
	low, high := 1, len(r.molds)
	for low < high {
		middle := (low + high + 1) / 2
		ok, err := fits(middle)
		switch {
		case err != nil:
			return err
		case ok:
			low = middle
		default:
			high = middle - 1
		}
	}
	r.job.PerCup = low
	b, err := p.cures.Batch(ctx, r.want(largest*float64(low), low), r.room(), r.c.By.System())
	if err != nil {
		return err
	}
	r.mass = b.Mass
	switch {
	case b.TooFast:
		r.notes = append(r.notes, "Its pot life is too short to stir and pour even one filling in time: try one before you plan with it.")
	case b.OverMass:
		r.notes = append(r.notes, fmt.Sprintf("One filling is more than the bulletin lets in one cup, %s: mix it in two.", quantity.Text(r.material.MaxMass, quantity.Mass, r.c.By.System())))
	}
	return nil
}

func (r *runAsk) room() float64 { return r.c.Value("temp", r.c.By.Shop.Set.Temp) }

// want is a cup for so many mL in so many fillings.
func (r *runAsk) want(volume float64, fills int) mix.Want {
	return mix.Want{Profile: r.material.Profile, Volume: volume, Fills: fills, Step: r.c.By.Shop.Set.ScaleStep, CupSize: r.c.Value("cup_size", 0)}
}

// at is an instant of the run, in s from its start.
func (r *runAsk) at(s int) time.Time { return r.start.Add(time.Duration(s) * time.Second) }

// runHazards are the remarks that change whether a run is a good idea; what else
// is to be said of one pour, /cure and /pour say.
var runHazards = map[cure.Flag]bool{cure.Stop: true, cure.Hot: true, cure.TooFast: true, cure.TooCold: true, cure.TooWarm: true, cure.Moist: true, cure.Never: true, cure.NoModel: true}

// hazards are those of the slowest mold's forecast.
func (r *runAsk) hazards() (notes []string) {
	told := map[cure.Flag]bool{}
	for _, remark := range r.cure.Remarks {
		if runHazards[remark.Flag] && !told[remark.Flag] {
			told[remark.Flag] = true
			notes = append(notes, remark.Text)
		}
	}
	return notes
}
