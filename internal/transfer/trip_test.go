package transfer_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/transfer"
)

// What is exported and brought along by somebody who has nothing is exported
// by them byte for byte the same, in both formats and of every kind.
func TestRoundTrip(t *testing.T) {
	w, n := emptied(t), 0
	rapid.Check(t, func(t *rapid.T) {
		n++ // members of their own for each try: a database a try takes longer than the rest
		w.ada, w.zoe = w.viewer(t, fmt.Sprint("ada", n), "hall"), w.viewer(t, fmt.Sprint("zoe", n), "yard")
		furnish(t, w)
		want := w.exported(t, w.ada, transfer.JSON, transfer.Kinds()...)[0].Data
		wantCSV := w.exported(t, w.ada, transfer.CSV, transfer.Kinds()...)

		w.imported(t, w.zoe, want, "", transfer.Choice{})
		if got := w.exported(t, w.zoe, transfer.JSON, transfer.Kinds()...)[0].Data; string(got) != string(want) {
			t.Fatalf("by JSON (-want +got):\n%s", cmp.Diff(string(want), string(got)))
		}
		yan := w.viewer(t, fmt.Sprint("yan", n), "barn")
		for i, k := range transfer.Kinds() {
			w.imported(t, yan, wantCSV[i].Data, k, transfer.Choice{})
		}
		for i, got := range w.exported(t, yan, transfer.CSV, transfer.Kinds()...) {
			if string(got.Data) != string(wantCSV[i].Data) {
				t.Fatalf("%s by CSV (-want +got):\n%s", got.Name, cmp.Diff(string(wantCSV[i].Data), string(got.Data)))
			}
		}

		// A second time everything is there already.
		rep := w.imported(t, w.zoe, want, "", transfer.Choice{})
		if rep.Count(transfer.Same) != rep.Rows() {
			t.Fatalf("again: %+v", rep)
		}
		if got := w.exported(t, w.zoe, transfer.JSON, transfer.Kinds()...)[0].Data; string(got) != string(want) {
			t.Fatal("bringing it twice changed something")
		}
	})
}

// furnish gives ada things of every kind.
func furnish(t *rapid.T, w *world) {
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	var materials []shop.Material
	for i, p := range rapid.SliceOfN(rapid.Custom(anyMaterial), 1, 4).Draw(t, "materials") {
		p.Name = fmt.Sprint(p.Name, i)
		m, err := w.AddMaterial(w.ctx, by(w.ada), p, false)
		must(err)
		materials = append(materials, m)
	}
	var molds []shop.Mold
	for i, p := range rapid.SliceOfN(rapid.Custom(anyMold), 1, 3).Draw(t, "molds") {
		p.Name = fmt.Sprint(p.Name, i)
		m, err := w.AddMold(w.ctx, by(w.ada), p, false)
		must(err)
		molds = append(molds, m)
	}
	var tints []shop.Tint
	for i, p := range rapid.SliceOfN(rapid.Custom(anyTint), 0, 3).Draw(t, "tints") {
		p.Name, p.Base, p.BaseName = fmt.Sprint(p.Name, i), materials[0].ID, materials[0].Name
		m, err := w.AddTint(w.ctx, by(w.ada), p, false)
		must(err)
		tints = append(tints, m)
	}
	for i := range rapid.IntRange(0, 2).Draw(t, "formulas") {
		_, err := w.AddFormula(w.ctx, by(w.ada), shop.FormulaProfile{Name: fmt.Sprint("formula ", i), Text: text(t, true, 1), About: text(t, true, 0), Test: text(t, true, 0)}, false)
		must(err)
	}
	for _, m := range molds {
		must(w.KeepMarks(w.ctx, by(w.ada), m.ID, rapid.SliceOfN(rapid.Custom(anyMark), 0, 6).Draw(t, "marks")))
	}
	pours := rapid.SliceOfN(rapid.Custom(anyPour), 0, 4).Draw(t, "pours")
	for i := range pours {
		p := &pours[i]
		p.Started = p.Started.Add(time.Duration(i) * 1e9)
		m := rapid.SampledFrom(materials).Draw(t, "of")
		p.Material = m.Name
		if rapid.Bool().Draw(t, "teaches") {
			p.MaterialID, p.MaterialVersion = m.ID, m.Version
		}
		if rapid.Bool().Draw(t, "in a mold") {
			p.Mold, p.MoldID = molds[0].Name, molds[0].ID
			for _, f := range molds {
				p.Fills = append(p.Fills, shop.Fill{Mold: f.ID, Name: f.Name, Volume: 6.2, Count: 3})
			}
		}
		for _, tint := range tints {
			p.Doses = append(p.Doses, shop.Dose{Tint: tint.ID, Version: 1, Name: tint.Name, Share: amount(t, 1e-4, 0.5)})
		}
	}
	must(w.KeepPours(w.ctx, by(w.ada), pours))
}

// amount is a number that may have all its digits.
func amount(t *rapid.T, low, high float64) float64 {
	if rapid.Bool().Draw(t, "round") {
		return float64(int(rapid.Float64Range(low, high).Draw(t, "amount")*100+1)) / 100
	}
	return rapid.Float64Range(low, high).Draw(t, "amount")
}

func maybe(t *rapid.T, low, high float64) float64 {
	if rapid.Bool().Draw(t, "said") {
		return amount(t, low, high)
	}
	return 0
}

func degrees(t *rapid.T, low, high float64) *float64 {
	if !rapid.Bool().Draw(t, "said") {
		return nil
	}
	v := amount(t, low, high)
	return &v
}

// nasty are beginnings and middles that files stumble over.
var nasty = []rune("=+-@';,\t\"\\|\u2028<>&%é€日ß＝01.: \n")

// text is what a member may have typed, with what files stumble over.
func text(t *rapid.T, paragraphs bool, least int) string {
	s := string(rapid.SliceOfN(rapid.OneOf(rapid.SampledFrom(nasty), rapid.RuneFrom([]rune("abcXYZ "))), least, 30).Draw(t, "text"))
	if !paragraphs {
		s = strings.Map(func(r rune) rune {
			if r == '\n' {
				return ' '
			}
			return r
		}, s)
	}
	s = strings.TrimSpace(strings.ReplaceAll(s, "\t", " "))
	if least > 0 && s == "" {
		return "x"
	}
	return s
}

func anyMaterial(t *rapid.T) material.Profile {
	p := material.Profile{
		Name:   strings.Join(strings.Fields(text(t, false, 1)), " "),
		Family: rapid.SampledFrom(material.Families()).Draw(t, "family"),
		Ratio: quantity.Ratio{A: amount(t, 1, 100), B: amount(t, 1, 100),
			By: rapid.SampledFrom([]quantity.Basis{quantity.ByVolume, quantity.ByWeight}).Draw(t, "basis")},
		DensityA: maybe(t, 0.9, 1.2), DensityB: maybe(t, 0.9, 1.2),
		PotLife: amount(t, 10, 3600), PotLifeMass: maybe(t, 1, 500), PotLifeTemp: degrees(t, 0, 59),
		Demold: maybe(t, 4000, 80000), DemoldSection: maybe(t, 1, 100), FullCure: maybe(t, 90000, 900000),
		CuredColor: text(t, false, 0), TintSide: rapid.SampledFrom([]material.Side{"", "A", "B"}).Draw(t, "side"),
		MaxTint: maybe(t, 0.001, 0.15), MinTemp: degrees(t, -9, 15), MaxTemp: degrees(t, 20, 60), MaxDepth: maybe(t, 1, 900), MaxMass: maybe(t, 1, 1e5),
		ShelfLife:   material.Span{Months: rapid.IntRange(0, 100).Draw(t, "months"), Days: rapid.IntRange(0, 100).Draw(t, "days")},
		ShelfOpened: material.Span{Days: rapid.IntRange(0, 1).Draw(t, "days")},
		Price:       maybe(t, 1, 900), PackA: maybe(t, 1, 900), PackB: maybe(t, 1, 900), Heat: maybe(t, 11, 900), Notes: text(t, true, 0),
	}
	if rapid.Bool().Draw(t, "hard") {
		p.Hardness = &material.Hardness{Shore: amount(t, 0.5, 99), Scale: rapid.SampledFrom([]string{"00", "A", "D"}).Draw(t, "scale")}
	}
	if rapid.Bool().Draw(t, "link") {
		p.Link = "https://example.org/a?b=" + rapid.SampledFrom([]string{"1", "%20", "'", "é"}).Draw(t, "rest")
	}
	if err := material.Check(p).Err(); err != nil {
		t.Fatalf("the generator makes what can't be kept: %v", err)
	}
	return p
}

func anyMold(t *rapid.T) shop.MoldProfile {
	p := shop.MoldProfile{
		Name: strings.Join(strings.Fields(text(t, false, 1)), " "), Family: rapid.SampledFrom([]string{"condensation", "latex"}).Draw(t, "family"),
		Volume: amount(t, 0.02, 900), Cavities: rapid.IntRange(1, 9).Draw(t, "cavities"), Thickest: maybe(t, 10, 20), Thinnest: maybe(t, 1, 9),
		Wall: maybe(t, 1, 9), Pulls: rapid.IntRange(10, 20).Draw(t, "pulls"), LastCoat: rapid.IntRange(0, 9).Draw(t, "coat"),
		ReleaseEvery: rapid.IntRange(0, 9).Draw(t, "every"), Cost: maybe(t, 1, 90), Notes: text(t, true, 0),
	}
	if rapid.Bool().Draw(t, "made") {
		p.MadeOn = time.Date(2026, 1, rapid.IntRange(1, 31).Draw(t, "day"), 0, 0, 0, 0, time.UTC)
	}
	if p.Thickest == 0 {
		p.Thinnest = 0
	}
	if rapid.Bool().Draw(t, "retired") {
		p.Retired, p.RetiredNote = "torn", text(t, true, 0)
	}
	return p
}

func anyTint(t *rapid.T) shop.TintProfile {
	return shop.TintProfile{
		Name: strings.Join(strings.Fields(text(t, false, 1)), " "), Family: "colored", BaseColor: rapid.SampledFrom([]string{"", "#F2EFE6", "clear"}).Draw(t, "base"),
		Dose: maybe(t, 0.001, 0.01), Swatch: "#C9837F", Quality: "careful", Wall: maybe(t, 1, 9), WeightOf20: maybe(t, 0.5, 1),
	}
}

func anyMark(t *rapid.T) shop.MoldMark {
	return shop.MoldMark{
		What: rapid.SampledFrom([]string{shop.MarkGood, shop.MarkSpoiled, shop.MarkCoat}).Draw(t, "what"), Number: rapid.IntRange(0, 500).Draw(t, "number"),
		Late: rapid.Bool().Draw(t, "late"), Why: text(t, false, 0), At: moment(t),
	}
}

func moment(t *rapid.T) time.Time {
	return noon.Add(time.Duration(rapid.IntRange(0, 1e9).Draw(t, "ms")) * time.Millisecond)
}

func anyPour(t *rapid.T) shop.Pour {
	rng := func() quantity.Range {
		v := maybe(t, 20, 90)
		if v == 0 {
			return quantity.Range{}
		}
		return quantity.Range{Low: v, Mid: v + 1, High: v + 3.5}
	}
	p := shop.Pour{
		Started: moment(t), State: rapid.SampledFrom([]shop.PourState{shop.PourRunning, shop.PourReady, shop.PourDone, shop.PourFailed, shop.PourCanceled}).Draw(t, "state"),
		PourPlan: shop.PourPlan{
			Thickest: maybe(t, 1, 20), Thinnest: maybe(t, 1, 20), Volume: maybe(t, 1, 900), Mass: maybe(t, 1, 900), Count: rapid.IntRange(0, 20).Draw(t, "count"),
			Room: amount(t, 5, 40), Resin: degrees(t, 0, 60), MoldTemp: degrees(t, 0, 60), Tint: text(t, false, 0), Where: text(t, false, 0),
			Foreseen: shop.Foreseen{PotLife: rng(), Gel: rng(), Demold: rng(), Cool: rng(), Peak: rng(), FullCure: rng(), Physics: maybe(t, 60, 9000), Remind: maybe(t, 60, 9000)},
		},
	}
	if rapid.Bool().Draw(t, "coats") {
		p.Coats, p.CoatsOn, p.CoatAt = 3, 2, p.Started.Add(time.Minute)
	}
	if p.State != shop.PourRunning {
		p.Ended = p.Started.Add(time.Hour)
		p.Good, p.Spoiled = rapid.IntRange(0, 9).Draw(t, "good"), rapid.IntRange(0, 9).Draw(t, "spoiled")
		at := amount(t, 2, 9000)
		p.Answers = []shop.Answer{{SoftAt: 1.5, At: p.Started.Add(1500 * time.Millisecond)}, {ReadyBy: at, At: p.Started.Add(time.Duration(at * 1e9)).Truncate(time.Millisecond)}}
		p.Log = []shop.PourEvent{
			{What: shop.EventNote, At: p.Started.Add(2 * time.Second), Text: text(t, true, 0), Photo: "https://example.org/\"1\""},
			{What: shop.EventDone, At: p.Ended, Readied: rapid.Bool().Draw(t, "readied"), Good: p.Good, Spoiled: p.Spoiled, Why: text(t, false, 0)},
		}
	}
	return p
}
