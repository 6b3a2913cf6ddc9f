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
	rest *rest
	i    *Interaction
	fore chat.Foresight
	// until is when the service stops waiting for a first answer.
	until time.Time
	// announced is set once a deferral was sent, whatever came of it.
	announced bool
}

func (h *handler) newResponse(i *Interaction, at time.Time, fore chat.Foresight) *response {
	// Only a message that was pressed can be replaced.
	fore.Replace = fore.Replace && i.OnMessage
	return &response{rest: h.rest, i: i, fore: fore, until: h.deadline(at)}
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
	if r.fore.Replace {
		return r.first(ctx, callback{Type: answerDeferUpdate}, nil)
	}
	body := callback{Type: answerDefer}
	if r.fore.Private {
		body.Data = deferData{Flags: flagEphemeral}
	}
	return r.first(ctx, body, nil)
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
	out := render(ans, r.i.FileLimit)
	err := r.send(ctx, out, ans.Replace)
	if err == nil || isDead(err) || isUnsure(err) || hasCode(err, codeAlreadyAnswered) {
		return err
	}
	// The service refused the message itself. The member still gets a word,
	// and the log what was wrong with it.
	plain := render(refused(fault.New(fault.Internal, "the answer could not be shown here").Hint("try again; if it stays, tell whoever runs this helper")), 0)
	if second := r.send(ctx, plain, ans.Replace); second != nil {
		return second
	}
	return err
}

// send puts a message where it belongs.
func (r *response) send(ctx context.Context, out rendered, replace bool) error {
	if r.announced {
		return r.fulfil(ctx, out)
	}
	kind := answerMessage
	if replace && r.i.OnMessage {
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

// fulfil edits the announcement. Where that was made for all to see but the
// answer is for the asker alone, it says so there and the answer follows.
func (r *response) fulfil(ctx context.Context, out rendered) error {
	if r.fore.Private || r.fore.Replace || !out.private {
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
