package bench

import (
	"context"
	"net/http"
	"strings"
	"time"
)

// suggestMost is how long a suggestion may take; a later one is of no use.
const suggestMost = 2 * time.Second

// complete gives the ways to go on with a line, each as the whole line.
func (b *Bench) complete(w http.ResponseWriter, r *http.Request) {
	ctx, cancel := context.WithTimeout(r.Context(), suggestMost)
	defer cancel()
	inv := b.call()
	inv.Line = r.URL.Query().Get("line")
	lines := b.cfg.Desk.CompleteLine(ctx, inv)
	if lines == nil {
		lines = []string{}
	}
	b.json(w, lines)
}

// suggestion is one value of an option and how it is shown.
type suggestion struct {
	Value string `json:"value"`
	Label string `json:"label,omitempty"`
}

// suggest gives values for one field of a form that is being filled.
func (b *Bench) suggest(w http.ResponseWriter, r *http.Request) {
	query := r.URL.Query()
	raw := map[string]string{}
	for name := range query {
		if o, ok := strings.CutPrefix(name, optionPrefix); ok {
			raw[o] = query.Get(name)
		}
	}
	found := b.values(r, r.PathValue("command"), r.PathValue("sub"), query.Get("option"), raw)
	if found == nil {
		found = []suggestion{}
	}
	b.json(w, found)
}

// values asks the desk. A failure is logged and shows as no suggestion: it
// must not keep anyone from typing.
func (b *Bench) values(r *http.Request, command, sub, option string, raw map[string]string) []suggestion {
	ctx, cancel := context.WithTimeout(r.Context(), suggestMost)
	defer cancel()
	inv := b.call()
	inv.Command, inv.Sub, inv.Raw = command, sub, raw
	choices, err := b.cfg.Desk.Complete(ctx, inv, option)
	if err != nil && ctx.Err() == nil {
		b.cfg.Log.Error("suggest", "command", command, "option", option, "error", err)
	}
	out := make([]suggestion, len(choices))
	for i, c := range choices {
		out[i] = suggestion{Value: c.Value, Label: c.Label}
	}
	return out
}
