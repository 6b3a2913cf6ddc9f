package commands

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/stock"
)

// supply is where a batch comes from.
type supply struct {
	shelf  library.Stock
	choice stock.Choice
	m      shop.Material

	unknown string // why nobody knows how much is taken; "" where it is known
}

// supplied looks for a batch in stock; nil where no container of the material
// is kept.
func (d deps) supplied(ctx context.Context, c *chat.Call, m shop.Material, need stock.Amount) (*supply, error) {
	shelf, err := library.StockOf(ctx, c, d.Stock, d.Materials, m)
	if err != nil {
		return nil, err
	}
	of := shelf.Of(m)
	if len(of) == 0 {
		return nil, nil
	}
	return &supply{shelf: shelf, choice: stock.Choose(shelf.Jugs(of), tracked(of, need), shelf.Today()), m: m}, nil
}

// batchStock warns of a batch that the stock can't give, or should not.
func (d deps) batchStock(ctx context.Context, c *chat.Call, m shop.Material, need stock.Amount) ([]string, error) {
	s, err := d.supplied(ctx, c, m, need)
	if s == nil || err != nil {
		return nil, err
	}
	var notes []string
	if !s.choice.Short.Nothing() {
		notes = append(notes, fmt.Sprintf("There is too little in stock: %s short. /stock list shows what there is.", gramsText(c, s.choice.Short)))
	}
	for _, id := range s.choice.Past {
		one, _ := s.shelf.ByID(id)
		notes = append(notes, fmt.Sprintf("It would need %s, which is past its date since %s: a trial cup first.", jugName(one), dayText(s.shelf.Keeps(one).Last)))
	}
	return notes, nil
}

// filled reads the filler of a pour: A and B fill only what it leaves. It is in
// no forecast, so what is found at such a pour teaches nothing.
func filled(c *chat.Call, m shop.Material, site *forecast.Site, pour *shop.Pour) (*mix.Filler, error) {
	if pour.Mass == 0 {
		pour.Mass = c.Value("mixed", 0)
	}
	if !c.Has("filler") {
		return nil, nil
	}
	f, err := mix.ParseFiller(c.Text("filler"))
	if err != nil {
		return nil, err
	}
	if rho, ok := m.Mixed(); ok && pour.Volume > 0 {
		pour.Mass = f.Resin(pour.Volume*float64(pour.Count), rho.Value)
	}
	pour.Foreseen.Physics = 0
	site.Notes = append(site.Notes, "The filler is not in the forecast: it takes up heat, so this one stays cooler and may take longer. What you find at it teaches nothing about the material.")
	return &f, nil
}

// pourSupply is where a pour's A and B come from, refused where they are not
// there. nil where nothing of the material is kept.
func (p pourCommand) pourSupply(ctx context.Context, c *chat.Call, m shop.Material, pour shop.Pour, filler *mix.Filler) (*supply, error) {
	need, why, err := pourNeed(c, m, pour, filler)
	if err != nil {
		return nil, err
	}
	s, err := p.supplied(ctx, c, m, need)
	if s == nil || err != nil {
		return nil, err
	}
	if s.unknown = why; why != "" {
		return s, nil
	}
	return s, refuseStock(c, s.shelf, s.choice, m.Name, "/pour start")
}

// pourNeed is the A and B of a pour: what was weighed out or, where that is not
// said, what /batch would mix. Filler and tint are neither. why says what is in
// the way of knowing it.
func pourNeed(c *chat.Call, m shop.Material, pour shop.Pour, filler *mix.Filler) (need stock.Amount, why string, err error) {
	if c.Has("mixed") {
		if need, err = stock.Mixed(m.Profile, c.Value("mixed", 0)); fault.As(err) != nil {
			return need, "its ratio by weight is not in the profile", nil
		}
		return need, "", err
	}
	volume := pour.Volume * float64(max(pour.Count, 1))
	if volume <= 0 {
		return need, "its volume is not said", nil
	}
	b, err := mix.New(mix.Want{Profile: m.Profile, Volume: volume, Fills: max(len(pour.Fills), 1), Step: c.By.Shop.Set.ScaleStep, Filler: filler})
	if f := fault.As(err); f != nil {
		if f.Option == "filler" {
			return need, "", err
		}
		return need, "the profile does not tell its grams", nil
	}
	if err != nil {
		return need, "", fmt.Errorf("work out what a pour takes: %w", err)
	}
	if b.NoWeights != "" {
		return need, "the profile does not tell its grams", nil
	}
	return stock.Amount{A: b.MassA, B: b.MassB}, "", nil
}

// draw takes a supply out of stock for a pour. A pour has one call, its own:
// /stock open makes that of a jug.
func (s *supply) draw(ctx context.Context, c *chat.Call, b shop.Books, pour int64) ([]shop.Container, error) {
	if len(s.choice.Takes) == 0 {
		return nil, nil
	}
	return b.Stock.DrawStock(ctx, c.Stamp(), drawsOf(s.choice, s.shelf, shop.StockPoured, pour))
}

// drawn carries draws out, and makes the calls for what they opened.
func drawn(ctx context.Context, c *chat.Call, b shop.Books, shelf library.Stock, draws []shop.StockDraw, calls bool) ([]shop.Container, error) {
	after, err := b.Stock.DrawStock(ctx, c.Stamp(), draws)
	if err != nil || !calls {
		return after, err
	}
	for i, one := range after {
		was, _ := shelf.ByID(one.ID)
		m, known := shelf.Profile(one)
		if !was.OpenedOn.IsZero() || one.OpenedOn.IsZero() || !known {
			continue
		}
		if after[i], _, err = callFor(ctx, c, b, one, m); err != nil {
			return nil, err
		}
	}
	return after, nil
}

// notes say what was taken and what is left.
func (s *supply) notes(ctx context.Context, c *chat.Call, from shop.Stock, materials shop.Materials, after []shop.Container) ([]string, error) {
	if s.unknown != "" {
		return []string{fmt.Sprintf("Nothing was taken from stock: %s. /stock use material:%q amount:… takes what you mixed; mixed:132g with /pour start does it next time.", s.unknown, s.m.Name)}, nil
	}
	how := "with the usual waste"
	if c.Has("mixed") {
		how = "as you weighed it out"
	}
	var took []string
	var ids []int64
	for i, one := range after {
		took = append(took, fmt.Sprintf("%s from %s (%s left)", gramsText(c, s.choice.Takes[i].From), jugName(one), leftText(c, one)))
		ids = append(ids, one.ID)
	}
	var notes []string
	if len(took) > 0 {
		notes = append(notes, "Taken from stock, "+how+": "+strings.Join(took, ", ")+". /pour cancel gives it back.")
	}
	if !s.choice.Short.Nothing() {
		notes = append(notes, fmt.Sprintf("%s more was not there by the book: weigh the jugs and say /stock use with left:.", gramsText(c, s.choice.Short)))
	}
	shelf, err := library.StockOf(ctx, c, from, materials, s.m)
	if err != nil {
		return nil, err
	}
	for _, one := range after {
		if was, ok := s.shelf.ByID(one.ID); ok && was.OpenedOn.IsZero() && !one.OpenedOn.IsZero() {
			notes = append(notes, openedToday(shelf, one))
		}
	}
	return append(notes, lowNotes(c, shelf, ids...)...), nil
}

func openedToday(shelf library.Stock, one shop.Container) string {
	text := fmt.Sprintf("%s was sealed by the book and counts as opened today", jugName(one))
	if k := shelf.Keeps(one); !k.Last.IsZero() && !k.Guessed {
		text += ": use it by " + dayText(k.Last)
	}
	if one.Call != 0 {
		return text + fmt.Sprintf(". You will be called before that; /stock open container:%s sets another day.", chat.Ref(one.ID, 0))
	}
	return text + fmt.Sprintf(". /stock open container:%s calls you before that, or sets another day.", chat.Ref(one.ID, 0))
}

func leftText(c *chat.Call, one shop.Container) string {
	a, b := one.Left()
	if one.Part == string(stock.Kit) {
		return gramsText(c, stock.Amount{A: a, B: b})
	}
	return strings.TrimSuffix(strings.TrimSuffix(gramsText(c, stock.Amount{A: a, B: b}), " A"), " B")
}

// givenBack says what a canceled pour gave back to the containers that there
// were before: a pour that never was has drawn nothing.
func (p pourCommand) givenBack(ctx context.Context, c *chat.Call, before []shop.Container, state shop.PourState) ([]string, error) {
	if len(before) == 0 {
		return nil, nil
	}
	now, err := p.Stock.Containers(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list containers: %w", err)
	}
	var back []string
	for _, was := range before {
		for _, one := range now {
			gave := stock.Amount{A: was.UsedA - one.UsedA, B: was.UsedB - one.UsedB}
			if one.ID == was.ID && !gave.Nothing() {
				back = append(back, gramsText(c, gave)+" to "+jugName(one))
			}
		}
	}
	switch {
	case len(back) > 0:
		return []string{"Given back to stock: " + strings.Join(back, ", ") + ". If it was mixed all the same, undo this and say /pour fail, which keeps it taken."}, nil
	case state == shop.PourDone || state == shop.PourFailed:
		return []string{"What it took out of stock stays taken: it was mixed."}, nil
	}
	return nil, nil
}

// startAction begins the pour of a batch. Where waste, cup or scale were not the
// usual ones it says what is weighed out, so that stock loses that; of a batch
// for several fillings each has a clock of its own.
func startAction(c *chat.Call, m shop.Material, o order, b mix.Batch) chat.Action {
	a := leadAction(c, m, "Start this pour", "pour start", "mold", "volume", "file", "count", "tint", "filler", "temp", "unit", "resize")
	own := c.Has("waste") || c.Has("cup_size") || c.Has("scale_step")
	if own && o.want.Fills <= 1 && b.NoWeights == "" {
		a.Line += fmt.Sprintf(` mixed:"%s g"`, strconv.FormatFloat(b.MassA+b.MassB, 'f', -1, 64))
	}
	return a
}
