package chat_test

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
)

func TestStanding(t *testing.T) {
	a, fits := chat.Standing(chat.Action{Label: "Done", Line: `/due done due:"#12@3"`}, 47)
	if want := `1r.1b./due done due:"#12@3"`; !fits || a.ID != want {
		t.Errorf("id %q, %v; want %q", a.ID, fits, want)
	}
	if a, fits := chat.Standing(chat.Action{Line: "/due add about:" + strings.Repeat("x", 100)}, 47); fits {
		t.Errorf("%d bytes fit: %q", len(a.ID), a.ID)
	}
}
