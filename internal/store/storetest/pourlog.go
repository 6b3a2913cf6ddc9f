package storetest

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

// pawn stores a mold of v's own that must be taken.
func (w *world) pawn(t testing.TB, v shop.Viewer, name string, every int) shop.Mold {
	t.Helper()
	m, err := w.AddMold(w.ctx, by(v), shop.MoldProfile{Name: name, Family: "condensation", Cavities: 2, Volume: 5, ReleaseEvery: every}, true)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// into starts a pour into molds.
func (w *world) into(t testing.TB, v shop.Viewer, molds ...shop.Mold) shop.Pour {
	t.Helper()
	p := plan(w.add(v, "material of "+molds[0].Name, true))
	p.Mold, p.MoldID = molds[0].Name, molds[0].ID
	for _, m := range molds {
		p.Fills = append(p.Fills, shop.Fill{Mold: m.ID, Name: m.Name, Volume: m.Volume, Count: m.Cavities})
	}
	begun, err := w.StartPour(w.ctx, by(v), p)
	if err != nil {
		t.Fatal(err)
	}
	return begun
}

// due adds a call for a pour, to come an hour after the suite's time.
func (w *world) due(t testing.TB, v shop.Viewer, pour shop.Pour, about string) shop.Due {
	t.Helper()
	d, err := w.AddDue(w.ctx, by(v), shop.Due{At: at.Add(5 * time.Hour), Pour: pour.ID, DuePlan: shop.DuePlan{About: about, First: at, Zone: "UTC"}})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// state is all that an entry of a pour's log may change.
type state struct {
	Pour  shop.Pour
	Molds []shop.Mold
	Marks [][]shop.MoldMark
	Calls []string
	Logs  []shop.CureLog
}

func (w *world) stateOf(t testing.TB, v shop.Viewer, pour int64, molds ...shop.Mold) (s state) {
	t.Helper()
	var err error
	if s.Pour, err = w.Pour(w.ctx, v, pour); err != nil {
		t.Fatal(err)
	}
	for _, m := range molds {
		now, err := w.Mold(w.ctx, v, m.ID, 0)
		if err != nil {
			t.Fatal(err)
		}
		marks, err := w.MoldMarks(w.ctx, v, m.ID, 100)
		if err != nil {
			t.Fatal(err)
		}
		s.Molds, s.Marks = append(s.Molds, now), append(s.Marks, marks)
	}
	s.Calls = w.abouts(t, v)
	if s.Logs, err = w.CureLogs(w.ctx, v, s.Pour.MaterialID); err != nil {
		t.Fatal(err)
	}
	return s
}

// pourAct is something that can happen to a pour.
type pourAct func(w *world, st shop.Stamp, p shop.Pour, m []shop.Mold) error

// spoiledEnd is done with a pull of each mold, the first good.
func spoiledEnd(m []shop.Mold) shop.PourEnd {
	end := shop.PourEnd{State: shop.PourDone, Good: 3, Spoiled: 1, Why: "bubbles"}
	for i := range m {
		end.Pulls = append(end.Pulls, shop.PourPull{Mold: m[i].ID, Good: i == 0})
	}
	return end
}

var pourActs = map[string]pourAct{
	"ready": func(w *world, st shop.Stamp, p shop.Pour, _ []shop.Mold) error {
		return second(w.AnswerPour(w.ctx, st, p.ID, shop.Look{Ready: true}))
	},
	"seen ready before": func(w *world, st shop.Stamp, p shop.Pour, _ []shop.Mold) error {
		return second(w.AnswerPour(w.ctx, st, p.ID, shop.Look{Ready: true, At: st.At.Add(-90 * time.Second)}))
	},
	"soft, with a call": func(w *world, st shop.Stamp, p shop.Pour, _ []shop.Mold) error {
		if _, err := w.AnswerPour(w.ctx, st, p.ID, shop.Look{}); err != nil {
			return err
		}
		return second(w.FollowUp(w.ctx, st, p.ID, shop.Due{At: st.At.Add(time.Hour), DuePlan: shop.DuePlan{About: "again", First: st.At, Zone: "UTC"}}))
	},
	"done": func(w *world, st shop.Stamp, p shop.Pour, m []shop.Mold) error {
		return second(w.EndPour(w.ctx, st, p.ID, spoiledEnd(m)))
	},
	"failed": func(w *world, st shop.Stamp, p shop.Pour, _ []shop.Mold) error {
		return second(w.EndPour(w.ctx, st, p.ID, shop.PourEnd{State: shop.PourFailed, Why: "B short"}))
	},
	"canceled": func(w *world, st shop.Stamp, p shop.Pour, _ []shop.Mold) error {
		return second(w.EndPour(w.ctx, st, p.ID, shop.PourEnd{State: shop.PourCanceled}))
	},
	"coat, with a call": func(w *world, st shop.Stamp, p shop.Pour, _ []shop.Mold) error {
		if _, err := w.CoatPour(w.ctx, st, p.ID); err != nil {
			return err
		}
		return second(w.FollowUp(w.ctx, st, p.ID, shop.Due{At: st.At.Add(time.Hour), DuePlan: shop.DuePlan{About: "next coat", First: st.At, Zone: "UTC"}}))
	},
	"note": func(w *world, st shop.Stamp, p shop.Pour, _ []shop.Mold) error {
		return second(w.NotePour(w.ctx, st, p.ID, "stirred 30 s", "https://example.org/x.jpg"))
	},
}

// refusedAct tells what can't happen to a pour as it stands: a look back may
// contradict what was said before.
func refusedAct(err error) bool {
	return fault.Is(err, fault.NotAllowed) || fault.Is(err, fault.BadTime)
}

// Each thing that can happen to a pour, in each state that it can happen in, is
// taken back whole: pour, pulls, calls and what teaches are as they were.
func pourTakenBack(t *testing.T, open Open) {
	w := usual(t, open)
	for _, before := range [][]string{nil, {"soft, with a call"}, {"ready"}, {"coat, with a call"}, {"ready", "done"}, {"failed"}, {"note"}} {
		for what, do := range pourActs {
			name := strings.Join(append(slices.Clone(before), what), " then ")
			// Each has a member of its own, who has nothing else.
			v := shop.Viewer{Member: w.member("local:"+name, "m"), Shop: w.ada.Shop}
			molds := []shop.Mold{w.pawn(t, v, "pawn", 1), w.pawn(t, v, "pawn 2", 5)}
			p := plan(w.add(v, "white", true))
			p.Coats, p.Mold, p.MoldID = 3, "pawn", molds[0].ID
			p, err := w.StartPour(w.ctx, by(v), p)
			if err != nil {
				t.Fatal(err)
			}
			w.due(t, v, p, "demold")
			now := time.Hour
			for _, b := range before {
				if err := pourActs[b](w, later(v, now), p, molds); err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				now += time.Minute
			}
			was := w.stateOf(t, v, p.ID, molds...)
			err = do(w, later(v, now), p, molds)
			if refusedAct(err) {
				if diff := cmp.Diff(was, w.stateOf(t, v, p.ID, molds...)); diff != "" {
					t.Errorf("%s was refused, and changed (-before +after):\n%s", name, diff)
				}
				continue
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if cmp.Equal(was, w.stateOf(t, v, p.ID, molds...)) {
				t.Errorf("%s changed nothing", name)
			}
			_, _, err = w.TakeBack(w.ctx, later(v, now+shop.TakeBackTime+time.Second), p.ID)
			mustRefuse(t, name+", too late to take back", err, fault.NotFound)
			if _, _, err := w.TakeBack(w.ctx, later(v, now+shop.TakeBackTime), p.ID); err != nil {
				t.Fatalf("%s taken back: %v", name, err)
			}
			if diff := cmp.Diff(was, w.stateOf(t, v, p.ID, molds...), cmpopts.EquateEmpty()); diff != "" {
				t.Errorf("%s taken back (-before +after):\n%s", name, diff)
			}
		}
	}
}

// Whatever happens to a pour in whatever order, taking it back step by step
// goes through the same states the other way.
func pourWalks(t *testing.T, open Open) {
	const steps = 60
	w := usual(t, open)
	names := slices.Sorted(maps.Keys(pourActs))
	for seed := range uint64(3) {
		v := shop.Viewer{Member: w.member(fmt.Sprintf("local:walker%d", seed), "walker"), Shop: w.ada.Shop}
		molds := []shop.Mold{w.pawn(t, v, "pawn", 1), w.pawn(t, v, "pawn 2", 5)}
		p := plan(w.add(v, "white", true))
		p.Coats, p.Mold, p.MoldID = 4, "pawn", molds[0].ID
		p, err := w.StartPour(w.ctx, by(v), p)
		if err != nil {
			t.Fatal(err)
		}
		w.due(t, v, p, "demold")
		random := rand.New(rand.NewPCG(seed, 1))
		was := []state{w.stateOf(t, v, p.ID, molds...)}
		var did []string
		now := time.Hour
		for range steps {
			now += time.Second // all within the ten minutes
			if len(did) > 0 && random.IntN(2) == 0 {
				if _, _, err := w.TakeBack(w.ctx, later(v, now), p.ID); err != nil {
					t.Fatalf("seed %d, %q taken back: %v", seed, did, err)
				}
				was, did = was[:len(was)-1], slices.Clone(did[:len(did)-1])
			} else {
				what := names[random.IntN(len(names))]
				err := pourActs[what](w, later(v, now), p, molds)
				if err != nil && !refusedAct(err) {
					t.Fatalf("seed %d, %q then %s: %v", seed, did, what, err)
				}
				if err == nil {
					was, did = append(was, w.stateOf(t, v, p.ID, molds...)), append(did, what)
				}
			}
			if diff := cmp.Diff(was[len(was)-1], w.stateOf(t, v, p.ID, molds...), cmpopts.EquateEmpty()); diff != "" {
				t.Fatalf("seed %d, at %q (-want +got):\n%s", seed, did, diff)
			}
		}
	}
}

func pourEnds(t *testing.T, open Open) {
	w := usual(t, open)
	own, brams := w.pawn(t, w.ada, "pawn", 5), w.pawn(t, w.bram, "knob", 5)
	p := w.into(t, w.ada, own, brams)
	w.due(t, w.ada, p, "demold")
	_, err := w.EndPour(w.ctx, later(w.ada, time.Hour), p.ID, shop.PourEnd{State: shop.PourDone, Pulls: []shop.PourPull{{Mold: brams.ID, Good: true}}})
	mustRefuse(t, "a pull of another's mold", err, fault.NotAllowed)
	if s := w.stateOf(t, w.ada, p.ID, own); s.Pour.State != shop.PourRunning || len(s.Calls) != 1 {
		t.Errorf("refused, and half of it kept: %+v", s)
	}
	got, err := w.EndPour(w.ctx, later(w.ada, time.Hour), p.ID, shop.PourEnd{State: shop.PourDone, Good: 3, Spoiled: 1, Why: "one torn",
		Pulls: []shop.PourPull{{Mold: own.ID, Good: true}}})
	if err != nil {
		t.Fatal(err)
	}
	if got.State != shop.PourDone || got.Good != 3 || got.Spoiled != 1 || len(got.Answers) != 1 || got.Answers[0].ReadyBy != 3600 || !got.Ended.Equal(at.Add(time.Hour)) {
		t.Errorf("done: %+v", got)
	}
	want := []shop.PourEvent{{What: shop.EventDone, At: at.Add(time.Hour), Readied: true, Good: 3, Spoiled: 1, Pulls: 1, Why: "one torn"}}
	if diff := cmp.Diff(want, got.Log); diff != "" {
		t.Errorf("log (-want +got):\n%s", diff)
	}
	s := w.stateOf(t, w.ada, p.ID, own)
	if s.Molds[0].Tally.Good != 1 || len(s.Calls) != 0 || len(s.Logs) != 1 {
		t.Errorf("after done: %+v", s)
	}
	for what, do := range map[string]func() error{
		"done twice": func() error {
			return second(w.EndPour(w.ctx, later(w.ada, 2*time.Hour), p.ID, shop.PourEnd{State: shop.PourDone}))
		},
		"failed after": func() error {
			return second(w.EndPour(w.ctx, later(w.ada, 2*time.Hour), p.ID, shop.PourEnd{State: shop.PourFailed}))
		},
		"soft after": func() error { return second(w.AnswerPour(w.ctx, later(w.ada, 2*time.Hour), p.ID, shop.Look{})) },
		"ready after": func() error {
			return second(w.AnswerPour(w.ctx, later(w.ada, 2*time.Hour), p.ID, shop.Look{Ready: true, Shared: true}))
		},
		"a coat": func() error { return second(w.CoatPour(w.ctx, later(w.ada, 2*time.Hour), p.ID)) },
	} {
		mustRefuse(t, what, do(), fault.NotAllowed)
	}
	if _, err := w.EndPour(w.ctx, by(w.ada), p.ID, shop.PourEnd{State: shop.PourReady}); err == nil || fault.As(err) != nil {
		t.Errorf("ready is no end: %v", err)
	}
	// What never set teaches nothing, and its answers come back with it.
	p = w.start(t, w.ada, w.add(w.ada, "slow", true))
	if _, err := w.AnswerPour(w.ctx, later(w.ada, time.Minute), p.ID, shop.Look{}); err != nil {
		t.Fatal(err)
	}
	if _, err := w.EndPour(w.ctx, later(w.ada, time.Hour), p.ID, shop.PourEnd{State: shop.PourFailed}); err != nil {
		t.Fatal(err)
	}
	if s := w.stateOf(t, w.ada, p.ID); len(s.Logs) != 0 || s.Pour.State != shop.PourFailed {
		t.Errorf("failed: %+v", s)
	}
}

// A pull that is taken back from the middle of a log moves the later ones up.
func pourPullsMove(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.pawn(t, w.ada, "pawn", 5)
	p := w.into(t, w.ada, m)
	if _, err := w.EndPour(w.ctx, later(w.ada, time.Hour), p.ID, shop.PourEnd{State: shop.PourDone, Good: 2, Pulls: []shop.PourPull{{Mold: m.ID, Good: true}}}); err != nil {
		t.Fatal(err)
	}
	if _, err := w.CoatMold(w.ctx, later(w.ada, time.Hour+time.Minute), m.ID); err != nil {
		t.Fatal(err)
	}
	if _, err := w.PullMold(w.ctx, later(w.ada, time.Hour+2*time.Minute), m.ID, true, ""); err != nil {
		t.Fatal(err)
	}
	if _, _, err := w.TakeBack(w.ctx, later(w.ada, time.Hour+3*time.Minute), p.ID); err != nil {
		t.Fatal(err)
	}
	s := w.stateOf(t, w.ada, p.ID, m)
	want := []shop.MoldMark{
		{What: shop.MarkGood, Number: 1, At: at.Add(time.Hour + 2*time.Minute)},
		{What: shop.MarkCoat, Number: 0, At: at.Add(time.Hour + time.Minute)},
	}
	if diff := cmp.Diff(want, s.Marks[0]); diff != "" || s.Molds[0].PullsSoFar() != 1 || s.Molds[0].CoatedAt() != 0 {
		t.Errorf("%+v (-want +got):\n%s", s.Molds[0].Tally, diff)
	}
	// A pull that was uncounted at the mold is not uncounted again.
	p = w.into(t, w.ada, w.pawn(t, w.ada, "other", 5), m)
	if _, err := w.EndPour(w.ctx, later(w.ada, 2*time.Hour), p.ID, shop.PourEnd{State: shop.PourDone, Pulls: []shop.PourPull{{Mold: m.ID, Good: true}}}); err != nil {
		t.Fatal(err)
	}
	if _, _, err := w.UndoMark(w.ctx, later(w.ada, 2*time.Hour), m.ID); err != nil {
		t.Fatal(err)
	}
	if _, _, err := w.TakeBack(w.ctx, later(w.ada, 2*time.Hour), p.ID); err != nil {
		t.Fatal(err)
	}
	if s := w.stateOf(t, w.ada, p.ID, m); s.Molds[0].PullsSoFar() != 1 || s.Pour.State != shop.PourRunning {
		t.Errorf("taken back twice: %+v", s.Molds[0].Tally)
	}
}

func pourCoats(t *testing.T, open Open) {
	w := usual(t, open)
	plain := w.start(t, w.ada, w.add(w.ada, "white", true))
	_, err := w.CoatPour(w.ctx, later(w.ada, time.Minute), plain.ID)
	mustRefuse(t, "a coat on what was poured at once", err, fault.NotAllowed)
	p := plan(w.add(w.ada, "brushed", true))
	p.Coats = 2
	p, err = w.StartPour(w.ctx, by(w.ada), p)
	if err != nil || p.CoatsOn != 1 || !p.CoatedAt().Equal(at) {
		t.Fatalf("begun: %+v, %v", p, err)
	}
	p, err = w.CoatPour(w.ctx, later(w.ada, time.Minute), p.ID)
	if err != nil || p.CoatsOn != 2 || !p.CoatedAt().Equal(at.Add(time.Minute)) || len(p.Log) != 1 {
		t.Fatalf("the second: %+v, %v", p, err)
	}
	_, err = w.CoatPour(w.ctx, later(w.ada, time.Hour), p.ID)
	mustRefuse(t, "a third of two", err, fault.NotAllowed)
	ready, err := w.AnswerPour(w.ctx, later(w.ada, 11*time.Minute), p.ID, shop.Look{Ready: true})
	if err != nil || ready.Answers[0].ReadyBy != 600 {
		t.Errorf("ready, by the clock of the last coat: %+v, %v", ready.Answers, err)
	}
}

// The members of its shop see that a shared pour runs, and nothing of what its
// owner found and noted; they change nothing.
func pourShown(t *testing.T, open Open) {
	w := usual(t, open)
	hidden, p := w.start(t, w.bram, w.add(w.bram, "white", true)), w.start(t, w.ada, w.add(w.ada, "white", true))
	if _, err := w.NotePour(w.ctx, later(w.ada, time.Minute), p.ID, "mine alone", ""); err != nil {
		t.Fatal(err)
	}
	running := func(v shop.Viewer, most int) (ids []int64) {
		t.Helper()
		all, err := w.Running(w.ctx, v, most)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range all {
			ids = append(ids, p.ID)
		}
		return ids
	}
	if got := running(w.bram, 10); !slices.Equal(got, []int64{hidden.ID}) {
		t.Errorf("bram sees %v before it is shared", got)
	}
	if shown, err := w.ShowPour(w.ctx, later(w.ada, time.Minute), p.ID, true); err != nil || !shown.Shared {
		t.Fatalf("shared: %+v, %v", shown, err)
	}
	if got := running(w.bram, 10); !slices.Equal(got, []int64{hidden.ID, p.ID}) {
		t.Errorf("bram sees %v, oldest first", got)
	}
	if got := running(w.bram, 1); !slices.Equal(got, []int64{p.ID}) {
		t.Errorf("of two the newest, got %v", got)
	}
	for who, v := range map[string]shop.Viewer{"another shop": w.eve, "nobody": {Shop: w.eve.Shop}} {
		if got := running(v, 10); len(got) != 0 {
			t.Errorf("%s sees %v", who, got)
		}
	}
	seen, err := w.Pour(w.ctx, w.bram, p.ID)
	if err != nil || len(seen.Log) != 0 || len(seen.Answers) != 0 {
		t.Errorf("bram sees %+v, %v", seen, err)
	}
	for what, do := range map[string]func() error{
		"answers": func() error {
			return second(w.AnswerPour(w.ctx, later(w.bram, time.Hour), p.ID, shop.Look{Ready: true}))
		},
		"closes": func() error {
			return second(w.EndPour(w.ctx, later(w.bram, time.Hour), p.ID, shop.PourEnd{State: shop.PourDone}))
		},
		"cancels": func() error {
			return second(w.EndPour(w.ctx, later(w.bram, time.Hour), p.ID, shop.PourEnd{State: shop.PourCanceled}))
		},
		"coats": func() error { return second(w.CoatPour(w.ctx, later(w.bram, time.Hour), p.ID)) },
		"notes": func() error { return second(w.NotePour(w.ctx, later(w.bram, time.Hour), p.ID, "his", "")) },
		"hides": func() error { return second(w.ShowPour(w.ctx, later(w.bram, time.Hour), p.ID, false)) },
	} {
		mustRefuse(t, "bram "+what, do(), fault.NotAllowed)
	}
	_, _, err = w.TakeBack(w.ctx, later(w.bram, time.Minute), p.ID)
	mustRefuse(t, "bram takes back", err, fault.NotFound)
	if _, err := w.FollowUp(w.ctx, later(w.bram, time.Minute), p.ID, shop.Due{At: at, DuePlan: shop.DuePlan{About: "x"}}); err == nil {
		t.Error("bram has a call follow ada's note")
	}
	// Ready is still in the mold, done is not.
	if _, err := w.AnswerPour(w.ctx, later(w.ada, time.Hour), p.ID, shop.Look{Ready: true}); err != nil {
		t.Fatal(err)
	}
	if got := running(w.bram, 10); !slices.Equal(got, []int64{hidden.ID, p.ID}) {
		t.Errorf("bram sees %v once it is ready", got)
	}
	if _, err := w.EndPour(w.ctx, later(w.ada, 2*time.Hour), p.ID, shop.PourEnd{State: shop.PourDone}); err != nil {
		t.Fatal(err)
	}
	if got := running(w.bram, 10); !slices.Equal(got, []int64{hidden.ID}) {
		t.Errorf("bram sees %v once it is done", got)
	}
	if _, err := w.ShowPour(w.ctx, later(w.ada, 2*time.Hour), p.ID, false); err != nil {
		t.Fatal(err)
	}
	_, err = w.Pour(w.ctx, w.bram, p.ID)
	mustRefuse(t, "bram, once it is hidden", err, fault.UnknownPour)
	// Also one that was canceled can be hidden.
	if _, err := w.ShowPour(w.ctx, later(w.bram, time.Hour), hidden.ID, true); err != nil {
		t.Fatal(err)
	}
	if _, err := w.EndPour(w.ctx, later(w.bram, time.Hour), hidden.ID, shop.PourEnd{State: shop.PourCanceled}); err != nil {
		t.Fatal(err)
	}
	if _, err := w.ShowPour(w.ctx, later(w.bram, time.Hour), hidden.ID, false); err != nil {
		t.Errorf("a canceled one hidden: %v", err)
	}
}

func pourNotes(t *testing.T, open Open) {
	few := store.DefaultLimits()
	few.Notes, few.Events = 2, 3
	w := newWorld(t, open, few)
	p := w.start(t, w.ada, w.add(w.ada, "white", true))
	for i := range 2 {
		if _, err := w.NotePour(w.ctx, later(w.ada, time.Duration(i)*time.Minute), p.ID, "note", "https://example.org/"); err != nil {
			t.Fatal(err)
		}
	}
	_, err := w.NotePour(w.ctx, later(w.ada, time.Hour), p.ID, "a third", "")
	mustRefuse(t, "a third note", err, fault.LimitReached)
	_, err = w.NotePour(w.ctx, later(w.ada, time.Hour), p.ID, strings.Repeat("ä", 501), "")
	mustRefuse(t, "a long story", err, fault.OutOfRange)
	_, err = w.NotePour(w.ctx, later(w.ada, time.Hour), p.ID, "", strings.Repeat("h", 501))
	mustRefuse(t, "a long link", err, fault.OutOfRange)
	_, err = w.EndPour(w.ctx, later(w.ada, time.Hour), p.ID, shop.PourEnd{State: shop.PourFailed, Why: strings.Repeat("w", 201)})
	mustRefuse(t, "a long reason", err, fault.OutOfRange)
	// Notes stay, of the rest the oldest give way.
	for i := range 5 {
		if _, err := w.AnswerPour(w.ctx, later(w.ada, time.Duration(2+i)*time.Hour), p.ID, shop.Look{}); err != nil {
			t.Fatal(err)
		}
	}
	got, err := w.Pour(w.ctx, w.ada, p.ID)
	if err != nil || len(got.Log) != 5 || got.Log[0].What != shop.EventNote || got.Log[1].Photo == "" || len(got.Answers) != 5 {
		t.Errorf("log: %+v, %v", got.Log, err)
	}
}
