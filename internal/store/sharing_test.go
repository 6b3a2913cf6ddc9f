package store

import (
	"crypto/rand"
	"errors"
	"io"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// bytesOf draws from a fixed sequence, over and over.
type bytesOf struct {
	seq []byte
	at  int
}

func (b *bytesOf) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = b.seq[b.at%len(b.seq)]
		b.at++
	}
	return len(p), nil
}

// TestCodeIsEven: each letter of the alphabet comes from as many of the 256
// bytes as any other, and the others are drawn again.
func TestCodeIsEven(t *testing.T) {
	seen := map[rune]int{}
	all := make([]byte, 256)
	for i := range all {
		all[i] = byte(i)
	}
	source := &bytesOf{seq: all}
	for range 256 / len(alphabet) * len(alphabet) { // as many rounds as a code has letters
		code, err := newCode(source)
		if err != nil {
			t.Fatal(err)
		}
		if len(code) != codeLength+codeLength/codeGroup-1 || tidyCode(code) != code {
			t.Fatalf("code %q", code)
		}
		for _, r := range strings.ReplaceAll(code, "-", "") {
			seen[r]++
		}
	}
	if len(seen) != len(alphabet) {
		t.Errorf("%d letters are used of %d", len(seen), len(alphabet))
	}
	for r, n := range seen {
		if n != 256/len(alphabet)*codeLength {
			t.Errorf("%c comes %d times, want %d", r, n, 256/len(alphabet)*codeLength)
		}
	}
	for _, r := range "01ilosuz5b8g" {
		if strings.ContainsRune(alphabet, r) {
			t.Errorf("%c looks like another", r)
		}
	}
}

// TestCodeNeedsChance: no chance, no code.
func TestCodeNeedsChance(t *testing.T) {
	if code, err := newCode(strings.NewReader("short")); !errors.Is(err, io.EOF) || code != "" {
		t.Errorf("got %q, %v", code, err)
	}
}

// TestTidyCode: however a code is typed it reads as it was drawn.
func TestTidyCode(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		code, err := newCode(rand.Reader)
		if err != nil {
			t.Fatal(err)
		}
		var typed strings.Builder
		for _, r := range code {
			if r == '-' && rapid.Bool().Draw(t, "without dash") {
				continue
			}
			if rapid.Bool().Draw(t, "space") {
				typed.WriteByte(' ')
			}
			s := string(r)
			if rapid.Bool().Draw(t, "capital") {
				s = strings.ToUpper(s)
			}
			typed.WriteString(s)
		}
		if got := tidyCode(typed.String()); got != code {
			t.Fatalf("%q reads as %q, want %q", typed.String(), got, code)
		}
	})
}

// FuzzTidyCode: what strangers type reads as a whole code or as none.
func FuzzTidyCode(f *testing.F) {
	for _, s := range []string{"", "4kd-w7m-9fh-2xq-vr3-pn6", "4KDW7M9FH2XQVR3PN6", "----", "ſſſ", strings.Repeat("a", 1000)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		got := tidyCode(typed)
		if got != "" && (len(got) != 23 || tidyCode(got) != got) {
			t.Errorf("%q reads as %q", typed, got)
		}
	})
}
