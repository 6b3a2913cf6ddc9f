package board

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"time"
)

// Times of an open stream.
const (
	// beatEvery is how often the page is told the time though nothing changed,
	// so that it notices when nobody speaks any more.
	beatEvery = 15 * time.Second
	// settle is how long further commits are waited for before the board is
	// looked at again: a busy evening makes several at once.
	settle = 300 * time.Millisecond
	// patience is how long a reader may take for one event.
	patience = 10 * time.Second
	// again is when a page that lost its stream is to ask again.
	again = 3 * time.Second
)

// event is what is told: the time, and the board where it changed.
type event struct {
	Now  int64  `json:"now"` // ms since 1970
	At   string `json:"at"`  // the clock of the viewer's zone
	HTML string `json:"html,omitempty"`
}

// news sends the board to an open page whenever it changes, as server-sent
// events (HTML standard, section 9.2): "board" with what changed, "beat" with
// the time, "gone" when the address was taken back. An event's id is the mark
// of the board; a page that comes back with it is told only what is new.
func (b *Board) news(w http.ResponseWriter, r *http.Request, l Look) {
	v, ok, err := l.Viewer(r.Context())
	switch {
	case err != nil:
		b.broken(w, r, "find who looks at the board", err)
		return
	case !ok:
		gone(w)
		return
	}
	if l.seat != nil {
		leave, ok := l.seat(v.Shop.ID)
		if !ok {
			w.Header().Set("Retry-After", "60")
			plainly(w, http.StatusServiceUnavailable, "Too many boards are open.")
			return
		}
		defer leave()
	}
	w.Header().Set("Content-Type", "text/event-stream")
	if r.Method == http.MethodHead {
		return
	}
	w.Header().Set("X-Accel-Buffering", "no") // a proxy in front must pass each on
	s := stream{out: http.NewResponseController(w), w: w, had: r.Header.Get("Last-Event-ID")}
	if s.had == "" {
		s.had = r.URL.Query().Get("mark")
	}
	// The server's own bound on reading a request would end the stream.
	if err := s.out.SetReadDeadline(time.Time{}); err != nil {
		b.broken(w, r, "open a stream", err)
		return
	}
	if err := s.send(fmt.Sprintf("retry: %d\n\n", again.Milliseconds())); err != nil {
		return
	}
	if err := b.tell(r.Context(), &s, l); err != nil && r.Context().Err() == nil {
		b.cfg.Log.Warn("an open board ended", "error", err)
	}
}

// stream is one open page.
type stream struct {
	w    http.ResponseWriter
	out  *http.ResponseController
	had  string    // the mark of the board that the page shows
	told time.Time // when it was told anything
}

// tell goes on until ctx ends, the reader leaves, or the address is taken back.
func (b *Board) tell(ctx context.Context, s *stream, l Look) error {
	for {
		_, changed := b.cfg.Changes() // before the look: what comes between is told again
		v, ok, err := l.Viewer(ctx)
		switch {
		case err != nil:
			return fmt.Errorf("find who looks: %w", err)
		case !ok:
			return s.event("gone", "", event{Now: b.cfg.Now().UnixMilli()})
		}
		now, err := b.shot(ctx, v, l.Home, newsAge)
		if err != nil {
			return err
		}
		if err := s.look(now, b.cfg.Now(), v.Zone()); err != nil {
			return nil // the reader left
		}
		wait := min(newsAge, beatEvery-b.cfg.Now().Sub(s.told))
		if next := now.view.next; !next.IsZero() {
			wait = min(wait, next.Sub(b.cfg.Now()))
		}
		if err := b.pause(ctx, changed, max(wait, settle), l); err != nil {
			return nil // ctx ended
		}
	}
}

// look tells what the page does not show yet, or the time if it was told
// nothing for a while.
func (s *stream) look(board still, now time.Time, zone *time.Location) error {
	e := event{Now: now.UnixMilli(), At: now.In(zone).Format("15:04")}
	switch {
	case board.mark != s.had:
		e.HTML = string(board.html)
		s.had, s.told = board.mark, now
		return s.event("board", board.mark, e)
	case now.Sub(s.told) >= beatEvery:
		s.told = now
		return s.event("beat", "", e)
	}
	return nil
}

// pause waits for a commit or for that long. After a commit it gives others
// time to follow, unless it took the address back.
func (b *Board) pause(ctx context.Context, changed <-chan struct{}, most time.Duration, l Look) error {
	timer := time.NewTimer(most)
	defer timer.Stop()
	select {
	case <-timer.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	case <-changed:
	}
	if _, ok, err := l.Viewer(ctx); err != nil || !ok {
		return nil // told at once
	}
	timer.Reset(settle)
	select {
	case <-timer.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// event writes one event. Its data is JSON, which has no line of its own that a
// member's text could begin.
func (s *stream) event(name, id string, e event) error {
	var data bytes.Buffer // with its line end
	to := json.NewEncoder(&data)
	to.SetEscapeHTML(false) // it stands in no page: a quarter less to send
	if err := to.Encode(e); err != nil {
		return fmt.Errorf("write an event: %w", err)
	}
	if id != "" {
		id = "id: " + id + "\n"
	}
	return s.send(fmt.Sprintf("event: %s\n%sdata: %s\n", name, id, data.Bytes()))
}

func (s *stream) send(text string) error {
	if err := s.out.SetWriteDeadline(time.Now().Add(patience)); err != nil {
		return fmt.Errorf("bound a write: %w", err)
	}
	if _, err := s.w.Write([]byte(text)); err != nil {
		return fmt.Errorf("send an event: %w", err)
	}
	return s.out.Flush()
}
