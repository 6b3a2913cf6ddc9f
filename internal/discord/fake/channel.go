package fake

import (
	"encoding/json"
	"net/http"
)

// postMessage takes a message for a channel. With an enforced nonce a repeat
// gives the first message back.
func (s *Server) postMessage(x *exchange) reply {
	nonce, enforced := text(x.body["nonce"]), x.body["enforce_nonce"] == true
	key := x.PathValue("channel") + " " + nonce
	if enforced && nonce != "" {
		if before, ok := s.nonces[key]; ok {
			return reply{http.StatusOK, before}
		}
	}
	if s.complain(x.route, judgeMessage(x.body, x.files)) {
		return refuse(http.StatusBadRequest, 50035, "Invalid Form Body")
	}
	raw, err := json.Marshal(s.message(x.body))
	if err != nil {
		s.violate("%s: %v", x.route, err)
	}
	if enforced && nonce != "" {
		s.nonces[key] = raw
	}
	return reply{http.StatusOK, json.RawMessage(raw)}
}

// postDM opens the channel of direct messages with a user.
func (s *Server) postDM(*exchange) reply {
	return reply{http.StatusOK, map[string]any{"id": s.id(), "type": 1, "last_message_id": nil, "flags": 0}}
}
