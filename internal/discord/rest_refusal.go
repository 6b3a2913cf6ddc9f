package discord

import (
	"net/http"
	"time"
)

const (
	// The service bans an address after 10 000 refusals in ten minutes (Rate
	// Limits, "Invalid Request Limit"). We stop at a fifth of that.
	refusalWindow = 10 * time.Minute
	refusalLimit  = 2000
	// rememberFor is how long a refused path is not tried again; an
	// interaction's token is dead by then anyway.
	rememberFor = 15 * time.Minute
	// rememberMost bounds the memory for refused paths.
	rememberMost = 10_000
)

// refusalLog counts refused requests and remembers which ones are pointless.
// Its lock is the limiter's; the zero value is ready.
type refusalLog struct {
	at   []time.Time
	dead map[string]remembered
}

type remembered struct {
	refusal APIError
	until   time.Time
}

// count notes an answer that counts towards the ban.
func (l *refusalLog) count(status int, now time.Time) {
	switch status {
	case http.StatusUnauthorized, http.StatusForbidden, http.StatusTooManyRequests:
		l.at = append(l.at, now)
	}
}

// check refuses a call that is known to be pointless, and all calls when too
// many were refused of late.
func (l *refusalLog) check(c *call, now time.Time) error {
	for len(l.at) > 0 && now.Sub(l.at[0]) > refusalWindow {
		l.at = l.at[1:]
	}
	if len(l.at) >= refusalLimit {
		return errTooManyRefusals
	}
	for _, key := range []string{pathKey(c), hookKey(c)} {
		if r, ok := l.dead[key]; ok && r.until.After(now) {
			refusal := r.refusal
			return &refusal
		}
	}
	return nil
}

// remember keeps a 403 for its method, path and user, and a webhook's 404 for
// all that belongs to that webhook.
func (l *refusalLog) remember(c *call, e *APIError, now time.Time) {
	var key string
	switch {
	case e.Status == http.StatusForbidden && c.method != http.MethodGet:
		key = pathKey(c)
	case c.hook && isDead(e):
		key = hookKey(c)
	default:
		return
	}
	if l.dead == nil {
		l.dead = make(map[string]remembered)
	}
	if len(l.dead) >= rememberMost {
		l.sweep(now)
	}
	if len(l.dead) < rememberMost {
		l.dead[key] = remembered{*e, now.Add(rememberFor)}
	}
}

func (l *refusalLog) sweep(now time.Time) {
	for key, r := range l.dead {
		if !r.until.After(now) {
			delete(l.dead, key)
		}
	}
}

// pathKey tells calls apart by what they are about: one user who takes no
// messages closes no route to the others.
func pathKey(c *call) string { return c.method + " " + c.path + " " + c.whom }

// hookKey joins all routes of one interaction token; a bot route has none.
func hookKey(c *call) string {
	if !c.hook {
		return ""
	}
	return "hook " + c.major
}
