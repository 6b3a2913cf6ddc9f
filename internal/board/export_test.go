package board

import "net/http"

// For the tests: what the wall answers without a listener, and its limits.
func (w *Wall) Handler() http.Handler { return w.handler() }

const (
	ShopStreams  = shopStreams
	GuessesBurst = guessesBurst
	PoursMost    = poursMost
)

// How lengths of time and a member's text are shown.
var (
	Span   = span
	Figure = figure
	Clip   = clip
)

// Forget drops what was made before, so that the next page is made anew.
func (b *Board) Forget() {
	b.mu.Lock()
	defer b.mu.Unlock()
	clear(b.shots)
}
