package diagnose_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/diagnose"
	"github.com/pourwright/pourwright/internal/material"
)

// sentences are what members might write, with the rule that has to be found:
// alone, or among those that are offered.
var sentences = []struct {
	text string
	want int
	of   material.Family
}{
	{"my part is still soft after two days", 1, ""},
	{"it never hardened, I can bend it like rubber", 1, ""},
	{"the whole casting is gooey", 1, ""},
	{"didn't cure at all", 1, ""},
	{"resin won't set", 1, ""},
	{"stays rubbery everywhere", 1, ""},
	{"there are wet spots in the middle of the part", 2, ""},
	{"sticky streaks on one side", 2, ""},
	{"hard all over but for one soft patch", 2, ""},
	{"soft patches here and there", 2, ""},
	{"surface is sticky but it is hard underneath", 3, ""},
	{"still sticky after a day", 3, ""},
	{"tacky to the touch", 3, ""},
	{"the skin stays tacky", 3, ""},
	{"greasy film on my epoxy", 3, material.Epoxy},
	{"silicone stayed gooey where it touched the 3D print", 4, ""},
	{"rubber didn't cure next to the clay master", 4, ""},
	{"platinum silicone is tacky against the model", 4, material.SiliconeAddition},
	{"cure inhibition?", 4, ""},
	{"my silicone is still liquid", 5, ""},
	{"the rubber never cured, I may have forgotten catalyst", 5, ""},
	{"mold rubber is wet all over", 5, ""},
	{"still sticky", 5, material.SiliconeCondensation},
	{"soft edge", 6, ""},
	{"edges are bendy but the thick part is hard", 6, ""},
	{"the thin fins stayed soft", 6, ""},
	{"thin areas not cured", 6, ""},
	{"foamed up", 7, ""},
	{"it rose out of the mold like bread", 7, ""},
	{"my urethane foams", 7, material.Urethane},
	{"expanded and is full of foam", 7, ""},
	{"turned into a sponge", 7, ""},
	{"bubbles", 8, ""},
	{"tiny bubbles all through the casting", 8, ""},
	{"lots of micro bubbles inside", 8, ""},
	{"bubbles on top only", 9, ""},
	{"holes in the top face", 9, ""},
	{"there are craters at the highest point", 9, ""},
	{"pinholes on the surface where it touched the mold", 10, ""},
	{"little pits all over the skin", 10, ""},
	{"bubbles against the mold wall", 10, ""},
	{"the chin has a hole, air got trapped", 11, ""},
	{"the fingers did not fill", 11, ""},
	{"missing nose again", 11, ""},
	{"trapped air in the undercuts", 11, ""},
	{"bubbles even in the pressure pot", 12, ""},
	{"pressure cast part still has bubbles", 12, ""},
	{"the mold got crushed in my pressure pot", 13, ""},
	{"dented mold after pressure casting", 13, ""},
	{"part is stuck in the mold", 14, ""},
	{"can't get the cast out", 14, ""},
	{"it won't release", 14, ""},
	{"casting stuck and the silicone is tearing", 14, ""},
	{"paint peels off my miniature", 15, ""},
	{"primer won't stick to it", 15, ""},
	{"fisheyes in the paint", 15, ""},
	{"cloudy patch", 16, ""},
	{"clear resin is hazy", 16, ""},
	{"matte spots on a shiny cast", 16, ""},
	{"the middle turned brown", 17, ""},
	{"yellow core", 17, ""},
	{"burnt in the center", 17, ""},
	{"it cracked while it cooled", 18, ""},
	{"hairline crack through the block", 18, ""},
	{"very brittle", 18, ""},
	{"part came out warped", 19, ""},
	{"the plate bent after I demolded it", 19, ""},
	{"it sagged in the hot car", 19, ""},
	{"sink marks", 20, ""},
	{"the surface sank in over the thick boss", 20, ""},
	{"part is too small", 21, ""},
	{"it shrank, the lid does not fit", 21, ""},
	{"gelled in cup", 22, ""},
	{"the cup started smoking", 22, ""},
	{"set up before I could pour", 22, ""},
	{"resin kicked in the bucket", 22, ""},
	{"takes forever to set", 23, ""},
	{"curing really slow", 23, ""},
	{"color is streaky", 24, ""},
	{"swirls of pigment", 24, ""},
	{"the colour is too pale", 25, ""},
	{"wrong colour compared to last time", 25, ""},
	{"soft since I used paint to color it", 26, ""},
	{"tinted part is sticky", 26, ""},
	{"the metal powder sank to the bottom", 27, ""},
	{"filler is lumpy", 27, ""},
	{"crystals in the bottle", 28, ""},
	{"part A has lumps and a skin", 28, ""},
	{"the jug is bulging", 29, ""},
	{"bottle swelled like a balloon", 29, ""},
	{"mold tore", 30, ""},
	{"silicone mold ripped", 30, ""},
	{"there is a split in my mold", 30, ""},
	{"mold is swollen", 31, ""},
	{"the mold is losing detail", 31, ""},
	{"flash all along the seam", 32, ""},
	{"resin leaks at the parting line", 32, ""},
	{"rubber leaking out of the mold box", 33, ""},
	{"the box leaks at the bottom", 33, ""},
	{"halves don't line up", 34, ""},
	{"there's a step at the seam, misaligned", 34, ""},
	{"brushed silicone sags", 35, ""},
	{"brush-on layers peel apart", 35, ""},
	{"the two mold halves are stuck together", 36, ""},
	{"silicone bonded to silicone", 36, ""},
	{"the mold smells and is oily", 37, ""},
	{"rubber sweats oil", 37, ""},
	{"worked all summer, now in winter it fails", 38, ""},
	{"fails in the cold season", 38, ""},
	{"new jug cures differently", 39, ""},
	{"the new lot is bad", 39, ""},
	{"slush cast is thin on one side", 40, ""},
	{"hollow part has uneven walls", 40, ""},
	{"it's like jello", 1, ""},
	{"will the resin ever harden", 23, ""},
	{"soft", 1, ""},
	{"soft", 2, ""},
	{"sticky", 3, ""},
	{"sticky", 1, ""},
	{"resin boiled over in the mold", 7, ""},
	{"pot life too short", 22, ""},
	{"blotchy streaks of colour", 24, ""},
	{"glitter sank", 27, ""},
	{"hairline fractures", 18, ""},
	{"measurements are off", 21, ""},
	{"the jar is puffed up", 29, ""},
	{"A side went cloudy", 28, ""},
	{"the mould is sticking to itself", 36, ""},
	{"mold is stiff", 31, ""},
	{"mold ripped at the ear", 30, ""},
	{"my dragon's wings stayed floppy", 6, ""},
	{"the rubber tore when I pulled the master", 30, ""},
	{"cant demold", 14, ""},
	{"silicone didnt cure around the lego", 4, ""},
	{"leaky mould", 33, ""},
	{"it got really hot and cracked", 18, ""},
}

func TestMatchFindsWhatPeopleWrite(t *testing.T) {
	if len(sentences) < 80 {
		t.Fatalf("only %d sentences", len(sentences))
	}
	alone := 0
	for _, s := range sentences {
		hits := diagnose.Match(s.text, s.of)
		if !slices.ContainsFunc(hits, func(h diagnose.Hit) bool { return h.Rule.Number == s.want }) {
			t.Errorf("%q: found %s, want %d", s.text, names(hits), s.want)
		}
		if len(hits) == 1 {
			alone++
		}
	}
	// What is offered has to be a choice, not the whole list.
	if alone < len(sentences)/2 {
		t.Errorf("only %d of %d sentences name one rule alone", alone, len(sentences))
	}
	t.Logf("%d of %d sentences name one rule alone", alone, len(sentences))
}

func names(hits []diagnose.Hit) string {
	var out []string
	for _, h := range hits {
		out = append(out, h.Rule.Name)
	}
	return strings.Join(out, ", ")
}

// What says nothing of a symptom finds none: that it is at the mold is no
// answer.
func TestMatchFindsNothing(t *testing.T) {
	for _, text := range []string{"", "hello", "asdf qwer", "the mold", "my silicone", "what is this", "it is", "resin ran out of the sprue", "🙂", "\x00\xff", strings.Repeat("no ", 5000)} {
		if hits := diagnose.Match(text, ""); len(hits) > 0 {
			t.Errorf("%q finds %s", text, names(hits))
		}
	}
}

func TestMatchByName(t *testing.T) {
	for _, r := range diagnose.Rules() {
		for _, family := range material.Families() {
			hits := diagnose.Match("  "+strings.ToUpper(r.Name)+" ", family)
			if len(hits) != 1 || hits[0].Rule.Number != r.Number {
				t.Errorf("%q, %s: found %s", r.Name, family, names(hits))
			}
		}
	}
}

func FuzzMatch(f *testing.F) {
	for _, s := range sentences {
		f.Add(s.text, string(s.of))
	}
	f.Fuzz(func(t *testing.T, text, family string) {
		hits := diagnose.Match(text, material.Family(family))
		if len(hits) > 8 {
			t.Fatalf("%d hits", len(hits))
		}
		for i, h := range hits {
			if !(h.Score > 0 && h.Score <= 1+1e-9) || i > 0 && h.Score > hits[i-1].Score {
				t.Fatalf("score %v at %d of %s", h.Score, i, names(hits))
			}
		}
	})
}
