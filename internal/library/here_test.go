package library

import "testing"

// An example that is written for the demo shop is turned into one for another
// shelf, by its first tint too, or left out.
func TestOnShelf(t *testing.T) {
	shelf := map[string][]string{"material": {"bench white"}, "mold": nil, "tint": {"rust"}}
	for _, c := range []struct{ line, want string }{
		{`/tint look base:"demo rigid white" tints:"brick red 0.2%"`, `/tint look base:"bench white" tints:"rust 0.2%"`},
		{`/tint dose base:"bench white" tint:"brick red" mass:"200 g"`, `/tint dose base:"bench white" tint:"rust" mass:"200 g"`},
		{`/tint match base:"bench white" target:#E0A9A6 palette:"brick red"`, `/tint match base:"bench white" target:#E0A9A6 palette:"rust"`},
		{`/tint look base:"bench white" tints:"rust 1%, x 2%"`, `/tint look base:"bench white" tints:"rust 1%, x 2%"`},
		{`/batch material:"demo rigid white" mold:"harbor pawn"`, ""},
	} {
		got, ok := onShelf(c.line, shelf)
		if got != c.want || ok != (c.want != "") {
			t.Errorf("%s\n got %s (%v)\nwant %s", c.line, got, ok, c.want)
		}
	}
	shelf["tint"] = nil
	if got, ok := onShelf(`/tint look base:"bench white" tints:"brick red 0.2%"`, shelf); ok {
		t.Errorf("without tints %q is offered", got)
	}
}
