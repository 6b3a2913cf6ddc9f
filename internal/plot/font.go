package plot

import (
	"fmt"
	"strings"
	"sync"
	"unicode"

	xfont "golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
)

// Sizes of letters in pixels. Shown at half size on a phone they are 10 and 11
// high, about what a phone's own small print is.
const (
	small = 20
	plain = 22
)

// letters are the Go fonts, read once.
var letters = sync.OnceValue(func() text.Plain {
	var faces font.Collection
	for weight, data := range map[xfont.Weight][]byte{xfont.WeightNormal: goregular.TTF, xfont.WeightBold: gobold.TTF} {
		face, err := opentype.Parse(data)
		if err != nil {
			panic(fmt.Sprintf("plot: an embedded font can't be read: %v", err)) // it is part of the program
		}
		faces = append(faces, font.Face{Font: font.Font{Typeface: "Go", Weight: weight}, Face: face})
	}
	return text.Plain{Fonts: font.NewCache(faces)}
})

func regular(size float64) font.Font {
	return font.Font{Typeface: "Go", Size: font.Length(size)}
}

func bold(size float64) font.Font {
	return font.Font{Typeface: "Go", Weight: xfont.WeightBold, Size: font.Length(size)}
}

// width is how many pixels a line of text takes.
func width(f font.Font, s string) float64 {
	w, _, _ := letters().Box(s, f)
	return float64(w)
}

// longest is the most letters of any text that are looked at.
const longest = 200

// clean makes a member's text one line without anything that does not print.
func clean(s string) string {
	var b strings.Builder
	n := 0
	for _, r := range s {
		if n++; n > longest {
			break
		}
		switch {
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		case unicode.IsPrint(r):
			b.WriteRune(r)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// fit cleans a text and cuts it, with an ellipsis, to so many pixels.
func fit(f font.Font, s string, most float64) string {
	s = clean(s)
	if width(f, s) <= most {
		return s
	}
	runes := []rune(s)
	for n := len(runes) - 1; n > 0; n-- {
		if cut := strings.TrimSpace(string(runes[:n])) + "…"; width(f, cut) <= most {
			return cut
		}
	}
	return ""
}
