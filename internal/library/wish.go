package library

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Wishes are what a member may want otherwise than the shop. The word "shop"
// goes back to following it.
func Wishes() []Setting[shop.Prefs] {
	type prefs = shop.Prefs
	const follow = "shop"
	likeShop := chat.Choice{Value: follow, Label: "as the shop"}
	return []Setting[prefs]{
		worded(chat.Option{Name: "units", Help: "units you read and type; shop for the shop's", Kind: chat.OneWord, Choices: append(systems[:3:3], likeShop)},
			"Units", follow, asTyped, func(p *prefs) *string { return &p.Units }),
		worded(chat.Option{Name: "zone", Help: "time zone of your clock, by its IANA name; shop for the shop's", Like: "Europe/London", Suggest: SuggestZone},
			"Time zone", follow, Zone, func(p *prefs) *string { return &p.Zone }),
		worded(chat.Option{Name: "quiet_hours", Help: "when not to be called; none for never", Like: "22:00-07:00", Length: 40},
			"Quiet hours", "none", QuietHours, func(p *prefs) *string { return &p.QuietHours }),
		worded(chat.Option{Name: "ready", Help: "when to be called back for a pour: an even bet, or nearly sure", Kind: chat.OneWord,
			Choices: []chat.Choice{{Value: "p50", Label: "p50: worth a look"}, {Value: "p90", Label: "p90: nearly sure"}}},
			"Called when", "p90", asTyped, func(p *prefs) *string { return &p.Ready }),
		worded(chat.Option{Name: "to", Help: "where to be called", Kind: chat.OneWord,
			Choices: []chat.Choice{{Value: "here", Label: "here: where I asked"}, {Value: "dm", Label: "dm: by direct message"}}},
			"Called", "here", asTyped, func(p *prefs) *string { return &p.To }),
	}
}

// hours is two times of day: "22:00-07:00", "22-7", "10 pm to 7 am".
var hours = regexp.MustCompile(`^(\d{1,2})(?:[:.](\d\d))? ?([ap]m)? ?(?:-|–|to|until) ?(\d{1,2})(?:[:.](\d\d))? ?([ap]m)?$`)

// QuietHours reads the two ends of a quiet time and writes them on a 24-hour
// clock, "22:00-07:00". Errors: bad_time.
func QuietHours(typed string) (string, error) {
	bad := fault.New(fault.BadTime, "%q are no quiet hours", fault.Echo(typed)).Hint("give two times of day, such as 22:00-07:00, or none")
	m := hours.FindStringSubmatch(chat.Fold(typed))
	if m == nil {
		return "", bad
	}
	from, ok := timeOfDay(m[1], m[2], m[3])
	to, ok2 := timeOfDay(m[4], m[5], m[6])
	if !ok || !ok2 || from == to {
		return "", bad
	}
	return from + "-" + to, nil
}

func timeOfDay(hour, minute, half string) (string, bool) {
	h, _ := strconv.Atoi(hour)
	m, _ := strconv.Atoi(strings.TrimPrefix(minute, "0"))
	if half != "" {
		if h < 1 || h > 12 {
			return "", false
		}
		h %= 12
		if half == "pm" {
			h += 12
		}
	}
	return fmt.Sprintf("%02d:%02d", h, m), h < 24 && m < 60
}
