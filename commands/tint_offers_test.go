package commands_test

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
)

// What is offered beside the best mix comes close to the color itself, and does
// without a tint of it: ΔE00 above 5 is a plain difference (verdicts of the
// command), and more tints that nobody sees are only more to weigh.
func TestTintOffersWhatComesClose(t *testing.T) {
	d := desk(t)
	offers := regexp.MustCompile(`ΔE (\d+\.\d)\)`)
	offered := 0
	for _, target := range []string{"#E0A9A6", "#D9A8A0", "#7A0000", "#FFFFFF", "#A7B7A0", "#9A9A98", "#8C7C6E"} {
		r := told(t, d, "bram", `/tint match base:"demo rigid white" target:`+target)
		for _, n := range r.Notes {
			if !strings.HasPrefix(n, "Also near") {
				continue
			}
			for _, m := range offers.FindAllStringSubmatch(n, -1) {
				offered++
				if v, err := strconv.ParseFloat(m[1], 64); err != nil || v > 5 {
					t.Errorf("%s: %q is not near", target, n)
				}
			}
			var used []string
			for _, f := range r.Facts {
				if strings.HasPrefix(f.Key, "dose_") {
					used = append(used, strings.ToLower(f.Label))
				}
			}
			for _, one := range strings.Split(strings.TrimPrefix(n, "Also near: "), "; ") {
				if !slices.ContainsFunc(used, func(tint string) bool { return !strings.Contains(strings.ToLower(one), tint) }) {
					t.Errorf("%s: %q holds all of %q and more", target, one, used)
				}
			}
		}
	}
	if offered == 0 {
		t.Error("nothing was offered for any of them")
	}
}

// Each way to say how a swatch was read that is offered can be pressed.
func TestTintOffersQualitiesThatItTakes(t *testing.T) {
	d := desk(t)
	line := `/tint add name:"brown" family:colored base:"demo rigid white" dose:0.5% swatch:#8A5A44`
	a := refused(t, d, "bram", line, fault.MissingOption, "quality")
	if len(a.Actions) != 4 {
		t.Fatalf("buttons %v", a.Actions)
	}
	for i, b := range a.Actions {
		told(t, d, "bram", strings.Replace(line, "brown", fmt.Sprintf("brown %d", i), 1)+" quality:"+b.Label)
	}
}

// A limit that was asked for is the one that the load is held against.
func TestTintTellsTheLimitAskedFor(t *testing.T) {
	d := desk(t)
	r := told(t, d, "bram", `/tint match base:"demo rigid white" target:#C9837F palette:"brick red" max_load:0.1%`)
	if text := fact(t, r, "load").Text; !strings.Contains(text, "limit 0.1 %") {
		t.Errorf("load %q", text)
	}
}

// Drops that are in already are counted in words, one as well.
func TestTintOneDropIsOne(t *testing.T) {
	d := desk(t)
	for drops, want := range map[string]string{"1": "1 drop is 0.045 g", "2": "2 drops are 0.09 g"} {
		r := told(t, d, "bram", `/tint dose base:"demo rigid white" tint:"brick red" mass:"50 g" percent:"0.5%" drops:`+drops)
		if !said(r, want) {
			t.Errorf("%q: %q", drops, r.Notes)
		}
	}
}
