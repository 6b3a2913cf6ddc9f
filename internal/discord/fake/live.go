package fake

import (
	"encoding/json"
)

// live is the connection that became ready last.
func (s *Server) live() *connection {
	s.t.Helper()
	if !s.waitUntil(surely, func() bool { return s.connection != nil }) {
		s.t.Errorf("the bot is not connected")
		return nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.connection
}

// SendRaw sends a frame as it is.
func (s *Server) SendRaw(frame string) {
	s.t.Helper()
	if c := s.live(); c != nil {
		c.frame(frame)
	}
}

// CloseWith closes the live connection with a code.
func (s *Server) CloseWith(code int) {
	s.t.Helper()
	if c := s.live(); c != nil {
		c.Close(code)
	}
}

// Lose drops the live connection without a close frame.
func (s *Server) Lose() {
	s.t.Helper()
	if c := s.live(); c != nil {
		c.conn.NetConn().Close()
	}
}

// Send delivers an interaction over the live connection, or posts it.
func (s *Server) Send(interaction []byte) *Exchange {
	s.t.Helper()
	return s.send(interaction, func() *Exchange { return s.newExchange(interaction) })
}

// Expect registers an interaction without sending it, for tests that deliver
// it in another way.
func (s *Server) Expect(interaction []byte) *Exchange {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.newExchange(interaction)
}

// Press is the interaction of a member pressing a button of a shown message, or
// choosing values in a select of it. It is built on an example, so who presses
// and where are the example's.
func (s *Server) Press(shown *Shown, id string, values ...string) []byte {
	s.t.Helper()
	kind := 2
	if len(values) > 0 {
		kind = 3
	}
	data := map[string]any{"id": 2, "custom_id": id, "component_type": kind}
	if len(values) > 0 {
		data["values"] = values
	}
	s.mu.Lock()
	number, token := s.id(), s.id()
	s.mu.Unlock()
	return With(s.t, Example(s.t, "08_button_press"), map[string]any{
		"id": number, "token": "press-" + token, "data": data,
		"message.components": append([]any{}, list(shown.Body["components"])...), "message.flags": map[bool]int{true: flagEphemeral}[shown.Ephemeral],
	})
}

// Submit is the interaction of a member sending in a shown form, with the
// values given by input id; other inputs are sent as they were opened.
func (s *Server) Submit(shown *Shown, values map[string]any) []byte {
	s.t.Helper()
	var components []any
	for n, one := range list(shown.Body["components"]) {
		input := object(object(one)["component"])
		id := text(input["custom_id"])
		sent := map[string]any{"type": input["type"], "id": 2*n + 2, "custom_id": id}
		v, given := values[id]
		switch {
		case number(input["type"]) == 4 && !given:
			sent["value"] = text(input["value"])
		case number(input["type"]) == 4:
			sent["value"] = v
		case given:
			sent["values"] = []any{v}
		default:
			sent["values"] = []any{}
		}
		components = append(components, map[string]any{"type": 18, "id": 2*n + 1, "component": sent})
	}
	s.mu.Lock()
	number, token := s.id(), s.id()
	s.mu.Unlock()
	return With(s.t, Example(s.t, "10_modal_submit_labels"), map[string]any{
		"id": number, "token": "form-" + token, "data": map[string]any{"custom_id": shown.Body["custom_id"], "components": components},
	})
}

// Fresh gives an example a new id and token, so that it can be sent again.
func (s *Server) Fresh(raw []byte) []byte {
	s.t.Helper()
	s.mu.Lock()
	number, token := s.id(), s.id()
	s.mu.Unlock()
	return With(s.t, raw, map[string]any{"id": number, "token": "fresh-" + token})
}

// Button finds the id of the first button with that label.
func (s *Shown) Button(label string) string {
	id := ""
	walk(list(s.Body["components"]), func(c map[string]any) {
		if id == "" && text(c["label"]) == label {
			id = text(c["custom_id"])
		}
	})
	return id
}

// Text is all text of a message's cards, one line each.
func (s *Shown) Text() string {
	out := text(s.Body["content"])
	for _, one := range list(s.Body["embeds"]) {
		e := object(one)
		out += text(e["title"]) + "\n" + text(e["description"]) + "\n"
		for _, f := range list(e["fields"]) {
			out += text(object(f)["name"]) + ": " + text(object(f)["value"]) + "\n"
		}
		out += text(object(e["footer"])["text"])
	}
	return out
}

// JSON is the body as it was sent, for goldens.
func (s *Shown) JSON() []byte {
	raw, err := json.MarshalIndent(s.Body, "", "  ")
	if err != nil {
		return nil
	}
	return raw
}
