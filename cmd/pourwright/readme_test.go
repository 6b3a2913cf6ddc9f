package main

import (
	"crypto/rand"
	"flag"
	"fmt"
	"log/slog"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/config"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/ops"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

var update = flag.Bool("update", false, "write the README's tables anew")

const readme = "../../README.md"

// TestReadmeCommands holds the README's tables to the declarations they are
// made from. After a change of a command or a setting, run
//
//	go test ./cmd/pourwright -run TestReadmeCommands -update
func TestReadmeCommands(t *testing.T) {
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	db, err := sqlite.Memory(t.Context(), sqlite.Config{Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	p := program{Now: time.Now, Rand: rand.Reader}
	desk, err := p.newDesk(db, slog.New(slog.DiscardHandler), mesh.DeskLimits(), chat.Rate{}, "", nil)
	if err != nil {
		t.Fatal(err)
	}
	want := string(text)
	for _, part := range []struct{ name, text string }{
		{"commands", commandTable(desk.Commands())},
		{"settings", settingTable()},
		{"metrics", metricTable()},
	} {
		if want, err = replacePart(want, part.name, part.text); err != nil {
			t.Fatal(err)
		}
	}
	if want == string(text) {
		return
	}
	if *update {
		if err := os.WriteFile(readme, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Errorf("README.md is stale; run: go test ./cmd/pourwright -run TestReadmeCommands -update\n(-README +declarations)\n%s", cmp.Diff(string(text), want))
}

// replacePart puts text between the markers of that name.
func replacePart(doc, name, text string) (string, error) {
	begin, end := "<!-- "+name+":begin -->\n", "<!-- "+name+":end -->"
	head, rest, ok := strings.Cut(doc, begin)
	_, tail, closed := strings.Cut(rest, end)
	if !ok || !closed {
		return "", fmt.Errorf("README.md has no lines %q and %q around its table of %s", strings.TrimSpace(begin), end, name)
	}
	return head + begin + text + end + tail, nil
}

// commandTable has a row for each thing a member can type.
func commandTable(commands []*chat.Command) string {
	var b strings.Builder
	b.WriteString("| command | what it does | options |\n|---|---|---|\n")
	for _, c := range commands {
		for i := range c.Subs {
			s := &c.Subs[i]
			help := s.Help
			if help == "" {
				help = c.Help
			}
			fmt.Fprintf(&b, "| `/%s` | %s | %s |\n", c.Path(s), cell(help), optionCell(s))
		}
	}
	return b.String()
}

// optionCell lists a sub's options: bold ones must be given, ones joined by
// "or" one of.
func optionCell(s *chat.Sub) string {
	grouped := map[string]bool{}
	var parts []string
	for _, o := range s.Options {
		if o.Required {
			parts = append(parts, "**"+o.Name+"**")
			grouped[o.Name] = true
		}
	}
	for _, g := range s.OneOf {
		parts = append(parts, "**"+strings.Join(g, "** or **")+"**")
		for _, name := range g {
			grouped[name] = true
		}
	}
	for _, o := range s.Options {
		if !grouped[o.Name] {
			parts = append(parts, o.Name)
		}
	}
	return cell(strings.Join(parts, ", "))
}

func settingTable() string {
	var b strings.Builder
	b.WriteString("| key | environment | what it sets | default |\n|---|---|---|---|\n")
	for _, k := range config.Keys() {
		def := "–"
		if k.Default != "" {
			def = "`" + k.Default + "`"
		}
		key := "`" + k.Name + "`"
		if k.Secret {
			key = "–"
		}
		fmt.Fprintf(&b, "| %s | `%s%s` | %s | %s |\n", key, config.EnvPrefix, strings.ToUpper(k.Name), cell(k.Help), def)
	}
	return b.String()
}

// metricTable has a row for each metric of the program's own.
func metricTable() string {
	var b strings.Builder
	b.WriteString("| metric | kind | labels | what it tells |\n|---|---|---|---|\n")
	for _, m := range ops.Declared() {
		var labels []string
		for _, l := range m.Labels {
			labels = append(labels, "`"+l.Name+"`")
		}
		if len(labels) == 0 {
			labels = []string{"–"}
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", m.Name, m.Kind, strings.Join(labels, ", "), cell(m.Help))
	}
	return b.String()
}

// cell keeps a text inside its cell.
func cell(text string) string {
	return strings.NewReplacer("|", `\|`, "\n", " ", "<", "&lt;").Replace(text)
}
