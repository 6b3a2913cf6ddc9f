package moldcare

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// fine is Estimate's median on a plain grid of its own: fixed, nearly twice as
// wide and three times as many points in each direction.
func fine(p Prior, lives []Life) float64 {
	const n = 183
	sm, sk := spread(p.MedianLow, p.MedianHigh), spread(p.ShapeLow, p.ShapeHigh)
	mass := make([]float64, n)
	logs := make([][]float64, n)
	most := math.Inf(-1)
	at := func(i int) float64 { return math.Log(p.Median) + 9*sm*(2*float64(i)/(n-1)-1) }
	for i := range n {
		logs[i] = make([]float64, n)
		for k := range n {
			x, y := 9*(2*float64(i)/(n-1)-1), 6*(2*float64(k)/(n-1)-1)
			c := cell{Weibull: FromMedian(math.Exp(at(i)), math.Exp(math.Log(p.Shape)+sk*y))}
			logs[i][k] = -(x*x+y*y)/2 + c.logLikelihood(observed(lives))
			most = max(most, logs[i][k])
		}
	}
	total := 0.0
	for i := range n {
		for k := range n {
			mass[i] += math.Exp(logs[i][k] - most)
		}
		total += mass[i]
	}
	below := 0.0
	for i, m := range mass {
		if below+m >= total/2 {
			return math.Exp(at(i) + (at(1)-at(0))*((total/2-below)/m-0.5))
		}
		below += m
	}
	return math.NaN()
}

// The grid of 61 by 41 is fine enough: a larger one of other points moves the
// median by less than half a percent.
func TestGridIsFineEnough(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var lives []Life
		for range rapid.IntRange(0, 6).Draw(t, "molds") {
			end := rapid.IntRange(1, 150).Draw(t, "end")
			lives = append(lives, Life{Entry: float64(rapid.IntRange(0, end).Draw(t, "entry")), End: float64(end),
				Failed: rapid.Bool().Draw(t, "failed"), Shared: rapid.Bool().Draw(t, "shared")})
		}
		p := PriorOf(rapid.SampledFrom(Families()).Draw(t, "family"))
		post, err := Estimate(p, lives, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := post.Median().Mid, fine(p, lives); !(math.Abs(got/want-1) < 0.005) {
			t.Fatalf("median %v, on the fine grid %v, of %+v", got, want, lives)
		}
	})
}
