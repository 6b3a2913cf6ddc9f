package config_test

import (
	"os"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/config"
)

// The example settings are read without a complaint and name every key.
func TestExampleFile(t *testing.T) {
	const path = "../../deploy/pourwright.toml"
	if _, warnings, err := config.Load(config.Source{File: path}); err != nil || len(warnings) > 0 {
		t.Fatalf("%v, %v", warnings, err)
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range config.Keys() {
		if !k.Secret && !strings.Contains(string(text), "\n"+k.Name+" = ") && !strings.Contains(string(text), "\n# "+k.Name+" = ") {
			t.Errorf("%s does not show key %s", path, k.Name)
		}
	}
	// With its examples in force it is still right.
	live := strings.ReplaceAll(string(text), "\n# token_file", "\n#token_file")
	for _, k := range config.Keys() {
		live = strings.ReplaceAll(live, "\n# "+k.Name+" = ", "\n"+k.Name+" = ")
	}
	dir, file := write(t, "pourwright.toml", live, 0o644)
	if _, _, err := config.Load(config.Source{Dir: dir, File: file}); err != nil {
		t.Errorf("with its examples in force: %v", err)
	}
}
