package library

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"
)

// exif is a JPEG segment that gives an orientation, as a phone writes it.
func exif(order binary.AppendByteOrder, mark string, turn uint16) []byte {
	tiff := []byte(mark)
	tiff = order.AppendUint16(tiff, 42)
	tiff = order.AppendUint32(tiff, 8)
	tiff = order.AppendUint16(tiff, 1)
	tiff = order.AppendUint16(tiff, 0x0112)
	tiff = order.AppendUint16(tiff, 3) // SHORT
	tiff = order.AppendUint32(tiff, 1)
	tiff = order.AppendUint16(tiff, turn)
	tiff = order.AppendUint16(tiff, 0)
	return segment(0xE1, append([]byte("Exif\x00\x00"), tiff...))
}

func segment(kind byte, body []byte) []byte {
	return append(binary.BigEndian.AppendUint16([]byte{0xFF, kind}, uint16(len(body)+2)), body...)
}

// withSegment puts a segment behind the start of a JPEG.
func withSegment(t *testing.T, img image.Image, seg []byte) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return append(append([]byte{0xFF, 0xD8}, seg...), b.Bytes()[2:]...)
}

// TestOrientation: what stands at the top left of the picture as it is seen is
// red, whatever way the camera stored it. The eight ways are those of Exif 2.3,
// 4.6.4: the side that row 0 and column 0 of the file are seen at.
func TestOrientation(t *testing.T) {
	const w, h = 64, 32
	// Where the file's corner is that is seen at the top left, per value.
	corner := map[uint16]image.Point{1: {0, 0}, 2: {w - 1, 0}, 3: {w - 1, h - 1}, 4: {0, h - 1}, 5: {0, 0}, 6: {0, h - 1}, 7: {w - 1, h - 1}, 8: {w - 1, 0}}
	for turn, at := range corner {
		img := image.NewRGBA(image.Rect(0, 0, w, h))
		for y := range h {
			for x := range w {
				img.Set(x, y, color.Gray{200})
				if near := func(a, b int) bool { return a-b < 12 && b-a < 12 }; near(x, at.X) && near(y, at.Y) {
					img.Set(x, y, color.RGBA{200, 0, 0, 255})
				}
			}
		}
		for name, seg := range map[string][]byte{"little": exif(binary.LittleEndian, "II", turn), "big": exif(binary.BigEndian, "MM", turn)} {
			got, foreign, err := openPhoto(withSegment(t, img, seg))
			if err != nil || foreign {
				t.Fatalf("%d %s: %v, foreign %v", turn, name, err, foreign)
			}
			want := image.Rect(0, 0, w, h)
			if turn >= 5 {
				want = image.Rect(0, 0, h, w)
			}
			if got.Bounds() != want {
				t.Errorf("%d %s: %v, want %v", turn, name, got.Bounds(), want)
			}
			if r, g, _, _ := got.At(3, 3).RGBA(); r < 3*g {
				t.Errorf("%d %s: the top left is %v, not red", turn, name, got.At(3, 3))
			}
			if r, g, _, _ := got.At(want.Dx()-4, want.Dy()-4).RGBA(); r > 2*g {
				t.Errorf("%d %s: the bottom right is red", turn, name)
			}
		}
	}
}

func TestForeignColors(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 8, 8))
	profile := func(words string) []byte { return segment(0xE2, []byte("ICC_PROFILE\x00\x01\x01…"+words)) }
	var plain bytes.Buffer
	if err := png.Encode(&plain, img); err != nil {
		t.Fatal(err)
	}
	chunk := func(name string) []byte {
		data := plain.Bytes()
		body := append([]byte(name), 0, 0)
		c := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
		c = append(append(c, "iCCP"...), body...)
		return append(append(append([]byte(nil), data[:33]...), append(c, 0, 0, 0, 0)...), data[33:]...)
	}
	for name, c := range map[string]struct {
		data   []byte
		format string
		want   bool
	}{
		"no profile":      {withSegment(t, img, nil), "jpeg", false},
		"sRGB":            {withSegment(t, img, profile("sRGB IEC61966-2.1")), "jpeg", false},
		"sRGB in UTF-16":  {withSegment(t, img, profile("\x00s\x00R\x00G\x00B")), "jpeg", false},
		"a wide one":      {withSegment(t, img, profile("Display P3")), "jpeg", true},
		"png, none":       {plain.Bytes(), "png", false},
		"png, sRGB":       {chunk("sRGB built-in"), "png", false},
		"png, a wide one": {chunk("Wide"), "png", true},
	} {
		if got := readTags(c.data, c.format).foreign; got != c.want {
			t.Errorf("%s: foreign %v, want %v", name, got, c.want)
		}
	}
}

// Strangers send the bytes: the reader of tags must hold out against any.
func FuzzPhotoTags(f *testing.F) {
	f.Add(append([]byte{0xFF, 0xD8}, exif(binary.LittleEndian, "II", 6)...), false)
	f.Add([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x05iCCPab\x00\x00\x00\x00\x00\x00\x00"), true)
	f.Add([]byte{0xFF, 0xD8, 0xFF, 0xE1, 0xFF, 0xFF}, false)
	f.Fuzz(func(t *testing.T, data []byte, isPNG bool) {
		format := "jpeg"
		if isPNG {
			format = "png"
		}
		if tags := readTags(data, format); tags.turn < 1 || tags.turn > 8 {
			t.Errorf("orientation %d", tags.turn)
		}
	})
}
