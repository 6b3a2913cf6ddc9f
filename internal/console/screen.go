package console

import (
	"io"
	"os"
	"strconv"
	"strings"
)

// Screen is where answers are shown and what it can do.
type Screen struct {
	W      io.Writer
	Width  int      // columns
	Color  bool     // bold and colors; words never depend on them
	Inline Pictures // how pictures are shown in place
	Once   bool     // the program ends after this answer: no number can be pressed
}

const (
	widthUnknown = 80
	widthMost    = 100 // longer lines are hard to read
	widthLeast   = 30
)

// NewScreen finds out what w can do. Anything but a terminal gets plain text
// of 80 columns.
func NewScreen(w io.Writer, environ []string) *Screen {
	s := &Screen{W: w, Width: widthUnknown}
	f, ok := w.(*os.File)
	if !ok {
		return s
	}
	cols, ok := terminalWidth(f)
	if !ok {
		return s
	}
	env := map[string]string{}
	for _, pair := range environ {
		name, value, _ := strings.Cut(pair, "=")
		env[name] = value
	}
	if n, err := strconv.Atoi(env["COLUMNS"]); err == nil && n > 0 {
		cols = n
	}
	if cols > 0 {
		s.Width = min(max(cols, widthLeast), widthMost)
	}
	dumb := env["TERM"] == "" || env["TERM"] == "dumb"
	s.Color = !dumb && env["NO_COLOR"] == ""
	if !dumb {
		s.Inline = picturesFor(env)
	}
	return s
}

// style is one of the few ways to make words stand out.
type style string

const (
	bold    style = "1"
	dim     style = "2"
	warning style = "1;33"
	refusal style = "1;31"
)

// paint puts a style around a text that is clean already.
func (s *Screen) paint(st style, text string) string {
	if !s.Color || text == "" {
		return text
	}
	return "\x1b[" + string(st) + "m" + text + "\x1b[0m"
}
