package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"regexp"
	"time"

	"github.com/pourwright/pourwright/commands"
	"github.com/pourwright/pourwright/internal/board"
	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/demo"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// newDesk puts every command over a store. boards is where boards are served,
// "" if nowhere, and watch is who counts, nil for nobody.
func (p *program) newDesk(db records, log *slog.Logger, limits mesh.Limits, rate chat.Rate, boards string, watch chat.Observer) (*chat.Dispatcher, error) {
	desk, err := chat.New(chat.Config{
		Commands: commands.All(db.Books(), limits, place(boards)), People: db, Lines: db, Cards: db, Beside: library.Missed(db),
		Log: log, NewRef: p.newRef, Now: p.Now, Terms: caution.Used, Rate: rate, Watch: watch,
	})
	if err != nil {
		return nil, fmt.Errorf("put the commands together: %w", err)
	}
	return desk, nil
}

// place is where the program runs, for those answers that tell it.
func place(boards string) commands.Place {
	return commands.Place{Board: boards != "", BoardAt: board.Address(boards), BoardPath: board.Path}
}

// newRef draws a short name by which the log and a member speak of the same
// failure.
func (p *program) newRef() string {
	s, err := shop.Draw(p.Rand, 5)
	if err != nil {
		// The time tells failures apart well enough for a reader.
		return p.Now().UTC().Format("150405.000")
	}
	return s[:4] + "-" + s[4:]
}

// openDemo opens the demo shop in memory.
func (p *program) openDemo(ctx context.Context, at time.Time) (records, error) {
	db, err := sqlite.Memory(ctx, sqlite.Config{Rand: p.Rand})
	if err != nil {
		return nil, err
	}
	if err := demo.Seed(ctx, db, at); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return db, nil
}

// localName is how a member or shop may be called on the command line.
var localName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,31}$`)

// who reads --as and --shop.
func who(member, shop string) (console.Who, error) {
	for flag, name := range map[string]string{"--as": member, "--shop": shop} {
		if !localName.MatchString(name) {
			return console.Who{}, misused("%s is %q; a name has letters, digits, dots and dashes, 32 at most", flag, name)
		}
	}
	w := console.Local(member, shop)
	if w.ShopKey == demo.ShopKey {
		w.ShopName = "" // it has a better one
	}
	return w, nil
}

// mustExist refuses to make a database file where one is wanted that is there.
func mustExist(path string) error {
	_, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return fault.New(fault.NotFound, "there is no database %s", path).Hint("name it with --db, or in the settings")
	}
	return nil
}
