package bench

import (
	"crypto/subtle"
	"net/http"
	"strings"
)

// policy lets a page load from here and from nowhere else, run no inline
// script or style, send forms only here and never be framed.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guard stands in front of every page. In order:
//
//   - headers that close what a browser leaves open;
//   - the Host must be the very address listened on, so that a name made to
//     point at 127.0.0.1 ("DNS rebinding") reaches nothing;
//   - no request that a page from elsewhere made the browser send, but for a
//     link followed (Sec-Fetch-Site, and for older browsers Origin);
//   - the run's key in the path.
//
// Each form sent in holds a token besides (readBody).
func (b *Bench) guard(next http.Handler) http.Handler {
	elsewhere := http.NewCrossOriginProtection()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		secure(w.Header())
		if r.Host != b.host {
			b.refuse(w, http.StatusMisdirectedRequest, "This page has another address. Open the one that the terminal shows.")
			return
		}
		if elsewhere.Check(r) != nil || strayed(r) {
			b.refuse(w, http.StatusForbidden, "Another page sent this request, so it was not carried out.")
			return
		}
		key, _, _ := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
		if subtle.ConstantTimeCompare([]byte("/"+key), []byte(b.base)) != 1 {
			b.refuse(w, http.StatusNotFound, "Nothing is here. Each start has an address of its own: open the one that the terminal shows now.")
			return
		}
		next.ServeHTTP(w, r)
	})
}

func secure(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	// Not "no-referrer": with that a browser sends "Origin: null" with our own
	// forms too, and the address must leave this page in no case anyway.
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
}

// strayed reports a request for a part of a page (picture, script, fetch)
// that a page from elsewhere made. A link that was followed is no danger:
// nothing is changed by looking.
func strayed(r *http.Request) bool {
	site := r.Header.Get("Sec-Fetch-Site")
	if site == "" || site == "none" || site == "same-origin" {
		return false
	}
	return r.Header.Get("Sec-Fetch-Mode") != "navigate" || r.Header.Get("Sec-Fetch-Dest") != "document"
}

// refuse answers those who do not hold the key: plain text, nothing of ours.
func (b *Bench) refuse(w http.ResponseWriter, status int, text string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write([]byte(text + "\n")) // a reader that is gone needs no answer
}
