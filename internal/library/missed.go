package library

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/shop"
)

// Missed tells a member, with whatever they ask next, which calls could be
// shown nowhere: each once. They stay in the list until they are done.
func Missed(dues shop.Dues) func(context.Context, *chat.Call) (*chat.Reply, error) {
	return func(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
		const most = 5 // as many as fit a row of buttons; the rest comes with the next answer
		missed, err := dues.TellMissed(ctx, c.Stamp(), most)
		if err != nil || len(missed) == 0 {
			return nil, err
		}
		r := &chat.Reply{Title: "You missed a call"}
		if len(missed) > 1 {
			r.Title = fmt.Sprintf("You missed %d calls", len(missed))
		}
		for _, d := range missed {
			r.Notes = append(r.Notes, MissedText(c, d))
			r.Actions = append(r.Actions, missedAction(d))
		}
		return r, nil
	}
}

// missedAction takes note of a call. A pour's leads to the pour: done is said
// there, where it counts a pull.
func missedAction(d shop.Due) chat.Action {
	if d.Pour != 0 {
		ref := chat.Ref(d.Pour, 0)
		return chat.Action{Label: "Show pour " + ref, Line: chat.FormatLine("pour show", map[string]string{"pour": ref}, nil)}
	}
	return chat.Action{Label: "Done: " + d.About, Line: chat.FormatLine("due done", map[string]string{"due": chat.Ref(d.ID, 0)}, nil)}
}

// MissedText says what was missed, when it was due and how to be reached.
func MissedText(c *chat.Call, d shop.Due) string {
	return fmt.Sprintf("Missed: %s %s, due %s. It could be shown neither where you asked nor by direct message; open one of them to this helper.",
		chat.Ref(d.ID, 0), d.About, c.Clock(d.Missed.In(c.By.Zone()).Format("Mon 2 Jan 15:04"), d.Missed))
}
