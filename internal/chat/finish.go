package chat

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// finish turns a handler's reply into what the press or call asked for and
// gives its actions their ids.
func (d *Dispatcher) finish(ctx context.Context, a aim, c *Call, r *Reply) error {
	r.Notes = append(r.Notes, c.notes...)
	r.Private = a.private()
	r.Clocks = append(r.Clocks, c.clocks...)
	switch a.press.verb {
	case DoWorking:
		*r = Reply{Title: "Working: " + r.Title, Working: r.Working, Clocks: r.Clocks, Private: true, Quiet: true}
	case DoFull:
		*r = Reply{Title: "Cautions in full", Cautions: full(r.Cautions), Private: true, Quiet: true}
	default:
		c.offer(a, r)
	}
	var err error
	if r.Actions, err = d.identified(ctx, c, r.Actions); err != nil {
		return err
	}
	if d.cfg.Terms != nil {
		r.Terms = d.cfg.Terms(r.text())
	}
	r.Tidy()
	return nil
}

// identified gives actions their ids. One whose line is too long to be kept is
// left out: the answer stands without it.
func (d *Dispatcher) identified(ctx context.Context, c *Call, actions []Action) ([]Action, error) {
	kept := make([]Action, 0, len(actions))
	keys := map[string]string{}
	for _, act := range actions {
		act.Label = fault.Clip(act.Label, labelMost)
		if act.Do == 0 {
			act.Do = DoRun
		}
		id, err := d.actionID(ctx, c.Stamp(), press{verb: act.Do, form: act.Form, owner: c.By.Member.ID, line: act.Line}, keys)
		switch {
		case fault.As(err) != nil:
			continue
		case err != nil:
			return nil, err
		}
		act.ID = id
		kept = append(kept, act)
	}
	return kept, nil
}

func full(cautions []Caution) []Caution {
	out := make([]Caution, len(cautions))
	for i, c := range cautions {
		out[i] = Caution{ID: c.ID, Text: c.Full}
		if c.Full == "" {
			out[i].Text = c.Text
		}
	}
	return out
}

// labelMost is how many characters of a button's label are shown; it may hold
// a member's text.
const labelMost = 40

// offer puts the buttons that every reply of its sort has before its own. They
// run the line again, so what changed something has none of them.
func (c *Call) offer(a aim, r *Reply) {
	if a.sub.Writes {
		return
	}
	line := c.again(a, nil)
	var first []Action
	if len(r.Working) > 0 {
		first = append(first, Action{Label: "Show working", Do: DoWorking, Line: line})
	}
	for _, ca := range r.Cautions {
		if ca.Full != "" {
			first = append(first, Action{Label: "Cautions in full", Do: DoFull, Line: line})
			break
		}
	}
	if _, canShow := a.sub.Option("show"); canShow && r.Private && !r.Quiet {
		first = append(first, Action{Label: "Post here", Do: DoPost, Line: line})
	}
	r.Actions = append(first, r.Actions...)
}

// again is the call's own line, pinned to what it found, with some options
// replaced.
func (c *Call) again(a aim, replace map[string]string) string {
	raw := maps.Clone(c.Raw)
	delete(raw, "show")
	maps.Copy(raw, c.pins)
	maps.Copy(raw, replace)
	order := make([]string, len(a.sub.Options))
	for i, o := range a.sub.Options {
		order[i] = o.Name
	}
	return FormatLine(a.cmd.Path(a.sub), raw, order)
}

// text is everything in the reply that may hold a trade word.
func (r *Reply) text() string {
	var b strings.Builder
	b.WriteString(r.Title)
	for _, f := range r.Facts {
		b.WriteString("\n" + f.Label)
	}
	for _, group := range [][]string{r.Steps, r.Notes} {
		for _, s := range group {
			b.WriteString("\n" + s)
		}
	}
	return b.String()
}

// fail is the one place where an error becomes an answer.
func (d *Dispatcher) fail(a aim, c *Call, err error) Answer {
	ans := Answer{Private: true, Replace: a.press.verb == DoReplace}
	if a.cmd != nil {
		ans.Command = a.cmd.Name
		if a.sub != nil {
			ans.Command = a.cmd.Path(a.sub)
		}
	}
	ans.Fault = fault.As(err)
	switch {
	case ans.Fault != nil:
		d.offerChoices(a, c, &ans)
	case errors.Is(err, shop.ErrRepeat):
		ans.Repeat = true
		ans.Fault = fault.New(fault.Busy, "this was carried out already, when it came in the first time").
			Hint("look at the answer above; type the command again if it is meant twice").Because(err)
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, context.Canceled):
		ans.Fault = fault.New(fault.Busy, "it took too long and was stopped").Hint("try again, with a smaller file if there is one").Because(err)
	default:
		ans.Reference = d.cfg.NewRef()
		ans.Fault = fault.New(fault.Internal, "something broke on our side; reference %s", ans.Reference).
			Hint("try again; if it stays, give the reference to whoever runs this helper").Because(err)
	}
	ans.Fault = tidyFault(ans.Fault)
	tidyActions(ans.Actions)
	return ans
}

// offerChoices makes a button of each value that would have been taken.
func (d *Dispatcher) offerChoices(a aim, c *Call, ans *Answer) {
	if c == nil || a.sub == nil || ans.Fault.Option == "" {
		return
	}
	if _, declared := a.sub.Option(ans.Fault.Option); !declared {
		return
	}
	for _, ch := range ans.Fault.Choices() {
		label := ch.Label
		if label == "" {
			label = ch.Value
		}
		act := Action{Label: fault.Clip(label, labelMost), Do: DoReplace, Line: c.again(a, map[string]string{ans.Fault.Option: ch.Value})}
		// A refused call writes nothing, so a line that fits no button is
		// left to the hint.
		if id, fits := (press{verb: act.Do, owner: c.By.Member.ID, line: act.Line}).id(); fits {
			act.ID = id
			ans.Actions = append(ans.Actions, act)
		}
	}
}

// log writes one line per call: for an answer what and how long, for an
// internal fault the whole chain. Members' text is never in it.
func (d *Dispatcher) log(inv Invocation, ans Answer, c *Call, took time.Duration) {
	attrs := []any{"command", ans.Command, "ms", took.Milliseconds()}
	if c != nil {
		attrs = append(attrs, "shop", int64(c.By.Shop.ID), "member", int64(c.By.Member.ID))
	}
	switch {
	case ans.Fault == nil:
		d.cfg.Log.Debug("answered", attrs...)
	case ans.Fault.Code == fault.Internal:
		d.cfg.Log.Error("internal", append(attrs, "code", string(ans.Fault.Code), "reference", ans.Reference, "error", fmt.Sprint(ans.Fault.Unwrap()))...)
	default:
		d.cfg.Log.Info("refused", append(attrs, "code", string(ans.Fault.Code), slog.String("option", ans.Fault.Option))...)
	}
}

// observe counts a call. A card that is drawn anew is nobody's call.
func (d *Dispatcher) observe(inv Invocation, ans Answer, took time.Duration) {
	switch {
	case d.cfg.Watch == nil || inv.Renewal:
	case ans.Fault != nil:
		d.cfg.Watch.Answered(ans.Command, ans.Fault.Code, took)
	default:
		d.cfg.Watch.Answered(ans.Command, "", took)
	}
}
