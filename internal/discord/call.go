package discord

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
)

// directKept bounds how many channels of direct messages are remembered.
const directKept = 10000

// A message of ours is looked for page by page, as long as a request gives
// them, back to a while before it was sent: clocks differ.
const (
	lookPage  = 100
	lookPages = 20
	lookSkew  = 5 * time.Minute
)

// speaker says what nobody asked for just now: calls, and cards kept up to
// date. Both ways in have one; it needs the bot token.
type speaker struct {
	rest *rest

	mu     sync.Mutex
	direct map[string]string // user → channel of direct messages
}

func newSpeaker(r *rest) *speaker { return &speaker{rest: r, direct: make(map[string]string)} }

// Send shows a message that nobody asked for just now, in a channel or to a
// member alone, calling that member and nobody else. The same key is shown once.
func (s *speaker) Send(ctx context.Context, m chat.Message) (chat.Outcome, error) {
	user, channel, outcome, err := s.placeOf(ctx, m)
	if err != nil {
		return outcome, err
	}
	page := s.rest.rendered(chat.Answer{Reply: m.Reply}, 0)
	body := post{message: page.message, Nonce: m.Key, EnforceNonce: true}
	body.Flags = 0
	if m.Place != "" {
		call := "<@" + user + ">"
		body.Content = &call
		body.Mentions.Users = []string{user}
	}
	if err := s.rest.post(ctx, channel, body, page.files); err != nil {
		return sentOutcome(err), fmt.Errorf("call a member: %w", err)
	}
	return chat.Shown, nil
}

// Look tells whether a message was shown before: by its key, or by the ids of
// its buttons, which no other message has.
func (s *speaker) Look(ctx context.Context, m chat.Message) (chat.Outcome, error) {
	_, channel, outcome, err := s.placeOf(ctx, m)
	if err != nil {
		if outcome == chat.Unseen {
			outcome = chat.Unknown // it could not be looked at
		}
		return outcome, err
	}
	before := ""
	for range lookPages {
		page, err := s.rest.messages(ctx, channel, before)
		if err != nil {
			if outcome = sentOutcome(err); outcome == chat.Unseen {
				outcome = chat.Unknown
			}
			return outcome, fmt.Errorf("look for a message: %w", err)
		}
		for _, one := range page {
			if string(one.Nonce) == m.Key || one.has(m.Marks) {
				return chat.Shown, nil
			}
		}
		if len(page) < lookPage || page[len(page)-1].Timestamp.Before(m.Since.Add(-lookSkew)) {
			return chat.Unseen, nil
		}
		before = page[len(page)-1].ID
	}
	return chat.Unseen, nil // it is far up by now, and of no use there
}

// placeOf finds whom a message calls, and its channel. Where it can't, the
// outcome says what that means for a message to be sent.
func (s *speaker) placeOf(ctx context.Context, m chat.Message) (user, channel string, outcome chat.Outcome, err error) {
	user, ours := strings.CutPrefix(m.MemberKey, keyPrefix)
	if !ours || !isSnowflake(user) || m.Place != "" && !isSnowflake(m.Place) {
		return "", "", chat.Refused, errors.New("call a member: the member or the channel is none of this service")
	}
	if s.rest.token == "" {
		return "", "", chat.Refused, fmt.Errorf("call a member: %w", ErrNoToken)
	}
	if m.Place != "" {
		return user, m.Place, chat.Unknown, nil
	}
	s.mu.Lock()
	channel, known := s.direct[user]
	s.mu.Unlock()
	if known {
		return user, channel, chat.Unknown, nil
	}
	if channel, err = s.rest.openDirect(ctx, user); err != nil {
		outcome = sentOutcome(err)
		if outcome == chat.Unknown {
			outcome = chat.Unseen // nothing was sent there yet
		}
		return "", "", outcome, fmt.Errorf("open direct messages: %w", err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.direct) >= directKept {
		clear(s.direct)
	}
	s.direct[user] = channel
	return user, channel, chat.Unknown, nil
}

// sentOutcome is what an error of a request says of what was to be shown.
func sentOutcome(err error) chat.Outcome {
	var refused *APIError
	switch {
	case isUnsure(err):
		return chat.Unknown
	case errors.As(err, &refused) && refused.Status/100 == 4 && refused.Status != http.StatusTooManyRequests && refused.Status != http.StatusUnauthorized:
		return chat.Refused
	}
	return chat.Unseen // limits, or no token: it did not get as far
}

// seenMessage is what is read of a message in a channel.
type seenMessage struct {
	ID         string    `json:"id"`
	Timestamp  time.Time `json:"timestamp"`
	Nonce      nonceText `json:"nonce"`
	Components []struct {
		Components []struct {
			CustomID string `json:"custom_id"`
		} `json:"components"`
	} `json:"components"`
}

func (s seenMessage) has(ids []string) bool {
	for _, row := range s.Components {
		for _, c := range row.Components {
			if slices.Contains(ids, c.CustomID) {
				return true
			}
		}
	}
	return false
}

// nonceText is a nonce, which other clients may have sent as a number; such a
// one is none of ours.
type nonceText string

// UnmarshalJSON takes anything.
func (n *nonceText) UnmarshalJSON(raw []byte) error {
	var s string
	if json.Unmarshal(raw, &s) == nil {
		*n = nonceText(s)
	}
	return nil
}

const messagesPattern = "/channels/{channel}/messages"

// post shows a message in a channel. Its nonce makes it safe to repeat.
func (r *rest) post(ctx context.Context, channel string, body post, files []upload) error {
	return r.do(ctx, &call{method: http.MethodPost, pattern: messagesPattern, path: pathOf(messagesPattern, channel),
		major: channel, nonced: true, body: body, files: files}, nil)
}

// messages reads the newest messages of a channel, or those before one of them.
func (r *rest) messages(ctx context.Context, channel, before string) (list []seenMessage, err error) {
	query := url.Values{"limit": {strconv.Itoa(lookPage)}}
	if before != "" {
		query.Set("before", before)
	}
	err = r.do(ctx, &call{method: http.MethodGet, pattern: messagesPattern, path: pathOf(messagesPattern, channel), query: query, major: channel}, &list)
	return list, err
}

const directPattern = "/users/@me/channels"

// openDirect gives the channel of direct messages with a user. Asked twice, the
// service gives the same one.
func (r *rest) openDirect(ctx context.Context, user string) (string, error) {
	var c struct {
		ID string `json:"id"`
	}
	err := r.do(ctx, &call{method: http.MethodPost, pattern: directPattern, path: directPattern,
		whom: user, nonced: true, body: directChannel{Recipient: user}}, &c)
	if err == nil && !isSnowflake(c.ID) {
		err = errors.New("the service gave no channel")
	}
	return c.ID, err
}
