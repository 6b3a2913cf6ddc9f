package console

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image"
	"image/color/palette"
	"image/draw"
	"image/png"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
)

// Pictures shows a picture in place, by one of the open protocols of
// terminals; nil for a terminal that is not known to speak any.
type Pictures func(chat.Image) string

// picturesFor goes by what a terminal says of itself in the environment, and
// keeps still when in doubt: bytes meant for another terminal fill the screen.
// A multiplexer in between hides what stands behind it.
func picturesFor(env map[string]string) Pictures {
	term := env["TERM"]
	if env["TMUX"] != "" || env["STY"] != "" || strings.HasPrefix(term, "screen") || strings.HasPrefix(term, "tmux") {
		return nil
	}
	switch {
	case term == "xterm-kitty", env["KITTY_WINDOW_ID"] != "":
		return kittyPicture
	case env["TERM_PROGRAM"] == "iTerm.app", env["LC_TERMINAL"] == "iTerm2":
		return inlineFile
	case strings.Contains(term, "sixel"), strings.HasPrefix(term, "mlterm"), term == "foot":
		return sixelPicture
	}
	return nil
}

// kittyPicture sends the PNG by the terminal graphics protocol in chunks of
// at most 4096 characters, as that protocol asks for; q=2 keeps the terminal
// from answering into our input.
func kittyPicture(im chat.Image) string {
	const chunk = 4096
	data := base64.StdEncoding.EncodeToString(im.Data)
	var b strings.Builder
	for first := true; first || data != ""; first = false {
		n := min(chunk, len(data))
		more := 0
		if n < len(data) {
			more = 1
		}
		if first {
			fmt.Fprintf(&b, "\x1b_Ga=T,f=100,q=2,m=%d;%s\x1b\\", more, data[:n])
		} else {
			fmt.Fprintf(&b, "\x1b_Gm=%d;%s\x1b\\", more, data[:n])
		}
		data = data[n:]
	}
	b.WriteByte('\n')
	return b.String()
}

// inlineFile sends the PNG by the inline image sequence OSC 1337.
func inlineFile(im chat.Image) string {
	name := base64.StdEncoding.EncodeToString([]byte(im.Name))
	data := base64.StdEncoding.EncodeToString(im.Data)
	return fmt.Sprintf("\x1b]1337;File=name=%s;size=%d;inline=1:%s\a\n", name, len(im.Data), data)
}

// sixelMost bounds the pixels that are turned into sixels.
const sixelMost = 4 << 20

// sixelPicture draws the picture in 216 colors with the DEC sixel control
// string (DEC STD 070, chapter 9, from memory). A picture that can't be read
// shows nothing; it was saved all the same.
func sixelPicture(im chat.Image) string {
	size, err := png.DecodeConfig(bytes.NewReader(im.Data))
	if err != nil || size.Width*size.Height > sixelMost || size.Width <= 0 || size.Height <= 0 {
		return ""
	}
	src, err := png.Decode(bytes.NewReader(im.Data))
	if err != nil {
		return ""
	}
	r := image.Rect(0, 0, size.Width, size.Height)
	pic := image.NewPaletted(r, palette.WebSafe)
	// What is see-through shows white paper, as pictures elsewhere do.
	draw.Draw(pic, r, image.White, image.Point{}, draw.Src)
	flat := image.NewRGBA(r)
	draw.Draw(flat, r, image.White, image.Point{}, draw.Src)
	draw.Draw(flat, r, src, src.Bounds().Min, draw.Over)
	draw.FloydSteinberg.Draw(pic, r, flat, image.Point{})
	return encodeSixel(pic)
}

// encodeSixel writes bands of six rows; within a band each color has its own
// pass, a byte per column whose six bits are the rows.
func encodeSixel(pic *image.Paletted) string {
	var b strings.Builder
	w, h := pic.Rect.Dx(), pic.Rect.Dy()
	fmt.Fprintf(&b, "\x1bPq\"1;1;%d;%d", w, h)
	for i, c := range pic.Palette {
		cr, cg, cb, _ := c.RGBA()
		fmt.Fprintf(&b, "#%d;2;%d;%d;%d", i, percent(cr), percent(cg), percent(cb))
	}
	row := make([]byte, w)
	for top := 0; top < h; top += 6 {
		var used [256]bool
		for y := top; y < min(top+6, h); y++ {
			for x := range w {
				used[pic.ColorIndexAt(x, y)] = true
			}
		}
		for i, there := range used {
			if !there {
				continue
			}
			clear(row)
			for y := top; y < min(top+6, h); y++ {
				for x := range w {
					if int(pic.ColorIndexAt(x, y)) == i {
						row[x] |= 1 << (y - top)
					}
				}
			}
			fmt.Fprintf(&b, "#%d", i)
			runs(&b, row)
			b.WriteByte('$')
		}
		b.WriteByte('-')
	}
	b.WriteString("\x1b\\\n")
	return b.String()
}

// percent turns a 16-bit channel into the 0 to 100 that sixels use.
func percent(channel uint32) uint32 { return (channel*100 + 0x7fff) / 0xffff }

// runs writes the row with repeats shortened.
func runs(b *strings.Builder, row []byte) {
	for i := 0; i < len(row); {
		n := 1
		for i+n < len(row) && row[i+n] == row[i] {
			n++
		}
		c := '?' + rune(row[i])
		if n > 3 {
			fmt.Fprintf(b, "!%d%c", n, c)
		} else {
			b.WriteString(strings.Repeat(string(c), n))
		}
		i += n
	}
}
