package transfer_test

import (
	"encoding/csv"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/transfer"
)

// said fails unless every field of a value says something, so that a field
// that is added to a type has to be added to this test, and so to the files.
// Names of fields in but are not asked for.
func said(t *testing.T, path string, v reflect.Value, but ...string) {
	t.Helper()
	if v.Kind() == reflect.Struct && v.Type() != reflect.TypeFor[time.Time]() {
		for i := range v.NumField() {
			if name := v.Type().Field(i).Name; !slices.Contains(but, name) {
				said(t, path+"."+name, v.Field(i), but...)
			}
		}
		return
	}
	if v.Kind() == reflect.Slice && v.Len() > 0 {
		said(t, path+"[0]", v.Index(0), but...)
	}
	if v.IsZero() {
		t.Errorf("%s says nothing in this test: say it, and see that a file carries it", path)
	}
}

func ptr(v float64) *float64 { return &v }

var wholeMaterial = material.Profile{
	Name: "white", Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 2, By: quantity.ByVolume},
	DensityA: 1.1, DensityB: 1.02, DensityMixed: 1.05, PotLife: 180, PotLifeMass: 100, PotLifeTemp: ptr(23), Demold: 720, DemoldSection: 6, FullCure: 86400,
	Hardness: &material.Hardness{Shore: 74, Scale: "D"}, CuredColor: "#F2EFE6", TintSide: material.SideB, MaxTint: 0.02, MinTemp: ptr(18), MaxTemp: ptr(30),
	MaxDepth: 25, MaxMass: 500, ShelfLife: material.Span{Months: 12, Days: 1}, ShelfOpened: material.Span{Months: 4, Days: 2},
	Price: 42, Pack: 1800, PackA: 600, PackB: 1200, Heat: 250, Notes: "two\nlines", Link: "https://example.org/",
}

var wholeMold = shop.MoldProfile{
	Name: "pawn", Family: "condensation", Volume: 6.2, Cavities: 6, Thickest: 14, Thinnest: 5, Wall: 10, Pulls: 17, LastCoat: 15, ReleaseEvery: 5,
	MadeOn: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), Cost: 12.5, Retired: "torn", RetiredNote: "at the neck", Notes: "left flask",
}

// Everything that a thing can say comes along: a file leaves no field out.
func TestEveryFieldComesAlong(t *testing.T) {
	w := emptied(t)
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	m, err := w.AddMaterial(w.ctx, by(w.ada), wholeMaterial, false)
	must(err)
	mold, err := w.AddMold(w.ctx, by(w.ada), wholeMold, false)
	must(err)
	tint := shop.TintProfile{Name: "red", Family: "colored", Base: m.ID, BaseVersion: 1, BaseName: "white", BaseColor: "#F2EFE6", Dose: 0.005, Swatch: "#C9837F", Quality: "careful", Wall: 6, WeightOf20: 0.9}
	red, err := w.AddTint(w.ctx, by(w.ada), tint, false)
	must(err)
	formula := shop.FormulaProfile{Name: "sum", Text: "1 + 1", About: "what it is", Test: "2"}
	_, err = w.AddFormula(w.ctx, by(w.ada), formula, false)
	must(err)
	marks := []shop.MoldMark{{What: shop.MarkSpoiled, Number: 18, Late: true, Why: "bubbles", At: noon}}
	must(w.KeepMarks(w.ctx, by(w.ada), mold.ID, marks))
	r := quantity.Range{Low: 1, Mid: 2, High: 3}
	p := shop.Pour{
		PourPlan: shop.PourPlan{
			Material: "white", Mold: "pawn", Fills: []shop.Fill{{Mold: mold.ID, Name: "pawn", Volume: 6.2, Count: 6}}, Thickest: 14, Thinnest: 5, Volume: 37.2, Mass: 50, Count: 6,
			Room: 21, Resin: ptr(22), MoldTemp: ptr(23), Tint: "red 0.5 %", Doses: []shop.Dose{{Tint: red.ID, Version: 1, Name: "red", Share: 0.005}}, Coats: 3, Where: "shelf 2",
			Foreseen: shop.Foreseen{PotLife: r, Gel: r, Demold: r, Cool: r, Peak: r, FullCure: r, Physics: 900, Remind: 1000},
		},
		MaterialID: m.ID, MoldID: mold.ID, MaterialVersion: 1, Started: noon, State: shop.PourDone, Ended: noon.Add(time.Hour), CoatsOn: 2, CoatAt: noon.Add(time.Minute), Good: 5, Spoiled: 1,
		Answers: []shop.Answer{{ReadyBy: 3600, At: noon.Add(time.Hour)}},
		Log:     []shop.PourEvent{{What: shop.EventDone, At: noon.Add(time.Hour), Readied: true, Good: 5, Spoiled: 1, Pulls: 6, Why: "a \"bubble\"", Text: "two\nlines", Photo: "https://example.org/"}},
	}
	must(w.KeepPours(w.ctx, by(w.ada), []shop.Pour{p}))
	jug := shop.Container{MaterialID: m.ID, OpenedOn: time.Date(2026, 10, 20, 0, 0, 0, 0, time.UTC), ContainerPlan: shop.ContainerPlan{Material: "white", Part: "kit", A: 610, B: 480, Lot: "L 7",
		Bought: time.Date(2026, 10, 1, 0, 0, 0, 0, time.UTC), UseBy: time.Date(2027, 9, 30, 0, 0, 0, 0, time.UTC), Tare: 85, Low: 100}}
	jug, err = w.AddContainer(w.ctx, by(w.ada), jug)
	must(err)
	_, err = w.DrawStock(w.ctx, by(w.ada), []shop.StockDraw{{Container: jug.ID, What: shop.StockUsed, A: 10, B: 9}})
	must(err)
	for path, v := range map[string]any{"container": jug.ContainerPlan, "material": wholeMaterial, "mold": wholeMold, "tint": tint, "formula": formula, "mark": marks[0]} {
		said(t, path, reflect.ValueOf(v))
	}
	// Records stay behind. An answer says one of two things, and whether it is
	// shared stays behind too.
	said(t, "pour", reflect.ValueOf(p), "Record", "SoftAt", "Shared")

	w.imported(t, w.zoe, w.exported(t, w.ada, transfer.JSON, transfer.Kinds()...)[0].Data, "", transfer.Choice{})
	materials, err := w.Materials(w.ctx, w.zoe)
	must(err)
	molds, err := w.Molds(w.ctx, w.zoe)
	must(err)
	tints, err := w.Tints(w.ctx, w.zoe)
	must(err)
	formulas, err := w.Formulas(w.ctx, w.zoe)
	must(err)
	log, err := w.MoldMarks(w.ctx, w.zoe, molds[0].ID, 9)
	must(err)
	pours, err := w.Pours(w.ctx, w.zoe, 9)
	must(err)
	got, err := w.Pour(w.ctx, w.zoe, pours[0].ID)
	must(err)
	jugs, err := w.Containers(w.ctx, w.zoe)
	must(err)
	if a, b := jugs[0].Left(); a != 600 || b != 471 || !jugs[0].OpenedOn.Equal(jug.OpenedOn) || jugs[0].MaterialID != materials[0].ID {
		t.Errorf("container %+v", jugs[0])
	}
	tint.Base = materials[0].ID
	p.MaterialID, p.MoldID, p.Fills[0].Mold, p.Doses[0].Tint = materials[0].ID, molds[0].ID, molds[0].ID, tints[0].ID
	for _, c := range []struct {
		name      string
		want, got any
	}{
		{"material", wholeMaterial, materials[0].Profile}, {"mold", wholeMold, molds[0].MoldProfile}, {"tint", tint, tints[0].TintProfile},
		{"formula", formula, formulas[0].FormulaProfile}, {"log", marks, log}, {"container", jug.ContainerPlan, jugs[0].ContainerPlan}, {"pour", p, got},
	} {
		if diff := cmp.Diff(c.want, c.got, cmpopts.IgnoreTypes(shop.Record{})); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}

// The columns of each kind as they are documented. A column that is renamed or
// goes is a new schema; one that is added goes to the end of the README's list.
func TestColumns(t *testing.T) {
	w := emptied(t)
	for _, made := range w.exported(t, w.ada, transfer.CSV, transfer.Kinds()...) {
		heads, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(made.Data), "\uFEFF"))).Read()
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		for _, h := range heads {
			if seen[h] || h == "" {
				t.Errorf("%s has column %q twice, or without a name", made.Name, h)
			}
			seen[h] = true
		}
		if want, ok := documented[made.Name]; !ok || !slices.Equal(want, heads) {
			t.Errorf("%s:\n got %s\nwant %s", made.Name, strings.Join(heads, " "), strings.Join(want, " "))
		}
	}
}

var documented = map[string][]string{
	"materials.csv":  strings.Fields("name family ratio density_a_g_ml density_b_g_ml density_mixed_g_ml pot_life_s pot_life_mass_g pot_life_temp_c demold_s demold_section_mm full_cure_s hardness cured_color tint_side max_tint_fraction min_temp_c max_temp_c max_depth_mm max_mass_g shelf_life shelf_opened price pack_g pack_a_g pack_b_g heat_j_g notes link"),
	"molds.csv":      strings.Fields("name family volume_ml cavities thickest_mm thinnest_mm wall_mm pulls last_coat release_every made_on cost retired retired_note notes"),
	"tints.csv":      strings.Fields("name family base base_color dose_fraction swatch quality wall_mm weight_of_20_g"),
	"formulas.csv":   strings.Fields("name text about test"),
	"containers.csv": strings.Fields("material part a_g b_g left_a_g left_b_g lot bought opened use_by tare_g low_g finished"),
	"pulls.csv":      strings.Fields("mold what number late why at"),
	"pours.csv": strings.Fields(`material profile mold fills state started ended thickest_mm thinnest_mm volume_ml mass_g count room_c resin_temp_c mold_temp_c tint doses coats coats_on coat_at where
		good spoiled answers log foreseen_pot_life_p10_s foreseen_pot_life_p50_s foreseen_pot_life_p90_s foreseen_gel_p10_s foreseen_gel_p50_s foreseen_gel_p90_s
		foreseen_demold_p10_s foreseen_demold_p50_s foreseen_demold_p90_s foreseen_cool_p10_s foreseen_cool_p50_s foreseen_cool_p90_s foreseen_peak_p10_c foreseen_peak_p50_c foreseen_peak_p90_c
		foreseen_full_cure_p10_s foreseen_full_cure_p50_s foreseen_full_cure_p90_s physics_s remind_s`),
}

// A text that a spreadsheet would carry out is written so that it does not, and
// comes back as it was. The beginnings are OWASP's ("CSV Injection", from
// memory); numbers stay numbers, also those below zero.
func TestFormulasInCells(t *testing.T) {
	w := emptied(t)
	texts := []string{"=1+1", "+1", "-1", "@SUM(A1)", "'=1", "''=1", "'", "'x", "＝1", "a=b", `=HYPERLINK("https://example.org";"x")`, "=cmd|' /C calc'!A0"}
	for i, text := range texts {
		p := wholeMold
		p.Name, p.Notes = strings.Repeat("=", i+1), text
		if _, err := w.AddMold(w.ctx, by(w.ada), p, false); err != nil {
			t.Fatal(err)
		}
	}
	cold := wholeMaterial
	cold.MinTemp = ptr(-5)
	if _, err := w.AddMaterial(w.ctx, by(w.ada), cold, false); err != nil {
		t.Fatal(err)
	}
	data := w.exported(t, w.ada, transfer.CSV, transfer.Molds)[0].Data
	records, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(data), "\uFEFF"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range records {
		for _, field := range r {
			if field != "" && strings.ContainsRune("=+-@\t\r＝＋－＠", []rune(field)[0]) {
				t.Errorf("a spreadsheet would carry %q out", field)
			}
		}
	}
	w.imported(t, w.zoe, data, transfer.Molds, transfer.Choice{})
	molds, err := w.Molds(w.ctx, w.zoe)
	if err != nil || len(molds) != len(texts) {
		t.Fatalf("%d molds, %v", len(molds), err)
	}
	for _, m := range molds {
		if want := texts[len(m.Name)-1]; m.Notes != want {
			t.Errorf("%q came back as %q", want, m.Notes)
		}
	}
	if data := string(w.exported(t, w.ada, transfer.CSV, transfer.Materials)[0].Data); !strings.Contains(data, ",-5,") {
		t.Errorf("a temperature below zero is no number any more:\n%s", data)
	}
	// The report is opened in a spreadsheet too.
	rep := w.looked(t, w.ada, "name,family,notes\n'=2+2,latex,x\n", transfer.Molds)
	text, err := rep.CSV()
	if err != nil || strings.Contains(string(text), ",=2") || !strings.Contains(string(text), ",'=2+2,") {
		t.Errorf("the report, %v:\n%s", err, text)
	}
}
