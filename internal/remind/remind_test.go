package remind_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
	_ "time/tzdata" // zones by name, also where the system has none

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/remind"
	"github.com/pourwright/pourwright/internal/shop"
)

// running runs a loop inside a bubble of its own until the test of it ends.
func running(t *testing.T, b *book, s *service, now func() time.Time, test func()) {
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error)
	go func() { ended <- newLoop(b, s, now).Run(ctx) }()
	test()
	cancel()
	if err := <-ended; err != nil {
		t.Errorf("the loop ended with %v", err)
	}
}

func want(t *testing.T, s *service, titles ...string) {
	t.Helper()
	if got := s.titles(); !slices.Equal(got, titles) {
		t.Errorf("shown %q, want %q", got, titles)
	}
}

func TestCallsComeInTime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, s, began := newBook(), &service{}, time.Now()
		running(t, b, s, time.Now, func() {
			b.add(1, "later", began.Add(time.Hour))
			synctest.Wait()
			b.add(2, "sooner", began.Add(90*time.Second))
			time.Sleep(2 * time.Hour)
			synctest.Wait()
		})
		want(t, s, "sooner to hall", "later to hall")
		for i, due := range []time.Duration{90 * time.Second, time.Hour} {
			if got := s.times[i].Sub(began); got != due {
				t.Errorf("%s came after %v, want %v", s.shown[i].Reply.Title, got, due)
			}
		}
	})
}

// After a time of rest all come in the order they were due, and say how late.
func TestLateOnes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, s, now := newBook(), &service{}, time.Now()
		b.add(1, "third", now.Add(-time.Second))
		b.add(2, "first", now.Add(-26*time.Hour))
		b.add(1, "second", now.Add(-time.Hour), func(c *shop.Claim) { c.Every = shop.Every{Span: material.Span{Days: 1}} })
		running(t, b, s, time.Now, synctest.Wait)
		want(t, s, "first to hall", "second to hall", "third to hall")
		for i, late := range []string{"26 h late", "1 h late", ""} {
			if got := strings.Join(s.shown[i].Reply.Notes, " "); !strings.Contains(got, late) || late == "" && strings.Contains(got, "late") {
				t.Errorf("%s says %q, want %q", s.shown[i].Reply.Title, got, late)
			}
			// By its number it is put off where its buttons are out of reach.
			if f, want := s.shown[i].Reply.Facts[1], []string{"#2", "#3", "#1"}[i]; f.Key != "number" || f.Value != want {
				t.Errorf("%s tells %v, want its number %s", s.shown[i].Reply.Title, f, want)
			}
		}
		if at := b.rows[3].next; !at.Equal(now.Add(23 * time.Hour)) {
			t.Errorf("the series goes on at %v, want %v", at, now.Add(23*time.Hour))
		}
	})
}

func TestManyBecomeOneList(t *testing.T) {
	for _, c := range []struct {
		name   string
		n      int
		places []string
		want   []string
	}{
		{"five", 5, []string{"hall"}, []string{"0 to hall", "1 to hall", "2 to hall", "3 to hall", "4 to hall"}},
		{"six", 6, []string{"hall"}, []string{"6 reminders to hall"}},
		{"a flood", 150, []string{"hall"}, []string{"150 reminders to hall"}},
		{"of several places", 6, []string{"hall", "yard"}, []string{"6 reminders to "}},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				b, s := newBook(), &service{}
				for i := range c.n {
					b.add(1, fmt.Sprint(i), time.Now().Add(time.Duration(i-c.n)*time.Second), func(d *shop.Claim) { d.Place = c.places[i%len(c.places)] })
				}
				running(t, b, s, time.Now, synctest.Wait)
				want(t, s, c.want...)
				for id := range b.rows {
					if got := b.state(id); got != shop.DueSent {
						t.Errorf("%d is %s", id, got)
					}
				}
				if steps := s.shown[0].Reply.Steps; c.n > 5 && (len(steps) != min(c.n, 20) || !strings.HasPrefix(steps[0], "0, due ")) {
					t.Errorf("listed %q", steps)
				}
			})
		})
	}
}

// A list's buttons close no pour: they lead to its card. One of them is the
// list's own.
func TestListOfPours(t *testing.T) {
	for _, c := range []struct {
		name  string
		pours int // the first so many are of pours, of seven calls
		want  []string
	}{
		{"two", 2, []string{"Show pour #101", "Show pour #102", "Done: 2", "Done: 3", "Done: 4"}},
		{"all that have buttons", 6, []string{"Show pour #101", "Show pour #102", "Show pour #103", "Show pour #104", "Snooze 10 min: 4"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				b, s := newBook(), &service{}
				for i := range 7 {
					b.add(1, fmt.Sprint(i), time.Now().Add(time.Duration(i-7)*time.Second), func(d *shop.Claim) {
						if i < c.pours {
							d.Pour = int64(101 + i)
						}
					})
				}
				running(t, b, s, time.Now, synctest.Wait)
				var got []string
				for _, a := range s.shown[0].Reply.Actions {
					got = append(got, a.Label)
				}
				if !slices.Equal(got, c.want) || len(s.shown[0].Marks) == 0 {
					t.Errorf("buttons %q with %d marks, want %q", got, len(s.shown[0].Marks), c.want)
				}
			})
		})
	}
}

func TestQuietHours(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, s := newBook(), &service{}
		// A bubble begins at midnight UTC, which is 19:00 in New York.
		quiet := func(c *shop.Claim) {
			c.Member.Pref = shop.Prefs{QuietHours: "18:00-21:30", Zone: "America/New_York"}
		}
		began := time.Now()
		b.add(1, "held", began.Add(time.Minute), quiet)
		b.add(2, "not held", began.Add(2*time.Minute))
		running(t, b, s, time.Now, func() {
			time.Sleep(5 * time.Hour)
			synctest.Wait()
		})
		want(t, s, "not held to hall", "held to hall")
		if got := s.times[1].Sub(began); got != 2*time.Hour+30*time.Minute {
			t.Errorf("held for %v", got)
		}
		if got := s.shown[1].Reply.Notes[0]; !strings.Contains(got, "quiet hours") {
			t.Errorf("says %q", got)
		}
	})
}

// Where a channel is gone the member is called alone, and where that is closed
// too the call is kept.
func TestRefused(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, s := newBook(), &service{closed: map[string]bool{"hall": true}}
		first := b.add(1, "wipe", time.Now())
		running(t, b, s, time.Now, func() {
			synctest.Wait()
			s.set(func() { s.closed[""] = true })
			second := b.add(1, "coat", time.Now())
			time.Sleep(time.Minute)
			synctest.Wait()
			want(t, s, "wipe to ")
			if b.state(first) != shop.DueSent || b.state(second) != shop.DueFailed {
				t.Errorf("they are %s and %s", b.state(first), b.state(second))
			}
		})
		if s.sends != 4 {
			t.Errorf("%d sends, want 4: a closed place is not tried again", s.sends)
		}
	})
}

func TestUnknownOutcomes(t *testing.T) {
	always := func(f fate) func(int) fate { return func(int) fate { return f } }
	until := func(n int, f fate) func(int) fate {
		return func(i int) fate {
			if i < n {
				return f
			}
			return fine
		}
	}
	for _, c := range []struct {
		name  string
		fault func(int) fate
		after time.Duration // when it is shown at the latest
		sends int
	}{
		{"accepted with an error", always(accepted), 0, 1},
		{"lost once", until(2, lost), 0, 2},
		{"lost for a while", until(5, lost), time.Minute, 5},
		{"put off by the service", until(4, busy), time.Minute, 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				b, s, began := newBook(), &service{fault: c.fault}, time.Now()
				id := b.add(1, "wipe", began)
				running(t, b, s, time.Now, func() {
					time.Sleep(c.after + time.Second)
					synctest.Wait()
				})
				want(t, s, "wipe to hall")
				if b.state(id) != shop.DueSent || s.sends != c.sends {
					t.Errorf("it is %s after %d sends, want %d", b.state(id), s.sends, c.sends)
				}
			})
		})
	}
}

// What cannot be looked for is not sent again until it can.
func TestBlind(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, s := newBook(), &service{blind: true, fault: func(int) fate { return accepted }}
		id := b.add(1, "wipe", time.Now())
		running(t, b, s, time.Now, func() {
			time.Sleep(10 * time.Minute)
			synctest.Wait()
			if s.sends != 1 || b.state(id) != shop.DueClaimed {
				t.Errorf("%d sends, and it is %s", s.sends, b.state(id))
			}
			s.set(func() { s.blind = false })
			time.Sleep(time.Minute)
			synctest.Wait()
		})
		if s.sends != 1 || b.state(id) != shop.DueSent {
			t.Errorf("at the end %d sends, and it is %s", s.sends, b.state(id))
		}
	})
}

// The clock is set while the loop sleeps.
func TestClockJumps(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, s := newBook(), &service{}
		var shift atomic.Int64
		now := func() time.Time { return time.Now().Add(time.Duration(shift.Load())) }
		b.add(1, "tomorrow", time.Now().Add(24*time.Hour))
		running(t, b, s, now, func() {
			synctest.Wait()
			shift.Store(int64(24 * time.Hour))
			time.Sleep(6 * time.Second)
			synctest.Wait()
			want(t, s, "tomorrow to hall")
			shift.Store(int64(-24 * time.Hour))
			b.add(1, "in an hour, a day back", time.Now().Add(-23*time.Hour))
			time.Sleep(time.Hour + 6*time.Second)
			synctest.Wait()
		})
		want(t, s, "tomorrow to hall", "in an hour, a day back to hall")
	})
}

func TestCanceledMeanwhile(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, s := newBook(), &service{}
		id := b.add(1, "second", time.Now().Add(2*time.Second))
		b.add(1, "first", time.Now().Add(time.Second))
		s.fault = func(int) fate { b.cancel(id); return fine }
		time.Sleep(time.Minute)
		counts, err := newLoop(b, s, time.Now).RunOnce(t.Context())
		if err != nil || counts != (remind.Counts{Claimed: 2, Sent: 1, Lost: 1}) {
			t.Errorf("%+v, %v", counts, err)
		}
		want(t, s, "first to hall")
	})
}

// Whatever befalls messages, and wherever the program falls, each call is shown
// once. A fall is a loop whose book keeps nothing of what it meant to record.
func TestShownOnce(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		b, s := newBook(), &service{}
		now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
		clock := func() time.Time { return now }
		n := rapid.IntRange(1, 12).Draw(r, "calls")
		for i := range n {
			b.add(shop.MemberID(rapid.IntRange(1, 3).Draw(r, "member")), fmt.Sprint("call ", i), now.Add(time.Duration(i)*time.Second))
		}
		fates := rapid.SliceOfN(rapid.SampledFrom([]fate{fine, lost, accepted, busy}), 0, 30).Draw(r, "fates")
		s.fault = func(i int) fate {
			if i <= len(fates) {
				return fates[i-1]
			}
			return fine
		}
		for range 40 {
			now = now.Add(20 * time.Second)
			falls := &falling{book: b, after: rapid.IntRange(0, 20).Draw(r, "fall")}
			l := remind.New(remind.Config{Book: falls, Sender: s, Now: clock, Log: quietLog})
			_, _ = l.RunOnce(t.Context()) // a fall is an error, and meant
		}
		seen := map[string]int{}
		for _, m := range s.shown {
			for _, mark := range m.Marks {
				seen[mark]++
			}
		}
		for id := range b.rows {
			if b.state(id) != shop.DueSent {
				r.Fatalf("call %d is %s", id, b.state(id))
			}
		}
		for mark, times := range seen {
			if times != 1 && !strings.Contains(mark, "snooze") {
				r.Fatalf("%s was shown %d times", mark, times)
			}
		}
	})
}
