package fake

import (
	"embed"
	"encoding/json"
	"io/fs"
	"path"
	"strings"
)

//go:embed testdata/schema.strict.json testdata/inbound.schema.json testdata/examples
var testdata embed.FS

// Examples lists the names of example payloads in a folder: "" holds
// interactions, "gateway" frames, "rest" answers.
func Examples(folder string) []string {
	entries, err := fs.ReadDir(testdata, path.Join("testdata/examples", folder))
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries {
		if name, ok := strings.CutSuffix(e.Name(), ".json"); ok && !e.IsDir() {
			names = append(names, name)
		}
	}
	return names
}

// Example gives one of them. A name that does not exist fails the test.
func Example(t T, name string) []byte {
	t.Helper()
	raw, err := testdata.ReadFile("testdata/examples/" + name + ".json")
	if err != nil {
		t.Errorf("no example %q: %v", name, err)
	}
	return raw
}

// With changes fields of an interaction: each path is dotted, and a value of
// nil removes the field.
func With(t T, raw []byte, changes map[string]any) []byte {
	t.Helper()
	var doc map[string]any
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Errorf("example is no object: %v", err)
		return raw
	}
	for where, value := range changes {
		set(doc, strings.Split(where, "."), value)
	}
	out, err := json.Marshal(doc)
	if err != nil {
		t.Errorf("encode example: %v", err)
	}
	return out
}

func set(doc map[string]any, where []string, value any) {
	if len(where) > 1 {
		next, ok := doc[where[0]].(map[string]any)
		if !ok {
			next = make(map[string]any)
			doc[where[0]] = next
		}
		set(next, where[1:], value)
		return
	}
	if value == nil {
		delete(doc, where[0])
		return
	}
	doc[where[0]] = value
}
