package commands_test

import (
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

func TestShopShow(t *testing.T) {
	d := desk(t)
	golden(t, "shop_show", ask(t, d, "ada", "/shop show"))
	// Who can't change it is not offered to.
	for _, l := range labels(told(t, d, "cleo", "/shop show").Actions) {
		if strings.HasPrefix(l, "Change") {
			t.Errorf("cleo is offered %q", l)
		}
	}
}

func TestShopSet(t *testing.T) {
	for _, c := range []struct {
		name, option string
		key          string
		value        any // in the base unit
		text         string
	}{
		{"warmth", `temp:"19 C"`, "temp", 19.0, "21 °C → 19 °C"},
		{"warmth in another unit", "temp:50F", "temp", 10.0, "21 °C → 10 °C"},
		{"a bare percentage", "humidity:45", "humidity", 0.45, "50 % → 45 %"},
		{"a dry room", "humidity:0", "humidity", 0.0, "50 % → 0 %"},
		{"a coarse scale", "scale_step:1g", "scale_step", 1.0, "0.1 g → 1 g"},
		{"units", "units:US", "units", "us", "metric → us"},
		{"a zone without case", `zone:"america/new york"`, "zone", "America/New_York", "Europe/London → America/New_York"},
		{"a currency without case", "currency:eur", "currency", "EUR", "GBP → EUR"},
		{"no currency", "currency:none", "currency", "none", "GBP → none"},
		{"a hill", `altitude:"1640 ft"`, "altitude", 499872.0, "not set, so sea level is taken → 499.9 m"},
		{"below the sea, bare", "altitude:-4", "altitude", -4000.0, "not set, so sea level is taken → −4 m"},
		{"a channel", "channel:casting", "channel", "casting", "none → casting"},
		{"the same again", `temp:"21 °C"`, "temp", 21.0, "21 °C, as before"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := desk(t)
			r := told(t, d, "ada", "/shop set "+c.option)
			f := fact(t, r, c.key)
			if got, isNumber := f.Value.(float64); isNumber {
				if math.Abs(got-c.value.(float64)) > 1e-9*math.Max(1, math.Abs(got)) {
					t.Errorf("%s is %v, want %v", c.key, got, c.value)
				}
			} else if f.Value != c.value {
				t.Errorf("%s is %v, want %v", c.key, f.Value, c.value)
			}
			if f.Text != c.text {
				t.Errorf("said %q, want %q", f.Text, c.text)
			}
			// It is kept: another member reads the same.
			if kept := fact(t, told(t, d, "bram", "/shop show"), c.key); kept.Value != f.Value {
				t.Errorf("kept %v, said %v", kept.Value, f.Value)
			}
		})
	}
}

// A bare number is read in a unit that the reply names.
func TestShopSetSaysHowABareNumberWasRead(t *testing.T) {
	if r := told(t, desk(t), "ada", "/shop set altitude:-4"); !said(r, "−4 m") {
		t.Errorf("notes %q, want one that names meters", r.Notes)
	}
}

func TestShopSetRefusals(t *testing.T) {
	d := desk(t)
	before := ask(t, d, "ada", "/shop show")
	for _, c := range []struct {
		name, as, line string
		code           fault.Code
		option         string
	}{
		{"no manager", "bram", `/shop set temp:"19 C"`, fault.NotAllowed, ""},
		{"nothing given", "ada", "/shop set", fault.MissingOption, "temp"},
		{"too hot", "ada", "/shop set temp:61C", fault.OutOfRange, "temp"},
		{"not a temperature", "ada", "/shop set temp:19g", fault.BadQuantity, "temp"},
		{"a fraction or a percentage", "ada", "/shop set humidity:0.4", fault.AmbiguousNumber, "humidity"},
		{"wetter than wet", "ada", "/shop set humidity:101%", fault.OutOfRange, "humidity"},
		{"above any town", "ada", `/shop set altitude:"9000 m"`, fault.OutOfRange, "altitude"},
		{"no scale", "ada", "/shop set scale_step:0", fault.OutOfRange, "scale_step"},
		{"no such units", "ada", "/shop set units:cubits", fault.NotFound, "units"},
		{"no such zone", "ada", "/shop set zone:Lodnon", fault.BadTime, "zone"},
		{"no such currency", "ada", "/shop set currency:GPB", fault.NotFound, "currency"},
		{"one good, one bad", "ada", "/shop set temp:19C zone:Mars", fault.BadTime, "zone"},
		{"good settings, no such member", "ada", `/shop set temp:19C managers:"the boss"`, fault.NotFound, "managers"},
		{"a member of another service", "ada", "/shop set managers:discord:80351110224678912", fault.NotAllowed, "managers"},
		{"good settings, last manager", "ada", "/shop set temp:19C drop_manager:ada", fault.NotAllowed, "drop_manager"},
	} {
		t.Run(c.name, func(t *testing.T) {
			refused(t, d, c.as, c.line, c.code, c.option)
			after := told(t, d, "ada", "/shop show")
			for i, f := range before.Reply.Facts {
				if after.Facts[i] != f {
					t.Errorf("refused, and yet %s went from %v to %v", f.Key, f.Value, after.Facts[i].Value)
				}
			}
		})
	}
}

func TestShopOffersNearZones(t *testing.T) {
	d := desk(t)
	ans := refused(t, d, "ada", "/shop set zone:Berlinn", fault.BadTime, "zone")
	got := press(t, d, "ada", ans, "Europe/Berlin")
	if got.Reply == nil || fact(t, got.Reply, "zone").Value != "Europe/Berlin" {
		t.Errorf("pressed: %+v", got)
	}
}

func TestShopManagers(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/shop set temp:"20 C" managers:@bram`)
	if f := fact(t, r, "managers"); f.Label != "bram" || f.Text != "no manager → manager" {
		t.Errorf("said %+v", f)
	}
	told(t, d, "bram", `/shop set temp:"19 C"`)
	told(t, d, "bram", "/shop set drop_manager:ada")
	refused(t, d, "ada", `/shop set temp:"18 C"`, fault.NotAllowed, "")
	if r := told(t, d, "ada", "/shop show"); !said(r, "Managers: bram.") {
		t.Errorf("notes %q, want bram alone", r.Notes)
	}
}

func TestShopForm(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", "/shop set units:us temp:21C altitude:100m")
	form := press(t, d, "ada", ask(t, d, "ada", "/shop show"), "Change room and scale").Form
	if form == nil {
		t.Fatal("no form opened")
	}
	filled := map[string]string{}
	for _, f := range form.Fields {
		if f.Value == "" {
			t.Errorf("%s is empty, want what it is now", f.Name)
		}
		filled[f.Name] = f.Value
	}
	filled["humidity"] = "35 %"
	r := send(t, d, "ada", form, filled).Reply
	if got := fact(t, r, "humidity").Value.(float64); math.Abs(got-0.35) > 1e-12 {
		t.Errorf("humidity %v, want 0.35", got)
	}
	// What nobody touched is not rounded to what the form showed.
	if got := fact(t, r, "temp").Value; got != 21.0 {
		t.Errorf("temp %v, want 21", got)
	}
	if ans := press(t, d, "bram", ask(t, d, "ada", "/shop show"), "Change room and scale"); ans.Fault == nil || ans.Fault.Code != fault.NotAllowed {
		t.Errorf("bram got %+v, want not_allowed", ans)
	}
}

// The second form holds what the first has no room for.
func TestShopFormsReachEverySetting(t *testing.T) {
	d := desk(t)
	have := map[string]bool{}
	show := ask(t, d, "ada", "/shop show")
	for _, label := range []string{"Change room and scale", "Change units, clock and money"} {
		form := press(t, d, "ada", show, label).Form
		filled := map[string]string{}
		for _, f := range form.Fields {
			have[f.Name], filled[f.Name] = true, f.Value
		}
		// Sent back untouched, a form is taken and changes nothing.
		for _, f := range send(t, d, "ada", form, filled).Reply.Facts {
			if !strings.HasSuffix(f.Text, ", as before") {
				t.Errorf("untouched %s: %s", f.Key, f.Text)
			}
		}
	}
	for _, f := range told(t, d, "ada", "/shop show").Facts {
		if !have[f.Key] {
			t.Errorf("no form asks for %s", f.Key)
		}
	}
}

// What the shop takes for granted is what answers take.
func TestShopSettingsReachAnswers(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", "/shop set units:us scale_step:1g")
	r := told(t, d, "bram", `/first material:"demo rigid white"`)
	if got := fact(t, r, "mass_a").Text; !strings.Contains(got, quantity.Ounce.Symbol()) {
		t.Errorf("part A %q, want ounces beside the grams", got)
	}
	if !said(r, "steps of", "1 g") && !said(r, "steps of", "oz") {
		t.Errorf("notes %q do not name the scale", r.Notes)
	}
}

func TestShopFAQ(t *testing.T) {
	d := desk(t)
	const topic = `topic:"Vacuum pump"`
	if r := told(t, d, "cleo", "/shop faq"); len(r.Steps) != 0 || !said(r, "A manager writes one") {
		t.Errorf("an empty list: %+v", r)
	}
	told(t, d, "ada", `/shop faq `+topic+` answer:"For silicone only.`+"\n"+`Oil it on Fridays."`)
	golden(t, "shop_faq", ask(t, d, "cleo", `/shop faq topic:"vacuum PUMP"`))

	list := ask(t, d, "cleo", "/shop faq")
	if got := press(t, d, "cleo", list, "Vacuum pump"); got.Reply == nil || len(got.Reply.Steps) != 2 {
		t.Errorf("pressed: %+v", got)
	}
	if r := told(t, d, "cleo", "/shop faq topic:vacum"); !said(r, `"vacum"`, `"Vacuum pump"`) {
		t.Errorf("notes %q, want one that says how the topic was read", r.Notes)
	}
	// Answered again, it says the new thing, under one topic.
	told(t, d, "ada", `/shop faq topic:"vacuum pump" answer:"For silicone and epoxy."`)
	if r := told(t, d, "bram", "/shop faq "+topic); r.Title != "vacuum pump: For silicone and epoxy." {
		t.Errorf("answered %q", r.Title)
	}
	if r := told(t, d, "bram", "/shop faq"); len(r.Steps) != 1 {
		t.Errorf("topics %q, want one", r.Steps)
	}
	told(t, d, "ada", "/shop faq "+topic+" remove:yes")
	refused(t, d, "bram", "/shop faq "+topic, fault.NotFound, "topic")
}

// An answer is private until somebody posts it, with the button or show:yes.
func TestShopFAQIsPosted(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/shop faq topic:keys answer:"By the door."`)
	ans := ask(t, d, "cleo", "/shop faq topic:keys")
	if !ans.Private {
		t.Error("public before it is posted")
	}
	posted := press(t, d, "cleo", ans, "Post here")
	if posted.Reply == nil || posted.Private || posted.Reply.Title != "keys: By the door." {
		t.Errorf("posted: %+v", posted)
	}
}

func TestShopFAQRefusals(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/shop faq topic:keys answer:"By the door."`)
	refused(t, d, "bram", `/shop faq topic:keys answer:"Under the mat."`, fault.NotAllowed, "")
	refused(t, d, "bram", "/shop faq topic:keys remove:yes", fault.NotAllowed, "")
	refused(t, d, "ada", `/shop faq answer:"Under the mat."`, fault.MissingOption, "topic")
	refused(t, d, "ada", `/shop faq topic:keys answer:" "`, fault.MissingOption, "answer")
	refused(t, d, "ada", `/shop faq topic:keys answer:x remove:yes`, fault.TooManyOptions, "remove")
	refused(t, d, "ada", "/shop faq topic:locks remove:yes", fault.NotFound, "topic")
	refused(t, d, "ada", `/shop faq topic:`+strings.Repeat("k", 81)+` answer:x`, fault.LimitReached, "topic")
	// A near topic is offered for removal, never removed.
	near := refused(t, d, "ada", "/shop faq topic:kyes remove:yes", fault.NotFound, "topic")
	if r := told(t, d, "ada", "/shop faq topic:keys"); r.Title != "keys: By the door." {
		t.Errorf("answered %q", r.Title)
	}
	if gone := press(t, d, "ada", near, "keys"); gone.Reply == nil || !gone.Replace {
		t.Errorf("pressed: %+v", gone)
	}
}

// Another shop has its own settings and its own answers.
func TestShopsAreApart(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/shop faq topic:keys answer:"By the door."`)
	inv := calling("ada")
	inv.ShopKey, inv.ShopName, inv.Line = "local:attic", "Attic", "/shop faq topic:keys"
	if ans := d.Do(t.Context(), inv); ans.Fault == nil || ans.Fault.Code != fault.NotFound {
		t.Errorf("another shop's answer: %+v", ans.Reply)
	}
	inv.Line = `/shop set temp:"12 C"`
	if ans := d.Do(t.Context(), inv); ans.Reply == nil {
		t.Fatalf("who made a shop may not set it: %v", ans.Fault)
	}
	if got := fact(t, told(t, d, "ada", "/shop show"), "temp").Value; got != 21.0 {
		t.Errorf("setting the attic changed the hall to %v", got)
	}
}

// A line whose texts are not ours is shown as text, and no longer than it may.
func TestShopFAQKeepsStrangersText(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/shop faq topic:"@everyone" answer:"**bold** <b>`+"\u202e"+`"`)
	r := told(t, d, "bram", "/shop faq topic:@everyone")
	if r.Title != "@everyone: **bold** <b>" {
		t.Errorf("title %q, want the text as it was typed, without what turns its direction", r.Title)
	}
}
