package plan_test

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/plan"
)

func made(t interface {
	Helper()
	Fatalf(string, ...any)
}, j plan.Job) plan.Plan {
	t.Helper()
	p, err := plan.Make(j, nil)
	if err != nil {
		t.Fatalf("%+v: %v", j, err)
	}
	return p
}

func cures(s int) plan.Times { return plan.Times{Low: s * 8 / 10, Mid: s * 9 / 10, High: s} }

// alike are so many molds with that many cavities.
func alike(n, cavities, cure int) []plan.Mold {
	molds := make([]plan.Mold, n)
	for i := range molds {
		molds[i] = plan.Mold{Cavities: cavities, Cure: cures(cure), Every: 5}
	}
	return molds
}

// jobs draws runs of every kind.
func jobs(t *rapid.T) plan.Job {
	j := plan.Job{Copies: rapid.IntRange(1, 40).Draw(t, "copies"), People: rapid.IntRange(1, 3).Draw(t, "people"),
		PerCup: rapid.IntRange(1, 4).Draw(t, "per cup"), Hands: plan.UsualHands(), Open: hours(t, rapid.IntRange(1, 12).Draw(t, "hours"))}
	for range rapid.IntRange(1, 4).Draw(t, "molds") {
		j.Molds = append(j.Molds, mold(t))
	}
	return j
}

func mold(t *rapid.T) plan.Mold {
	m := plan.Mold{Cavities: rapid.IntRange(1, 6).Draw(t, "cavities"), Cure: cures(rapid.IntRange(0, 40000).Draw(t, "cure")),
		Since: rapid.IntRange(0, 7).Draw(t, "since"), Every: rapid.IntRange(1, 6).Draw(t, "every")}
	if rapid.IntRange(0, 4).Draw(t, "full") == 0 {
		m.Full, m.Out = true, cures(rapid.IntRange(0, 9000).Draw(t, "out"))
	}
	return m
}

// hours are so many a day from a drawn one on, for a year; each day's are within
// those of a longer day.
func hours(t *rapid.T, long int) plan.Open {
	from := rapid.IntRange(0, 23).Draw(t, "from")
	var open plan.Open
	for day := range 366 {
		open = append(open, plan.Window{From: day*86400 + from*3600, To: day*86400 + (from+long)*3600})
	}
	return open
}

// sound holds a plan against what was asked for, act by act.
func sound(t *rapid.T, j plan.Job, p plan.Plan) {
	full, ready, since := make([]bool, len(j.Molds)), make([]int, len(j.Molds)), make([]int, len(j.Molds))
	free, parts := make([]int, j.People), 0
	for i, m := range j.Molds {
		full[i], since[i] = m.Full, m.Since
		if m.Full {
			ready[i] = m.Out.High
		}
	}
	for _, s := range p.Steps {
		inside := false
		for _, w := range j.Open {
			inside = inside || w.From <= s.Start && s.End <= w.To
		}
		if !inside {
			t.Fatalf("%+v is outside the working hours", s)
		}
		if s.Start < free[s.Who] {
			t.Fatalf("%+v begins while %d is busy until %d", s, s.Who, free[s.Who])
		}
		free[s.Who] = s.End
		if s.Kind == plan.Pour && len(s.Molds) > j.PerCup {
			t.Fatalf("%+v fills more molds than a cup reaches", s)
		}
		for k, m := range s.Molds {
			if s.Start < ready[m] {
				t.Fatalf("%+v is before mold %d is ready at %d", s, m, ready[m])
			}
			ready[m] = s.End
			switch s.Kind {
			case plan.Pour:
				if full[m] || since[m] >= j.Molds[m].Every || s.Parts[k] < 1 || s.Parts[k] > j.Molds[m].Cavities {
					t.Fatalf("%+v: mold %d is full %v, %d pulls after its coat, parts %v", s, m, full[m], since[m], s.Parts)
				}
				full[m], ready[m] = true, s.End+j.Molds[m].Cure.High
				parts += s.Parts[k]
			case plan.Demold:
				if !full[m] {
					t.Fatalf("%+v empties an empty mold", s)
				}
				full[m] = false
				since[m]++
			case plan.Coat:
				if full[m] {
					t.Fatalf("%+v coats a full mold", s)
				}
				since[m], ready[m] = 0, s.End+j.Hands.CoatWait
			}
		}
	}
	for m, is := range full {
		if is {
			t.Fatalf("mold %d is left full", m)
		}
	}
	if parts != j.Copies {
		t.Fatalf("%d parts of %d", parts, j.Copies)
	}
}

func TestPlansHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := jobs(t)
		p := made(t, j)
		sound(t, j, p)
		if p.Bound > p.Finish.High {
			t.Fatalf("the bound %d is above the plan's end %d", p.Bound, p.Finish.High)
		}
		if !(p.Finish.Low <= p.Finish.Mid && p.Finish.Mid <= p.Finish.High) || !(p.First.Low <= p.First.Mid && p.First.Mid <= p.First.High) {
			t.Fatalf("ends %v, first %v", p.Finish, p.First)
		}
	})
}

// More people, more molds and longer hours never end it later.
func TestMoreIsNeverLater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := jobs(t)
		was := made(t, j).Finish.High
		more := j
		switch rapid.SampledFrom([]string{"people", "molds", "hours"}).Draw(t, "what") {
		case "people":
			more.People += rapid.IntRange(1, 3).Draw(t, "more people")
		case "molds":
			more.Molds = append(append([]plan.Mold(nil), j.Molds...), mold(t))
			more.Molds[len(j.Molds)].Full = false // what is in it already would be waited for
		case "hours":
			more.Open = nil
			longer := rapid.IntRange(0, 3600).Draw(t, "longer")
			for _, w := range j.Open {
				more.Open = append(more.Open, plan.Window{From: max(0, w.From-longer), To: w.To + longer})
			}
		}
		if now := made(t, more).Finish.High; now > was {
			t.Fatalf("%+v ends at %d, with more at %d", j, was, now)
		}
	})
}

// The textbook's round after round: ceil(copies/molds) times the cure and the
// handling between.
func TestRounds(t *testing.T) {
	for _, c := range []struct {
		name         string
		copies, each int
		molds        []plan.Mold
		perCup       int
		hands        plan.Hands
		want         int // s
	}{
		{"50 copies of 4 molds, 30 min and 10 min (trade.json, run-cycles)", 50, 1, alikeFresh(4, 1, 1800), 4, plan.Hands{Batch: 600}, 520 * 60},
		{"one mold, one copy", 1, 1, alikeFresh(1, 1, 1800), 1, plan.Hands{Batch: 60, Demold: 60}, 1920},
		{"hands are the limit", 10, 1, alikeFresh(10, 1, 60), 1, plan.Hands{Batch: 600}, 6060},
	} {
		p := made(t, plan.Job{Copies: c.copies, Molds: c.molds, People: 1, PerCup: c.perCup, Hands: c.hands, Open: plan.Always()})
		if p.Finish.High != c.want {
			t.Errorf("%s: ends at %d, want %d", c.name, p.Finish.High, c.want)
		}
	}
}

// alikeFresh are molds whose coat outlasts the run.
func alikeFresh(n, cavities, cure int) []plan.Mold {
	molds := alike(n, cavities, cure)
	for i := range molds {
		molds[i].Every = 1000
	}
	return molds
}

// What is poured before the end of the day cures over night.
func TestOverNight(t *testing.T) {
	day := plan.Open{{From: 0, To: 8 * 3600}, {From: 24 * 3600, To: 32 * 3600}}
	p := made(t, plan.Job{Copies: 2, Molds: alikeFresh(1, 1, 16*3600), People: 1, PerCup: 1, Hands: plan.Hands{Batch: 600, Demold: 180}, Open: append(day, plan.Window{From: 48 * 3600, To: 56 * 3600})})
	want := []plan.Step{{Kind: plan.Pour, End: 600}, {Kind: plan.Demold, Start: 24 * 3600, End: 24*3600 + 180},
		{Kind: plan.Pour, Start: 24*3600 + 180, End: 24*3600 + 780}, {Kind: plan.Demold, Start: 48 * 3600, End: 48*3600 + 180}}
	for i, s := range p.Steps {
		if s.Kind != want[i].Kind || s.Start != want[i].Start || s.End != want[i].End {
			t.Errorf("step %d: %+v, want %+v", i, s, want[i])
		}
	}
}

func TestRefusals(t *testing.T) {
	good := func() plan.Job {
		return plan.Job{Copies: 6, Molds: alike(2, 1, 600), People: 1, PerCup: 1, Hands: plan.UsualHands(), Open: plan.Always()}
	}
	for name, c := range map[string]struct {
		spoil  func(*plan.Job)
		option string
	}{
		"no copies":     {func(j *plan.Job) { j.Copies = 0 }, "copies"},
		"no molds":      {func(j *plan.Job) { j.Molds = nil }, "molds"},
		"no people":     {func(j *plan.Job) { j.People = 0 }, "people"},
		"crowd":         {func(j *plan.Job) { j.People = 21 }, "people"},
		"too many":      {func(j *plan.Job) { j.Copies = 100000 }, "copies"},
		"short hours":   {func(j *plan.Job) { j.Open = plan.Open{{From: 0, To: 300}} }, "hours"},
		"past the year": {func(j *plan.Job) { j.Open = plan.Open{{From: 0, To: 400}} }, "copies"},
	} {
		j := good()
		c.spoil(&j)
		_, err := plan.Make(j, nil)
		if f := fault.As(err); f == nil || f.Code != fault.OutOfRange || f.Option != c.option {
			t.Errorf("%s: got %v, want out_of_range in %s", name, err, c.option)
		}
	}
	j := good()
	j.Molds[0].Left, j.Molds[1].Left = 2, 3
	if _, err := plan.Make(j, nil); !plan.ErrWornOut(err) {
		t.Errorf("molds that give out: %v", err)
	}
	j.Molds[1].Left = 4
	if p := made(t, j); p.Pulls[0] != 2 || p.Pulls[1] != 4 {
		t.Errorf("pulls %v, want what is left of each", p.Pulls)
	}
	for name, spoil := range map[string]func(*plan.Job){
		"no hours": func(j *plan.Job) { j.Open = nil }, "windows that overlap": func(j *plan.Job) { j.Open = plan.Open{{0, 9}, {5, 20}} },
		"no cup": func(j *plan.Job) { j.PerCup = 0 }, "no coat": func(j *plan.Job) { j.Molds[0].Every = 0 },
		"times that fall": func(j *plan.Job) { j.Molds[0].Cure.Low = 601 },
	} {
		j := good()
		spoil(&j)
		if _, err := plan.Make(j, nil); err == nil || fault.As(err) != nil {
			t.Errorf("%s: got %v, want an error that is no refusal", name, err)
		}
	}
	done := make(chan struct{})
	close(done)
	if _, err := plan.Make(good(), done); !errors.Is(err, plan.ErrStopped) {
		t.Errorf("stopped: %v", err)
	}
}

func TestCounts(t *testing.T) {
	for _, c := range []struct{ pulls, since, every, want int }{
		{50, 5, 5, 10}, {5, 0, 5, 0}, {6, 0, 5, 1}, {3, 2, 5, 0}, {4, 2, 5, 1}, {0, 9, 5, 0}, {1, 9, 5, 1}, {9, 4, 5, 2},
	} {
		if got := plan.Coats(c.pulls, c.since, c.every); got != c.want {
			t.Errorf("%d pulls, %d since a coat that lasts %d: %d coats, want %d", c.pulls, c.since, c.every, got, c.want)
		}
	}
	for _, c := range []struct {
		copies int
		scrap  float64
		want   int
	}{{24, 0.05, 2}, {19, 0.05, 1}, {20, 0, 0}, {10, 0.5, 10}} {
		if got := plan.Spares(c.copies, c.scrap); got != c.want {
			t.Errorf("%d copies at %v: %d spares, want %d", c.copies, c.scrap, got, c.want)
		}
	}
	if got := plan.Scrap(0, 0); got != plan.UsualScrap {
		t.Errorf("without logs %v", got)
	}
	if few, many := plan.Scrap(9, 1), plan.Scrap(90, 10); !(plan.UsualScrap < few && few < many && many < 0.1) {
		t.Errorf("1 of 10: %v, 10 of 100: %v", few, many)
	}
}

func BenchmarkMake(b *testing.B) {
	for name, j := range map[string]plan.Job{
		"24 copies, 2 molds of 6":        {Copies: 24, Molds: alike(2, 6, 2400), PerCup: 2},
		"500 copies, 20 molds":           {Copies: 500, Molds: alike(20, 1, 2400), PerCup: 5},
		"3000 copies, 20 molds":          {Copies: 3000, Molds: alike(20, 1, 2400), PerCup: 5},
		"500 copies, 20 molds of 6":      {Copies: 500, Molds: alike(20, 6, 2400), PerCup: 5},
		"500 copies, 20 molds, 4 people": {Copies: 500, Molds: alike(20, 1, 2400), PerCup: 5, People: 4},
	} {
		j.People, j.Hands, j.Open = max(j.People, 1), plan.UsualHands(), plan.Always()
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				made(b, j)
			}
		})
	}
}
