package color_test

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
)

func TestFindRefusals(t *testing.T) {
	base := whiteBase(t)
	red := tintOf(t, color.Colored, base, "#C9837F", 0.005)
	target := color.Hex(hex(t, "#E4AFB3"))
	many := make([]*color.Tint, color.PaletteMost+1)
	for i := range many {
		many[i] = red
	}
	for _, c := range []struct {
		name   string
		want   color.Want
		code   fault.Code
		option string
	}{
		{"no tint", color.Want{Base: base, Target: target}, fault.MissingOption, "palette"},
		{"thirteen tints", color.Want{Base: base, Palette: many, Target: target}, fault.LimitReached, "palette"},
		{"no target", color.Want{Base: base, Palette: many[:1]}, fault.MissingOption, "target"},
		{"40 % load", color.Want{Base: base, Palette: many[:1], Target: target, MaxLoad: 0.4}, fault.OutOfRange, "max_load"},
		{"clear without a wall", color.Want{Base: clearBase(t), Palette: many[:1], Target: target}, fault.MissingOption, "wall"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := color.Find(c.want, nil)
			wantFault(t, err, c.code, c.option)
		})
	}
}

func TestFindStops(t *testing.T) {
	done := make(chan struct{})
	close(done)
	base := whiteBase(t)
	_, err := color.Find(color.Want{Base: base, Palette: palette(t, readRack(t), 12), Target: color.Hex(hex(t, "#A58468"))}, done)
	if err != color.ErrStopped {
		t.Errorf("got %v", err)
	}
}

// TestWhyNot: each obstacle is named, and the base is blamed only where another
// one would do.
func TestWhyNot(t *testing.T) {
	white, black := whiteBase(t), blackBase(t)
	red := tintOf(t, color.Colored, white, "#C9837F", 0.005)
	blue := tintOf(t, color.Colored, white, "#7F9DC0", 0.005)
	for _, c := range []struct {
		name    string
		want    color.Want
		words   []string
		instead color.BaseKind
	}{
		{"deep red in white", color.Want{Base: white, Palette: []*color.Tint{red}, Target: color.Hex(hex(t, "#7A1010"))},
			[]string{"the base is white", "a clear-curing base would reach it on paper", "load limit of 2 % is used up"}, color.ClearBase},
		{"pink in black", color.Want{Base: black, Palette: []*color.Tint{red}, Target: color.Hex(hex(t, "#E4AFB3"))},
			[]string{"the base is black", "lighter than the base", "a white-curing base would reach it on paper"}, color.WhiteBase},
		{"pure white in warm white", color.Want{Base: white, Palette: []*color.Tint{red, blue}, Target: color.Hex(hex(t, "#FFFFFF"))},
			[]string{"lighter than the base"}, ""},
		{"screen green out of red and blue", color.Want{Base: white, Palette: []*color.Tint{red, blue}, Target: color.Hex(hex(t, "#00D040"))},
			[]string{"more colorful than these tints get"}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, err := color.Find(c.want, nil)
			if err != nil {
				t.Fatal(err)
			}
			if m.Verdict != color.Unreachable || m.Why == nil {
				t.Fatalf("verdict %s, ΔE00 %v", m.Verdict, m.Best.Difference)
			}
			text := m.Why.Text()
			t.Logf("closest %s, because %s (%s)", m.Best.Code, text, m.Why.Left())
			for _, w := range c.words {
				if !strings.Contains(text, w) {
					t.Errorf("%q does not say %q", text, w)
				}
			}
			if white := c.want.Target.Code() == hex(t, "#FFFFFF"); white != hasNote(m.Notes, "#FAFAFA") {
				t.Errorf("notes on the target: %q", m.Notes)
			}
			if m.Why.Instead != c.instead {
				t.Errorf("instead %q, want %q", m.Why.Instead, c.instead)
			}
		})
	}
}

// TestFewerTintsArePreferred: a gray that black alone makes is not made of three
// colors, and a small palette's own base is offered for its own color.
func TestFewerTintsArePreferred(t *testing.T) {
	rack := readRack(t)
	base := rack.base(t, "white_neutral")
	w := color.Want{Base: base, Palette: []*color.Tint{rack.tint(t, "red"), rack.tint(t, "yellow"), rack.tint(t, "blue"), rack.tint(t, "black_tint")}}
	gray := predict(t, color.Recipe{Base: base, Doses: []color.Dose{{Tint: w.Palette[3], Part: 0.003}}})
	for _, c := range []struct {
		target color.Reading
		tints  int
	}{{color.Measured(gray.Lab), 1}, {color.Hex(hex(t, "#F0F0F0")), 0}} {
		w.Target = c.target
		m, err := color.Find(w, nil)
		if err != nil || len(m.Best.Doses) != c.tints || m.Verdict != color.Matches {
			t.Errorf("%v: %d tints %+v, %v", c.target.Code(), len(m.Best.Doses), m.Best, err)
		}
	}
}

// TestMatchOnPaper: a reading so poor that a real match is luck is said.
func TestMatchOnPaper(t *testing.T) {
	base := whiteBase(t)
	red := tintOf(t, color.Colored, base, "#C9837F", 0.005)
	w := color.Want{Base: base, Palette: []*color.Tint{red}, Target: color.Hex(hex(t, "#C9837F")), TargetQuality: color.Phone}
	m, err := color.Find(w, nil)
	if err != nil || !m.OnPaper || m.Floor != 10 || m.Verdict != color.Matches {
		t.Errorf("%+v, %v", m, err)
	}
	w.TargetQuality = color.Careful
	if m, err = color.Find(w, nil); err != nil || m.OnPaper || m.Floor != 3.5 {
		t.Errorf("%+v, %v", m, err)
	}
}

// TestTintMakersLimit: the lower limit of a tint bounds the sets that it is in.
func TestTintMakersLimit(t *testing.T) {
	base := whiteBase(t)
	spec := color.TintSpec{Family: color.Colored, Base: base, Swatch: color.Hex(hex(t, "#C9837F")), Dose: 0.005, MaxLoad: 0.004}
	red, err := color.NewTint(spec, nil)
	if err != nil {
		t.Fatal(err)
	}
	m, err := color.Find(color.Want{Base: base, Palette: []*color.Tint{red}, Target: color.Hex(hex(t, "#902020"))}, nil)
	if err != nil || m.Best.Load > 0.004*(1+1e-9) || m.Best.Load < 0.0039 {
		t.Errorf("load %v, %v", m.Best.Load, err)
	}
}

func TestLadder(t *testing.T) {
	base := whiteBase(t)
	red := tintOf(t, color.Colored, base, "#C9837F", 0.005)
	for _, c := range []struct {
		name          string
		dose          float64
		lowest, upper float64
	}{
		{"quarter to four times", 0.002, 0.0005, 0.008},
		{"four times is over the limit", 0.01, 0.00125, 0.02},
		{"over the limit already", 0.03, 0.03 / 16, 0.03},
	} {
		t.Run(c.name, func(t *testing.T) {
			rungs, err := color.Ladder(color.Recipe{Base: base, Doses: []color.Dose{{Tint: red, Part: c.dose}}})
			if err != nil || len(rungs) != color.Rungs {
				t.Fatalf("%d rungs, %v", len(rungs), err)
			}
			near(t, "lowest", rungs[0].Load, c.lowest, 1e-12)
			near(t, "highest", rungs[color.Rungs-1].Load, c.upper, 1e-12)
			for i, r := range rungs[1:] {
				if r.Lab.L >= rungs[i].Lab.L {
					t.Errorf("rung %d is not darker", i+1)
				}
			}
		})
	}
	if one, err := color.Ladder(color.Recipe{Base: base}); err != nil || len(one) != 1 {
		t.Errorf("without tint: %d, %v", len(one), err)
	}
}

// TestBothBackings: a thin clear part is shown over white and over black, a
// thick opaque one is not.
func TestBothBackings(t *testing.T) {
	p := predict(t, color.Recipe{Base: clearBase(t), Wall: color.Wall{MM: 3}})
	if p.Behind == nil || p.Behind.Difference < 2 || p.Behind.White.Code != p.Code || p.Behind.Black.Lab.L > 10 {
		t.Errorf("a clear part: %+v", p.Behind)
	}
	if !hasNote(p.Notes, "weak for parts that light passes") {
		t.Errorf("notes %q", p.Notes)
	}
	if p = predict(t, color.Recipe{Base: whiteBase(t), Wall: color.Wall{MM: 20}}); p.Behind != nil {
		t.Errorf("20 mm of white shows its backing: %+v", p.Behind)
	}
	// The note's own figure: white over black is off by ΔE00 2.5 at 3 mm.
	thin := predict(t, color.Recipe{Base: whiteBase(t), Wall: color.Wall{MM: 3, Backing: color.BlackBacking}})
	near(t, "3 mm over black", color.Difference(thin.Lab, warm.Lab()), 2.5, 0.1)
}
