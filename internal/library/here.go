package library

import (
	"context"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/shop"
)

// named finds the material, the mold and the first tint in an example line.
var named = map[string]*regexp.Regexp{
	"material": regexp.MustCompile(`\b(?:material|base):"([^"]*)"`),
	"mold":     regexp.MustCompile(`\bmolds?:"([^"]*)"`), // or all of a list
	"tint":     regexp.MustCompile(`\b(?:tints?|palette):"([^",]*?)(?:,[^"]*| [0-9][^"]*)?"`),
}

// Here turns examples, which are written for the demo shop, into ones that
// work for the viewer: a material, mold or tint that is not on the shelf is
// replaced by the first one that is, and an example that needs what nobody has yet is
// left out.
func (l *Library) Here(ctx context.Context, v shop.Viewer, asks []chat.Ask) ([]chat.Ask, error) {
	materials, err := l.materials.MaterialNames(ctx, v)
	if err != nil {
		return nil, fmt.Errorf("list materials: %w", err)
	}
	molds, err := l.molds.MoldNames(ctx, v)
	if err != nil {
		return nil, fmt.Errorf("list molds: %w", err)
	}
	tints, err := l.tints.TintNames(ctx, v)
	if err != nil {
		return nil, fmt.Errorf("list tints: %w", err)
	}
	shelf := map[string][]string{"material": names(materials), "mold": names(molds), "tint": names(tints)}
	var out []chat.Ask
	for _, a := range asks {
		if line, ok := onShelf(a.Line, shelf); ok {
			out = append(out, chat.Ask{Question: a.Question, Line: line})
		}
	}
	return out, nil
}

// onShelf writes a line anew with names that are there; ok is false where none
// is.
func onShelf(line string, shelf map[string][]string) (out string, ok bool) {
	for kind, pattern := range named {
		at := pattern.FindStringSubmatchIndex(line)
		if at == nil || !slices.ContainsFunc(strings.Split(line[at[2]:at[3]], ", "), func(name string) bool { return !slices.Contains(shelf[kind], name) }) {
			continue
		}
		if len(shelf[kind]) == 0 {
			return "", false
		}
		// Only a name that needs no escaping keeps the example plain.
		name := shelf[kind][0]
		if strings.ContainsAny(name, `"\`) {
			return "", false
		}
		line = line[:at[2]] + name + line[at[3]:]
	}
	return line, true
}
