package commands

import (
	"context"
	"fmt"
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file holds a pour that went wrong against the last one like it that came
// out well.

// unkept is what tells pours apart and is on record of none.
const unkept = "A pour does not keep what A and B weighed, the humidity of the day, how it was stirred and by whom: compare those by memory, and /pour note keeps them of the next."

// compare tells what was otherwise at the last pour that came out well.
func (t troubleCommand) compare(ctx context.Context, c *chat.Call, a asked, r *chat.Reply) error {
	if a.pour == nil {
		return nil
	}
	good, any, err := t.lastGood(ctx, c, *a.pour)
	if err != nil || !any {
		return err
	}
	if good, err = t.Pours.Pour(ctx, c.By, good.ID); err != nil { // with its notes
		return fmt.Errorf("fetch the last good pour: %w", err)
	}
	book, err := t.bookOf(ctx, c, good, a.jugs) // of the same material
	if err != nil {
		return err
	}
	s := saying{c: c}
	s.otherwise(good, *a.pour)
	s.kept(book, a.book)
	name := fmt.Sprintf("The last good pour like it, %s at %s", chat.Ref(good.ID, 0), clock(c, good.Started))
	if len(s.out) == 0 {
		r.Notes = append(r.Notes, name+", was alike in all that is on record.")
	} else {
		r.Notes = append(r.Notes, name+": "+strings.Join(s.out, "; ")+".")
	}
	r.Notes = append(r.Notes, notedAt("then", good)...)
	r.Notes = append(r.Notes, notedAt("now", *a.pour)...)
	r.Notes = append(r.Notes, unkept)
	r.Facts = append(r.Facts, chat.Fact{Key: "last_good", Label: "Last good pour", Value: chat.Ref(good.ID, 0), Text: chat.Ref(good.ID, 0)},
		chat.Whole("differs", "What differs", len(s.out), fmt.Sprint(len(s.out))))
	return nil
}

// kept is what differs in the jugs that the two drew from and in the mold as it
// was then. What is not known of either is no difference.
func (s *saying) kept(good, bad troubleBook) {
	if len(good.jugs) > 0 && len(bad.jugs) > 0 {
		s.say("from", library.List(good.jugs), library.List(bad.jugs))
	}
	const sameAge = 7 // days, by which a jug does not get older (judgement)
	if g, b := good.OpenDays, bad.OpenDays; g != nil && b != nil && math.Abs(*g-*b) >= sameAge {
		s.say("jug open for", openText(*g), openText(*b))
	}
	pulls := func(n int) string { return quantity.Count(n, "pull", "pulls") }
	const sameWear = 5 // pulls, within which a mold is as it was (judgement)
	if g, b := good.MoldPulls, bad.MoldPulls; g != nil && b != nil && *b-*g >= sameWear {
		s.say("mold had had", pulls(*g), pulls(*b))
	}
	if g, b := good.SinceCoat, bad.SinceCoat; g != nil && b != nil && max(*g, *b) >= bad.CoatEvery {
		s.say("since its release coat, due every "+fmt.Sprint(bad.CoatEvery)+":", pulls(*g), pulls(*b))
	}
}

func openText(days float64) string {
	return quantity.Count(int(math.Round(days)), "day", "days")
}

// notedAt is what was noted of a pour, if anything was.
func notedAt(when string, p shop.Pour) []string {
	var words []string
	for _, e := range p.Log {
		if e.What == shop.EventNote && e.Text != "" {
			words = append(words, strings.Join(strings.Fields(e.Text), " "))
		}
	}
	if len(words) == 0 {
		return nil
	}
	return []string{"Noted " + when + ": " + strings.Join(words, "; ")}
}

// lastGood is the newest pour before one that came out well, of the same
// material into the same molds.
func (t troubleCommand) lastGood(ctx context.Context, c *chat.Call, p shop.Pour) (shop.Pour, bool, error) {
	const most = 200
	all, err := t.Pours.Pours(ctx, c.By, most)
	if err != nil {
		return shop.Pour{}, false, fmt.Errorf("list pours: %w", err)
	}
	var best shop.Pour
	for _, o := range all {
		good := o.State == shop.PourDone && o.Spoiled == 0 && o.Started.Before(p.Started) && o.Started.After(best.Started)
		if good && o.MaterialID == p.MaterialID && p.MaterialID != 0 && sameMolds(o, p) {
			best = o
		}
	}
	return best, best.ID != 0, nil
}

func sameMolds(a, b shop.Pour) bool {
	fa, fb := a.InMolds(), b.InMolds()
	if len(fa) != len(fb) {
		return false
	}
	for i := range fa {
		if fa[i].Mold != fb[i].Mold {
			return false
		}
	}
	return true
}

// saying collects what differs, each in a few words.
type saying struct {
	c   *chat.Call
	out []string
}

func (s *saying) say(what, then, now string) {
	if then != now {
		s.out = append(s.out, fmt.Sprintf("%s %s then, %s now", what, then, now))
	}
}

// otherwise is what differs between the plans of a good pour and a bad one.
func (s *saying) otherwise(good, bad shop.Pour) {
	sys, say := s.c.By.System(), s.say
	num := func(what string, then, now, least float64, dim quantity.Dim) {
		if then > 0 && now > 0 && math.Abs(then-now) > least {
			say(what, quantity.Text(then, dim, sys), quantity.Text(now, dim, sys))
		}
	}
	temp := func(what string, then, now float64) {
		const least = 0.5 // K, what a room thermometer tells apart
		if math.Abs(then-now) > least {
			say(what, quantity.Text(then, quantity.Temp, sys), quantity.Text(now, quantity.Temp, sys))
		}
	}
	temp("room", good.Room, bad.Room)
	if good.Resin != nil || bad.Resin != nil {
		temp("parts", or(good.Resin, good.Room), or(bad.Resin, bad.Room))
	}
	if good.MoldTemp != nil || bad.MoldTemp != nil {
		temp("mold", or(good.MoldTemp, good.Room), or(bad.MoldTemp, bad.Room))
	}
	num("mix", good.Mass, bad.Mass, 0.01*good.Mass, quantity.Mass)
	num("thickest", good.Thickest, bad.Thickest, 0.1, quantity.Length)
	say("tint", tintText(good), tintText(bad))
	say("coats", fmt.Sprint(max(good.Coats, 1)), fmt.Sprint(max(bad.Coats, 1)))
	say("profile", fmt.Sprintf("version %d", good.MaterialVersion), fmt.Sprintf("version %d", bad.MaterialVersion))
}

func or(t *float64, room float64) float64 {
	if t == nil {
		return room
	}
	return *t
}

func tintText(p shop.Pour) string {
	if p.Tint == "" {
		return "none"
	}
	return p.Tint
}
