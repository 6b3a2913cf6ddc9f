package ops

import (
	"context"
	"fmt"
	"strings"
	"time"
)

// Check asks one part of the program whether it can do its work. An error says
// what is wrong, for whoever runs it; it must hold no secret and end with ctx.
type Check struct {
	Part string // "store"
	Ask  func(ctx context.Context) error
}

// checkPatience bounds one look at all parts.
const checkPatience = 3 * time.Second

// finding is what a look at one part came to.
type finding struct {
	part string
	err  error
}

// look asks all parts, one after another.
func look(ctx context.Context, checks []Check) []finding {
	found := make([]finding, len(checks))
	for i, c := range checks {
		found[i] = finding{c.Part, c.Ask(ctx)}
	}
	return found
}

// readiness says in a line for each part how it is, and whether all are well.
func readiness(ctx context.Context, checks []Check) (text string, ok bool) {
	var b strings.Builder
	ok = true
	for _, f := range look(ctx, checks) {
		if f.err == nil {
			fmt.Fprintf(&b, "%-9s ok\n", f.part)
			continue
		}
		ok = false
		fmt.Fprintf(&b, "%-9s not ready: %s\n", f.part, strings.Join(strings.Fields(f.err.Error()), " "))
	}
	return b.String(), ok
}
