package commands

import (
	"context"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
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
	name   string
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
	return &supply{shelf: shelf, choice: stock.Choose(shelf.Jugs(of), tracked(of, need), shelf.Today()), m: m, name: m.Name}, nil
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

// pourSupply is where a pour's A and B come from, refused where they are not
// there. nil where nothing of the material is kept, or nobody knows how much
// it takes.
func (p pourCommand) pourSupply(ctx context.Context, c *chat.Call, m shop.Material, pour shop.Pour) (*supply, error) {
	volume := pour.Volume * float64(max(pour.Count, 1))
	if volume <= 0 {
		return nil, nil
	}
	b, err := mix.New(mix.Want{Profile: m.Profile, Volume: volume, Fills: max(len(pour.Fills), 1), Step: c.By.Shop.Set.ScaleStep})
	if fault.As(err) != nil || err == nil && b.NoWeights != "" {
		return nil, nil // no grams can be told
	}
	if err != nil {
		return nil, fmt.Errorf("work out what a pour takes: %w", err)
	}
	s, err := p.supplied(ctx, c, m, stock.Amount{A: b.MassA, B: b.MassB})
	if s == nil || err != nil {
		return nil, err
	}
	return s, refuseStock(c, s.shelf, s.choice, m.Name, "/pour start")
}

// draw takes a supply out of stock for a pour. A pour has one call, its own:
// /stock open makes that of a jug.
func (s *supply) draw(ctx context.Context, c *chat.Call, b shop.Books, pour int64) ([]shop.Container, error) {
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
	var took []string
	var ids []int64
	for i, one := range after {
		took = append(took, fmt.Sprintf("%s from %s (%s left)", gramsText(c, s.choice.Takes[i].From), jugName(one), leftText(c, one)))
		ids = append(ids, one.ID)
	}
	var notes []string
	if len(took) > 0 {
		notes = append(notes, "Taken from stock, with the usual waste: "+strings.Join(took, ", ")+". /pour cancel gives it back.")
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
