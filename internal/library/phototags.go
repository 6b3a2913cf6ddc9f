package library

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
)

// photoTags are what a photo's file says of how to look at it.
type photoTags struct {
	turn    int  // the orientation of Exif, 1 to 8; 1 is upright
	foreign bool // an embedded profile of another color space than sRGB
}

// readTags reads them, as far as the file is well formed.
func readTags(data []byte, format string) photoTags {
	tags := photoTags{turn: 1}
	if format == "png" {
		tags.foreign = foreignPNG(data)
		return tags
	}
	// A JPEG is a row of segments up to the picture itself: FF, kind, length
	// of two bytes with itself (ITU-T T.81, B.1.1.4).
	for at := 2; at+4 <= len(data) && data[at] == 0xFF && data[at+1] != 0xDA; {
		size := int(binary.BigEndian.Uint16(data[at+2:]))
		end := at + 2 + size
		if size < 2 || end > len(data) {
			break
		}
		body := data[at+4 : end]
		switch data[at+1] {
		case 0xE1:
			if exif, ok := bytes.CutPrefix(body, []byte("Exif\x00\x00")); ok {
				tags.turn = orientation(exif)
			}
		case 0xE2:
			if profile, ok := bytes.CutPrefix(body, []byte("ICC_PROFILE\x00")); ok && len(profile) > 2 && profile[0] == 1 {
				tags.foreign = !namesSRGB(profile)
			}
		}
		at = end
	}
	return tags
}

// namesSRGB looks for the name in the profile's description, which is ASCII or
// UTF-16 (ISO 15076-1).
func namesSRGB(profile []byte) bool {
	return bytes.Contains(profile, []byte("sRGB")) || bytes.Contains(profile, []byte("s\x00R\x00G\x00B"))
}

// foreignPNG looks at the chunks before the picture for an embedded profile
// (iCCP) of another name.
func foreignPNG(data []byte) bool {
	for at := 8; at+12 <= len(data); {
		size := int(binary.BigEndian.Uint32(data[at:]))
		if size < 0 || size > len(data)-at-12 {
			return false
		}
		switch string(data[at+4 : at+8]) {
		case "IDAT":
			return false
		case "iCCP":
			return !bytes.Contains(data[at+8:at+8+min(size, 80)], []byte("sRGB"))
		}
		at += 12 + size
	}
	return false
}

// orientation reads tag 274 of the first directory of a TIFF header (Exif 2.3,
// 4.6.4), 1 where there is none.
func orientation(tiff []byte) int {
	if len(tiff) < 8 {
		return 1
	}
	var order binary.ByteOrder = binary.BigEndian
	if string(tiff[:2]) == "II" {
		order = binary.LittleEndian
	}
	at := int(order.Uint32(tiff[4:]))
	if at < 8 || at+2 > len(tiff) {
		return 1
	}
	for n, at := int(order.Uint16(tiff[at:])), at+2; n > 0 && at+12 <= len(tiff); n, at = n-1, at+12 {
		if order.Uint16(tiff[at:]) != 0x0112 {
			continue
		}
		if v := int(order.Uint16(tiff[at+8:])); v >= 1 && v <= 8 {
			return v
		}
	}
	return 1
}

// turned is a picture as its viewer shows it, by an orientation of Exif.
type turned struct {
	image.Image
	turn int
}

// Bounds begin at 0, 0; from 5 on the sides change places.
func (t turned) Bounds() image.Rectangle {
	b := t.Image.Bounds()
	if t.turn >= 5 {
		return image.Rect(0, 0, b.Dy(), b.Dx())
	}
	return image.Rect(0, 0, b.Dx(), b.Dy())
}

// At looks the pixel up where it is stored.
func (t turned) At(x, y int) color.Color {
	b := t.Image.Bounds()
	w, h := b.Dx()-1, b.Dy()-1
	switch t.turn {
	case 2:
		x = w - x
	case 3:
		x, y = w-x, h-y
	case 4:
		y = h - y
	case 5:
		x, y = y, x
	case 6:
		x, y = y, h-x
	case 7:
		x, y = w-y, h-x
	case 8:
		x, y = w-y, x
	}
	return t.Image.At(b.Min.X+x, b.Min.Y+y)
}
