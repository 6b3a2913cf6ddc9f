package board

import (
	"cmp"
	"context"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// How much is shown. What is more is counted.
const (
	poursMost = 200
	moldsMost = 60
	duesMost  = 20
	nameMost  = 60 // characters of a name
	aboutMost = 120
)

// view is the board as the template shows it. Texts of members are as they
// typed them, cut to a length: the template escapes them. Fields that only
// tell the time have no part in the mark.
type view struct {
	Shop, Member string
	Home         string
	Sum          string
	Pours        []pourView
	MorePours    int
	Molds        []moldView
	MoreMolds    int
	Dues         []dueView
	StartLine    string // where a pour is started from, on the bench

	At   string `json:"-"` // the clock of the viewer's zone
	Now  int64  `json:"-"` // ms since 1970, for clocks of other machines
	next time.Time
}

type pourView struct {
	Key    string // names the card to the script
	Number string
	Name   string // of the mold, else of the material
	Of     string // the material, where the mold is the name
	Parts  string
	Owner  string // "" for the viewer's own
	Where  string
	Phase  string
	Kind   string // how the card is dressed: act, wait, look
	Text   string
	Began  string // on the clock
	Ends   string // likewise, "" where the end is open
	Since  string // RFC 3339
	Until  string
	URL    string
	rank   int
	until  time.Time
	ToWhat string // what Left leads to
	Left   string `json:"-"` // until it ends, or since it began
	Done   int    `json:"-"` // of 1000, how far through
}

type moldView struct {
	Key, Name, Owner string
	Pulls, Coat      string
	Due              bool
	URL              string
	left             int
}

type dueView struct {
	Key, About, At, When string
	Late                 bool
	Until                string
	URL                  string
	Left                 string `json:"-"`
}

// see looks at what is kept.
func (b *Board) see(ctx context.Context, v shop.Viewer, home string, now time.Time) (view, error) {
	zone := v.Zone()
	out := view{
		Shop: clip(v.Shop.Name, nameMost), Member: clip(v.Member.Name, nameMost), Home: home,
		At: now.In(zone).Format("15:04"), Now: now.UnixMilli(),
	}
	if out.Shop == "" {
		out.Shop = "The shop"
	}
	pours, err := b.cfg.Pours.Running(ctx, v, poursMost+1)
	if err != nil {
		return view{}, fmt.Errorf("list pours: %w", err)
	}
	if len(pours) > poursMost { // one more than that means there are more
		pours, out.MorePours = pours[len(pours)-poursMost:], 1
	}
	for _, p := range pours {
		pv := b.pourView(p, v, home, now, zone)
		out.Pours = append(out.Pours, pv)
		out.soon(pv.until, now)
	}
	slices.SortStableFunc(out.Pours, func(a, b pourView) int {
		return cmp.Or(cmp.Compare(a.rank, b.rank), byTime(a.until, b.until))
	})
	out.Sum = sum(out.Pours, out.MorePours > 0)
	if err := b.seeMolds(ctx, v, home, &out); err != nil {
		return view{}, err
	}
	if home == "" {
		return out, nil
	}
	out.StartLine = ask(home, "/pour start ")
	return out, b.seeDues(ctx, v, home, now, zone, &out)
}

// soon keeps when the board changes by itself for the first time.
func (v *view) soon(at, now time.Time) {
	if at.After(now) && (v.next.IsZero() || at.Before(v.next)) {
		v.next = at
	}
}

// byTime puts what has no end last.
func byTime(a, b time.Time) int {
	switch {
	case a.IsZero() && b.IsZero():
		return 0
	case a.IsZero():
		return 1
	case b.IsZero():
		return -1
	}
	return a.Compare(b)
}

// kindOf is how a phase is dressed, and its rank: what can't wait comes first,
// then what is there to be taken out. What is curing comes by its end.
func kindOf(phase string) (kind string, rank int) {
	switch phase {
	case "mixing", "pot life", "next coat", "late coat":
		return "act", 0
	case "ready", "try it":
		return "look", 1
	}
	return "wait", 2
}

// toWhat says what the end of a phase is the end of.
func toWhat(phase string) string {
	switch phase {
	case "wait":
		return "to a first look"
	case "try it":
		return "to nine in ten ready"
	}
	return "left"
}

func (b *Board) pourView(p shop.Pour, v shop.Viewer, home string, now time.Time, zone *time.Location) pourView {
	phase := b.cfg.Phase(p, now)
	number := chat.Ref(p.ID, 0)
	pv := pourView{
		Key: fmt.Sprintf("pour-%d", p.ID), Number: number, Name: clip(p.Mold, nameMost), Of: clip(p.Material, nameMost),
		Where: clip(p.Where, nameMost), Phase: phase.Name, Text: clip(phase.Text, aboutMost),
		Began: shop.ClockText(p.Started, now, zone), ToWhat: toWhat(phase.Name), Since: stamp(phase.Since), until: phase.Until,
	}
	if n := len(p.Fills); n > 1 {
		pv.Name = clip(fmt.Sprintf("%s and %d more", p.Mold, n-1), nameMost)
	}
	if pv.Name == "" {
		pv.Name, pv.Of = pv.Of, ""
	}
	if p.Count > 1 {
		pv.Parts = fmt.Sprintf("%d parts", p.Count)
	}
	if p.Owner != v.Member.ID {
		pv.Owner = clip(p.OwnerOf, nameMost)
	}
	pv.Kind, pv.rank = kindOf(phase.Name)
	pv.Left, pv.Done = figure(now.Sub(phase.Since)), 0
	if !phase.Until.IsZero() {
		pv.Until, pv.Ends, pv.Left = stamp(phase.Until), shop.ClockText(phase.Until, now, zone), figure(phase.Until.Sub(now))
		if all := phase.Until.Sub(phase.Since); all > 0 {
			pv.Done = int(min(max(1000*now.Sub(phase.Since)/all, 0), 1000))
		}
	}
	if home != "" {
		pv.URL = ask(home, "/pour show pour:"+number)
	}
	return pv
}

// sum is the board in one sentence.
func sum(pours []pourView, more bool) string {
	if len(pours) == 0 {
		return "Nothing is in a mold"
	}
	out := map[string]int{}
	for _, p := range pours {
		out[p.Kind]++
	}
	text := counted(len(pours), "pour")
	if more {
		text = "The newest " + text
	}
	if n := out["act"]; n > 0 {
		text += fmt.Sprintf(", %d liquid", n)
	}
	if n := out["look"]; n > 0 {
		text += fmt.Sprintf(", %d to look at", n)
	}
	return text
}

func (b *Board) seeMolds(ctx context.Context, v shop.Viewer, home string, out *view) error {
	all, err := b.cfg.Molds.Molds(ctx, v)
	if err != nil {
		return fmt.Errorf("list molds: %w", err)
	}
	for _, m := range all {
		if m.Retired != "" || m.Hidden {
			continue
		}
		left := b.cfg.Coat(m)
		mv := moldView{
			Key: fmt.Sprintf("mold-%d", m.ID), Name: clip(m.Name, nameMost), Pulls: counted(m.PullsSoFar(), "pull"),
			Coat: "coat in " + counted(left, "pull"), Due: left == 0, left: left,
		}
		if mv.Due {
			mv.Coat = "release coat due"
		}
		if m.Owner != v.Member.ID {
			mv.Owner = clip(m.OwnerOf, nameMost)
		}
		if home != "" {
			mv.URL = ask(home, "/mold show mold:"+chat.Ref(m.ID, 0))
		}
		out.Molds = append(out.Molds, mv)
	}
	slices.SortStableFunc(out.Molds, func(a, b moldView) int { return cmp.Compare(a.left, b.left) })
	if n := len(out.Molds); n > moldsMost {
		out.Molds, out.MoreMolds = out.Molds[:moldsMost], n-moldsMost
	}
	return nil
}

func (b *Board) seeDues(ctx context.Context, v shop.Viewer, home string, now time.Time, zone *time.Location, out *view) error {
	all, err := b.cfg.Dues.Dues(ctx, v, duesMost)
	if err != nil {
		return fmt.Errorf("list dues: %w", err)
	}
	for _, d := range all {
		dv := dueView{
			Key: fmt.Sprintf("due-%d", d.ID), About: clip(d.About, aboutMost), At: shop.ClockText(d.At, now, zone),
			Until: stamp(d.At), Left: span(d.At.Sub(now)), Late: !d.At.After(now), URL: ask(home, "/due list"),
		}
		if dv.Late {
			dv.Left = span(now.Sub(d.At))
		}
		out.Dues = append(out.Dues, dv)
		out.soon(d.At, now)
	}
	return nil
}

// ask is where a line is laid into the command box.
func ask(home, line string) string {
	return home + "?line=" + strings.ReplaceAll(url.QueryEscape(line), "+", "%20")
}

func counted(n int, noun string) string { return quantity.Count(n, noun, noun+"s") }

func stamp(at time.Time) string { return at.UTC().Format(time.RFC3339) }

// figure is a length of time as it is read from afar, short; board.js writes it
// too. It is told to the second only where seconds count.
func figure(d time.Duration) string {
	s := max(int(d/time.Second), 0)
	switch {
	case s >= 86400:
		return fmt.Sprintf("%d d %d h", s/86400, s%86400/3600)
	case s >= 3600:
		return fmt.Sprintf("%d:%02d h", s/3600, s%3600/60)
	case s >= 600:
		return fmt.Sprintf("%d min", s/60)
	case s >= 60:
		return fmt.Sprintf("%d:%02d min", s/60, s%60)
	}
	return fmt.Sprintf("%d s", s)
}

// span is a length of time within a sentence; board.js writes it too.
func span(d time.Duration) string {
	s := max(int(d/time.Second), 0)
	switch {
	case s >= 86400:
		return fmt.Sprintf("%d d %d h", s/86400, s%86400/3600)
	case s >= 3600:
		return fmt.Sprintf("%d h %02d min", s/3600, s%3600/60)
	case s >= 600:
		return fmt.Sprintf("%d min", s/60)
	case s >= 60:
		return fmt.Sprintf("%d min %02d s", s/60, s%60)
	}
	return fmt.Sprintf("%d s", s)
}

// clip cuts a text of a member's to what has room, in one line and without what
// can't be seen: a character that turns the direction of the text would reach
// beyond it.
func clip(s string, most int) string {
	s = strings.Join(strings.Fields(shop.Seen(s, false)), " ")
	if r := []rune(s); len(r) > most {
		return strings.TrimSpace(string(r[:most-1])) + "…"
	}
	return s
}
