package commands_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
)

func TestMeShow(t *testing.T) {
	golden(t, "me_show", ask(t, desk(t), "bram", "/me show"))
}

func TestMeSet(t *testing.T) {
	for _, c := range []struct{ name, option, key, value, text string }{
		{"units", "units:imperial", "units", "imperial", "shop → imperial"},
		{"a zone", "zone:europe/paris", "zone", "Europe/Paris", "shop → Europe/Paris"},
		{"quiet hours", "quiet_hours:22:00-07:00", "quiet_hours", "22:00-07:00", "none → 22:00-07:00"},
		{"quiet hours in words", `quiet_hours:"10 pm to 7 am"`, "quiet_hours", "22:00-07:00", "none → 22:00-07:00"},
		{"noon and midnight", `quiet_hours:"12am-12pm"`, "quiet_hours", "00:00-12:00", "none → 00:00-12:00"},
		{"when", "ready:p50", "ready", "p50", "p90 → p50"},
		{"where", "to:dm", "to", "dm", "here → dm"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := desk(t)
			if f := fact(t, told(t, d, "bram", "/me set "+c.option), c.key); f.Value != c.value || f.Text != c.text {
				t.Errorf("said %v, %q; want %q, %q", f.Value, f.Text, c.value, c.text)
			}
			if f := fact(t, told(t, d, "bram", "/me show"), c.key); f.Value != c.value {
				t.Errorf("kept %v, want %v", f.Value, c.value)
			}
			if f := fact(t, told(t, d, "cleo", "/me show"), c.key); f.Value == c.value {
				t.Errorf("cleo has it too: %v", f.Value)
			}
		})
	}
}

// A wish goes before the shop's setting, and can be taken back.
func TestMeUnitsGoBeforeTheShops(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", "/me set units:us")
	if got := fact(t, told(t, d, "bram", "/shop show"), "temp").Text; !strings.HasSuffix(got, "°F") {
		t.Errorf("bram reads %q, want °F", got)
	}
	if got := fact(t, told(t, d, "cleo", "/shop show"), "temp").Text; !strings.HasSuffix(got, "°C") {
		t.Errorf("cleo reads %q, want °C", got)
	}
	told(t, d, "bram", "/me set units:shop")
	if got := fact(t, told(t, d, "bram", "/shop show"), "temp").Text; !strings.HasSuffix(got, "°C") {
		t.Errorf("bram reads %q again, want °C", got)
	}
}

func TestMeSetRefusals(t *testing.T) {
	d := desk(t)
	refused(t, d, "bram", "/me set", fault.MissingOption, "units")
	refused(t, d, "bram", "/me set units:cubits", fault.NotFound, "units")
	refused(t, d, "bram", "/me set zone:Nowhere", fault.BadTime, "zone")
	refused(t, d, "bram", "/me set to:phone", fault.NotFound, "to")
	refused(t, d, "bram", "/me set ready:p99", fault.NotFound, "ready")
	for _, hours := range []string{"soon", "25:00-07:00", "22:00", "22:60-07:00", "13pm-2am", "22-22"} {
		refused(t, d, "bram", "/me set quiet_hours:"+hours, fault.BadTime, "quiet_hours")
	}
	refused(t, d, "bram", "/me set units:us quiet_hours:soon", fault.BadTime, "quiet_hours")
	if got := fact(t, told(t, d, "bram", "/me show"), "units").Value; got != "shop" {
		t.Errorf("refused, and yet units are %v", got)
	}
}

func TestMeForm(t *testing.T) {
	d := desk(t)
	form := press(t, d, "bram", ask(t, d, "bram", "/me show"), "Change").Form
	if form == nil || len(form.Fields) != 5 {
		t.Fatalf("form %+v, want five fields", form)
	}
	filled := map[string]string{}
	for _, f := range form.Fields {
		filled[f.Name] = f.Value
	}
	filled["to"] = "dm"
	r := send(t, d, "bram", form, filled).Reply
	if fact(t, r, "to").Value != "dm" || fact(t, r, "units").Text != "shop, as before" {
		t.Errorf("facts %+v", r.Facts)
	}
}

func TestMeExport(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", "/me set units:us")
	r := told(t, d, "bram", "/me export")
	if len(r.Files) != 1 {
		t.Fatalf("%d files, want one", len(r.Files))
	}
	var held struct {
		Member struct {
			Key   string
			Prefs struct{ Units string }
		}
		Records map[string][]struct{ Shared bool }
	}
	if err := json.Unmarshal(r.Files[0].Data, &held); err != nil {
		t.Fatal(err)
	}
	if held.Member.Key != "local:bram" || held.Member.Prefs.Units != "us" {
		t.Errorf("member %+v", held.Member)
	}
	if molds := held.Records["mold"]; len(molds) != 1 || !molds[0].Shared {
		t.Errorf("records %+v, want the one mold of bram's", held.Records)
	}
	if text := string(r.Files[0].Data); strings.Contains(text, "harbor pawn") || strings.Contains(text, "local:ada") {
		t.Error("the file holds what is ada's")
	}
}

func TestMeErase(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", "/me set units:us")
	warned := ask(t, d, "bram", "/me erase")
	golden(t, "me_erase", warned)
	if got := fact(t, told(t, d, "bram", "/me show"), "units").Value; got != "us" {
		t.Fatalf("the question alone erased: units are %v", got)
	}
	const useHis = `/batch material:"demo rigid white" mold:"shell knob"`
	told(t, d, "cleo", useHis)
	done := press(t, d, "bram", warned, "Erase everything")
	if done.Reply == nil || !done.Replace {
		t.Fatalf("pressed: %+v", done)
	}
	if got := fact(t, told(t, d, "bram", "/me show"), "units").Value; got != "shop" {
		t.Errorf("erased, and yet units are %v", got)
	}
	// What bram shared is gone for the others too; what is theirs stays.
	refused(t, d, "cleo", useHis, fault.UnknownMold, "mold")
	told(t, d, "cleo", `/batch material:"demo rigid white" mold:"harbor pawn"`)
}

func TestMeEraseWarnsTheLastManager(t *testing.T) {
	d := desk(t)
	if r := told(t, d, "ada", "/me erase"); !said(r, "only manager", "Kettle Lane") {
		t.Errorf("notes %q, want a warning", r.Notes)
	}
	if r := told(t, d, "bram", "/me erase"); said(r, "only manager") {
		t.Errorf("bram manages nothing, and is warned: %q", r.Notes)
	}
}
