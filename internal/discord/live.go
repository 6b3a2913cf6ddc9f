package discord

import (
	"context"
	"errors"
	"fmt"
	"net/http"

	"github.com/pourwright/pourwright/internal/chat"
)

// afterwards does what follows an answer that was shown: the desk is told what
// message a live card became, and a member who asked before everyone's eyes
// gets aside what is for them alone. The answer stands whatever becomes of it.
func (h *handler) afterwards(ctx context.Context, i *Interaction, inv chat.Invocation, ans chat.Answer) {
	if ans.Aside != nil {
		out := h.rest.rendered(chat.Answer{Reply: ans.Aside, Private: true}, i.FileLimit)
		out.message.Flags |= flagEphemeral
		if err := h.rest.follow(ctx, i, out.message, out.files); err != nil {
			h.log.Warn("what a member was to be told aside did not get through", "err", err)
		}
	}
	// Only a message that others see is edited later, and only where we are a
	// member of the guild. A private card can't be reached once its token is
	// spent: its times are relative to now, and run by themselves.
	if !ans.Live() || ans.Private || inv.Place == "" {
		return
	}
	if err := h.keepLive(ctx, i, inv, ans); err != nil {
		h.log.Warn("a live card stays as it is", "err", err)
	}
}

// keepLive tells the desk what message an answer became.
func (h *handler) keepLive(ctx context.Context, i *Interaction, inv chat.Invocation, ans chat.Answer) error {
	m, err := h.rest.original(ctx, i)
	if err != nil {
		return fmt.Errorf("look at the message of an answer: %w", err)
	}
	if m.Flags&flagEphemeral != 0 {
		return nil // the server does not let us answer before everyone's eyes
	}
	if !isSnowflake(m.ID) {
		return errors.New("the service gave no message")
	}
	return h.desk.Posted(ctx, inv, ans, m.ID)
}

// Edit puts a reply in the place of what a message of ours shows. Nobody is
// called by it.
func (s *speaker) Edit(ctx context.Context, place, id string, r *chat.Reply) (chat.Outcome, error) {
	if !isSnowflake(place) || !isSnowflake(id) {
		return chat.Refused, errors.New("edit a message: the channel or the message is none of this service")
	}
	page := s.rest.rendered(chat.Answer{Reply: r}, 0)
	err := s.rest.change(ctx, place, id, page.message, page.files)
	switch {
	case err == nil:
		return chat.Shown, nil
	case hasCode(err, codeUnknownMessage, codeUnknownChannel, codeMissingAccess, codeMissingPermissions, codeNotOurs):
		return chat.Refused, nil // taken away by someone who may: nothing is wrong
	}
	return sentOutcome(err), fmt.Errorf("edit a message: %w", err)
}

// standing is what is read of a message that an answer became.
type standing struct {
	ID    string `json:"id"`
	Flags int    `json:"flags"`
}

// original reads the message that the first answer became.
func (r *rest) original(ctx context.Context, i *Interaction) (m standing, err error) {
	err = r.do(ctx, &call{method: http.MethodGet, pattern: originalPattern, path: pathOf(originalPattern, i.ApplicationID, i.Token),
		major: i.ApplicationID + "/" + i.Token, hook: true}, &m)
	return m, err
}

const messagePattern = "/channels/{channel}/messages/{message}"

// change replaces a message of ours; sending it twice does no harm.
func (r *rest) change(ctx context.Context, channel, id string, body message, files []upload) error {
	return r.do(ctx, &call{method: http.MethodPatch, pattern: messagePattern, path: pathOf(messagePattern, channel, id),
		major: channel, body: body, files: files}, nil)
}
