package console

import (
	"bytes"
	"encoding/base64"
	"image"
	"image/color"
	"image/color/palette"
	"image/png"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
)

func TestPicturesFor(t *testing.T) {
	tests := []struct {
		name string
		env  map[string]string
		want string // how the output begins, "" for none
	}{
		{"plain terminal", map[string]string{"TERM": "xterm-256color"}, ""},
		{"nothing said", nil, ""},
		{"graphics protocol", map[string]string{"TERM": "xterm-kitty"}, "\x1b_G"},
		{"inline file", map[string]string{"TERM": "xterm-256color", "TERM_PROGRAM": "iTerm.app"}, "\x1b]1337;File="},
		{"sixel", map[string]string{"TERM": "xterm-sixel"}, "\x1bPq"},
		{"multiplexer in between", map[string]string{"TERM": "xterm-kitty", "TMUX": "/x"}, ""},
		{"another multiplexer", map[string]string{"TERM": "screen-256color", "TERM_PROGRAM": "iTerm.app"}, ""},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			show := picturesFor(test.env)
			got := ""
			if show != nil {
				got = show(chat.Image{Name: "x.png", Data: testPNG(t, 3, 3)})
			}
			if !strings.HasPrefix(got, test.want) || test.want == "" && got != "" {
				t.Errorf("%v: shows %.40q, want %q first", test.env, got, test.want)
			}
		})
	}
}

func testPNG(t *testing.T, w, h int) []byte {
	t.Helper()
	im := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			im.Set(x, y, palette.WebSafe[(x*7+y*13)%len(palette.WebSafe)])
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, im); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The chunks hold the picture's bytes, none above 4096 characters, and all but
// the last say that more follow (terminal graphics protocol, "Direct").
func TestKittyPicture(t *testing.T) {
	for _, size := range []int{0, 1, 3072, 3073, 20000} {
		data := bytes.Repeat([]byte{1, 2, 3, 5, 7}, size/5+1)[:size]
		out := kittyPicture(chat.Image{Data: data})
		chunks := regexp.MustCompile("\x1b_G([^;]*);([^\x1b]*)\x1b\\\\").FindAllStringSubmatch(out, -1)
		got := ""
		for i, c := range chunks {
			more := strings.Contains(c[1], "m=1")
			if len(c[2]) > 4096 || more != (i < len(chunks)-1) {
				t.Errorf("%d bytes: chunk %d of %d has %d characters, more=%v", size, i, len(chunks), len(c[2]), more)
			}
			got += c[2]
		}
		if back, err := base64.StdEncoding.DecodeString(got); err != nil || !bytes.Equal(back, data) {
			t.Errorf("%d bytes do not come back: %v", size, err)
		}
	}
}

func TestInlineFile(t *testing.T) {
	data := []byte("some picture")
	out := inlineFile(chat.Image{Name: "a\x1b;b.png", Data: data})
	m := regexp.MustCompile("^\x1b\\]1337;File=name=([A-Za-z0-9+/=]+);size=12;inline=1:([A-Za-z0-9+/=]+)\a\n$").FindStringSubmatch(out)
	if m == nil {
		t.Fatalf("%q has another form", out)
	}
	if back, err := base64.StdEncoding.DecodeString(m[2]); err != nil || !bytes.Equal(back, data) {
		t.Errorf("the bytes come back as %q, %v", back, err)
	}
}

// Each pixel of a picture in the palette's own colors comes back through a
// plain reader of sixels.
func TestSixelPicture(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {3, 6}, {7, 13}, {40, 5}} {
		w, h := size[0], size[1]
		raw := testPNG(t, w, h)
		want, err := png.Decode(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		got := readSixel(t, sixelPicture(chat.Image{Data: raw}), w, h)
		for y := range h {
			for x := range w {
				if a, b := rgb(want.At(x, y)), rgb(got[y][x]); a != b {
					t.Fatalf("%dx%d: pixel %d,%d is %v, want %v", w, h, x, y, b, a)
				}
			}
		}
	}
}

func TestSixelOfNoPicture(t *testing.T) {
	if out := sixelPicture(chat.Image{Data: []byte("no PNG")}); out != "" {
		t.Errorf("shows %q", out)
	}
}

// rgb is a color in percent, as sixels carry it.
func rgb(c color.Color) [3]uint32 {
	r, g, b, _ := c.RGBA()
	return [3]uint32{percent(r), percent(g), percent(b)}
}

// readSixel is a slow reader of the few sixel commands that are written here.
func readSixel(t *testing.T, s string, w, h int) [][]color.Color {
	t.Helper()
	body, ok := strings.CutPrefix(s, "\x1bPq\"1;1;"+strconv.Itoa(w)+";"+strconv.Itoa(h))
	body, end := strings.CutSuffix(body, "\x1b\\\n")
	if !ok || !end {
		t.Fatalf("%.60q has no sixel frame", s)
	}
	pic := make([][]color.Color, h)
	for y := range pic {
		pic[y] = make([]color.Color, w)
		for x := range pic[y] {
			pic[y][x] = color.Black
		}
	}
	colors := map[int]color.Color{}
	token := regexp.MustCompile(`#(\d+);2;(\d+);(\d+);(\d+)|#(\d+)|!(\d+)([?-~])|([$-])|([?-~])`)
	x, top, now := 0, 0, 0
	number := func(s string) int { n, _ := strconv.Atoi(s); return n }
	paint := func(c byte, n int) {
		for ; n > 0; n-- {
			for row := range 6 {
				if (c-'?')>>row&1 == 1 {
					pic[top+row][x] = colors[now]
				}
			}
			x++
		}
	}
	for _, m := range token.FindAllStringSubmatch(body, -1) {
		switch {
		case m[1] != "":
			full := func(s string) uint8 { return uint8((number(s)*255 + 50) / 100) }
			colors[number(m[1])] = color.RGBA{full(m[2]), full(m[3]), full(m[4]), 255}
		case m[5] != "":
			now = number(m[5])
		case m[7] != "":
			paint(m[7][0], number(m[6]))
		case m[8] == "$":
			x = 0
		case m[8] == "-":
			x, top = 0, top+6
		default:
			paint(m[9][0], 1)
		}
	}
	return pic
}
