package discord

import (
	"errors"
	"io"
	"mime"
	"net/http"
	"time"
)

const (
	endpointPath = "/interactions"
	// bodyMost bounds an interaction; those with a full message under a button
	// have some tens of kilobytes.
	bodyMost = 1 << 20
)

// ServeHTTP takes one request: an interaction, or nothing that is told why.
func (e *Endpoint) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	at := e.cfg.Now()
	h := w.Header()
	h.Set("Cache-Control", "no-store")
	h.Set("X-Content-Type-Options", "nosniff")
	if status := statusOf(r); status != 0 {
		switch status {
		case http.StatusMethodNotAllowed:
			h.Set("Allow", http.MethodPost)
		case http.StatusUnauthorized:
			e.refused(errNoSignature)
		}
		plainly(w, status)
		return
	}
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, bodyMost))
	if err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			plainly(w, http.StatusRequestEntityTooLarge)
			return
		}
		plainly(w, http.StatusBadRequest)
		return
	}
	if err := verify(e.key, r.Header, body, e.cfg.Now()); err != nil {
		e.refused(err)
		plainly(w, http.StatusUnauthorized)
		return
	}
	e.take(w, r, body, at)
}

// statusOf gives the status of a request that can't be an interaction
// whatever it holds, 0 for others.
func statusOf(r *http.Request) int {
	switch {
	case r.URL.Path != endpointPath:
		return http.StatusNotFound
	case r.Method != http.MethodPost:
		return http.StatusMethodNotAllowed
	case r.ContentLength > bodyMost:
		return http.StatusRequestEntityTooLarge
	case len(r.Header.Values(headerSignature)) == 0 || len(r.Header.Values(headerTimestamp)) == 0:
		return http.StatusUnauthorized // not worth reading
	}
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		return http.StatusUnsupportedMediaType
	}
	return 0
}

// take answers what the service has surely sent.
func (e *Endpoint) take(w http.ResponseWriter, r *http.Request, body []byte, at time.Time) {
	i, err := e.handler.read(body)
	switch {
	case errors.Is(err, ErrUnknownType):
		w.WriteHeader(http.StatusAccepted) // left alone; a failure would be counted against us
	case errors.Is(err, errOtherApplication):
		plainly(w, http.StatusForbidden)
	case err != nil:
		plainly(w, http.StatusBadRequest)
	case i.Type == TypePing:
		reply(w, callback{Type: answerPong})
	case i.Type == TypeAutocomplete:
		e.suggest(w, r, job{raw: body, at: at, i: i, direct: make(chan callback, 1)})
	case e.workers.offer(job{raw: body, at: at, i: i}):
		w.WriteHeader(http.StatusAccepted)
	default:
		plainly(w, http.StatusServiceUnavailable)
	}
}

// suggest waits for the suggestions, as long as the service does.
func (e *Endpoint) suggest(w http.ResponseWriter, r *http.Request, j job) {
	if !e.workers.offer(j) {
		plainly(w, http.StatusServiceUnavailable)
		return
	}
	late := time.NewTimer(time.Until(e.handler.deadline(j.at)))
	defer late.Stop()
	select {
	case body, ok := <-j.direct:
		if !ok { // it came twice, or waited too long
			w.WriteHeader(http.StatusAccepted)
			return
		}
		reply(w, body)
	case <-late.C:
		plainly(w, http.StatusServiceUnavailable)
	case <-r.Context().Done():
	}
}

// reply answers with a body.
func reply(w http.ResponseWriter, body callback) {
	raw, err := marshal(body)
	if err != nil {
		plainly(w, http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(raw) // a connection that is gone wants no answer
}

// plainly answers with a status and its name, which tells nothing of us.
func plainly(w http.ResponseWriter, status int) {
	http.Error(w, http.StatusText(status), status)
}

// refused notes a request that is not signed as it must be. The service sends
// some on purpose, and strangers send many: the log gets the first in a minute.
func (e *Endpoint) refused(err error) {
	e.cfg.Watch.Interaction(eventUnsigned)
	warned := false
	e.grumble.Do(func() {
		warned = true
		e.cfg.Log.Warn("a request was refused; the service sends wrong ones on purpose now and then", "why", err)
	})
	if !warned {
		e.cfg.Log.Debug("a request was refused", "why", err)
	}
}
