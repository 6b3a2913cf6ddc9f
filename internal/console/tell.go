package console

import (
	"bytes"
	"fmt"
	"io"
	"slices"

	"github.com/pourwright/pourwright/internal/chat"
)

// eraseLine takes the prompt and what is typed off the screen, until redraw.
const eraseLine = "\r\x1b[K"

// Tell shows a reply that comes by itself, above the line being typed, which
// stays. Its buttons take the next numbers: those on the screen keep theirs, so
// that nobody presses what they did not mean. It may be called from another
// goroutine.
func (p *Prompt) Tell(r *chat.Reply) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	var text bytes.Buffer
	if p.Editor.Live() {
		text.WriteString(eraseLine)
	}
	bare := *r
	bare.Actions = nil
	screen := *p.Screen
	screen.W = &text
	if err := screen.Show(chat.Answer{Reply: &bare, Private: true}, nil); err != nil {
		return err
	}
	for i, a := range r.Actions {
		fmt.Fprintf(&text, "[%d] %s   ", len(p.actions)+i+1, oneLine(a.Label))
	}
	if len(r.Actions) > 0 {
		text.WriteString("\n")
	}
	p.actions = slices.Concat(p.actions, r.Actions)
	if _, err := io.Copy(p.Screen.W, &text); err != nil {
		return fmt.Errorf("show a reply that comes by itself: %w", err)
	}
	if k, ok := p.Editor.(interface{ redraw() }); ok {
		k.redraw()
	}
	return nil
}
