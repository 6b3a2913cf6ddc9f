package chat_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/chat"
)

func TestFold(t *testing.T) {
	for in, want := range map[string]string{
		"  Demo   Rigid WHITE ": "demo rigid white",
		"ﬁller":                 "filler",    // a ligature
		"ＳＬＯＷ":                  "slow",      // full-width letters
		"Cafe\u0301":            "caf\u00e9", // a combining accent
		"\t\n":                  "",
	} {
		if got := chat.Fold(in); got != want {
			t.Errorf("Fold(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestNearestTied(t *testing.T) {
	names := []string{"demo rigid white", "demo rigid slow white", "harbor pawn", "harbor pawn 2"}
	for _, c := range []struct {
		typed string
		tied  int
	}{
		{"demo rigid", 2},      // both begin with it
		{"demo rigid w", 1},    // one does
		{"demo rigid wite", 1}, // one slip to one, several to the other
		{"harbr pawn", 1},      // one slip to one, more to the other
		{"harbor pawn 2", 1},   // the name itself
		{"viaduct", 0},         // near none
		{"demo rigid whitee", 1},
	} {
		if near, tied := chat.NearestTied(c.typed, names); tied != c.tied {
			t.Errorf("%q is as near to %d of %q, want %d", c.typed, tied, near, c.tied)
		}
	}
}

func TestNearest(t *testing.T) {
	names := []string{"demo rigid white", "demo rigid slow white", "demo casting epoxy", "harbor pawn", "harbor pawn 2", "batch", "cure"}
	for _, c := range []struct {
		name, typed string
		want        []string
	}{
		{"the name itself comes first", "harbor pawn", []string{"harbor pawn", "harbor pawn 2"}},
		{"its case does not matter", "HARBOR PAWN 2", []string{"harbor pawn 2", "harbor pawn"}},
		{"a beginning", "demo ri", []string{"demo rigid white", "demo rigid slow white"}},
		{"a word's beginning", "epox", []string{"demo casting epoxy"}},
		{"something inside", "rigid sl", []string{"demo rigid slow white"}},
		{"two letters swapped", "btach", []string{"batch"}},
		{"swapped at the end", "cuer", []string{"cure"}},
		{"a letter missing", "harbr pawn", []string{"harbor pawn", "harbor pawn 2"}},
		{"a letter too many", "harrbor pawn", []string{"harbor pawn", "harbor pawn 2"}},
		{"a wrong letter", "catch", []string{"batch"}},
		{"a slip in a long name's beginning", "harobr", []string{"harbor pawn", "harbor pawn 2"}},
		{"a letter missing in a long name's beginning", "harbr", []string{"harbor pawn", "harbor pawn 2"}},
		{"too short to forgive a slip in a beginning", "hrab", nil},
		{"far from all", "viaduct", nil},
		{"nothing", "  ", nil},
		{"too long to be a name", string(make([]byte, 200)), nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := chat.Nearest(c.typed, names); !slices.Equal(got, c.want) {
				t.Errorf("Nearest(%q) = %q, want %q", c.typed, got, c.want)
			}
		})
	}
}

func TestNearestGivesFiveAndNoTwins(t *testing.T) {
	got := chat.Nearest("mold", []string{"mold 1", "mold 2", "mold 1", "mold 3", "mold 4", "mold 5", "mold 6"})
	if want := []string{"mold 1", "mold 2", "mold 3", "mold 4", "mold 5"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// slowDistance is the definition itself, without a table: the least number of
// letters missing, added, wrong, or swapped with a neighbor and then left be.
func slowDistance(a, b []rune) int {
	if len(a) == 0 || len(b) == 0 {
		return max(len(a), len(b))
	}
	miss := 1
	if a[0] == b[0] {
		miss = 0
	}
	least := min(slowDistance(a[1:], b)+1, slowDistance(a, b[1:])+1, slowDistance(a[1:], b[1:])+miss)
	if len(a) > 1 && len(b) > 1 && a[0] == b[1] && a[1] == b[0] {
		least = min(least, slowDistance(a[2:], b[2:])+1)
	}
	return least
}

func TestDistanceAgainstDefinition(t *testing.T) {
	word := rapid.StringMatching(`[abc]{0,6}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		row := chat.Distances(a, b)
		for j := range len(b) + 1 {
			if want := slowDistance([]rune(a), []rune(b[:j])); row[j] != want {
				t.Errorf("from %q to %q: %d, want %d", a, b[:j], row[j], want)
			}
		}
		if back := chat.Distances(b, a)[len(a)]; back != row[len(b)] {
			t.Errorf("%q and %q are %d apart one way, %d the other", a, b, row[len(b)], back)
		}
	})
}

func FuzzNearest(f *testing.F) {
	f.Add("btach", "batch")
	f.Add("", "x")
	f.Add("\xff", "\xfe")
	f.Fuzz(func(t *testing.T, typed, name string) {
		for _, n := range chat.Nearest(typed, []string{name, "batch"}) {
			if n != name && n != "batch" {
				t.Errorf("Nearest(%q) = %q, which is none of the names", typed, n)
			}
		}
	})
}

// TestNearAgainstDefinition: what is left out early to be quick is nothing that
// the whole table of distances would take.
func TestNearAgainstDefinition(t *testing.T) {
	word := rapid.StringMatching(`[abcd]{1,9}( [abcd]{1,6})?`)
	rapid.Check(t, func(t *rapid.T) {
		typed, name := word.Draw(t, "typed"), word.Draw(t, "name")
		cost, ok := chat.Near(typed).Cost(chat.Named(name))
		row, n := chat.Distances(typed, name), len(typed)
		slips := max(1, n/3)
		want := row[len(name)]
		near := want <= slips
		if !near && n >= 5 {
			for end := n - 1; end <= min(n+1, len(name)); end++ {
				near = near || row[end] <= max(1, slips-1)
			}
		}
		contained := strings.Contains(name, typed) && (n >= 3 || strings.HasPrefix(name, typed) || strings.Contains(name, " "+typed))
		if ok && chat.Near(typed).Far(chat.Named(name)) {
			t.Errorf("%q is near %q and far from it", typed, name)
		}
		if ok != (near || contained) || ok && !contained && cost < 10 {
			t.Errorf("%q is near %q: %v (cost %d), want %v: distances %v", typed, name, ok, cost, near || contained, row)
		}
	})
}

// TestDistancesAgainstTable: distances by bits are those of the whole table,
// with texts on both sides of a word's length and letters of any script.
func TestDistancesAgainstTable(t *testing.T) {
	short, long := rapid.StringMatching(`[abcé漢]{0,70}`), rapid.StringMatching(`[a-e ]{55,70}`)
	rapid.Check(t, func(t *rapid.T) {
		a := chat.Fold(rapid.OneOf(short, long).Draw(t, "a"))
		b := []rune(a) // often a few slips away, so that swaps count
		for range rapid.IntRange(0, 8).Draw(t, "slips") {
			if len(b) < 2 {
				break
			}
			i := rapid.IntRange(1, len(b)-1).Draw(t, "at")
			switch rapid.IntRange(0, 2).Draw(t, "slip") {
			case 0:
				b[i-1], b[i] = b[i], b[i-1]
			case 1:
				b = slices.Delete(b, i, i+1)
			default:
				b = slices.Insert(b, i, rapid.SampledFrom([]rune("abcdé")).Draw(t, "letter"))
			}
		}
		if rapid.Bool().Draw(t, "unlike") {
			b = []rune(short.Draw(t, "b"))
		}
		if got, want := chat.Distances(a, string(b)), chat.Tabled(a, string(b)); !slices.Equal(got, want) {
			t.Errorf("from %q to %q: %d, want %d", a, string(b), got, want)
		}
	})
}
