package diagnose_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/diagnose"
)

// seen is a sign as a member says it.
func seen(t testing.TB, signs ...diagnose.Sign) (out []diagnose.Found) {
	t.Helper()
	for _, s := range signs {
		f, ok := diagnose.Saw(s)
		if !ok {
			t.Fatalf("no sign %q", s)
		}
		out = append(out, f)
	}
	return out
}

// place is where a cause ranks, from 0.
func place(v diagnose.Verdict, cause string) int {
	return slices.IndexFunc(v.Causes, func(c diagnose.Ranked) bool { return c.Name == cause })
}

// Every sign moves what it speaks for up and what it speaks against down, in
// every rule.
func TestSignsMoveCauses(t *testing.T) {
	moves := 0
	for _, r := range diagnose.Rules() {
		plain := diagnose.Rank(r, nil)
		for _, c := range r.Causes {
			share := func(found ...diagnose.Found) float64 {
				v := diagnose.Rank(r, found)
				return v.Causes[place(v, c.Name)].Share
			}
			before := plain.Causes[place(plain, c.Name)].Share
			for _, s := range c.For {
				moves++
				if after := share(seen(t, s)...); after <= before && len(r.Causes) > 1 {
					t.Errorf("%s: %q leaves %q at %.3f, was %.3f", r.Name, s, c.Name, after, before)
				}
			}
			for _, s := range c.Against {
				moves++
				if after := share(seen(t, s)...); after >= before {
					t.Errorf("%s: %q leaves %q at %.3f, was %.3f", r.Name, s, c.Name, after, before)
				}
			}
		}
	}
	if moves < 200 {
		t.Errorf("only %d moves were tried", moves)
	}
}

// However much is known already, one more sign for a cause never lowers its
// rank.
func TestOneMoreSignNeverLowersItsCause(t *testing.T) {
	all, names := diagnose.Rules(), diagnose.SignNames()
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SampledFrom(all).Draw(t, "rule")
		c := rapid.SampledFrom(r.Causes).Draw(t, "cause")
		if len(c.For) == 0 {
			return
		}
		var found []diagnose.Found
		for _, name := range rapid.SliceOfN(rapid.SampledFrom(names), 0, 8).Draw(t, "known") {
			f, _ := diagnose.Saw(diagnose.Sign(name))
			f.Weight = rapid.Float64Range(1, 20).Draw(t, "weight")
			found = append(found, f)
		}
		before := diagnose.Rank(r, found)
		s := rapid.SampledFrom(c.For).Draw(t, "sign")
		more := diagnose.Found{Sign: s, Weight: rapid.Float64Range(1, 20).Draw(t, "more")}
		after := diagnose.Rank(r, append(found, more))
		if place(after, c.Name) > place(before, c.Name) {
			t.Fatalf("%q for %q: rank %d, was %d", s, c.Name, place(after, c.Name), place(before, c.Name))
		}
	})
}

// Shares are shares: with what no rule lists they make a whole, and lie within
// their ends.
func TestSharesAreShares(t *testing.T) {
	all, names := diagnose.Rules(), diagnose.SignNames()
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SampledFrom(all).Draw(t, "rule")
		var found []diagnose.Found
		for _, name := range rapid.SliceOfN(rapid.SampledFrom(names), 0, 12).Draw(t, "found") {
			f, _ := diagnose.Saw(diagnose.Sign(name))
			found = append(found, f)
		}
		v := diagnose.Rank(r, found)
		sum := v.Other.Share
		for i, c := range append(slices.Clone(v.Causes), v.Other) {
			if !(c.Low > 0 && c.Low <= c.Share && c.Share <= c.High && c.High <= 1) {
				t.Fatalf("%q: %v (%v to %v)", c.Name, c.Share, c.Low, c.High)
			}
			if i < len(v.Causes) {
				sum += c.Share
			}
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Fatalf("the shares of %s sum to %v", r.Name, sum)
		}
	})
}

// By hand: two causes, 1 and 0.6 of how common, one sign of weight 4 for the
// second and against the first, 15 % elsewhere.
func TestRankByHand(t *testing.T) {
	r := diagnose.Rule{Name: "x", Causes: []diagnose.Cause{{Name: "a", Against: []diagnose.Sign{diagnose.TwoCups}}, {Name: "b", For: []diagnose.Sign{diagnose.TwoCups}}}}
	v := diagnose.Rank(r, seen(t, diagnose.TwoCups))
	a, b, other := 1.0/4, 0.6*4, 0.15/0.85*1.6
	for i, want := range []float64{b, a} {
		if got := v.Causes[i].Share; math.Abs(got-want/(a+b+other)) > 1e-12 {
			t.Errorf("%q: %v, want %v", v.Causes[i].Name, got, want/(a+b+other))
		}
	}
	if !v.Told || !v.Clear() || len(v.Steps) < 3 {
		t.Errorf("told %v, clear %v, %d steps", v.Told, v.Clear(), len(v.Steps))
	}
	if plain := diagnose.Rank(r, nil); plain.Told || plain.Causes[0].Name != "a" || math.Abs(plain.Other.Share-0.15) > 1e-12 {
		t.Errorf("with nothing found: %+v", plain)
	}
}

// What is asked has not been answered, bears on the rule, and its best answer
// changes the shares.
func TestAsk(t *testing.T) {
	for _, r := range diagnose.Rules() {
		asked := diagnose.Ask(r, nil, 99)
		if len(asked) == 0 && len(r.Causes) > 1 {
			t.Errorf("%s: nothing tells its causes apart", r.Name)
		}
		for _, q := range asked {
			for _, a := range q.Answers {
				v := diagnose.Rank(r, seen(t, a.Sign))
				if !v.Told {
					t.Errorf("%s: %q does not bear on it", r.Name, a.Sign)
				}
				for _, again := range diagnose.Ask(r, seen(t, a.Sign), 99) {
					if again.Text == q.Text {
						t.Errorf("%s: %q is asked again", r.Name, q.Text)
					}
				}
			}
		}
	}
}

func TestMergeAndContradicts(t *testing.T) {
	record := []diagnose.Found{{Sign: diagnose.ColdRoom, Weight: 3}, {Sign: diagnose.OldJug, Weight: 3}}
	got := diagnose.Merge(seen(t, diagnose.RoomFine), record)
	if len(got) != 2 || got[0].Sign != diagnose.RoomFine || got[1].Sign != diagnose.OldJug {
		t.Errorf("merged %+v", got)
	}
	if a, b, ok := diagnose.Contradicts(seen(t, diagnose.OldJug, diagnose.CupSoft, diagnose.CupHard)); !ok || a != diagnose.CupSoft || b != diagnose.CupHard {
		t.Errorf("%q and %q, %v", a, b, ok)
	}
	if _, _, ok := diagnose.Contradicts(seen(t, diagnose.OldJug, diagnose.CupSoft)); ok {
		t.Error("two answers to two questions contradict")
	}
}
