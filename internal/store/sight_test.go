package store

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/shop"
)

// TestStatementsCarryTheRule looks at the text of each statement on records.
func TestStatementsCarryTheRule(t *testing.T) {
	v := shop.Viewer{Member: shop.Member{ID: 7}, Shop: shop.Shop{ID: 9}}
	for _, k := range slices.Concat(kinds, unversioned) {
		visible, _ := k.visible(v, "r")
		reach, _ := k.visible(v, "g")
		if k.curated != strings.Contains(visible, "hidden_in") {
			t.Errorf("what managers hide of %s: %s", k.table, visible)
		}
		for name, c := range map[string]struct {
			st   statement
			want string
		}{
			"seen":           {k.seen(v, "r.id", ""), visible},
			"seenBare":       {k.seenBare(v, "r.id", ""), visible},
			"seenVersions":   {k.seenVersions(v, "r.id", ""), visible},
			"change":         {k.change(v, "name = ?", []any{"x"}, ""), owned},
			"insert":         {k.insert(v, "name", "x"), "(owner, shop,"},
			"insertVersion":  {k.insertVersion(v, 1, 1, 0, "{}"), owned},
			"insertMany":     {k.insertMany(v, 0, []any{"x", "x", "", "y", "y", ""}), "(owner, shop,"},
			"insertVersions": {k.insertVersions(v, 0, []any{"x", "{}", "y", "{}"}), owned},
			"counts":         {k.counts(v), "owner = ?"},
			"seenWith":       {k.seenWith(v, pours, "pour", "r.id", ""), visible},
			"seenParts":      {k.seenParts(v, pulls, "mold", "r.id", ""), visible},
			"seenWhole":      {k.seenWhole(v, pulls, "mold", "r.id", ""), visible},
			"held":           {k.held(v, "r.id", ""), "r.owner = ?"},
			"heldBare":       {k.heldBare(v, "r.id", ""), "r.owner = ?"},
			"forget":         {k.forget(v, ""), "owner = ?"},
			"forgetOldest":   {k.forgetOldest(v, 3), "owner = ?"},
			"changeSeen":     {k.changeSeen(v, "opened_on = ?", []any{1}, 3), strings.ReplaceAll(visible, "r.", k.table+".")},
			"insertPart":     {k.insertPart(v, draws, "container", 3, "what, a", "use", 1.0), visible},
			"byHand":         {k.byHand(v, "r.id", ""), "r.by_member = ?"},
			"changeByHand":   {k.changeByHand(v, "removed_at = ?", []any{1}, ""), "by_member = ?"},
			"changeNamed":    {k.changeNamed(v, dues, "due", "state = ?", []any{"sent"}, 3, ""), visible},
			"sharedIn":       {k.sharedIn(v), "shop = ?"},
			"curate":         {k.curate(v, "pinned_in = ?", []any{9}, 1), "WHERE shop = ? AND shared = 1"},
			"coded":          {k.coded(v, "r.id", ""), "(w.taker IS NULL OR w.taker = ?)"},
			"origins":        {k.origins(v, "r.id", ""), "r.owner = ? AND r.removed_at IS NULL AND (" + reach},
			"handOver":       {k.handOver(v, 1, ", name = ?", "x"), offeredTo},
			"handOverParts":  {k.handOverParts(v, 1, "pull", "mold", ", shop = ?", 9), offeredTo},
		} {
			if !strings.Contains(c.st.text, c.want) {
				t.Errorf("%s of %s lacks %q: %s", name, k.table, c.want, c.st.text)
			}
			if got := strings.Count(c.st.text, "?"); got != len(c.st.args) {
				t.Errorf("%s of %s has %d placeholders and %d values: %s", name, k.table, got, len(c.st.args), c.st.text)
			}
			bound := false
			for _, a := range c.st.args {
				bound = bound || a == int64(7) || a == int64(9)
			}
			if !bound {
				t.Errorf("%s of %s is led by neither member nor shop: %v", name, k.table, c.st.args)
			}
		}
	}
}

// TestPlainRefusesRecords: a statement that goes round the rule does not run.
func TestPlainRefusesRecords(t *testing.T) {
	for text, refused := range map[string]bool{
		"SELECT * FROM material":                     true,
		"select id from MATERIAL where id = ?":       true,
		`SELECT * FROM "material"`:                   true,
		"SELECT * FROM main.material":                true,
		"DELETE FROM material_version":               true,
		"SELECT swatch FROM tint":                    true,
		"UPDATE\tmold\nSET name = ''":                true,
		"SELECT 1 FROM shop,mold_version":            true,
		"SELECT plan FROM pour":                      true,
		"DELETE FROM cure_log":                       true,
		"SELECT plan FROM due":                       true,
		"SELECT why FROM pull":                       true,
		"SELECT * FROM member":                       false,
		"SELECT materials, raw_material FROM member": false,
		"SELECT remold FROM mold2":                   false,
	} {
		got := func() (refused bool) {
			defer func() { refused = recover() != nil }()
			plain(text)
			return false
		}()
		if got != refused {
			t.Errorf("plain(%q) refused: %v, want %v", text, got, refused)
		}
	}
}

// TestAgingLeavesProfiles: what lets old rows go can't name what members keep.
func TestAgingLeavesProfiles(t *testing.T) {
	for text, refused := range map[string]bool{
		"DELETE FROM material WHERE id = ?":                  true,
		"delete from MOLD_version":                           true,
		"UPDATE tint SET name = ''":                          true,
		"SELECT 1 FROM pour p JOIN formula f ON f.id = p.id": true,
		"DELETE FROM pour WHERE material IS NOT NULL":        false,
		"UPDATE pour SET mold = NULL":                        false,
		"DELETE FROM due":                                    false,
	} {
		got := func() (refused bool) {
			defer func() { refused = recover() != nil }()
			aging(text)
			return false
		}()
		if got != refused {
			t.Errorf("aging(%q) refused: %v, want %v", text, got, refused)
		}
	}
}

// TestOnePlaceMakesStatements reads this package's source: a statement is made
// in sight.go only, and only txn.go speaks to a database handle, so that no
// query can be sent that neither carries the rule nor went through plain.
func TestOnePlaceMakesStatements(t *testing.T) {
	files, err := fs.Glob(os.DirFS("."), "*.go")
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		tree, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(tree, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CompositeLit:
				if id, ok := n.Type.(*ast.Ident); ok && id.Name == "statement" {
					seen["statement in "+file] = true
				}
			case *ast.SelectorExpr:
				switch n.Sel.Name {
				case "QueryContext", "ExecContext", "QueryRowContext", "PrepareContext", "Query", "Exec", "QueryRow", "Prepare":
					seen["handle in "+file] = true
				}
			}
			return true
		})
	}
	if len(seen) != 2 || !seen["statement in sight.go"] || !seen["handle in txn.go"] {
		t.Errorf("statements and handles are used in %v, want only sight.go and txn.go", seen)
	}
}
