package main

import (
	"context"
	"fmt"
	"log/slog"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/tidy"
)

// keeping is how long so many days are: each of 24 hours, whatever the clocks
// of a shop do.
func keeping(days int) time.Duration { return time.Duration(days) * 24 * time.Hour }

// tidies is the service that lets go what is over and older than so many days.
func (p *program) tidies(db records, days int, log *slog.Logger, watch tidy.Observer) *tidy.Service {
	return tidy.New(tidy.Config{Book: db, Keep: keeping(days), Now: p.Now, Log: log, Pace: p.Tidying, Watch: watch})
}

// retention says what serve would let go at its next run.
func (p *program) retention(ctx context.Context, db shop.Tidying, days int) finding {
	if days == 0 {
		return well("retention: finished pours and logs are kept for ever (retention_days is not set)")
	}
	now := p.Now()
	before := now.Add(-keeping(days))
	n, err := db.WouldTidy(ctx, before, now)
	if err != nil {
		return finding{what: "retention: " + err.Error(), do: "look at the lines about the database"}
	}
	what := fmt.Sprintf("retention: %s; ", quantity.Count(days, "day", "days"))
	if n.All() == 0 {
		return well("%snothing that ended before %s is left", what, before.UTC().Format(time.DateOnly))
	}
	var parts []string
	for _, part := range []struct {
		n         int
		one, many string
	}{
		{n.Pours, "pour whole", "pours whole"}, {n.Reduced, "pour but for what it taught", "pours but for what they taught"},
		{n.Reminders, "past reminder", "past reminders"}, {n.Marks, "old mark or word at a mold", "old marks or words at molds"},
		{n.Messages, "record of a message or a button", "records of messages and buttons"},
	} {
		if part.n > 0 {
			parts = append(parts, quantity.Count(part.n, part.one, part.many))
		}
	}
	return well("%sof what ended before %s, serve lets go at its next run: %s", what, before.UTC().Format(time.DateOnly), strings.Join(parts, ", "))
}
