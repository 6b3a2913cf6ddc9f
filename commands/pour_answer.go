package commands

import (
	"context"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// found is an answer in words.
func found(c *chat.Call, a shop.Answer) string {
	if a.ReadyBy > 0 {
		return "ready after " + quantity.Text(a.ReadyBy, quantity.Time, c.By.System())
	}
	return "still soft after " + quantity.Text(a.SoftAt, quantity.Time, c.By.System())
}

func (p pourCommand) ready(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	return p.answer(ctx, c, true)
}

func (p pourCommand) soft(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	return p.answer(ctx, c, false)
}

func (p pourCommand) answer(ctx context.Context, c *chat.Call, ready bool) (*chat.Reply, error) {
	look := shop.Look{Ready: ready, Shared: c.Yes("share", false)}
	var err error
	if look.At, err = library.Seen(c); err != nil {
		return nil, err
	}
	pour, err := library.Pour(ctx, c, p.Pours, "pour", answerable(look))
	if err != nil {
		return nil, err
	}
	before := pour.State
	var next time.Time
	err = p.Together.Together(ctx, func(books shop.Books) error {
		if pour, err = books.PourLog.AnswerPour(ctx, c.Stamp(), pour.ID, look); err != nil {
			return err
		}
		if !ready {
			next, err = callAgain(ctx, c, books, pour)
		}
		return err
	})
	if callsFull(err) { // it counts without a call
		pour, err = p.PourLog.AnswerPour(ctx, c.Stamp(), pour.ID, look)
	}
	if err != nil {
		return nil, fmt.Errorf("answer a pour: %w", err)
	}
	last := foundNow(pour, look)
	r := &chat.Reply{Title: library.Capital(found(c, last)) + ": " + library.PourName(pour), Actions: pourActions(c, pour)}
	r.Facts = append(r.Facts, chat.Num("after", "Since the pour", last.ReadyBy+last.SoftAt, quantity.Time, c.By.System()))
	if !look.At.IsZero() {
		r.Facts = append(r.Facts, instant(c, "seen", "Seen at", last.At))
	}
	if d := pour.Foreseen.Demold; d.High > 0 {
		r.Facts = append(r.Facts, chat.Num("demold", "It was foreseen", d.Mid, quantity.Time, c.By.System()).Between(d.Low, d.High).Says(timeSpan(d, c.By.System())))
	}
	if text := answerText(c, pour, last, before == shop.PourReady && look.At.IsZero()); text != "" {
		r.Notes = append(r.Notes, text)
	}
	switch {
	case ready:
		if lateLook(pour, last) {
			r.Notes = append(r.Notes, lateText)
			r.Actions = append([]chat.Action{{Label: "I saw it earlier", Do: chat.DoForm, Form: "earlier", Line: pourLine("ready", pour, nil)}}, r.Actions...)
		}
		r.Cautions = chat.Cautions(caution.For(caution.Situation{Step: caution.Demolding}))
	case next.IsZero():
		r.Notes = append(r.Notes, notCalled)
	default:
		r.Notes = append(r.Notes, fmt.Sprintf("You will be called at %s.", clock(c, next)))
	}
	return r, p.learned(ctx, c, pour, r)
}

// answerable says which pours an answer may mean: running ones, and one that is
// ready already where an earlier time is told.
func answerable(look shop.Look) library.OpenTo {
	if look.Ready && !look.At.IsZero() {
		return library.OpenPour
	}
	return library.RunningPour
}

// foundNow is the answer that a look became, or that was shared.
func foundNow(pour shop.Pour, look shop.Look) shop.Answer {
	for _, a := range pour.Answers {
		if !look.At.IsZero() && (a.ReadyBy > 0) == look.Ready && a.At.Equal(look.At) {
			return a
		}
	}
	return pour.Answers[len(pour.Answers)-1]
}

// lateLook reports that a pour was found ready after it should have been, and
// not found soft before: that hardly tells how long it took.
func lateLook(pour shop.Pour, last shop.Answer) bool {
	return pour.Foreseen.Demold.High > 0 && last.ReadyBy > pour.Foreseen.Demold.High && len(pour.Answers) == 1
}

const lateText = "When it became ready nobody saw: it counts as ready by then at the latest, which tells a forecast little. If you saw it earlier, say when, such as /pour ready ago:\"2 h\" or at:18:30."

// answerText is what an answer means beside the forecast.
func answerText(c *chat.Call, pour shop.Pour, last shop.Answer, shared bool) string {
	f, from := pour.Foreseen, pour.CoatedAt()
	switch ready := last.ReadyBy > 0; {
	case shared:
		return "Shared with the shop: it counts, by half, for others who use this material here."
	case ready && f.Peak.High > cure.CoolFace && c.At.Before(after(from, f.Cool.High)):
		return hotUntil(c, pour)
	case !ready && f.Demold.High > 0 && last.SoftAt > f.Demold.High:
		return "Nine pours in ten are ready by now. A cold room, thin places, and A and B off their ratio are the usual reasons."
	case !ready && f.Demold.High > 0:
		return fmt.Sprintf("Nine in ten are ready by %s.", clock(c, after(from, cure.RoundOut(f.Demold).High)))
	}
	return ""
}

func hotUntil(c *chat.Call, pour shop.Pour) string {
	return fmt.Sprintf("It may be hot until %s: it burns fingers, and it warps if it comes out hot.",
		clock(c, after(pour.CoatedAt(), cure.RoundOut(pour.Foreseen.Cool).High)))
}

// learned adds to a reply what the material's pours taught by now.
func (p pourCommand) learned(ctx context.Context, c *chat.Call, pour shop.Pour, r *chat.Reply) error {
	switch {
	case pour.Coats > 0:
		r.Notes = append(r.Notes, "A part built in coats narrows no forecast: the model is of a part poured at once.")
		return nil
	case pour.Foreseen.Physics == 0:
		r.Notes = append(r.Notes, "The section of this pour is not known, or its chemistry is not in the model, so what you found can't narrow a forecast.")
		return nil
	case pour.MaterialID == 0:
		return nil
	}
	m, err := p.Materials.Material(ctx, c.By, pour.MaterialID, 0)
	if fault.As(err) != nil {
		return nil // removed, or not shared any more
	}
	if err != nil {
		return fmt.Errorf("fetch the material of a pour: %w", err)
	}
	lesson, err := p.cures.Lesson(ctx, c, m)
	if fault.As(err) != nil {
		return nil // its figures were changed beyond the model
	}
	if err != nil {
		return err
	}
	r.Facts = append(r.Facts, chat.Whole("logs_used", "Pours learned from", lesson.Pours(), fmt.Sprint(lesson.Pours())))
	if text := lesson.Text(); text != "" {
		r.Notes = append(r.Notes, m.Name+": "+text)
	}
	return nil
}

func (p pourCommand) undo(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	var id int64
	if c.Has("pour") {
		pour, err := library.Pour(ctx, c, p.Pours, "pour", library.AnyPour)
		if err != nil {
			return nil, err
		}
		id = pour.ID
	}
	pour, back, err := p.PourLog.TakeBack(ctx, c.Stamp(), id)
	if err != nil {
		return nil, fmt.Errorf("take back what was said of a pour: %w", err)
	}
	r := p.card(c, pour)
	r.Title = "Taken back: " + eventText(c, pour, back) + ", " + library.PourName(pour)
	if back.Pulls > 0 {
		r.Notes = append([]string{quantity.Count(back.Pulls, "pull is", "pulls are") + " not counted any more."}, r.Notes...)
	}
	if back.What == shop.EventNote || back.What == shop.EventCoat {
		return r, nil
	}
	return r, p.learned(ctx, c, pour, r)
}

// eventText is an entry of a pour's log in words.
func eventText(c *chat.Call, pour shop.Pour, e shop.PourEvent) string {
	since := quantity.Text(e.At.Sub(pour.CoatedAt()).Seconds(), quantity.Time, c.By.System())
	switch e.What {
	case shop.EventReady:
		return found(c, shop.Answer{ReadyBy: e.At.Sub(pour.CoatedAt()).Seconds()})
	case shop.EventSoft:
		return found(c, shop.Answer{SoftAt: e.At.Sub(pour.CoatedAt()).Seconds()})
	case shop.EventDone:
		return "done after " + since + ", " + outcome(e.Good, e.Spoiled)
	case shop.EventFailed:
		return "given up after " + since
	case shop.EventCoat:
		return fmt.Sprintf("coat %d of %d", pour.CoatsOn+1, pour.Coats)
	case shop.EventNote:
		return "the note " + noteText(c, e)
	}
	return string(e.What)
}
