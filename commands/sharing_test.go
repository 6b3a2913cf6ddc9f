package commands_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// kindsOf are one thing of each kind in the demo shop, and an edit of it that
// its copies are offered.
var kindsOf = []struct{ kind, name, edit, offered string }{
	{"material", "demo rigid white", `pot_life:"4 min, 100 g, 23 C"`, "Pot life: 3 min, 100 g, 23 °C → 4 min, 100 g, 23 °C"},
	{"mold", "harbor pawn", `thickest:"15 mm" pulls:40`, "Thickest section: 14 mm → 15 mm"},
	{"tint", "brick red", "", "Twenty drops: 0.9 g → 1 g"},
	{"formula", "block mold", `text:"input width = 100 mm; width * 3"`, "Formula: input width = 100 mm; width * 2 → input width = 100 mm; width * 3"},
}

// sharedFormula keeps the one thing that the demo shop may lack.
func sharedFormula(t *testing.T, d *chat.Dispatcher) {
	t.Helper()
	told(t, d, "ada", `/formula save name:"block mold" text:"input width = 100 mm; width * 2"`)
	told(t, d, "ada", `/formula share formula:"block mold"`)
}

// Every kind is adopted, follows its origin and is handed over by the same
// words.
func TestSharingOfEveryKind(t *testing.T) {
	for _, k := range kindsOf {
		t.Run(k.kind, func(t *testing.T) {
			d := desk(t)
			if k.kind == "formula" {
				sharedFormula(t, d)
			}
			line := func(sub, rest string) string {
				return fmt.Sprintf("/%s %s %s:%q %s", k.kind, sub, k.kind, k.name, rest)
			}
			if r := told(t, d, "bram", line("adopt", "")); r.Title != fmt.Sprintf("Adopted %q from ada", k.name) || len(r.Notes) < 2 {
				t.Errorf("adopted: %q %q", r.Title, r.Notes)
			}
			refused(t, d, "bram", line("adopt", ""), fault.NameTaken, "name")
			refused(t, d, "ada", line("changes", ""), fault.NotFound, k.kind)
			if r := told(t, d, "bram", line("changes", "")); r.Title != fmt.Sprintf("%q says what its origin says", k.name) {
				t.Errorf("nothing changed: %q", r.Title)
			}

			edit := line("edit", k.edit)
			if k.kind == "tint" {
				edit = line("drops", `weight_of_20:"1 g"`)
			}
			told(t, d, "ada", edit)
			show := told(t, d, "bram", line("show", ""))
			if !said(show, "Its origin changed, now version 2: "+k.offered+".") {
				t.Errorf("show says %q", show.Notes)
			}
			if list := told(t, d, "bram", "/"+k.kind+" list"); !said(list, "The origin changed of what you adopted as "+k.name) {
				t.Errorf("list says %q", list.Notes)
			}
			took := press(t, d, "bram", chat.Answer{Reply: show}, "Take the change")
			if took.Reply == nil || took.Reply.Title != fmt.Sprintf("Changed %q, now version 2", k.name) || !took.Replace {
				t.Fatalf("take: %+v %v", took.Reply, took.Fault)
			}
			if again := press(t, d, "bram", chat.Answer{Reply: show}, "Leave it"); again.Fault == nil || again.Fault.Code != fault.NotFound {
				t.Errorf("leaving what was taken: %v", again.Fault)
			}

			told(t, d, "bram", line("give", "to:cleo"))
			offers := told(t, d, "cleo", "/"+k.kind+" list")
			if got := press(t, d, "cleo", chat.Answer{Reply: offers}, "Take over "+k.name); got.Reply == nil || got.Reply.Title != fmt.Sprintf("%q is yours now", k.name) {
				t.Errorf("take over: %+v %v", got.Reply, got.Fault)
			}
			if r := told(t, d, "cleo", line("show", "")); fact(t, r, "origin").Value != "ada" {
				t.Errorf("the line is lost: %+v", r.Facts)
			}
			told(t, d, "ada", line("unshare", ""))
			if r := told(t, d, "cleo", line("show", "")); !said(r, "not shared with you here any more") {
				t.Errorf("unshared, show says %q", r.Notes)
			}
		})
	}
}

// What is shown of a copy whose owner changed the same as its origin did.
func TestSharingShown(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", `/material adopt material:"demo rigid white" name:"our white"`)
	told(t, d, "bram", `/material edit material:"our white" demold:"20 min, 6 mm"`)
	told(t, d, "ada", `/material edit material:"demo rigid white" pot_life:"4 min, 100 g, 23 C" demold:"15 min, 6 mm" notes:"new bottle" max_mass:"500 g" max_tint:"3%" hardness:"75 D"`)
	golden(t, "sharing_show", ask(t, d, "bram", `/material show material:"our white"`))
	changes := ask(t, d, "bram", `/material changes material:"our white"`)
	golden(t, "sharing_changes", changes)
	golden(t, "sharing_taken", press(t, d, "bram", changes, "Take the change"))
	golden(t, "sharing_shared", ask(t, d, "bram", `/material share material:"our white"`))
	told(t, d, "ada", `/material hide material:"our white" why:"not our bottle"`)
	golden(t, "sharing_hidden", ask(t, d, "bram", `/material show material:"our white"`))
	golden(t, "sharing_given", masked(ask(t, d, "bram", `/material give material:"our white" to:cleo`)))
	golden(t, "sharing_link", masked(ask(t, d, "bram", `/material share material:"our white" by:link`)))
}

// In direct messages there is nobody to share with, but codes.
func TestSharingAlone(t *testing.T) {
	d := desk(t)
	for _, c := range []struct {
		shop, line string
		refused    bool
	}{
		{"discord:80351110224678912", `/material add name:"own" family:urethane ratio:"1:1 vol" pot_life:"3 min"`, false},
		{"discord:80351110224678912", `/material share material:own`, true},
		{"discord:80351110224678912", `/material share material:own by:link`, false},
		{"discord:197038439483310086", `/material share material:own`, false},
	} {
		ans := d.Do(t.Context(), chat.Invocation{At: monday, MemberKey: "discord:80351110224678912", MemberName: "gus", ShopKey: c.shop, ShopName: "here", Line: c.line})
		if (ans.Fault != nil) != c.refused || c.refused && (ans.Fault.Code != fault.NotAllowed || ans.Fault.Option != "by" || ans.Fault.HintText() == "") {
			t.Errorf("%s in %s: %v", c.line, c.shop, ans.Fault)
		}
	}
}

// A tint's copy in another shop keeps what its base cured to, and offers no
// button for a base that is not there.
func TestSharedTintElsewhere(t *testing.T) {
	d := desk(t)
	code := fact(t, told(t, d, "ada", `/tint share tint:"brick red" by:link`), "code").Text
	away := calling("zoe")
	away.ShopKey, away.ShopName = "local:yard", "the yard"
	for _, line := range []string{"/tint adopt code:" + code, `/tint show tint:"brick red"`} {
		away.Line = line
		ans := d.Do(t.Context(), away)
		if ans.Fault != nil {
			t.Fatalf("%s: %v", line, ans.Fault)
		}
		for _, a := range ans.Reply.Actions {
			if strings.HasPrefix(a.Label, "Look at") {
				t.Errorf("%s offers %q of a base that is out of sight", line, a.Label)
			}
		}
		if strings.HasPrefix(line, "/tint show") && fact(t, ans.Reply, "base").Text != "demo rigid white" {
			t.Errorf("the swatch lost its base: %+v", ans.Reply.Facts)
		}
	}
}

// masked hides the codes of an answer, which are drawn anew each time.
func masked(ans chat.Answer) chat.Answer {
	r := *ans.Reply
	r.Facts = append([]chat.Fact{}, r.Facts...)
	for i, f := range r.Facts {
		if f.Key != "code" && f.Key != "offer" {
			continue
		}
		r.Title = strings.ReplaceAll(r.Title, f.Text, "CODE")
		for j, s := range r.Steps {
			r.Steps[j] = strings.ReplaceAll(s, f.Text, "CODE")
		}
		r.Facts[i].Text = "CODE"
	}
	ans.Reply = &r
	return ans
}

// Wrong turns are refused in words, in the option they are about.
func TestSharingRefusals(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", `/material adopt material:"demo rigid white"`)
	for _, c := range []struct {
		as, line string
		code     fault.Code
		option   string
	}{
		{"cleo", `/material share material:"demo rigid white"`, fault.NotAllowed, "material"},
		{"cleo", `/material unshare material:"demo rigid white"`, fault.NotAllowed, "material"},
		{"ada", `/material adopt material:"Demo Rigid White"`, fault.NotAllowed, "material"},
		{"cleo", `/material adopt material:"demo rigid whit"`, fault.UnknownMaterial, "material"},
		{"cleo", `/material adopt`, fault.MissingOption, "material"},
		{"cleo", `/material adopt material:"demo rigid white" code:x`, fault.TooManyOptions, "code"},
		{"cleo", `/material adopt code:x`, fault.NotFound, "code"},
		{"cleo", `/material hide material:"demo rigid white"`, fault.NotAllowed, ""},
		{"cleo", `/material give material:"demo rigid white" to:bram`, fault.NotAllowed, "material"},
		{"ada", `/material give material:"demo rigid white"`, fault.MissingOption, "to"},
		{"ada", `/material give material:"demo rigid white" to:bram withdraw:yes`, fault.TooManyOptions, "withdraw"},
		{"ada", `/material give material:"demo rigid white" to:ada`, fault.NotAllowed, "to"},
		{"ada", `/material give material:"demo rigid white" to:"discord:80351110224678912"`, fault.NotAllowed, "to"},
		{"bram", `/material changes material:"demo rigid white" version:9`, fault.NotFound, "material"},
		{"bram", `/material changes material:"demo rigid white" take:change`, fault.NotFound, "material"},
	} {
		refused(t, d, c.as, c.line, c.code, c.option)
	}
	// What does not fit together is not taken, and nothing is written.
	told(t, d, "bram", `/material edit material:"demo rigid white" max_temp:"22 C"`)
	told(t, d, "ada", `/material edit material:"demo rigid white" min_temp:"25 C"`)
	refused(t, d, "bram", `/material changes material:"demo rigid white" take:change`, fault.NotAllowed, "take")
	if r := told(t, d, "bram", `/material show material:"demo rigid white"`); fact(t, r, "min_temp").Value != 18.0 {
		t.Errorf("after a refusal it says %+v", fact(t, r, "min_temp"))
	}
	told(t, d, "bram", `/mold adopt mold:"harbor pawn"`)
	told(t, d, "bram", `/mold edit mold:"harbor pawn" thinnest:"13 mm"`)
	told(t, d, "ada", `/mold edit mold:"harbor pawn" thickest:"12 mm"`)
	refused(t, d, "bram", `/mold changes mold:"harbor pawn" take:change`, fault.NotAllowed, "take")
	// The name that is offered in place of a taken one works.
	taken := refused(t, d, "bram", `/material adopt material:"demo rigid white"`, fault.NameTaken, "name")
	if got := press(t, d, "bram", taken, "demo rigid white of ada"); got.Reply == nil || got.Reply.Title != `Adopted "demo rigid white of ada" from ada` {
		t.Errorf("under the offered name: %+v, %v", got.Reply, got.Fault)
	}
}
