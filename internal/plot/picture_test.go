package plot_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"math"
	"slices"
	"testing"
)

// picture draws twice, holds the PNG to what all pictures promise, and reads it
// back.
func picture(t testing.TB, name string, draw func() ([]byte, error)) image.Image {
	t.Helper()
	data, err := draw()
	if err != nil {
		t.Fatal(err)
	}
	again, err := draw()
	if err != nil || !bytes.Equal(data, again) {
		t.Errorf("%s: drawn twice it differs (%v)", name, err)
	}
	pic, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if w, h := pic.Bounds().Dx(), pic.Bounds().Dy(); w != 720 || h < 200 || h > 1000 {
		t.Errorf("%s: %d × %d pixels", name, w, h)
	}
	if len(data) > 400<<10 {
		t.Errorf("%s: %d bytes are much to send", name, len(data))
	}
	if names := chunks(t, data); !slices.Equal(names[:2], []string{"IHDR", "sRGB"}) {
		t.Errorf("%s: chunks %q, want sRGB after IHDR", name, names)
	}
	if o, ok := pic.(interface{ Opaque() bool }); !ok || !o.Opaque() {
		t.Errorf("%s: what lies behind shines through", name)
	}
	if name != "" {
		show(t, name, data)
	}
	return pic
}

// chunks reads the names of a PNG's chunks and checks each one's CRC-32, by PNG
// Specification, Third Edition, 5.3.
func chunks(t testing.TB, data []byte) (names []string) {
	t.Helper()
	for data = data[8:]; len(data) >= 12; {
		n := int(binary.BigEndian.Uint32(data))
		if n > len(data)-12 {
			t.Fatalf("chunk %q of %d bytes runs over the end", data[4:8], n)
		}
		if sum := binary.BigEndian.Uint32(data[8+n:]); sum != crc32.ChecksumIEEE(data[4:8+n]) {
			t.Errorf("chunk %q has a wrong CRC", data[4:8])
		}
		names = append(names, string(data[4:8]))
		data = data[12+n:]
	}
	return names
}

func hexAt(pic image.Image, x, y int) string {
	c := color.NRGBAModel.Convert(pic.At(x, y)).(color.NRGBA)
	return fmt.Sprintf("#%02X%02X%02X", c.R, c.G, c.B)
}

// lightness is the relative luminance of WCAG 2.2, 0 to 1.
func lightness(c color.Color) float64 {
	r, g, b, _ := c.RGBA()
	lin := func(v uint32) float64 {
		s := float64(v) / 0xFFFF
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(r) + 0.7152*lin(g) + 0.0722*lin(b)
}

// blueness and orangeness tell the two signal colors from grays.
func blueness(c color.Color) float64 {
	r, _, b, _ := c.RGBA()
	return (float64(b) - float64(r)) / 0xFFFF
}

// count is how many pixels of a block are such.
func count(pic image.Image, in image.Rectangle, such func(color.Color) bool) int {
	n := 0
	for y := in.Min.Y; y < in.Max.Y; y++ {
		for x := in.Min.X; x < in.Max.X; x++ {
			if such(pic.At(x, y)) {
				n++
			}
		}
	}
	return n
}

func isBlue(c color.Color) bool   { return blueness(c) > 0.35 }
func isOrange(c color.Color) bool { return blueness(c) < -0.35 }
func isDark(c color.Color) bool   { return lightness(c) < 0.1 }
