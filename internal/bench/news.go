package bench

import (
	"errors"
	"fmt"
	"net/http"
	"time"
)

// news tells an open page that the conversation grew, such as by what was
// typed in the terminal, as server-sent events (HTML standard, 9.2). An event
// holds only how many entries there were; the page loads them itself.
func (b *Bench) news(w http.ResponseWriter, r *http.Request) {
	out := http.NewResponseController(w)
	// It lasts as long as the page is looked at: the server's bounds on one
	// request would end it.
	if err := errors.Join(out.SetReadDeadline(time.Time{}), out.SetWriteDeadline(time.Time{})); err != nil {
		b.refuse(w, http.StatusInternalServerError, "No news can be sent here.")
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	for {
		marks, changed := b.said.wait()
		if _, err := fmt.Fprintf(w, "data: %d\n\n", marks); err != nil {
			return
		}
		if err := out.Flush(); err != nil {
			return
		}
		select {
		case <-changed:
		case <-r.Context().Done():
			return
		}
	}
}
