package library

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/shop"
)

// WorkHours are the hours of the day at which hands work, by the clock on the
// wall. The zero value is around the clock.
type WorkHours struct {
	from, to int // minutes of the day; to may be on the next
	days     [7]bool
	text     string
}

// UsualHours are those of a run where nobody says otherwise (judgement).
const UsualHours = "08:00-22:00"

// aroundTheClock are the words for no hours at all.
var aroundTheClock = []string{"any", "always", "24h", "24 h", "around the clock"}

// weekdays are days or a span of them before the hours, "mon-fri", "sat,sun".
var weekdays = regexp.MustCompile(`^([a-z]{3})[a-z]*(?: ?(-|–|to|,) ?([a-z]{3})[a-z]*)? (.*)$`)

// ParseWorkHours reads "09:00-17:00", "mon-fri 9 am to 5 pm", "22:00-06:00" or
// "any". Errors: bad_time in the option hours.
func ParseWorkHours(typed string) (WorkHours, error) {
	words := chat.Fold(typed)
	if slices.Contains(aroundTheClock, words) {
		return WorkHours{}, nil
	}
	bad := fault.New(fault.BadTime, "%q are no working hours", fault.Echo(typed)).In("hours").Hint(`give such as 09:00-17:00, "mon-fri 09:00-17:00", or any for around the clock`)
	w := WorkHours{days: [7]bool{true, true, true, true, true, true, true}}
	prefix := ""
	if m := weekdays.FindStringSubmatch(words); m != nil {
		var ok bool
		if w.days, prefix, ok = daysOf(m[1], m[2], m[3]); !ok {
			return WorkHours{}, bad
		}
		words = m[4]
	}
	both, err := QuietHours(words)
	if err != nil {
		return WorkHours{}, bad
	}
	w.text = prefix + both
	var fromH, fromM, toH, toM int
	if _, err := fmt.Sscanf(both, "%d:%d-%d:%d", &fromH, &fromM, &toH, &toM); err != nil {
		return WorkHours{}, bad
	}
	w.from, w.to = fromH*60+fromM, toH*60+toM
	if w.to < w.from {
		w.to += 24 * 60
	}
	return w, nil
}

func daysOf(first, sign, last string) (days [7]bool, text string, ok bool) {
	number := func(name string) int {
		for d := range 7 {
			if strings.ToLower(time.Weekday(d).String())[:3] == name {
				return d
			}
		}
		return -1
	}
	a, b := number(first), number(last)
	switch {
	case a < 0 || sign != "" && b < 0:
		return days, "", false
	case sign == "":
		days[a] = true
		return days, first + " ", true
	case sign == ",":
		days[a], days[b] = true, true
		return days, first + "," + last + " ", true
	}
	for d := a; ; d = (d + 1) % 7 {
		days[d] = true
		if d == b {
			return days, first + "-" + last + " ", true
		}
	}
}

// Around reports that hands work around the clock.
func (w WorkHours) Around() bool { return w.text == "" }

// String writes them as they are typed.
func (w WorkHours) String() string {
	if w.Around() {
		return "any"
	}
	return w.text
}

// Longer is an hour more in the evening; around the clock where that is no more.
func (w WorkHours) Longer() WorkHours {
	w.to += 60
	if w.Around() || w.to-w.from >= 24*60 {
		return WorkHours{}
	}
	days := w.text[:strings.LastIndexByte(w.text, ' ')+1]
	w.text = fmt.Sprintf("%s%02d:%02d-%02d:%02d", days, w.from/60, w.from%60, w.to/60%24, w.to%60)
	return w
}

// daysPlanned is how far working time is laid out.
const daysPlanned = 366

// Open is the working time from a start on, by the clocks of a zone, with every
// change of them.
func (w WorkHours) Open(start time.Time, zone *time.Location) plan.Open {
	if w.Around() {
		return plan.Always()
	}
	local := start.In(zone)
	var open plan.Open
	for day := -1; day <= daysPlanned; day++ { // what began yesterday may go on
		on := time.Date(local.Year(), local.Month(), local.Day()+day, 0, 0, 0, 0, time.UTC)
		if !w.days[on.Weekday()] {
			continue
		}
		at := func(minutes int) int {
			return int(shop.Wall(on.Add(time.Duration(minutes)*time.Minute), zone).Sub(start) / time.Second)
		}
		from, to := max(at(w.from), 0), at(w.to)
		switch {
		case to <= from:
		case len(open) > 0 && from <= open[len(open)-1].To:
			open[len(open)-1].To = to
		default:
			open = append(open, plan.Window{From: from, To: to})
		}
	}
	return open
}
