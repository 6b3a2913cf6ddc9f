package commands

import (
	"context"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/shop"
)

// coat starts the clock of the next coat.
func (p pourCommand) coat(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	pour, err := library.Pour(ctx, c, p.Pours, "pour", library.RunningPour)
	if err != nil {
		return nil, err
	}
	early := library.PhaseOf(pour, c.At)
	var next shop.Due
	err = p.Together.Together(ctx, func(books shop.Books) error {
		if pour, err = books.PourLog.CoatPour(ctx, c.Stamp(), pour.ID); err != nil {
			return err
		}
		if d, any := nextCall(c, pour); any {
			next, err = books.PourLog.FollowUp(ctx, c.Stamp(), pour.ID, d)
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("keep a coat: %w", err)
	}
	r := p.card(c, pour)
	r.Title = fmt.Sprintf("Coat %d of %d on at %s: %s", pour.CoatsOn, pour.Coats, clock(c, c.At), library.PourName(pour))
	switch f := pour.Foreseen; {
	case pour.CoatsOn < pour.Coats && f.Gel.High > 0:
		r.Title += ". Next coat " + coatWindow(c, pour)
	case pour.CoatsOn == pour.Coats && f.Demold.High > 0:
		r.Title += ". Out " + between(c, pour.CoatedAt(), f.Demold)
	}
	r.Notes = append(untimelyCoat(early), r.Notes...)
	if next.ID != 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("You will be called at %s.", clock(c, next.At)))
	}
	return r, nil
}

// untimelyCoat says what a coat risks that went on out of its window.
func untimelyCoat(then library.Phase) []string {
	switch then.Name {
	case library.PhaseLateCoat:
		return []string{"The last coat had time to harden, and a coat on a hard one may peel off it: see what the bulletin says of late coats before you go on."}
	case library.PhaseNextCoat:
		return nil
	}
	return []string{"The last coat was hardly set by the forecast: if it still moved, this one may drag it along."}
}

// note keeps a text, a link, or both.
func (p pourCommand) note(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	text, photo := strings.TrimSpace(c.Text("text")), strings.TrimSpace(c.Text("photo"))
	if text == "" && photo == "" {
		return nil, fault.New(fault.MissingOption, "there is nothing to note").In("text").Hint(`give text:"stirred 30 s", photo:"https://…", or both`)
	}
	if photo != "" {
		if err := library.Link("photo", photo); err != nil {
			return nil, err
		}
	}
	pour, err := library.Pour(ctx, c, p.Pours, "pour", library.OpenPour)
	if err != nil {
		return nil, err
	}
	if pour, err = p.PourLog.NotePour(ctx, c.Stamp(), pour.ID, text, photo); err != nil {
		return nil, fmt.Errorf("keep a note: %w", err)
	}
	r := &chat.Reply{
		Title:   "Noted at pour " + chat.Ref(pour.ID, 0) + ": " + library.PourName(pour),
		Notes:   []string{noteText(c, pour.Log[len(pour.Log)-1])},
		Actions: []chat.Action{{Label: "Undo", Line: pourLine("undo", pour, nil)}, {Label: "Show the pour", Line: pourLine("show", pour, nil)}},
	}
	r.Cautions = chat.Cautions(caution.For(caution.Situation{Text: text}))
	return r, nil
}

func (p pourCommand) share(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	return p.shown(ctx, c, true)
}

func (p pourCommand) unshare(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	return p.shown(ctx, c, false)
}

// shown lets the shop see a pour, or not.
func (p pourCommand) shown(ctx context.Context, c *chat.Call, shared bool) (*chat.Reply, error) {
	pour, err := library.Pour(ctx, c, p.Pours, "pour", library.OpenPour)
	if err != nil {
		return nil, err
	}
	if pour, err = p.PourLog.ShowPour(ctx, c.Stamp(), pour.ID, shared); err != nil {
		return nil, fmt.Errorf("show a pour: %w", err)
	}
	r := p.card(c, pour)
	r.Title = "Only you see this pour now: " + library.PourName(pour)
	if shared {
		r.Title = "The shop sees that it runs: " + library.PourName(pour)
		r.Notes = append(r.Notes, "Others see what is poured, into what, and how far it is; your notes and answers stay yours.")
	}
	return r, nil
}
