package library

import (
	"strings"
	"testing"
)

func TestNameAndAmount(t *testing.T) {
	for _, c := range []struct{ typed, name, amount string }{
		{"brick red 0.5%", "brick red", "0.5%"},
		{"brick red 0.5 %", "brick red", "0.5 %"},
		{"brick red: 0,5%", "brick red", "0,5%"},
		{"soot black 2 drops", "soot black", "2 drops"},
		{"soot black = 1 drop", "soot black", "1 drop"},
		{"red 7 1/2%", "red 7", "1/2%"},
		{"red 7", "red", "7"},
		{"#12@3 0.25%", "#12@3", "0.25%"},
		{"0.5% brick red", "brick red", "0.5%"},
		{"2 drops of soot black", "soot black", "2 drops"},
		{"Blau No. 3 1.5 g", "Blau No. 3", "1.5 g"},
	} {
		name, amount, ok := nameAndAmount(c.typed)
		if !ok || name != c.name || amount != c.amount {
			t.Errorf("%q: %q of %q (%v), want %q of %q", c.typed, amount, name, ok, c.amount, c.name)
		}
	}
	for _, typed := range []string{"", "brick red", "0.5%", "brick red half", "brick red %"} {
		if name, amount, ok := nameAndAmount(typed); ok {
			t.Errorf("%q was read as %q of %q", typed, amount, name)
		}
	}
}

func FuzzNameAndAmount(f *testing.F) {
	for _, s := range []string{"brick red 0.5%", "0.5 % brick red", "#1@2 3 drops", "a 1 2 3", " : = 5%", "é 1/2 %"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, item string) {
		name, amount, ok := nameAndAmount(item)
		if !ok {
			return
		}
		if name == "" || amount == "" || !strings.Contains(item, name) || !strings.Contains(item, amount) || len(name)+len(amount) > len(item) {
			t.Errorf("%q: %q of %q is not in it", item, amount, name)
		}
	})
}

func TestTidyPlaceAndCard(t *testing.T) {
	for _, c := range []struct{ typed, kind, place string }{
		{"gray 70 %, 60 %", "gray", "70%, 60%"},
		{"Grey card at 70 %, 60 %", "gray", "70%, 60%"},
		{"white: 320,100 380,200", "white", "320,100 380,200"},
		{"paper 10px, 20px", "white", "10, 20"},
		{"40 %, 60 %", "", "40%, 60%"},
	} {
		kind, place := cardWord(tidyPlace(c.typed))
		if string(kind) != c.kind || place != c.place {
			t.Errorf("%q: %q at %q, want %q at %q", c.typed, kind, place, c.kind, c.place)
		}
	}
}

func TestDusty(t *testing.T) {
	for name, want := range map[string]bool{"red oxide powder": true, "dry ultramarine": true, "brick red": false, "Pearl white": true, "powdery blue": false} {
		a := TintAsk{}
		a.Name = name
		if got := Dusty([]TintAsk{a}); got != want {
			t.Errorf("%q is dust: %v, want %v", name, got, want)
		}
		if a.WeightOf20 = 0.9; Dusty([]TintAsk{a}) {
			t.Errorf("%q drops and is taken for dust", name)
		}
	}
}
