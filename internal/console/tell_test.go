package console

import (
	"bytes"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
)

// watcher is an Editor whose line is drawn anew.
type watcher struct {
	Editor
	live  bool
	drawn int
}

func (w *watcher) Live() bool { return w.live }
func (w *watcher) redraw()    { w.drawn++ }

// What comes by itself leaves the numbers on the screen as they are.
func TestTell(t *testing.T) {
	for _, live := range []bool{true, false} {
		var out bytes.Buffer
		editor := &watcher{live: live}
		p := Prompt{Editor: editor, Screen: &Screen{W: &out, Width: 80}, actions: []chat.Action{{ID: "a", Label: "Ready"}}}
		r := &chat.Reply{Title: "Reminder: wipe\x1b[2J", Actions: []chat.Action{{ID: "b", Label: "Snooze 10 min"}, {ID: "c", Label: "Done"}}}
		if err := p.Tell(r); err != nil {
			t.Fatal(err)
		}
		text, erased := strings.CutPrefix(out.String(), eraseLine)
		if erased != live || editor.drawn != 1 {
			t.Errorf("live %v: erased %v, drawn anew %d times", live, erased, editor.drawn)
		}
		if !strings.HasPrefix(text, "Reminder: wipe") || !strings.HasSuffix(text, "[2] Snooze 10 min   [3] Done   \n") || strings.Contains(text, "\x1b") {
			t.Errorf("it shows %q", text)
		}
		if got := p.buttons(); len(got) != 3 || got[0].ID != "a" || got[2].ID != "c" || len(r.Actions) != 2 {
			t.Errorf("buttons %+v", got)
		}
	}
}
