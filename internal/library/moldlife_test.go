package library_test

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/shop"
)

// molds of one owner, in use or torn at their last pull, all counted from new.
func molds(owner shop.MemberID, torn bool, pulls ...int) (all []shop.Mold) {
	for _, n := range pulls {
		m := shop.Mold{Record: shop.Record{Owner: owner, Version: 2}, MoldProfile: shop.MoldProfile{Family: "condensation"}, Tally: shop.MoldTally{Good: n}}
		if torn {
			m.Retired = "torn"
		}
		all = append(all, m)
	}
	return all
}

func TestLifeAheadCounts(t *testing.T) {
	me := shop.Viewer{Member: shop.Member{ID: 1}}
	ahead := func(all ...shop.Mold) library.Outlook {
		t.Helper()
		o, err := library.LifeAhead(all[0], all, me, 1.5, nil)
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
	for _, c := range []struct {
		name  string
		all   []shop.Mold
		words string // of a note, "" for none
	}{
		{"too few pulls to tell", molds(1, false, 4), ""},
		// 1 − 0.05^(1/30) = 9.5 %: the value of the rule-of-three entry of trade.json.
		{"none failed", molds(1, false, 20, 10), "None failed in 30 pulls that were counted: by these alone a pull finishes a mold in fewer than 9.5 % of cases"},
		{"half are gone", molds(1, true, 10, 20, 30, 40), "half of such molds are gone after 20 pulls"},
		{"others' last longer", append(molds(1, true, 5, 6, 7, 8, 9), molds(2, true, 50, 60, 70, 80, 90)...), "do not last alike"},
		{"others' last as long", append(molds(1, true, 50, 62, 71, 83, 90), molds(2, true, 51, 60, 70, 80, 92)...), "half of such molds"},
	} {
		notes := strings.Join(ahead(c.all...).Counted(), "\n")
		if (c.words == "") != (notes == "") || !strings.Contains(notes, c.words) {
			t.Errorf("%s: %q, want %q", c.name, notes, c.words)
		}
		if c.name == "others' last as long" && strings.Contains(notes, "alike") {
			t.Errorf("%s: %q", c.name, notes)
		}
	}
}

// Overdue pulls age a mold, a mold of another family tells nothing, and one
// that was kept when it was torn already is counted from new.
func TestLifeOfMolds(t *testing.T) {
	me := shop.Viewer{Member: shop.Member{ID: 1}}
	worn := molds(1, false, 20)[0]
	worn.Tally.Late, worn.Tally.LastLate = 4, true
	if l := library.LifeOf(worn, me, 1.5); l.End != 22 || l.Last != 1.5 || l.Shared || l.Failed {
		t.Errorf("worn: %+v", l)
	}
	told := shop.Mold{Record: shop.Record{Owner: 2, Version: 1}, MoldProfile: shop.MoldProfile{Family: "condensation", Pulls: 41, Retired: "torn"}}
	if l := library.LifeOf(told, me, 1.5); l.Entry != 0 || l.End != 41 || !l.Shared || !l.Failed {
		t.Errorf("kept when it was torn: %+v", l)
	}
	told.Version = 2
	if l := library.LifeOf(told, me, 1.5); l.Entry != 41 {
		t.Errorf("torn later: %+v", l)
	}
	other := worn
	other.Family = "latex"
	o, err := library.LifeAhead(worn, []shop.Mold{worn, other}, me, 1.5, nil)
	if err != nil || len(o.Lives) != 1 || o.Age != 22 {
		t.Errorf("outlook: %+v, %v", o, err)
	}
}
