package commands_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/diagnose"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/testkit"
)

// cold is a shop with a pour that was too cold, a day after a good one.
func cold(t testing.TB) *chat.Dispatcher {
	t.Helper()
	d := desk(t)
	toldAt(t, d, "ada", 0, `/pour start material:"demo rigid white" mold:"harbor pawn" temp:"21 C"`)
	toldAt(t, d, "ada", time.Hour, "/pour done")
	toldAt(t, d, "ada", 24*time.Hour, `/pour start material:"demo rigid white" mold:"harbor pawn" temp:"15 C" tint:"brick red 0.5%"`)
	toldAt(t, d, "ada", 26*time.Hour, "/pour soft")
	return d
}

func TestTrouble(t *testing.T) {
	d := cold(t)
	golden(t, "trouble_plain", ask(t, d, "bram", `/trouble symptom:"foamed up"`))
	golden(t, "trouble_which", ask(t, d, "bram", `/trouble symptom:"still sticky after a day"`))
	golden(t, "trouble_bare", ask(t, d, "bram", `/trouble`))
	failed := askAt(t, d, "ada", 27*time.Hour, `/pour fail why:"soft all over"`)
	golden(t, "trouble_pour", press(t, d, "ada", failed, "What went wrong?"))
	pressed := press(t, d, "ada", askAt(t, d, "ada", 28*time.Hour, `/trouble symptom:"soft all over" pour:#2`), "Show working")
	golden(t, "trouble_working", pressed)
}

// The record of a cold pour moves the cold to the top and says why; without the
// pour the ratio is the first suspect.
func TestTroubleReadsThePour(t *testing.T) {
	d := cold(t)
	toldAt(t, d, "ada", 27*time.Hour, "/pour fail")
	plain := toldAt(t, d, "ada", 28*time.Hour, `/trouble symptom:"soft all over"`)
	if got := fact(t, plain, "cause_1").Value; got != "A and B off their ratio" {
		t.Errorf("without a pour the first is %q", got)
	}
	if !said(plain, "In order of how common they are") || slices.ContainsFunc(plain.Facts, func(f chat.Fact) bool { return f.Key == "share_1" }) {
		t.Errorf("nothing is known, and it says %q with %+v", plain.Notes, plain.Facts)
	}
	ans := press(t, d, "ada", askAt(t, d, "ada", 28*time.Hour, `/trouble symptom:"soft all over"`), "It was #2 demo rigid white, harbor pawn")
	r := ans.Reply
	if r == nil || fact(t, r, "cause_1").Value != "a cold room, mold or jug" || !strings.HasPrefix(r.Title, "Most likely: a cold room") {
		t.Fatalf("with the pour: %+v", ans)
	}
	share := fact(t, r, "share_1")
	if v := share.Value.(float64); !(*share.Low <= v && v <= *share.High && v > 0.4) {
		t.Errorf("share %+v", share)
	}
	for _, words := range [][]string{
		{"The room was 15 °C; your bulletin says 18 °C at least."},
		{"It was still soft after 2 h"},
		{"The last good pour like it, #1", "room 21 °C then, 15 °C now", "tint none then, brick red 0.5 % now"},
	} {
		if !said(r, words...) {
			t.Errorf("%q is not said in %q", words, r.Notes)
		}
	}
	if got := fact(t, r, "last_good").Value; got != "#1" {
		t.Errorf("the last good pour is %v", got)
	}

	// What a member saw outweighs the record, and what was weighed counts.
	r = toldAt(t, d, "ada", 28*time.Hour, `/trouble symptom:"soft all over" pour:#2 saw:"room warm enough"`)
	if said(r, "The room was 15 °C") || fact(t, r, "cause_1").Value == "a cold room, mold or jug" {
		t.Errorf("the member's word does not count: %q, %q", r.Title, r.Notes)
	}
	r = toldAt(t, d, "ada", 28*time.Hour, `/trouble symptom:"soft all over" pour:#2 a:"20 g" b:"15 g"`)
	if fact(t, r, "cause_1").Value != "A and B off their ratio" || !said(r, "too much A") {
		t.Errorf("20 g and 15 g: %q, %q", r.Title, r.Notes)
	}
	if c := press(t, d, "ada", askAt(t, d, "ada", 28*time.Hour, `/trouble symptom:"soft all over" pour:#2 a:"20 g" b:"15 g"`), "Check the ratio"); c.Reply == nil || fact(t, c.Reply, "off_ratio").Value.(float64) > -0.15 {
		t.Errorf("the check: %+v", c)
	}
	r = toldAt(t, d, "ada", 28*time.Hour, `/trouble symptom:"foam, rises in the mold" pour:#2 opened:"8 mo"`)
	if fact(t, r, "cause_1").Value != "a damp jug" || !said(r, "The jug had been open for 243 days; the bulletin gives an opened jug 122 days.") {
		t.Errorf("an old jug: %q, %q", r.Title, r.Notes)
	}
}

// The mold's log as it was when it was filled counts, not what came later.
func TestTroubleReadsTheMold(t *testing.T) {
	d := desk(t)
	// viaduct arch: 29 pulls, the last coat at 25
	toldAt(t, d, "ada", 0, `/pour start material:"demo rigid white" mold:"viaduct arch"`)
	toldAt(t, d, "ada", time.Hour, "/pour done")
	toldAt(t, d, "ada", 2*time.Hour, `/pour start material:"demo rigid white" mold:"viaduct arch"`)
	done := askAt(t, d, "ada", 3*time.Hour, `/pour done spoiled:1 why:"stuck in the mold"`)
	toldAt(t, d, "ada", 4*time.Hour, `/mold release mold:"viaduct arch"`)
	r := press(t, d, "ada", done, "What went wrong?").Reply
	if r == nil || fact(t, r, "cause_1").Value != "a release coat that is due" || !said(r, "5 pulls since its last release coat") {
		t.Fatalf("%+v", r)
	}
	r = toldAt(t, d, "ada", 5*time.Hour, `/trouble symptom:"mold tears" pour:#2`)
	if fact(t, r, "cause_1").Value == "age and pulls" || !said(r, "The mold's wall is 10 mm") {
		t.Errorf("%q, %q", r.Title, r.Notes)
	}
}

// A spoiled pour of which nothing was written asks what it was.
func TestTroubleAsksWhatItWas(t *testing.T) {
	d := desk(t)
	toldAt(t, d, "ada", 0, `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	form := press(t, d, "ada", askAt(t, d, "ada", time.Hour, "/pour done spoiled:1"), "What went wrong?")
	if form.Form == nil {
		t.Fatalf("no form: %+v", form)
	}
	got := send(t, d, "ada", form.Form, map[string]string{"symptom": "warped part"})
	if got.Reply == nil || fact(t, got.Reply, "symptom").Value != "warped part" || !said(got.Reply, "It was out after 1 h") {
		t.Errorf("sent in: %+v", got)
	}
	weighed := press(t, d, "ada", askAt(t, d, "ada", 2*time.Hour, `/trouble symptom:"soft all over" pour:#1`), "I know what was weighed")
	if weighed.Form == nil {
		t.Fatalf("no form: %+v", weighed)
	}
	got = send(t, d, "ada", weighed.Form, map[string]string{"a": "20 g", "b": "18.5 g"})
	if got.Reply == nil || !said(got.Reply, "A and B were within 2 % of the ratio.") {
		t.Errorf("sent in: %+v", got)
	}
}

// Of a part that is built in coats the time between them counts, and of a mix
// its tint against the bulletin's most.
func TestTroubleReadsCoatsAndTint(t *testing.T) {
	d := desk(t)
	toldAt(t, d, "ada", 0, `/pour start material:"demo flexible amber" thickness:"6 mm" coats:2`)
	toldAt(t, d, "ada", 40*time.Hour, "/pour coat")
	r := toldAt(t, d, "ada", 41*time.Hour, `/trouble symptom:"brushed layer sags or tears" pour:#1`)
	if fact(t, r, "cause_1").Value != "too long between the coats" || !said(r, "A coat went on 40 h after the one before") {
		t.Errorf("%q, %q", r.Title, r.Notes)
	}
	toldAt(t, d, "ada", 50*time.Hour, `/pour start material:"demo rigid white" mold:"viaduct arch" tint:"brick red 4%"`)
	r = toldAt(t, d, "ada", 51*time.Hour, `/trouble symptom:"tinted cast is soft" pour:#2`)
	if fact(t, r, "cause_1").Value != "too much tint" || !said(r, "The tint was 4 % of the mix; the bulletin allows 2 %.") {
		t.Errorf("%q, %q", r.Title, r.Notes)
	}
	r = toldAt(t, d, "ada", 51*time.Hour, `/trouble symptom:"yellow or brown center" pour:#2`)
	if !said(r, "The thickest place was 22 mm") || !said(r, "inside") {
		t.Errorf("%q, %q", r.Title, r.Notes)
	}
}

// Each answer's buttons narrow it until nothing is left to ask, and every one of
// them is answered.
func TestTroubleButtons(t *testing.T) {
	d := cold(t)
	toldAt(t, d, "ada", 27*time.Hour, "/pour fail")
	tried := map[string]bool{}
	for _, r := range diagnose.Rules() {
		for _, pour := range []string{"", " pour:#2"} {
			line := fmt.Sprintf("/trouble symptom:%q%s", r.Name, pour)
			ans := askAt(t, d, "ada", 28*time.Hour, line)
			for _, a := range ans.Reply.Actions {
				if a.Label == "Post here" || a.Do == chat.DoForm || a.Label == "Release coat is on" || tried[a.Label+pour] {
					continue
				}
				tried[a.Label+pour] = true
				if got := press(t, d, "ada", ans, a.Label); got.Fault != nil {
					t.Errorf("%s: %s: %v", line, a.Label, got.Fault)
				}
			}
		}
	}
	ans := askAt(t, d, "ada", 28*time.Hour, `/trouble symptom:"soft all over"`)
	for range 12 {
		i := slices.IndexFunc(ans.Reply.Actions, func(a chat.Action) bool { return a.Do == chat.DoReplace && strings.Contains(a.ID, "saw") })
		if i < 0 {
			if !strings.HasPrefix(ans.Reply.Title, "Most likely: ") {
				t.Errorf("all is answered: %q", ans.Reply.Title)
			}
			return
		}
		if ans = press(t, d, "ada", ans, ans.Reply.Actions[i].Label); ans.Reply == nil {
			t.Fatal(ans.Fault)
		}
	}
	t.Error("it asks without end")
}

// Every symptom is answered with its steps, its cautions, and where it comes
// from; those of the family come with a pour.
func TestTroubleCautions(t *testing.T) {
	d := cold(t)
	toldAt(t, d, "ada", 27*time.Hour, "/pour fail")
	must := map[int][]string{7: {"isocyanate", "contamination"}, 28: {"isocyanate", "contamination"}, 29: {"isocyanate", "contamination"},
		10: {"heat"}, 12: {"pressure"}, 13: {"pressure"}, 14: {"pressure"}, 22: {"exotherm"}}
	for _, rule := range diagnose.Rules() {
		r := told(t, d, "cleo", fmt.Sprintf("/trouble symptom:%q", rule.Name))
		ids := strings.Fields(cautionIDs(r))
		for _, want := range append(must[rule.Number], rule.Cautions...) {
			if _, known := caution.Get(caution.ID(want)); !known || !slices.Contains(ids, want) {
				t.Errorf("%s: cautions %q, want %s (known: %v)", rule.Name, ids, want, known)
			}
		}
		if !slices.Equal(r.Steps, rule.Now) || !said(r, "common practice", "bulletin and the SDS") {
			t.Errorf("%s: steps %q, notes %q", rule.Name, r.Steps, r.Notes)
		}
		with := strings.Fields(cautionIDs(toldAt(t, d, "ada", 28*time.Hour, fmt.Sprintf("/trouble symptom:%q pour:#2", rule.Name))))
		if rule.Wet && !slices.Contains(with, "isocyanate") {
			t.Errorf("%s of a urethane: cautions %q", rule.Name, with)
		}
	}
	told(t, d, "ada", `/material add name:"poly" family:polyester ratio:"100:2 wt" pot_life:"15 min" density_mixed:1.1`)
	toldAt(t, d, "ada", 29*time.Hour, `/pour start material:poly volume:"50 ml"`)
	for _, symptom := range []string{"warped part", "soft all over"} {
		ids := strings.Fields(cautionIDs(toldAt(t, d, "ada", 30*time.Hour, fmt.Sprintf("/trouble symptom:%q pour:poly", symptom))))
		if !slices.Contains(ids, "peroxide") || !slices.Contains(ids, "styrene") {
			t.Errorf("%s of a polyester: cautions %q", symptom, ids)
		}
	}
	if ids := strings.Fields(cautionIDs(told(t, d, "ada", `/trouble symptom:"my mask is warped"`))); !slices.Contains(ids, "skin") {
		t.Errorf("a mask: %q", ids)
	}
	if ids := strings.Fields(cautionIDs(told(t, d, "ada", `/trouble symptom:"gelled in the cup"`))); slices.Contains(ids, "food") {
		t.Errorf("a mixing cup: %q", ids)
	}
}

// Who is unwell is told that first, whatever else the text says.
func TestTroubleOfAPerson(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "cleo", `/trouble symptom:"my hands itch and the part is still sticky"`)
	golden(t, "trouble_hurt", ans)
	if ids := cautionIDs(ans.Reply); !strings.Contains(ids, "isocyanate") || !strings.Contains(ids, "health") {
		t.Errorf("cautions %q", ids)
	}
}

func TestTroubleRefusals(t *testing.T) {
	d := cold(t)
	refused(t, d, "ada", "/trouble", fault.MissingOption, "symptom")
	refused(t, d, "ada", `/trouble symptom:"qwertz uiop"`, fault.NotFound, "symptom")
	refused(t, d, "ada", `/trouble symptom:soft saw:"cup sof"`, fault.NotFound, "saw")
	refused(t, d, "ada", `/trouble symptom:soft saw:"xylophone"`, fault.NotFound, "saw")
	refused(t, d, "ada", `/trouble symptom:soft saw:"cup soft, cup hard"`, fault.TooManyOptions, "saw")
	refused(t, d, "ada", `/trouble symptom:soft pour:#99`, fault.UnknownPour, "pour")
	refused(t, d, "ada", `/trouble symptom:soft pour:#2 a:"10 g"`, fault.MissingOption, "b")
	refused(t, d, "ada", `/trouble symptom:soft pour:#2 b:"10 g"`, fault.MissingOption, "a")
	refused(t, d, "ada", `/trouble symptom:soft a:"10 g" b:"10 g"`, fault.MissingOption, "pour")
	refused(t, d, "ada", `/trouble symptom:soft pour:#2 a:"0 g" b:"10 g"`, fault.OutOfRange, "a")
	told(t, d, "ada", "/pour share pour:#2")
	refused(t, d, "bram", `/trouble symptom:soft pour:#2`, fault.NotAllowed, "pour")
	near := ask(t, d, "ada", `/trouble symptom:"soft all over" saw:"old jug, cup sof"`)
	if got := press(t, d, "ada", near, "cup soft"); got.Reply == nil || !said(got.Reply, "The jug is old") {
		t.Errorf("the near sign: %+v", got)
	}
}

func TestTroubleMendsSlips(t *testing.T) {
	d := desk(t)
	for typed, want := range map[string]string{
		"bubels": "fine bubbles all through", "gelled in teh cup": "gelled in the cup", "foamd up": "foam, rises in the mold",
		"mould toer": "mold tears", "warpped": "warped part", "craked": "cracks or crazing", "inhibtion": "silicone wet against the master",
	} {
		r := told(t, d, "bram", fmt.Sprintf("/trouble symptom:%q", typed))
		if !slices.ContainsFunc(r.Facts, func(f chat.Fact) bool { return f.Value == want }) {
			t.Errorf("%q: %q, %+v; want %q", typed, r.Title, r.Facts, want)
		}
	}
}

func TestTroubleCompletes(t *testing.T) {
	d := desk(t)
	complete := func(option string, raw map[string]string) (values []string) {
		t.Helper()
		inv := calling("bram")
		inv.Command, inv.Raw = "trouble", raw
		got, err := d.Complete(t.Context(), inv, option)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range got {
			values = append(values, c.Value)
		}
		return values
	}
	if got := complete("symptom", map[string]string{"symptom": "warp"}); len(got) == 0 || got[0] != "warped part" {
		t.Errorf("warp: %q", got)
	}
	if got := complete("symptom", map[string]string{"symptom": "paint will not stick"}); !slices.Contains(got, "fisheyes, paint peels") {
		t.Errorf("by meaning: %q", got)
	}
	if got := complete("saw", map[string]string{"symptom": "jug bulges", "saw": ""}); len(got) != 2 {
		t.Errorf("of a jug that bulges: %q", got)
	}
	if got := complete("saw", map[string]string{"symptom": "soft all over", "saw": "old jug, cup s"}); !slices.Contains(got, "old jug, cup soft") {
		t.Errorf("the last of a list: %q", got)
	}
}

// Whatever strangers type, it is answered or refused in words.
func TestTroubleHostile(t *testing.T) {
	d := cold(t)
	for _, nasty := range testkit.Nasties() {
		for _, option := range []string{"symptom", "saw", "pour"} {
			raw := map[string]string{"symptom": "soft all over"}
			raw[option] = nasty.Text
			ans := ask(t, d, "cleo", chat.FormatLine("trouble", raw, nil))
			if ans.Fault != nil && ans.Fault.Code == fault.Internal {
				t.Errorf("%s, %s: %v", option, nasty.What, ans.Fault)
			}
		}
	}
}

// A bad pour from another jug, into a mold that was due for its coat, is told
// from the good one by both, with what was noted at each.
func TestTroubleComparesJugAndMold(t *testing.T) {
	d := desk(t)
	const day = 24 * time.Hour
	told(t, d, "ada", `/material add name:flint family:urethane ratio:"1:1 wt" density_a:1.1 density_b:1.1 pot_life:"5 min, 100 g, 23 C" demold:"30 min, 6 mm"`)
	told(t, d, "ada", `/mold add name:knight family:addition volume:"20 ml" thickest:12 thinnest:6 release_every:1`)
	told(t, d, "ada", `/stock add material:flint part:A amount:"13 g" lot:L1 opened:2026-11-01`)
	told(t, d, "ada", `/stock add material:flint part:B amount:"500 g" lot:M7 opened:2026-11-22`)
	told(t, d, "ada", `/stock add material:flint part:A amount:"500 g" lot:L2 opened:2026-11-22`)
	toldAt(t, d, "ada", 0, `/pour start material:flint mold:knight`)
	toldAt(t, d, "ada", time.Hour, `/pour note text:"stirred 40 s"`)
	toldAt(t, d, "ada", 2*time.Hour, "/pour done")
	toldAt(t, d, "ada", day, "/stock finish container:#6 sure:yes")
	toldAt(t, d, "ada", 2*day, `/pour start material:flint mold:knight`)
	toldAt(t, d, "ada", 2*day+time.Hour, `/pour note text:"stirred 15 s"`)
	toldAt(t, d, "ada", 2*day+2*time.Hour, "/pour fail")
	r := toldAt(t, d, "ada", 2*day+3*time.Hour, `/trouble symptom:"soft all over" pour:#2`)
	for _, words := range []string{"of lot L1", "of lot L2", "jug open for 22 days then, 3 days now",
		"since its release coat, due every 1: 0 pulls then, 1 pull now", "Noted then: stirred 40 s", "Noted now: stirred 15 s", "does not keep what A and B weighed"} {
		if !said(r, words) {
			t.Errorf("%q is not said in %q", words, r.Notes)
		}
	}
}
