package discord

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"
)

// Codes of the service's errors that this package acts upon.
const (
	codeUnknownChannel     = 10003
	codeUnknownMessage     = 10008
	codeUnknownWebhook     = 10015
	codeUnknownInteraction = 10062
	codeAlreadyAnswered    = 40060
	codeTooManyFollowUps   = 40094
	codeTooManyEdits       = 30046 // of a message older than an hour; it comes with a 429
	codeMissingAccess      = 50001
	codeNotOurs            = 50005 // from memory
	codeCannotMessageUser  = 50007
	codeMissingPermissions = 50013
	codeInvalidToken       = 50027
	codeNoMutualGuild      = 50278
)

// APIError is a refusal by the service. Its text names the route by pattern:
// the real path of a webhook holds a secret.
type APIError struct {
	Status  int    // HTTP status
	Code    int    // the service's own code, 0 when it gave none
	Message string // the service's words, at most 200 bytes
	Fields  string // which fields were wrong, at most 600 bytes
	Route   string // method and path pattern
	// RetryAfter is how long a 429 asked us to wait, 0 otherwise.
	RetryAfter time.Duration
}

// Error gives route, status and the service's own words.
func (e *APIError) Error() string {
	s := fmt.Sprintf("%s: status %d", e.Route, e.Status)
	if e.Code != 0 {
		s += fmt.Sprintf(", code %d", e.Code)
	}
	if e.Message != "" {
		s += ": " + e.Message
	}
	if e.Fields != "" {
		s += " (" + e.Fields + ")"
	}
	if e.RetryAfter > 0 {
		s += fmt.Sprintf(" (again in %s)", e.RetryAfter)
	}
	return s
}

// ErrUnauthorized says that the service refused the bot token. Nothing more is
// sent with that token: repeated refusals end in a ban of the address.
var ErrUnauthorized = errors.New("the service refused the bot token: set a new one")

// errTooManyRefusals says that we stopped by ourselves, well before the
// service would ban this address.
var errTooManyRefusals = errors.New("too many requests were refused in ten minutes; sending none for now")

// hasCode reports whether err is a refusal with one of the codes.
func hasCode(err error, codes ...int) bool {
	var e *APIError
	if !errors.As(err, &e) {
		return false
	}
	for _, c := range codes {
		if e.Code == c {
			return true
		}
	}
	return false
}

// isDead reports whether an interaction or its webhook can take no more.
func isDead(err error) bool {
	return hasCode(err, codeUnknownInteraction, codeUnknownWebhook, codeInvalidToken)
}

// isUnsure reports whether a request may have been carried out although no
// answer says so: the connection broke or the service failed.
func isUnsure(err error) bool {
	var e *APIError
	if errors.As(err, &e) {
		return e.Status >= 500
	}
	var t *transportError
	return errors.As(err, &t)
}

// transportError is a lost or refused connection, without the address: the
// path of a webhook holds a secret.
type transportError struct {
	route string
	cause error
}

func (e *transportError) Error() string { return e.route + ": " + e.cause.Error() }
func (e *transportError) Unwrap() error { return e.cause }

// newAPIError reads the body of a refusal. A body that is not the documented
// JSON (a proxy's page) is left out: it may hold anything.
func newAPIError(route string, status int, body []byte) *APIError {
	e := &APIError{Status: status, Route: route, Message: http.StatusText(status)}
	var doc struct {
		Code    int             `json:"code"`
		Message string          `json:"message"`
		Errors  json.RawMessage `json:"errors"`
	}
	if json.Unmarshal(body, &doc) != nil {
		return e
	}
	e.Code = doc.Code
	if doc.Message != "" {
		e.Message = cutBytes(printable(doc.Message), 200)
	}
	e.Fields = cutBytes(strings.Join(fieldErrors("", doc.Errors, 0), "; "), 600)
	return e
}

// fieldErrors flattens the nested error object of a 50035 answer into lines
// such as "options.0.description BASE_TYPE_REQUIRED". The service's message
// texts are left out, as some repeat the value that was sent.
func fieldErrors(path string, raw json.RawMessage, depth int) []string {
	if len(raw) == 0 || depth > 12 {
		return nil
	}
	var node map[string]json.RawMessage
	if json.Unmarshal(raw, &node) != nil {
		return nil
	}
	var out []string
	for _, key := range sortedKeys(node) {
		if key == "_errors" {
			var list []struct {
				Code json.RawMessage `json:"code"`
			}
			if json.Unmarshal(node[key], &list) == nil {
				for _, one := range list {
					out = append(out, path+" "+printable(strings.Trim(string(one.Code), `"`)))
				}
			}
			continue
		}
		next := printable(key)
		if path != "" {
			next = path + "." + next
		}
		out = append(out, fieldErrors(next, node[key], depth+1)...)
	}
	return out
}
