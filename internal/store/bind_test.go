package store

import (
	"strings"
	"testing"
)

func TestMarked(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"none", "SELECT 1", "SELECT 1"},
		{"in order", "a = ? AND b IN (?, ?)", "a = $1 AND b IN ($2, $3)"},
		{"past nine", strings.Repeat("?", 11), "$1$2$3$4$5$6$7$8$9$10$11"},
		{"in a text", "a = '?' AND b = ?", "a = '?' AND b = $1"},
		{"after a doubled quote", "a = 'it''s ?' AND b = ?", "a = 'it''s ?' AND b = $1"},
		{"in a name", `"what?" = ?`, `"what?" = $1`},
		{"in a comment", "a = ? -- why?\nAND b = ?", "a = $1 -- why?\nAND b = $2"},
		{"minus is no comment", "a - ? - ?", "a - $1 - $2"},
		{"an open quote", "a = ? AND b = 'x?", "a = $1 AND b = 'x?"},
		{"a comment at the end", "? -- ?", "$1 -- ?"},
		{"empty", "", ""},
	} {
		if got := marked(c.text, Dollar); got != c.want {
			t.Errorf("%s: marked(%q) = %q, want %q", c.name, c.text, got, c.want)
		}
	}
}

// FuzzMarked: taking the numbers out again gives the text back, they count
// up from 1, and none is inside a quoted piece.
func FuzzMarked(f *testing.F) {
	for _, seed := range []string{"a = ?", "'?'?", `"?"?`, "--?\n?", "''?''", "?-?--", "'--' ?"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if strings.Contains(text, "$") {
			t.Skip("a dollar of its own can't be told from ours")
		}
		got := marked(text, Dollar)
		var back strings.Builder
		n := 0
		for i := 0; i < len(got); i++ {
			if got[i] != '$' {
				back.WriteByte(got[i])
				continue
			}
			n++
			number := got[i+1:]
			want := itoa(n)
			if !strings.HasPrefix(number, want) {
				t.Fatalf("marked(%q) = %q: placeholder %d is not $%s", text, got, n, want)
			}
			i += len(want)
			back.WriteByte('?')
		}
		if back.String() != text {
			t.Fatalf("marked(%q) = %q, which goes back to %q", text, got, back.String())
		}
	})
}

// itoa is decimal the slow way, apart from the code under test.
func itoa(n int) string {
	if n < 10 {
		return string(rune('0' + n))
	}
	return itoa(n/10) + itoa(n%10)
}
