package color

import (
	"math"
	"math/rand/v2"
	"testing"
)

// steepness is what smooth makes as small as it can.
func steepness(rho *Spectrum) (sum float64) {
	for i := 1; i < Bands; i++ {
		d := math.Atanh(2*rho[i]-1) - math.Atanh(2*rho[i-1]-1)
		sum += d * d
	}
	return sum
}

// TestSmoothIsSmoothest moves a curve in directions that leave its color alone:
// none of them may make it smoother.
func TestSmoothIsSmoothest(t *testing.T) {
	const seed = 5
	rng := rand.New(rand.NewPCG(seed, seed))
	for range 40 {
		code := RGB{uint8(20 + rng.IntN(220)), uint8(20 + rng.IntN(220)), uint8(20 + rng.IntN(220))}
		rho, ok := smooth(code.Linear())
		if !ok {
			t.Fatalf("no curve for %s", code)
		}
		least := steepness(&rho)
		for range 20 {
			var move Spectrum
			for i := range move {
				move[i] = rng.NormFloat64()
			}
			unseen(&move)
			for _, size := range []float64{1e-4, -1e-4, 1e-3, -1e-3} {
				other, inside := rho, true
				for i := range other {
					other[i] += size * move[i]
					inside = inside && other[i] > 0 && other[i] < 1
				}
				if inside && steepness(&other) < least-1e-9*(1+least) {
					t.Fatalf("seed %d: %s has a smoother curve, %v below %v", seed, code, steepness(&other), least)
				}
			}
		}
	}
}

// unseen takes out of a move what changes the color (Gram and Schmidt).
func unseen(move *Spectrum) {
	dot := func(a, b *Spectrum) (sum float64) {
		for i := range a {
			sum += a[i] * b[i]
		}
		return sum
	}
	basis := sees
	for c := range basis {
		for _, before := range basis[:c] {
			w := dot(&basis[c], &before) / dot(&before, &before)
			for i := range basis[c] {
				basis[c][i] -= w * before[i]
			}
		}
		w := dot(move, &basis[c]) / dot(&basis[c], &basis[c])
		for i := range move {
			move[i] -= w * basis[c][i]
		}
	}
}

// TestImpossibleLabPales: a Lab that no surface has loses chroma, not hue, and
// that is said; gray is always possible.
func TestImpossibleLabPales(t *testing.T) {
	_, notes := Measured(Lab{L: 60, A: 100, B: 100}).inside(nil)
	if len(notes) == 0 {
		t.Error("nothing is said of an impossible orange")
	}
	curve, lost := smoothLab(Lab{L: 60, A: 100, B: 100})
	got := curve.XYZ().Lab()
	if lost <= 0 || lost >= 1 || math.Abs(math.Atan2(got.B, got.A)-math.Pi/4) > 1e-6 || math.Abs(got.L-60) > 1e-6 {
		t.Errorf("paled by %v to %+v", lost, got)
	}
	if _, lost = smoothLab(Lab{L: 50}); lost != 0 {
		t.Errorf("gray lost %v", lost)
	}
}

// TestSlopes holds the derivatives against differences, in all kinds of layers.
func TestSlopes(t *testing.T) {
	seen := func(k, s, wall, backing float64) float64 {
		m := stack{k: flat(k), s: flat(s), wall: wall, backing: backing}
		var r Spectrum
		m.seen(&r)
		return r[0]
	}
	for _, wall := range []float64{0, 0.3, 3, 40} {
		for _, k := range []float64{1e-6, 1e-3, 0.05, 1, 20} {
			for _, s := range []float64{0.002, 0.5, 5} {
				m := stack{k: flat(k), s: flat(s), wall: wall, backing: 0.9}
				var r, byK, byS Spectrum
				m.slopes(&r, &byK, &byS)
				hk, hs := 1e-4*k, 1e-4*s
				wantK := (seen(k+hk, s, wall, 0.9) - seen(k-hk, s, wall, 0.9)) / (2 * hk)
				wantS := (seen(k, s+hs, wall, 0.9) - seen(k, s-hs, wall, 0.9)) / (2 * hs)
				if math.Abs(r[0]-seen(k, s, wall, 0.9)) > 1e-12 || math.Abs(byK[0]-wantK) > 1e-5*math.Abs(wantK)+1e-7/k*1e-3 || math.Abs(byS[0]-wantS) > 1e-5*math.Abs(wantS)+1e-7/s*1e-3 {
					t.Errorf("K %v S %v wall %v: %v, slopes %v %v, want %v %v", k, s, wall, r[0], byK[0], byS[0], wantK, wantS)
				}
			}
		}
	}
}

// TestJacobian holds a descent's slopes against differences.
func TestJacobian(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	for range 30 {
		w := drawWant(t, rng)
		f := w.fit([]int{0, 1, 2}, w.Target.Lab())
		d := f.from(point{0.08, 0.12, 0.1})
		var m stack
		jac, _ := d.jacobian(&m)
		for i := range 3 {
			const h = 1e-6
			up, down := d.u, d.u
			up[i] += h
			down[i] -= h
			high, low := residual(f.target, f.look(&up, &m)), residual(f.target, f.look(&down, &m))
			for c := range high {
				if want := (high[c] - low[c]) / (2 * h); math.Abs(jac[c][i]-want) > 1e-3*(1+math.Abs(want)) {
					t.Errorf("part %d by dose %d: %v, want %v", c, i, jac[c][i], want)
				}
			}
		}
	}
}

// TestStepsOfSmooth: no color of a grid of sRGB takes more than 16 steps.
func TestStepsOfSmooth(t *testing.T) {
	worst := 0
	for r := 0; r < 256; r += 51 {
		for g := 0; g < 256; g += 51 {
			for b := 0; b < 256; b += 51 {
				if r == g && g == b {
					continue
				}
				worst = max(worst, stepsOf(RGB{uint8(r), uint8(g), uint8(b)}.Linear()))
			}
		}
	}
	if worst > 16 {
		t.Errorf("%d steps", worst)
	}
}

// stepsOf counts Newton's steps with the parts that smooth is made of.
func stepsOf(rgb Linear) int {
	var z Spectrum
	var lambda Linear
	var n newton
	for step := range smoothSteps {
		rho := z.each(func(z float64) float64 { return (1 + math.Tanh(z)) / 2 })
		if n.set(&z, &rho, &lambda, rgb); n.error() < smoothEnough {
			return step
		}
		dz, dl, _ := n.step()
		for i := range z {
			z[i] -= dz[i]
		}
		for c := range lambda {
			lambda[c] -= dl[c]
		}
	}
	return smoothSteps
}
