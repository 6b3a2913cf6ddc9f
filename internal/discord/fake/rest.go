package fake

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"regexp"
	"strings"
	"time"
)

// endpoint is one REST route.
type endpoint struct {
	method, path string
	// hook routes carry no bot token and stand outside the global limit.
	hook bool
	// schema of the body; "" when there is none.
	schema string
	// do answers. The lock is held.
	do func(*exchange) reply
}

func (e endpoint) route() string { return e.method + " " + e.path }

// exchange is one request, read and checked.
type exchange struct {
	*http.Request
	route string
	at    time.Time // when it came, before anything was judged
	body  map[string]any
	list  []any
	raw   json.RawMessage
	files []File
}

// reply is status and JSON body; a nil body sends none.
type reply struct {
	status int
	body   any
}

// apiError is the service's error object.
type apiError struct {
	Message string `json:"message"`
	Code    int    `json:"code"`
	Errors  any    `json:"errors,omitempty"`
}

func refuse(status, code int, message string) reply {
	return reply{status, apiError{Message: message, Code: code}}
}

func (s *Server) handleREST(mux *http.ServeMux) {
	for _, e := range []endpoint{
		{method: "GET", path: "/gateway", do: s.getGateway},
		{method: "GET", path: "/gateway/bot", do: s.getGatewayBot},
		{method: "GET", path: "/applications/@me", do: s.getApplication},
		{method: "GET", path: "/applications/{application}/commands", do: s.getCommands},
		{method: "PUT", path: "/applications/{application}/commands", schema: "CommandBulkOverwrite", do: s.putCommands},
		{method: "POST", path: "/interactions/{interaction}/{token}/callback", hook: true, schema: "InteractionCallback", do: s.postCallback},
		{method: "PATCH", path: "/webhooks/{application}/{token}/messages/@original", hook: true, schema: "ResponseEdit", do: s.patchOriginal},
		{method: "GET", path: "/webhooks/{application}/{token}/messages/@original", hook: true, do: s.getOriginal},
		{method: "POST", path: "/webhooks/{application}/{token}", hook: true, schema: "FollowupCreate", do: s.postFollowup},
		{method: "POST", path: "/channels/{channel}/messages", schema: "MessageCreate", do: s.postMessage},
		{method: "GET", path: "/channels/{channel}/messages", do: s.getMessages},
		{method: "PATCH", path: "/channels/{channel}/messages/{message}", schema: "MessageEdit", do: s.patchMessage},
		{method: "POST", path: "/users/@me/channels", schema: "DMChannelCreate", do: s.postDM},
	} {
		mux.HandleFunc(e.method+" /api/v10"+e.path, func(w http.ResponseWriter, r *http.Request) { s.serve(w, r, e) })
	}
}

// serve takes a request through headers, faults, limits, schema and rules.
func (s *Server) serve(w http.ResponseWriter, r *http.Request, e endpoint) {
	x := &exchange{Request: r, route: e.route(), at: s.clock()}
	readErr := x.read(w, r)
	s.mu.Lock()
	x.at = x.at.Add(s.shift)
	if s.skipAnswer(w, x, e, readErr) {
		return
	}
	f := s.takeFault(x.route)
	if f != nil && (f.Delay > 0 || f.Until != nil || f.Drop || f.Status != 0 && !f.After) {
		s.mu.Unlock()
		time.Sleep(f.Delay)
		if f.Until != nil {
			<-f.Until
		}
		if f.Drop {
			s.note(x, 0)
			drop(w)
			return
		}
		if f.Status != 0 && !f.After {
			s.note(x, f.Status)
			for k, v := range f.Header {
				w.Header().Set(k, v)
			}
			w.WriteHeader(f.Status)
			io.WriteString(w, f.Body)
			return
		}
		s.mu.Lock()
	}
	answer := e.do(x)
	if f != nil && f.DropAfter {
		answer.status = 0
	} else if f != nil && f.After && f.Status != 0 {
		answer = refuse(f.Status, 0, "Internal Server Error")
	}
	// Whoever sees what a request did finds it counted.
	s.record(x, answer.status)
	s.mu.Unlock()
	if answer.status == 0 {
		drop(w)
		return
	}
	writeJSON(w, answer.status, answer.body)
}

// skipAnswer answers a request that does not get as far as its endpoint, and
// then gives the lock back.
func (s *Server) skipAnswer(w http.ResponseWriter, x *exchange, e endpoint, readErr error) bool {
	answer := reply{}
	switch {
	case readErr != nil:
		s.violate("%s: %v", x.route, readErr)
		answer = refuse(http.StatusBadRequest, 50109, "The request body contains invalid JSON.")
	case !s.checkHeaders(x, e):
		answer = refuse(http.StatusUnauthorized, 0, "401: Unauthorized")
	case !e.hook && s.overGlobal():
		s.violate("%s: more than 50 requests in a second", x.route)
		w.Header().Set("X-RateLimit-Global", "true")
		w.Header().Set("Retry-After", "1")
		answer = reply{http.StatusTooManyRequests, map[string]any{"message": "You are being rate limited.", "retry_after": 1.0, "global": true}}
	default:
		if wait := s.spend(x.route, major(x.Request), w.Header()); wait > 0 {
			answer = reply{http.StatusTooManyRequests, map[string]any{"message": "You are being rate limited.", "retry_after": wait.Seconds(), "global": false}}
		} else if err := s.checkBody(x, e); err != nil {
			s.violate("%s: %v", x.route, err)
			answer = refuse(http.StatusBadRequest, 50035, "Invalid Form Body")
		}
	}
	if answer.status == 0 {
		return false
	}
	s.mu.Unlock()
	s.note(x, answer.status)
	writeJSON(w, answer.status, answer.body)
	return true
}

func (s *Server) checkBody(x *exchange, e endpoint) error {
	if e.schema == "" {
		if len(x.raw) > 0 {
			return fmt.Errorf("a body where none belongs")
		}
		return nil
	}
	return CheckOutbound(e.schema, x.raw)
}

// major is what the service keeps limits apart by.
func major(r *http.Request) string {
	return r.PathValue("channel") + r.PathValue("application") + r.PathValue("interaction") + r.PathValue("token")
}

// overGlobal counts a request of the bot. The lock must be held.
func (s *Server) overGlobal() bool {
	now := s.now()
	keep := s.global[:0]
	for _, at := range s.global {
		if now.Sub(at) < time.Second {
			keep = append(keep, at)
		}
	}
	s.global = append(keep, now)
	return len(s.global) > 50
}

// userAgent is the form the service asks for (Reference, "User Agent").
var userAgent = regexp.MustCompile(`^DiscordBot \(https?://[^ ,]+, [^ )]+\)`)

// checkHeaders notes wrong headers and reports whether the request may go on.
func (s *Server) checkHeaders(x *exchange, e endpoint) bool {
	if !userAgent.MatchString(x.UserAgent()) {
		s.violate("%s: User-Agent %q", x.route, x.UserAgent())
	}
	auth := x.Header.Get("Authorization")
	if e.hook {
		if auth != "" {
			s.violate("%s: carries an Authorization header", x.route)
		}
		return true
	}
	return auth == "Bot "+Token
}

// note keeps the request for the test. The lock must not be held.
func (s *Server) note(x *exchange, status int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.record(x, status)
}

// record is note where the lock is held.
func (s *Server) record(x *exchange, status int) {
	s.requests = append(s.requests, Request{Route: x.route, Path: x.URL.Path, Body: x.raw, Files: x.files, At: time.Now(), Status: status})
	s.changed.Broadcast()
}

const maxBody = 25 << 20

// read takes the JSON out of the request, and the files beside it.
func (x *exchange) read(w http.ResponseWriter, r *http.Request) error {
	data, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxBody))
	if err != nil {
		return fmt.Errorf("read body: %w", err)
	}
	if len(data) == 0 {
		return nil
	}
	kind, params, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil {
		return fmt.Errorf("content type: %w", err)
	}
	switch kind {
	case "application/json":
		x.raw = data
	case "multipart/form-data":
		if err := x.readForm(data, params["boundary"]); err != nil {
			return err
		}
	default:
		return fmt.Errorf("content type %q", kind)
	}
	if bytes.HasPrefix(x.raw, []byte("[")) {
		return json.Unmarshal(x.raw, &x.list)
	}
	return json.Unmarshal(x.raw, &x.body)
}

var fileField = regexp.MustCompile(`^files\[([0-9])\]$`)

func (x *exchange) readForm(data []byte, boundary string) error {
	form := multipart.NewReader(bytes.NewReader(data), boundary)
	for {
		part, err := form.NextPart()
		if err == io.EOF {
			break
		}
		if err != nil {
			return fmt.Errorf("form: %w", err)
		}
		content, err := io.ReadAll(part)
		if err != nil {
			return fmt.Errorf("form part: %w", err)
		}
		name := part.FormName()
		switch {
		case name == "payload_json":
			x.raw = content
		case fileField.MatchString(name):
			if want := fmt.Sprintf("files[%d]", len(x.files)); name != want {
				return fmt.Errorf("form part %s, want %s", name, want)
			}
			x.files = append(x.files, File{Name: part.FileName(), Data: content})
		default:
			return fmt.Errorf("form part %q", name)
		}
	}
	if len(x.raw) == 0 {
		return fmt.Errorf("form without payload_json")
	}
	return nil
}

// drop closes the connection without an answer.
func drop(w http.ResponseWriter) {
	if h, ok := w.(http.Hijacker); ok {
		if conn, _, err := h.Hijack(); err == nil {
			conn.Close()
		}
	}
}

func writeJSON(w http.ResponseWriter, status int, body any) {
	if body == nil {
		w.WriteHeader(status)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	if raw, ok := body.(json.RawMessage); ok {
		w.Write(raw)
		return
	}
	json.NewEncoder(w).Encode(body)
}

func (s *Server) getGateway(*exchange) reply {
	return reply{http.StatusOK, map[string]any{"url": s.gatewayURL()}}
}

func (s *Server) gatewayURL() string { return strings.Replace(s.http.URL, "http", "ws", 1) }

func (s *Server) getGatewayBot(*exchange) reply {
	return reply{http.StatusOK, map[string]any{"url": s.gatewayURL(), "shards": s.shards, "session_start_limit": map[string]any{
		"total": 1000, "remaining": s.startsLeft, "reset_after": s.startsReset.Milliseconds(), "max_concurrency": 1}}}
}

func (s *Server) getApplication(*exchange) reply {
	return reply{http.StatusOK, map[string]any{"id": ApplicationID, "name": "Pourwright", "description": "", "bot_public": true,
		"bot_require_code_grant": false, "verify_key": s.PublicKey()}}
}
