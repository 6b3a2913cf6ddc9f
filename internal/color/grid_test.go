package color

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestFindAgainstGrid holds the search against a plain one: every set on a grid
// of doses that is even in their logarithm, the best six points of it refined by
// halving steps. Palettes and targets are drawn; the seed is fixed.
func TestFindAgainstGrid(t *testing.T) {
	const seed = 7
	rng := rand.New(rand.NewPCG(seed, seed))
	rounds := 60
	if testing.Short() {
		rounds = 6
	}
	for round := range rounds {
		w := drawWant(t, rng)
		m, err := Find(w, nil)
		if err != nil {
			t.Fatal(err)
		}
		least := math.Inf(1)
		for _, set := range sets(len(w.Palette)) {
			least = min(least, w.fit(set, w.Target.Lab()).gridBest())
		}
		// Far from every mix ΔE00 has several deep valleys, and the search may sit in
		// the second best: of 1200 drawn cases 2 did beyond 18, and one at 0.6 where 0
		// was to be had.
		allowed := least + 2*traceSlack
		if least > closeMost+1 {
			allowed = 1.15 * least
		}
		if got := m.Ranked[0].Difference; got > allowed {
			t.Errorf("seed %d round %d: ΔE00 %.4f, a grid finds %.4f: %v in %v, wall %v", seed, round, got, least, w.Target.Code(), w.Base.Kind, w.Wall)
		}
	}
}

// drawWant draws a base of any kind, three tints with swatches in white, and a
// target that is a mix of them half of the time.
func drawWant(t *testing.T, rng *rand.Rand) Want {
	t.Helper()
	drawn := func() RGB {
		return RGB{uint8(40 + rng.IntN(200)), uint8(40 + rng.IntN(200)), uint8(40 + rng.IntN(200))}
	}
	white, err := NewBase(BaseSpec{Kind: WhiteBase, Seen: Hex(RGB{0xF2, 0xEF, 0xE6})}, nil)
	if err != nil {
		t.Fatal(err)
	}
	kinds := []BaseKind{WhiteBase, WhiteBase, BlackBase, AmberBase, ClearBase}
	w := Want{Target: Hex(drawn())}
	if w.Base, err = usualBase(kinds[rng.IntN(len(kinds))]); err != nil {
		t.Fatal(err)
	}
	if !w.Base.Kind.Opaque() || rng.IntN(3) == 0 {
		w.Wall = Wall{MM: 1 + 9*rng.Float64(), Backing: WhiteBacking}
	}
	for len(w.Palette) < 3 {
		spec := TintSpec{Family: Colored, Base: white, Swatch: Hex(drawn()), Dose: 0.005}
		if rng.IntN(5) == 0 {
			spec = TintSpec{Family: White}
		}
		tint, err := NewTint(spec, nil)
		if err != nil {
			t.Fatal(err)
		}
		w.Palette = append(w.Palette, tint)
	}
	if rng.IntN(2) == 0 {
		var doses []Dose
		for _, tint := range w.Palette {
			doses = append(doses, Dose{tint, 0.006 * rng.Float64()})
		}
		p, err := Predict(Recipe{Base: w.Base, Doses: doses, Wall: w.Wall})
		if err != nil {
			t.Fatal(err)
		}
		w.Target = Measured(p.Lab)
	}
	return w
}

// gridBest is the least ΔE00 of one set by the plain search.
func (f *fit) gridBest() float64 {
	const marks = 14
	n := len(f.tints)
	type at struct {
		u    point
		cost float64
	}
	var m stack
	look := func(u point) at {
		u = f.within(u)
		return at{u, Difference(f.target, f.look(&u, &m))}
	}
	best := make([]at, 6)
	for i := range best {
		best[i].cost = math.Inf(1)
	}
	var index [Most]int
	for {
		var u point
		for i := range n {
			u[i] = math.Cbrt(f.most * math.Exp(math.Log(5e-4)*float64(index[i])/(marks-1)))
		}
		p := look(u)
		for k := range best { // an insertion into the best
			if p.cost < best[k].cost {
				best[k], p = p, best[k]
			}
		}
		i := 0
		for ; i < n; i++ {
			if index[i]++; index[i] < marks {
				break
			}
			index[i] = 0
		}
		if i == n {
			break
		}
	}
	least := math.Inf(1)
	for _, p := range best {
		if math.IsInf(p.cost, 1) {
			continue
		}
		for h, turn := 0.1, 0; h > 1e-4 && turn < 300; turn++ {
			moved := false
			for i := range n {
				for j := range n {
					for _, s := range [][2]float64{{1, 0}, {-1, 0}, {1, 1}, {1, -1}, {-1, -1}} {
						v := p.u
						v[i] *= 1 + s[0]*h
						v[j] *= 1 + s[1]*h
						if q := look(v); q.cost < p.cost-1e-6 {
							p, moved = q, true
						}
					}
				}
			}
			if !moved {
				h /= 2
			}
		}
		least = min(least, p.cost)
	}
	return least
}
