package transfer_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/transfer"
)

var update = flag.Bool("update", false, "rewrite the schema in DEVELOPERS.md")

// The schema in DEVELOPERS.md is what the columns say of themselves.
func TestSchemaIsDocumented(t *testing.T) {
	path := filepath.Join("..", "..", "DEVELOPERS.md")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(text), "<!-- schema:begin -->\n")
	_, after, ok2 := strings.Cut(rest, "<!-- schema:end -->")
	if !ok || !ok2 {
		t.Fatal("DEVELOPERS.md has lost the marks around the schema")
	}
	want := before + "<!-- schema:begin -->\n" + transfer.Document() + "<!-- schema:end -->" + after
	if want == string(text) {
		return
	}
	if !*update {
		t.Fatal("the schema in DEVELOPERS.md is not what the columns say; go test ./internal/transfer -run TestSchema -update rewrites it")
	}
	if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
		t.Fatal(err)
	}
}
