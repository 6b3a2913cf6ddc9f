package chat

import (
	"context"
	"fmt"
)

// beside adds to an answer what its member is to be told besides: in the answer
// itself where nobody else sees it, else aside. The answer stands without it
// where that fails.
func (d *Dispatcher) beside(ctx context.Context, c *Call, ans *Answer) {
	if d.cfg.Beside == nil || c.Renewal {
		return
	}
	known := len(c.clocks)
	told, err := d.cfg.Beside(ctx, c)
	if err == nil && told != nil {
		told.Tidy()
		told.Actions, err = d.identified(ctx, c, told.Actions)
	}
	switch {
	case err != nil:
		d.cfg.Log.Error("tell a member something besides", "error", fmt.Sprint(err))
	case told == nil:
	case ans.Private || c.Alone:
		ans.Reply.Notes = append(told.Notes, ans.Reply.Notes...)
		ans.Reply.Actions = append(ans.Reply.Actions, told.Actions...)
		ans.Reply.Clocks = append(ans.Reply.Clocks, c.clocks[known:]...)
	default:
		told.Clocks = append(told.Clocks, c.clocks...)
		told.Private, told.Quiet = true, true
		ans.Aside = told
	}
}
