package remind

import (
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// listFrom is how many calls of one member at once become a list: more than
// five.
const listFrom = 6

// group is what goes in one message.
type group struct {
	claims []shop.Claim
	place  string
	begun  *shop.Delivery // sent before, with an outcome that is not known
}

// grouped sorts claims, which are in the order they were due, into messages;
// quiet are those that wait for the end of quiet hours, by that time. What was
// begun is finished in its own message, quiet hours or not: it may have been
// shown.
func grouped(claims []shop.Claim, now time.Time) (groups []*group, quiet map[time.Time][]shop.Claim) {
	quiet = map[time.Time][]shop.Claim{}
	begun := map[int64]*group{}
	fresh := map[shop.MemberID][]shop.Claim{}
	for _, c := range claims {
		if c.Pending != nil {
			g, ok := begun[c.Pending.ID]
			if !ok {
				g = &group{place: c.Pending.Place, begun: c.Pending}
				begun[c.Pending.ID] = g
				groups = append(groups, g)
			}
			g.claims = append(g.claims, c)
			continue
		}
		if until := shop.QuietUntil(c.Member.Pref.QuietHours, now, c.Viewer().Zone()); !until.IsZero() {
			quiet[until] = append(quiet[until], c)
			continue
		}
		fresh[c.Owner] = append(fresh[c.Owner], c)
	}
	for _, c := range claims {
		mine := fresh[c.Owner]
		if len(mine) == 0 || c.Pending != nil {
			continue
		}
		n := 1
		if len(mine) >= listFrom {
			n = len(mine)
		}
		groups = append(groups, &group{claims: mine[:n], place: commonPlace(mine[:n])})
		fresh[c.Owner] = mine[n:]
	}
	return groups, quiet
}

// commonPlace is where all of the calls go. Those of several places go to the
// member alone: what was asked for in one is nothing for another.
func commonPlace(claims []shop.Claim) string {
	for _, c := range claims {
		if c.Place != claims[0].Place {
			return ""
		}
	}
	return claims[0].Place
}

// lanes puts what goes to the same place, or to the same member, in one lane:
// there it goes one after another, in order.
func lanes(groups []*group) [][]*group {
	type lane struct {
		place string
		owner shop.MemberID
	}
	at := map[lane]int{}
	var all [][]*group
	for _, g := range groups {
		key := lane{place: g.place}
		if g.place == "" {
			key.owner = g.claims[0].Owner
		}
		i, ok := at[key]
		if !ok {
			i = len(all)
			at[key] = i
			all = append(all, nil)
		}
		all[i] = append(all[i], g)
	}
	return all
}
