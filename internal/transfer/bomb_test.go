package transfer_test

import (
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/transfer"
)

// mostFor is what reading a file of MaxBytes may allocate in all, whatever is
// in it: a few times its size, and the rows that are taken.
const mostFor = 12 * transfer.MaxBytes

// Files that are made to fill the memory, or to take for ever, are read in a
// moment or refused.
func TestImportBombs(t *testing.T) {
	fill := func(head, unit string) string {
		return head + strings.Repeat(unit, (transfer.MaxBytes-len(head)-64)/len(unit))
	}
	for _, c := range []struct {
		name, text string
		kind       transfer.Kind
	}{
		{"commas", fill("name\n", ","), transfer.Materials},
		{"commas in the head", fill("name", ","), transfer.Materials},
		{"semicolons", fill("name;family\n", ";"), transfer.Materials},
		{"an open quotation mark", fill("name\n\"", "x"), transfer.Materials},
		{"doubled quotation marks", fill("name\n\"", `""`), transfer.Materials},
		{"line breaks", fill("name\n", "\n"), transfer.Materials},
		{"old line breaks", fill("name\r", "\r"), transfer.Materials},
		{"rows of commas", fill("name\n", strings.Repeat(",", 99)+"\n"), transfer.Materials},
		{"short rows", fill("name\n", "x\n"), transfer.Materials},
		{"one long text", fill("name,notes\nx,", "n"), transfer.Materials},
		{"one long number", fill("name,pot_life_s\nx,", "1"), transfer.Materials},
		{"wide rows of UTF-16", utf16Bomb(), transfer.Materials},
		{"long texts", fill("name,notes\n", strings.Repeat("n", 4000)+","+strings.Repeat("n", 8000)+"\n"), transfer.Materials},
		{"brackets", fill(`{"schema": "pourwright/1", "x": `, "["), ""},
		{"braces", fill(`{"schema": "pourwright/1", "x": `, `{"x":`), ""},
		{"numbers", fill(`{"schema": "pourwright/1", "x": [`, "1,"), ""},
		{"empty rows of JSON", fill(`{"schema": "pourwright/1", "molds": [`, "{},"), ""},
		{"one long text of JSON", fill(`{"schema": "pourwright/1", "molds": [{"name": "`, "n"), ""},
		{"escapes", fill(`{"schema": "pourwright/1", "molds": [{"name": "`, `\u00e9`) + `"}]}`, ""},
		{"one long number of JSON", fill(`{"schema": "pourwright/1", "molds": [{"volume_ml": `, "1"), ""},
		{"unknown names", fill(`{"schema": "pourwright/1", "molds": [`, `{"a":1,"b":1,"c":1},`), ""},
		{"lists", fill(`{"schema": "pourwright/1", "pours": [{"answers": [`, `"",`), ""},
		{"blanks", fill("{", " "), ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			var before, after runtime.MemStats
			data := []byte(c.text)
			runtime.ReadMemStats(&before)
			began := time.Now()
			_, err := transfer.Read(data, c.kind)
			took := time.Since(began)
			runtime.ReadMemStats(&after)
			used := after.TotalAlloc - before.TotalAlloc
			if used > mostFor || took > 20*time.Second {
				t.Errorf("%d MB and %v for a file of %d MB (%v)", used>>20, took, len(data)>>20, err)
			}
			t.Logf("%d MB, %v: %v", used>>20, took, err)
		})
	}
}

func utf16Bomb() string {
	text := "\xff\xfen\x00a\x00m\x00e\x00\n\x00"
	return text + strings.Repeat(",\x00", (transfer.MaxBytes-64)/2)
}
