package forecast

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/shop"
)

func TestMerged(t *testing.T) {
	rows := []shop.CureLog{
		{Pour: 7, Physics: 900, SoftAt: 300}, {Pour: 9, Physics: 800, ReadyBy: 5000}, {Pour: 7, Physics: 900, SoftAt: 700},
		{Pour: 7, Physics: 900, ReadyBy: 1200}, {Pour: 7, Physics: 900, ReadyBy: 1100},
	}
	var got []cure.Log
	for _, g := range byPour(rows) {
		got = append(got, merged(g))
	}
	want := []cure.Log{{Pred: 900, SoftAt: 700, ReadyBy: 1100}, {Pred: 800, ReadyBy: 5000}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestLessonText(t *testing.T) {
	learned := func(logs ...cure.Log) Lesson {
		l := Lesson{learned: cure.Learn(logs)}
		l.Own, l.Shared, l.Narrowed, l.Factor = l.learned.Own, l.learned.Shared, l.learned.Narrowed(), l.learned.Factor(0.5)
		return l
	}
	bracket := cure.Log{Pred: 1000, SoftAt: 900, ReadyBy: 1100}
	slow := cure.Log{Pred: 1000, SoftAt: 1300, ReadyBy: 1500}
	shared := bracket
	shared.Shared = true
	other := learned(bracket)
	other.Other = 2
	for name, c := range map[string]struct {
		l    Lesson
		want []string // words; none is silence
	}{
		"nothing":            {learned(), nil},
		"one":                {learned(bracket), []string{"Narrowed by 1 pour here."}},
		"six":                {learned(bracket, bracket, bracket, bracket, bracket, bracket), []string{"Narrowed by 6 pours here."}},
		"slow ones":          {learned(slow, slow, slow), []string{"Narrowed by 3 pours here.", "1.31 times as long"}},
		"late fine":          {learned(cure.Log{Pred: 1000, ReadyBy: 9000}), []string{"Counted, but nothing new: 1 pour here."}},
		"long soft":          {learned(cure.Log{Pred: 1000, SoftAt: 1700}), []string{"1 pour here", "times as long"}},
		"shared":             {learned(shared), []string{"Narrowed by 1 pour here.", "others of this shop shared 1 pour, at half weight"}},
		"of other figures":   {other, []string{"Narrowed by 1 pour here.", "Not counted: 2 pours with other figures"}},
		"only other figures": {Lesson{Other: 1, Factor: 1}, []string{"Not counted: 1 pour with other figures"}},
	} {
		got := c.l.Text()
		for _, w := range c.want {
			if !strings.Contains(got, w) {
				t.Errorf("%s: %q lacks %q", name, got, w)
			}
		}
		if c.want == nil && got != "" {
			t.Errorf("%s: %q", name, got)
		}
	}
}
