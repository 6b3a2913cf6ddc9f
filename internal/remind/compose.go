package remind

import (
	"fmt"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

const (
	lateFrom  = time.Minute // a delay that is worth a word
	listMost  = 20          // lines of a list
	listDones = 5           // buttons of a list: a row of the chat service
	labelMost = 40          // characters of a button
)

// compose makes the message of one or of several calls of a member.
func compose(claims []shop.Claim, d shop.Delivery, now time.Time) chat.Message {
	m := chat.Message{Key: d.Key, MemberKey: claims[0].Member.Key, Place: d.Place, Since: d.Began}
	if len(claims) == 1 {
		m.Reply = single(&claims[0], now)
	} else {
		m.Reply = list(claims, now)
	}
	m.Reply.Tidy()
	m.Reply.Private, m.Reply.Quiet = d.Place == "", true
	for _, a := range m.Reply.Actions {
		if strings.Contains(a.Line, "@") { // a call's own number
			m.Marks = append(m.Marks, a.ID)
		}
	}
	return m
}

func single(c *shop.Claim, now time.Time) *chat.Reply {
	r := &chat.Reply{Title: "Reminder: " + c.About, Facts: []chat.Fact{instant("due", "Due", c, c.At)}}
	if c.Pour != 0 {
		r.Title = c.About
	} else {
		// Where buttons scroll away it is put off by this, long after.
		r.Facts = append(r.Facts, chat.Fact{Key: "number", Label: "Number", Value: number(c), Text: number(c)})
	}
	for _, a := range nextSteps(c) {
		r.Actions = add(r.Actions, c, a)
	}
	if late := lateness(c, now); late != "" {
		r.Notes = append(r.Notes, late)
	}
	if next := c.Every.Next(c.First, now, shop.ZoneNamed(c.Zone)); !next.IsZero() {
		r.Facts = append(r.Facts, instant("next", "Again", c, next))
		r.Notes = append(r.Notes, fmt.Sprintf("It comes every %s; /due cancel due:#%d ends it.", c.Every, c.ID))
	}
	r.Actions = add(r.Actions, c, chat.Action{Label: "Snooze 10 min", Line: fmt.Sprintf(`/due snooze due:"%s" in:"10 min"`, call(c))})
	if c.Pour == 0 { // a pour's own Done takes care of its calls
		r.Actions = add(r.Actions, c, chat.Action{Label: "Done", Line: fmt.Sprintf(`/due done due:"%s"`, call(c))})
	}
	return r
}

// nextSteps are what a member does at the bench when called, besides to be
// called later.
func nextSteps(c *shop.Claim) []chat.Action {
	switch {
	case c.Pour != 0 && c.Layer:
		return []chat.Action{{Label: "The coat is on", Line: fmt.Sprintf(`/pour coat pour:"#%d"`, c.Pour)}}
	case c.Pour != 0:
		return []chat.Action{
			{Label: "Ready", Line: fmt.Sprintf(`/pour ready pour:"#%d"`, c.Pour)},
			{Label: "Still soft", Line: fmt.Sprintf(`/pour soft pour:"#%d"`, c.Pour)},
			{Label: "Done", Line: fmt.Sprintf(`/pour done pour:"#%d"`, c.Pour)},
		}
	case c.Coat != 0:
		return []chat.Action{{Label: "Release coat is on", Line: fmt.Sprintf(`/mold release mold:"#%d"`, c.Coat)}}
	}
	return nil
}

func list(claims []shop.Claim, now time.Time) *chat.Reply {
	r := &chat.Reply{Title: fmt.Sprintf("%d reminders", len(claims))}
	marked := false // by a button that no other message has
	for i := range claims {
		c := &claims[i]
		if i < listMost {
			r.Steps = append(r.Steps, fmt.Sprintf("%s, due %s", c.About, clock(c, c.At)))
			r.Clocks = append(r.Clocks, chat.Clock{Text: clock(c, c.At), At: c.At})
		}
		if i < listDones {
			r.Actions = add(r.Actions, c, ofList(c, i == listDones-1 && !marked))
			marked = marked || c.Pour == 0
		}
	}
	if more := len(claims) - listMost; more > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("%d more were due; they are counted as called.", more))
	}
	if late := lateness(&claims[0], now); late != "" {
		r.Notes = append(r.Notes, "The first is "+late)
	}
	return r
}

// ofList is the button of one call in a list. A pour's leads to its card: to be
// done is something else there, and is not said with one press among others. One
// button of a list has a call's own number, by which the list is found again.
func ofList(c *shop.Claim, mark bool) chat.Action {
	switch {
	case c.Pour == 0:
		return chat.Action{Label: fault.Clip("Done: "+c.About, labelMost), Line: fmt.Sprintf(`/due done due:"%s"`, call(c))}
	case mark:
		return chat.Action{Label: fault.Clip("Snooze 10 min: "+c.About, labelMost), Line: fmt.Sprintf(`/due snooze due:"%s" in:"10 min"`, call(c))}
	}
	return chat.Action{Label: fmt.Sprintf("Show pour #%d", c.Pour), Line: fmt.Sprintf(`/pour show pour:"#%d"`, c.Pour)}
}

func number(c *shop.Claim) string { return fmt.Sprintf("#%d", c.ID) }

// call names one call of a due for ever, "#12@3" for its third.
func call(c *shop.Claim) string { return fmt.Sprintf("%s@%d", number(c), c.Count+1) }

func add(actions []chat.Action, c *shop.Claim, a chat.Action) []chat.Action {
	// Numbers alone stand in these lines, so each fits.
	if a, fits := chat.Standing(a, c.Owner); fits {
		return append(actions, a)
	}
	return actions
}

// lateness says how late a call is and, where it is so, that quiet hours held
// it; "" for one in time.
func lateness(c *shop.Claim, now time.Time) string {
	late := now.Sub(c.At)
	if late < lateFrom {
		return ""
	}
	text := quantity.Text(late.Seconds(), quantity.Time, c.Viewer().System()) + " late"
	if !shop.QuietUntil(c.Member.Pref.QuietHours, c.At, c.Viewer().Zone()).IsZero() {
		return text + ": it was due in your quiet hours."
	}
	return text + ": it could not be sent before."
}

func instant(key, label string, c *shop.Claim, at time.Time) chat.Fact {
	return chat.Fact{Key: key, Label: label, Value: at.UTC().Format(time.RFC3339), Text: clock(c, at)}
}

// clock is an instant on the owner's clock.
func clock(c *shop.Claim, at time.Time) string {
	return at.In(c.Viewer().Zone()).Format("Mon 2 Jan 15:04")
}
