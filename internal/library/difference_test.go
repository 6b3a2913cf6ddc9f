package library

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// fill puts something into every field of a struct, told apart by n.
func fill(v reflect.Value, n int) {
	for i := range v.NumField() {
		switch f := v.Field(i); f.Kind() {
		case reflect.String:
			f.SetString("text " + strings.Repeat("x", n))
		case reflect.Float64:
			f.SetFloat(float64(n) + 0.25)
		case reflect.Int, reflect.Int64, reflect.Uint8:
			if f.CanInt() {
				f.SetInt(int64(n))
			} else {
				f.SetUint(uint64(n % 2))
			}
		case reflect.Pointer:
			f.Set(reflect.New(f.Type().Elem()))
			if f.Elem().Kind() == reflect.Struct {
				fill(f.Elem(), n)
			} else {
				f.Elem().SetFloat(float64(n))
			}
		case reflect.Struct:
			if f.Type() == reflect.TypeFor[time.Time]() {
				f.Set(reflect.ValueOf(time.Unix(int64(n), 0).UTC()))
				continue
			}
			fill(f, n)
		default:
			panic(f.Kind())
		}
	}
}

// covers wants every field of a profile in exactly the lines that copies are
// compared by, but for those that belong to one thing alone.
func covers[P any](t *testing.T, fields []Field[P], alone ...string) {
	t.Helper()
	var from, to, none P
	fill(reflect.ValueOf(&from).Elem(), 1)
	for _, line := range lines(fields) {
		if line.same(from, none) {
			t.Errorf("%s: a full and an empty profile look the same", line[0].Name)
		}
		line.take(&to, from)
		if label := line[0].label(&from, quantity.Metric); label == "" {
			t.Errorf("%s has no label", line[0].Name)
		}
	}
	got, want := reflect.ValueOf(to), reflect.ValueOf(from)
	for i := range want.NumField() {
		name := want.Type().Field(i).Name
		left := false
		for _, a := range alone {
			left = left || a == name
		}
		if same := reflect.DeepEqual(got.Field(i).Interface(), want.Field(i).Interface()); same == left {
			t.Errorf("%T: field %s is taken over: %v", from, name, same)
		}
	}
}

func TestLinesCoverProfiles(t *testing.T) {
	covers(t, MaterialFields())
	covers(t, MoldFields(), "Pulls", "LastCoat", "MadeOn", "Retired", "RetiredNote")
	covers(t, tintLines())
	covers(t, formulaLines())
}

func bulletin(pot, mass, demold float64, notes string) material.Profile {
	return material.Profile{Name: "slow white", Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume},
		PotLife: pot, PotLifeMass: mass, Demold: demold, Notes: notes}
}

func TestMerge(t *testing.T) {
	was := bulletin(180, 100, 0, "")
	for _, c := range []struct {
		name      string
		now, mine material.Profile
		all       bool
		want      material.Profile
		said      []string
	}{
		{"nothing changed", was, bulletin(200, 100, 0, ""), false, bulletin(200, 100, 0, ""), nil},
		{"one line", bulletin(240, 100, 0, ""), was, false, bulletin(240, 100, 0, ""), []string{"Pot life: 3 min, 100 g → 4 min, 100 g"}},
		{"a figure goes with its condition", bulletin(180, 150, 0, ""), was, false, bulletin(180, 150, 0, ""), []string{"Pot life: 3 min, 100 g → 3 min, 150 g"}},
		{"beside an own edit", bulletin(240, 100, 0, ""), bulletin(180, 100, 900, "mine"), false, bulletin(240, 100, 900, "mine"), []string{"Pot life: 3 min, 100 g → 4 min, 100 g"}},
		{"against an own edit", bulletin(240, 100, 720, ""), bulletin(200, 50, 0, ""), false, bulletin(200, 50, 720, ""),
			[]string{"Pot life: 3 min, 100 g → 4 min, 100 g (yours says 3 min 20 s, 50 g)", "Demold: not said → 12 min"}},
		{"against an own edit, all of it", bulletin(240, 100, 720, ""), bulletin(200, 50, 0, ""), true, bulletin(240, 100, 720, ""),
			[]string{"Pot life: 3 min, 100 g → 4 min, 100 g (yours says 3 min 20 s, 50 g)", "Demold: not said → 12 min"}},
		{"both did the same", bulletin(240, 100, 0, ""), bulletin(240, 100, 0, ""), false, bulletin(240, 100, 0, ""), nil},
		{"forgotten", bulletin(180, 100, 0, ""), was, false, was, nil},
		{"too little to show rounded", bulletin(180.0001, 100, 0, ""), was, false, bulletin(180.0001, 100, 0, ""), []string{"Pot life: 180 s, 100 g → 180.0001 s, 100 g"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, differences := Merge(MaterialFields(), was, c.now, c.mine, quantity.Metric, c.all)
			if !reflect.DeepEqual(got, c.want) {
				t.Errorf("merged %+v, want %+v", got, c.want)
			}
			var said []string
			for _, d := range differences {
				said = append(said, d.String())
			}
			if !reflect.DeepEqual(said, c.said) {
				t.Errorf("said %q, want %q", said, c.said)
			}
		})
	}
}

// TestLongTexts: of long texts the part is shown where they part.
func TestLongTexts(t *testing.T) {
	was := shop.FormulaProfile{Name: "a", Text: strings.Repeat("ö = 1\n", 60) + "width * 2"}
	now, mine := was, was
	now.Text += " + 3"
	mine.Text = strings.Replace(mine.Text, "ö", "o", 1)
	_, got := Merge(formulaLines(), was, now, mine, quantity.Metric, false)
	if len(got) != 1 || strings.ContainsAny(got[0].String(), "\n\r") {
		t.Fatalf("differences: %q", got)
	}
	for _, text := range []string{got[0].Was, got[0].Now, got[0].Mine} {
		if n := len([]rune(text)); n > longest+2 || n < 20 {
			t.Errorf("%d characters of %q", n, text)
		}
	}
	_, got = Merge(formulaLines(), was, now, was, quantity.Metric, false)
	if len(got) != 1 || !strings.HasPrefix(got[0].Was, "…") || !strings.HasSuffix(got[0].Was, "width * 2") || !strings.HasSuffix(got[0].Now, "width * 2 + 3") {
		t.Errorf("differences: %q", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringN(0, 400, -1)
		d := Difference{Was: text.Draw(t, "was"), Now: text.Draw(t, "now"), Mine: text.Draw(t, "mine")}
		d.shorten()
		for _, s := range []string{d.Was, d.Now, d.Mine} {
			if n := len([]rune(s)); n > longest+2 {
				t.Fatalf("%d characters of %q", n, s)
			}
		}
	})
}

// TestMergeLaws: what nobody changed stays; who changed nothing gets all; with
// all the copy says what its origin says; merging twice is merging once.
func TestMergeLaws(t *testing.T) {
	draw := func(t *rapid.T, what string) shop.TintProfile {
		pick := func(part string, of ...string) string { return rapid.SampledFrom(of).Draw(t, what+" "+part) }
		return shop.TintProfile{Name: pick("name", "a", "b", "c"), Family: pick("family", "colored", "white"),
			Swatch: pick("swatch", "#111111", "#222222"), Dose: rapid.SampledFrom([]float64{0.005, 0.01}).Draw(t, what+" dose"),
			WeightOf20: rapid.SampledFrom([]float64{0, 0.9, 1}).Draw(t, what+" drops")}
	}
	rapid.Check(t, func(t *rapid.T) {
		was, now, mine := draw(t, "was"), draw(t, "now"), draw(t, "mine")
		merge := func(was, now, mine shop.TintProfile, all bool) shop.TintProfile {
			p, _ := Merge(tintLines(), was, now, mine, quantity.Metric, all)
			return p
		}
		if got := merge(was, was, mine, true); got != mine {
			t.Fatalf("an origin that did not change made %+v of %+v", got, mine)
		}
		if got := merge(was, now, was, false); got != now {
			t.Fatalf("a copy that did not change became %+v, want %+v", got, now)
		}
		once := merge(was, now, mine, false)
		if again := merge(was, now, once, false); again != once {
			t.Fatalf("merged twice %+v, once %+v", again, once)
		}
		if (once.Swatch == mine.Swatch) != (once.Dose == mine.Dose) && now.Swatch != mine.Swatch && now.Dose != mine.Dose {
			t.Fatalf("a swatch was taken apart from its dose: %+v of %+v and %+v", once, now, mine)
		}
	})
}
