package discord

import (
	"context"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// response answers one interaction: once, either at once or after an
// announcement that is then edited.
type response struct {
	rest     *rest
	i        *Interaction
	fore     chat.Foresight
	patience patience
	// until is when the service stops waiting for a first answer.
	until time.Time
	// announced is set once a deferral was sent, whatever came of it.
	announced bool
	// answered is set where another delivery has answered, or at least said that
	// it will.
	answered bool
}

func (h *handler) newResponse(i *Interaction, at time.Time, fore chat.Foresight) *response {
	// Only a message that was pressed can be replaced.
	fore.Replace = fore.Replace && i.OnMessage
	return &response{rest: h.rest, i: i, fore: fore, patience: h.patience, until: h.deadline(at)}
}

// first sends the first answer while the service waits for it, and not after.
func (r *response) first(ctx context.Context, body callback, files []upload) error {
	ctx, cancel := context.WithDeadline(ctx, r.until)
	defer cancel()
	return r.rest.answer(ctx, r.i, body, files)
}

// announce tells the service that the answer takes a while. Whether only the
// asker sees it is settled here: the later edit can't change it.
func (r *response) announce(ctx context.Context) error {
	if r.announced {
		return nil
	}
	r.announced = true
	body := callback{Type: answerDefer}
	switch {
	case r.fore.Replace:
		body.Type = answerDeferUpdate
	case r.fore.Private:
		body.Data = deferData{Flags: flagEphemeral}
	}
	r.rest.watch.Interaction(eventDeferred)
	err := r.first(ctx, body, nil)
	r.answered = hasCode(err, codeAlreadyAnswered)
	return err
}

// finish sends the answer.
func (r *response) finish(ctx context.Context, ans chat.Answer) error {
	if ans.Form != nil {
		if !r.announced && r.i.Type != TypeForm {
			return r.first(ctx, callback{Type: answerForm, Data: renderForm(ans.Form)}, nil)
		}
		ans = refused(fault.New(fault.Busy, "the form took too long to open").Hint("press or type it again"))
	}
	if ans.Fault == nil && ans.Reply == nil {
		ans = refused(fault.New(fault.Internal, "something broke on our side").Hint("try again"))
	}
	if ans.Repeat || r.answered && ans.Fault != nil {
		r.yield(ctx)
	}
	if r.answered && ans.Fault != nil {
		// What stands there may be the answer of the first delivery, which the
		// refusal of the second must not take away.
		out := r.rest.rendered(ans, r.i.FileLimit)
		out.message.Flags |= flagEphemeral
		return r.rest.follow(ctx, r.i, out.message, out.files)
	}
	err := r.send(ctx, r.rest.rendered(ans, r.i.FileLimit), r.replaces(ans))
	if ans.Repeat && hasCode(err, codeAlreadyAnswered) {
		return nil // whoever carried it out has said so
	}
	if err == nil || isDead(err) || isUnsure(err) || hasCode(err, codeAlreadyAnswered) {
		return err
	}
	// The service refused the message itself. The member still gets a word,
	// and the log what was wrong with it.
	ans = refused(fault.New(fault.Internal, "the answer could not be shown here").Hint("try again; if it stays, tell whoever runs this helper"))
	if second := r.send(ctx, r.rest.rendered(ans, 0), r.replaces(ans)); second != nil {
		return second
	}
	return err
}

// yield gives way to whoever carries the same interaction out, another replica
// or the program before this one: its answer says more than that there is one.
// Where that does not come in time, this one tells what happened.
func (r *response) yield(ctx context.Context) {
	wait := r.patience.yield
	if !r.announced {
		wait = min(wait, time.Until(r.until)-r.patience.announce)
	}
	if sleep(ctx, wait) != nil || !r.announced {
		return
	}
	if r.fore.Replace { // the message that was pressed is not ours to spoil
		r.answered = true
		return
	}
	// That somebody announced an answer is no answer: nothing may follow it before
	// it is there, and where it does not come, this one takes its place.
	if m, err := r.rest.original(ctx, r.i); err == nil {
		r.answered = m.Flags&flagLoading == 0
	}
}

// replaces says whether an answer takes the place of the message that was
// pressed. A refusal does so only where nobody else sees that message: it is
// for who pressed alone, and others would lose what they were reading.
func (r *response) replaces(ans chat.Answer) bool {
	if !r.i.OnMessage || ans.Fault != nil && r.i.MessageFlags&flagEphemeral == 0 {
		return false
	}
	return ans.Replace || r.announced && r.fore.Replace
}

// send puts a message where it belongs.
func (r *response) send(ctx context.Context, out rendered, replace bool) error {
	if r.announced {
		return r.fulfil(ctx, out, replace)
	}
	kind := answerMessage
	if replace {
		kind = answerUpdate
	} else if out.private {
		out.message.Flags |= flagEphemeral
	}
	err := r.first(ctx, callback{Type: kind, Data: out.message}, out.files)
	if isUnsure(err) {
		// It may have arrived. An edit does no harm if it has and tells if not.
		out.message.Flags = 0
		return r.rest.edit(ctx, r.i, out.message, out.files)
	}
	return err
}

// fulfil keeps what was announced. Where all were told but the answer is for
// the asker alone, the announced message says so and the answer follows.
func (r *response) fulfil(ctx context.Context, out rendered, replace bool) error {
	switch {
	case r.fore.Replace && !replace:
		out.message.Flags |= flagEphemeral
		return r.rest.follow(ctx, r.i, out.message, out.files)
	case r.fore.Replace, r.fore.Private, !out.private:
		return r.rest.edit(ctx, r.i, out.message, out.files)
	}
	stub := message{
		Embeds:   []embed{{Description: "This did not work out; only who asked can see why.", Color: colorRefusal}},
		Mentions: nobody(), Components: []row{}, Attachments: []attachment{},
	}
	if err := r.rest.edit(ctx, r.i, stub, nil); err != nil {
		return err
	}
	out.message.Flags |= flagEphemeral
	return r.rest.follow(ctx, r.i, out.message, out.files)
}
