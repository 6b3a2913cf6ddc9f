package transfer

import (
	"bytes"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/unicode"
)

// wide tells a file in UTF-16 by its mark, or by the zero bytes that every
// other letter of a header has there; nil is none.
func wide(data []byte) encoding.Encoding {
	switch {
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}):
		return unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM)
	case bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		return unicode.UTF16(unicode.BigEndian, unicode.ExpectBOM)
	case len(data) < 4 || len(data)%2 != 0:
		return nil
	}
	head := data[:min(len(data), 64)]
	var even, odd int
	for i, b := range head {
		switch {
		case b == 0 && i%2 == 0:
			even++
		case b == 0:
			odd++
		}
	}
	switch half := len(head) / 2; {
	case odd > half*3/4 && even == 0:
		return unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)
	case even > half*3/4 && odd == 0:
		return unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)
	}
	return nil
}

// firstBad is where the first byte stands that is no text, or -1.
func firstBad(data []byte) int {
	for i := 0; i < len(data); {
		if b := data[i]; b < utf8.RuneSelf {
			if b == 0 {
				return i
			}
			i++
			continue
		}
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return -1
}
