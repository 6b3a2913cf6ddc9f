package store

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// TestStoredForm pins what stands in the databases of members: these texts
// must read as they do today whatever becomes of the Go types. A field may be
// added, with a line here; one that changes its name or meaning needs a
// migration.
func TestStoredForm(t *testing.T) {
	zero, warm := 0.0, 35.0
	span := quantity.Range{Low: 1, Mid: 2, High: 3}
	reads(t, `{"name":"a","family":"epoxy","ratio":{"A":100,"B":45,"By":2},"density_a":1.15,"density_b":0.98,"density_mixed":1.09,`+
		`"pot_life":2400,"pot_life_mass":150,"pot_life_temp":0,"demold":86400,"demold_section":6,"full_cure":604800,`+
		`"hardness":{"shore":80,"scale":"D"},"cured_color":"clear","tint_side":"A","max_tint":0.02,"min_temp":0,"max_temp":0,`+
		`"max_depth":10,"max_mass":500,"shelf_life":{"months":6},"shelf_opened":{"days":3},"price":39,"pack":1450,"pack_a":1000,`+
		`"pack_b":450,"heat":250,"notes":"n","link":"l"}`,
		material.Profile{Name: "a", Family: material.Epoxy, Ratio: quantity.Ratio{A: 100, B: 45, By: quantity.ByWeight},
			DensityA: 1.15, DensityB: 0.98, DensityMixed: 1.09, PotLife: 2400, PotLifeMass: 150, PotLifeTemp: &zero,
			Demold: 86400, DemoldSection: 6, FullCure: 604800, Hardness: &material.Hardness{Shore: 80, Scale: "D"},
			CuredColor: "clear", TintSide: material.SideA, MaxTint: 0.02, MinTemp: &zero, MaxTemp: &zero, MaxDepth: 10, MaxMass: 500,
			ShelfLife: material.Span{Months: 6}, ShelfOpened: material.Span{Days: 3}, Price: 39, Pack: 1450, PackA: 1000, PackB: 450,
			Heat: 250, Notes: "n", Link: "l"})
	reads(t, `{"name":"b","family":"urethane","ratio":{"A":1,"B":1,"By":1}}`,
		material.Profile{Name: "b", Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume}})
	reads(t, `{"name":"m","family":"addition","volume":31,"cavities":1,"thickest":26,"thinnest":8,"wall":10,"pulls":4,"last_coat":1,`+
		`"release_every":5,"cost":12.5,"retired":"torn","retired_note":"r","notes":"n"}`,
		shop.MoldProfile{Name: "m", Family: "addition", Volume: 31, Cavities: 1, Thickest: 26, Thinnest: 8, Wall: 10, Pulls: 4,
			LastCoat: 1, ReleaseEvery: 5, Cost: 12.5, Retired: "torn", RetiredNote: "r", Notes: "n"})
	reads(t, `{"name":"t","family":"colored","base":12,"base_version":3,"base_name":"w","base_color":"#F2EFE6","dose":0.005,"swatch":"#C9837F",`+
		`"quality":"careful","wall":6,"weight_of_20":0.9}`,
		shop.TintProfile{Name: "t", Family: "colored", Base: 12, BaseVersion: 3, BaseName: "w", BaseColor: "#F2EFE6", Dose: 0.005,
			Swatch: "#C9837F", Quality: "careful", Wall: 6, WeightOf20: 0.9})
	reads(t, `{"name":"f","text":"input w = 10 mm\nw * 2","about":"a","test":"w 5 mm -\u003e 10 mm"}`,
		shop.FormulaProfile{Name: "f", Text: "input w = 10 mm\nw * 2", About: "a", Test: "w 5 mm -> 10 mm"})
	reads(t, `{"units":"us","temp":19,"humidity":0.4,"altitude":1609,"zone":"America/Denver","currency":"USD","scale_step":0.01,"channel":"1"}`,
		shop.Settings{Units: "us", Temp: 19, Humidity: 0.4, Altitude: shop.At(1609), Zone: "America/Denver", Currency: "USD", ScaleStep: 0.01, Channel: "1"})
	reads(t, `{"units":"us","zone":"UTC","quiet_hours":"22:00-07:00","ready":"p50","to":"dm"}`,
		shop.Prefs{Units: "us", Zone: "UTC", QuietHours: "22:00-07:00", Ready: "p50", To: "dm"})
	reads(t, `{"about":"wipe","first":"2028-02-29T09:00:00Z","every":{"span":{"months":12,"days":1},"for":900000000000},"zone":"Europe/London","place":"7"}`,
		shop.DuePlan{About: "wipe", First: time.Date(2028, 2, 29, 9, 0, 0, 0, time.UTC), Zone: "Europe/London", Place: "7",
			Every: shop.Every{Span: material.Span{Months: 12, Days: 1}, For: 15 * time.Minute}})
	reads(t, `{"material":"a","mold":"m","thickest":14,"thinnest":5,"volume":37.2,"mass":39.4,"count":6,"room":0,"resin_temp":0,`+
		`"mold_temp":35,"foreseen":{"pot_life":{"Low":1,"Mid":2,"High":3},"gel":{"Low":1,"Mid":2,"High":3},"demold":{"Low":1,"Mid":2,"High":3},`+
		`"cool":{"Low":1,"Mid":2,"High":3},"peak":{"Low":1,"Mid":2,"High":3},"physics":900,"remind":1500}}`,
		shop.PourPlan{Material: "a", Mold: "m", Thickest: 14, Thinnest: 5, Volume: 37.2, Mass: 39.4, Count: 6, Resin: &zero, MoldTemp: &warm,
			Foreseen: shop.Foreseen{PotLife: span, Gel: span, Demold: span, Cool: span, Peak: span, Physics: 900, Remind: 1500}})
}

// reads holds the stored text and the value against each other, both ways.
func reads[T any](t *testing.T, text string, want T) {
	t.Helper()
	var got T
	if err := json.Unmarshal([]byte(text), &got); err != nil {
		t.Fatalf("%T does not read %s: %v", got, text, err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("%T read from its stored form (-want +got):\n%s", got, diff)
	}
	if back, err := json.Marshal(want); err != nil || string(back) != text {
		t.Errorf("%T is stored as\n%s (%v), want\n%s", want, back, err, text)
	}
}
