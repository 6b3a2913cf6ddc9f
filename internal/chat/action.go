package chat

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// An action's id is what a press gives back, also after a restart:
//
//	1w.2s./batch material:"#12@3" volume:"250 ml"
//
// version, verb, form name (none here), owner's member number in base 36, and
// the line, or "#" and the key of a stored line where it would not fit. Members
// can see ids: they hold no secret and give no right, a press runs with the
// rights of whoever presses.
const (
	actionVersion = '1'
	actionMost    = 100 // characters of a custom_id
)

type press struct {
	verb  Verb
	form  string
	owner shop.MemberID
	line  string
}

// rerun reports a press that runs its line anew to show more of an answer, not
// to have its effect.
func (p press) rerun() bool { return p.verb == DoWorking || p.verb == DoFull || p.verb == DoPost }

// id writes the press with its line inside, if that fits.
func (p press) id() (string, bool) {
	id := string(actionVersion) + string(p.verb) + p.form + "." + strconv.FormatInt(int64(p.owner), 36) + "." + p.line
	return id, len(id) <= actionMost
}

// actionID makes the id, storing the line where it is too long. keys has the
// lines of this reply that are stored already: its buttons often share one.
func (d *Dispatcher) actionID(ctx context.Context, s shop.Stamp, p press, keys map[string]string) (string, error) {
	if id, fits := p.id(); fits {
		return id, nil
	}
	key, stored := keys[p.line]
	if !stored {
		var err error
		if key, err = d.cfg.Lines.SaveLine(ctx, s, p.line); err != nil {
			return "", fmt.Errorf("store a button's line: %w", err)
		}
		keys[p.line] = key
	}
	p.line = "#" + key
	id, fits := p.id()
	if !fits {
		return "", fmt.Errorf("a button's id of %d bytes is too long", len(id))
	}
	return id, nil
}

var errOldButton = "this button is from an older answer and can't be read any more"

// readAction takes an id apart and fetches a stored line, which is known in
// the shop of its reply alone.
func (d *Dispatcher) readAction(ctx context.Context, inv Invocation) (press, error) {
	old := fault.New(fault.NotFound, "%s", errOldButton).Hint("type the command again")
	parts := strings.SplitN(inv.Press, ".", 3)
	if len(parts) != 3 || len(parts[0]) < 2 || parts[0][0] != actionVersion {
		return press{}, old
	}
	owner, err := strconv.ParseInt(parts[1], 36, 64)
	if err != nil {
		return press{}, old
	}
	p := press{verb: Verb(parts[0][1]), form: parts[0][2:], owner: shop.MemberID(owner), line: parts[2]}
	if !strings.ContainsRune("refwcp", rune(p.verb)) {
		return press{}, old
	}
	if key, stored := strings.CutPrefix(p.line, "#"); stored {
		by, err := d.identify(ctx, inv)
		if err != nil {
			return press{}, err
		}
		line, ok, err := d.cfg.Lines.Line(ctx, by, key)
		if err != nil {
			return press{}, fmt.Errorf("fetch a button's line: %w", err)
		}
		if !ok {
			return press{}, old
		}
		p.line = line
	}
	return p, nil
}
