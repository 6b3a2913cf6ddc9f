package chat_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
)

// By rule N1 of Unicode Standard Annex 9 a number behind a right-to-left word is
// shown before it; a left-to-right mark between the two keeps it behind.
func TestReadable(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"plain", "132 g A", "132 g A"},
		{"accents", "café 3 g", "café 3 g"},
		{"a number behind a name", "אדום 0.2 %", "אדום\u200e 0.2 %"},
		{"words of one name stay together", "אדום כהה, red", "אדום כהה\u200e, red"},
		{"Arabic with a mark", "أحمَ 5 g", "أحمَ\u200e 5 g"},
		{"at the end", "x אדום", "x אדום\u200e"},
		{"a mark that was typed is left out", "אדום\u200f 2", "אדום\u200e 2"},
		{"turned", "a\u202e100", "a100"},
		{"lines", "אדום\n2", "אדום\u200e\n2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := chat.Readable(c.text); got != c.want || chat.Readable(got) != got {
				t.Errorf("Readable(%q) = %q, want %q", c.text, got, c.want)
			}
		})
	}
}
