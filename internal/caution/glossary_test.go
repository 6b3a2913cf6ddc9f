package caution_test

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/caution"
)

// The words that casters use and newcomers ask about.
var wanted = []string{
	"part A", "part B", "pot life", "gel", "demold time", "full cure", "post cure", "exotherm", "hardness", "Shore", "demold", "durometer",
	"elongation", "tear strength", "viscosity", "thixotropic", "phr", "SG", "specific volume", "ratio", "off-ratio", "index", "stoichiometry",
	"catalyst", "promoter", "condensation cure", "addition cure", "inhibition", "amine blush", "sensitizer", "release", "barrier coat", "sealer",
	"master", "parting line", "undercut", "draft", "key", "jacket", "mother mold", "block mold", "blanket mold", "skin coat", "sprue", "runner",
	"vent", "riser", "flash", "pull", "slush", "rotational casting", "lift", "topcoat", "cold cast", "filler", "microsphere", "fumed silica", "degas",
	"pressure pot", "gauge", "absolute pressure", "boil-over", "dew point", "blanket gas", "shelf life", "lot", "SDS", "technical bulletin",
	"trial kit", "letdown", "swatch", "sink", "shrinkage", "cure inhibition test", "waste", "yield", "censored", "section", "bulletin",
}

func TestGlossary(t *testing.T) {
	for _, w := range wanted {
		if _, ok := caution.Lookup(w); !ok {
			t.Errorf("no entry for %q", w)
		}
	}
	terms := caution.Terms()
	owner := map[string]string{}
	for i, term := range terms {
		if i > 0 && strings.ToLower(terms[i-1].Word) > strings.ToLower(term.Word) {
			t.Errorf("%q stands after %q", term.Word, terms[i-1].Word)
		}
		if !strings.HasSuffix(term.Text, ".") || utf8.RuneCountInString(term.Text) > 600 {
			t.Errorf("%s: full sentences of at most 600 characters are needed", term.Word)
		}
		if len(term.See) == 0 {
			t.Errorf("%s leads nowhere", term.Word)
		}
		for _, s := range term.See {
			to, ok := caution.Lookup(s)
			if !ok || to.Word != s {
				t.Errorf("%s: see %q is not the name of an entry", term.Word, s)
			}
			if to.Word == term.Word {
				t.Errorf("%s leads to itself", term.Word)
			}
		}
		for _, w := range append([]string{term.Word}, term.Aliases...) {
			got, ok := caution.Lookup(strings.ToUpper(w))
			if !ok || got.Word != term.Word {
				t.Errorf("%q leads to %q, not to %q", w, got.Word, term.Word)
			}
			key := strings.ToLower(w)
			if other, taken := owner[key]; taken {
				t.Errorf("%q belongs to %q and %q", w, other, term.Word)
			}
			owner[key] = term.Word
		}
	}
}

func TestLookup(t *testing.T) {
	for word, want := range map[string]string{
		"pulls": "pull", "  Pot   Life ": "pot life", "pot-life": "pot life", "POSTCURE": "post cure", "tin cure": "condensation cure",
		"mother-mold": "jacket", "data sheet": "SDS", "in3/lb": "specific volume", "Shore A": "Shore", "swatches": "swatch",
	} {
		if got, ok := caution.Lookup(word); !ok || got.Word != want {
			t.Errorf("Lookup(%q) = %q, %v; want %q", word, got.Word, ok, want)
		}
	}
	for _, word := range []string{"", "s", "glacier", "poltergeist"} {
		if got, ok := caution.Lookup(word); ok {
			t.Errorf("Lookup(%q) = %q", word, got.Word)
		}
	}
	for _, w := range caution.Words() {
		if _, ok := caution.Lookup(w); !ok {
			t.Errorf("Words holds %q, Lookup does not", w)
		}
	}
}

func TestUsed(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string
	}{
		{"The pot life is over; check the bulletin before the next pull.", []string{"pot life", "bulletin", "pull"}},
		{"Pull, pull and pull again: a pull.", []string{"pull"}},
		{"Mix 132 g A with 122 g B (240 mL)", nil},
		{"Waste added: 4 % of the volume. The ratio is kept.", nil},
		{"post cure it, then demold the demold time later", []string{"post cure", "demold", "demold time"}},
		{"a letdown of 1:200 in a thick section", []string{"letdown", "section"}},
		{"", nil},
	} {
		if got := caution.Used(c.text); !slices.Equal(got, c.want) {
			t.Errorf("Used(%q) = %q, want %q", c.text, got, c.want)
		}
	}
}

func FuzzUsed(f *testing.F) {
	f.Add("The pot life is over")
	f.Add(strings.Repeat("pot ", 500))
	f.Add("\xff\xfe ½ pull\x00")
	f.Fuzz(func(t *testing.T, text string) {
		for _, w := range caution.Used(text) {
			if _, ok := caution.Lookup(w); !ok {
				t.Fatalf("%q: %q is no entry", text, w)
			}
		}
	})
}
