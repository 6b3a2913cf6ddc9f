package transfer_test

import (
	"context"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/transfer"
)

// FuzzCSV reads any bytes as a table of any kind. A file is refused in words or
// each of its rows is judged in words.
func FuzzCSV(f *testing.F) {
	for i, text := range []string{
		plainSheet, "\uFEFF" + plainSheet, "sep=;\nname;volume_ml\nx;6,2\n", "mold\twhat\tat\npawn\tgood\t2026-11-20 09:30\n",
		"name,text\nx,\"1\n2\"\n", "material,room_c,started,state,log\nx,21,2026-11-20,running,\"2026-11-20T09:30:00Z note text=\"\"a\"\"\"\n",
		"\xff\xfen\x00a\x00m\x00e\x00", "name\rx\ry\r", "'=1,\"\",;;;\t\n\n\n", "name,name\n", `"`,
	} {
		f.Add([]byte(text), byte(i))
	}
	f.Fuzz(func(t *testing.T, data []byte, which byte) {
		kind := transfer.Kinds()[int(which)%len(transfer.Kinds())]
		fuzz(t, data, kind)
	})
}

// FuzzJSON does the same for the other format.
func FuzzJSON(f *testing.F) {
	for _, text := range []string{
		`{"schema": "pourwright/1", "materials": [{"name": "x", "family": "epoxy", "ratio": "1:1 wt", "pot_life_s": 600}]}`,
		`{"schema": "pourwright/1", "molds": [{"name": "m", "family": "latex", "volume_ml": 6.2}], "pulls": [{"mold": "m", "what": "good", "at": "2026-11-20T09:30:00Z"}]}`,
		`{"schema": "pourwright/1", "pours": [{"material": "x", "room_c": 21, "started": "2026-11-20T09:30:00Z", "state": "running", "answers": ["soft 540"], "fills": ["6 x 6.2 ml: m"], "doses": ["0.005 red"]}]}`,
		`{"schema": "pourwright/1", "x": [[[[]]]], "tints": [{"name": null, "wall_mm": "6 mm", "dose_fraction": true}]}`, `{`, `[]`, `{"schema": "pourwright/1"`,
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) { fuzz(t, data, "") })
}

func fuzz(t *testing.T, data []byte, kind transfer.Kind) {
	file, err := transfer.Read(data, kind)
	if err != nil {
		if f := fault.As(err); f == nil || f.Message == "" || f.HintText() == "" {
			t.Fatalf("refused without words: %v", err)
		}
		return
	}
	rep, err := transfer.New(paperBooks(), transfer.Checks{}).Look(context.Background(), shop.Viewer{Member: shop.Member{ID: 1}}, file)
	if err != nil {
		t.Fatalf("look: %v", err)
	}
	for _, p := range rep.Parts {
		for _, e := range p.Entries {
			for _, bad := range e.Problems {
				if bad.Where == "" || bad.Message == "" || bad.Hint == "" {
					t.Fatalf("a problem without words: %+v", bad)
				}
			}
			if e.Verdict == transfer.Refused && len(e.Problems) == 0 {
				t.Fatalf("refused without a problem: %+v", e)
			}
		}
	}
	if text, err := rep.CSV(); err != nil || strings.Contains(string(text), "\n=") {
		t.Fatalf("report: %v\n%s", err, text)
	}
}
