package cure

import "math"

// Log is what one pour taught about its demold time. Pred is the physics'
// median for that pour, without anything learned: Result.Physics. ReadyBy is
// when it was found ready, SoftAt when it was last found too soft, both in s
// since the pour; zero where not seen.
type Log struct {
	Pred, ReadyBy, SoftAt float64
	// Shared marks another member's log that was shared with the shop: it
	// counts half (its likelihood's square root).
	Shared bool
}

// The prior of the time factor's logarithm, the scatter from pour to pour and
// the share of slips of the hand; judgement.
const (
	priorSD  = 0.25
	pourSD   = 0.20
	slip     = 0.02
	thetaMax = 1.5
	thetaBy  = 0.02
	thetas   = 151
)

// Learned is what logs say of one member's and material's time factor,
// exp(θ). It scales demold times, never peaks or warnings. The zero value has
// learned nothing.
type Learned struct {
	Own, Shared int // logs that counted
	weight      [thetas]float64
	sum         float64
}

// Learn works out the posterior over a grid of θ from -1.5 to 1.5. A pour seen
// soft at one time and ready by another was ready between them; "it was fine"
// long after the forecast says next to nothing. Logs without a positive Pred
// or without either time are left out, so that one taken back is simply not
// passed.
func Learn(logs []Log) Learned {
	var l Learned
	for i := range l.weight {
		z := theta(i) / priorSD
		l.weight[i] = math.Exp(-z * z / 2)
	}
	for _, log := range logs {
		if !log.usable() {
			continue
		}
		power := 1.0
		if log.Shared {
			l.Shared++
			power = 0.5
		} else {
			l.Own++
		}
		for i := range l.weight {
			l.weight[i] *= math.Pow(log.likelihood(theta(i)), power)
		}
		l.normalize() // so that hundreds of logs do not underflow
	}
	l.normalize()
	return l
}

// usable reports whether a log says anything.
func (g Log) usable() bool {
	ok := func(v float64) bool { return v >= 0 && !math.IsInf(v, 0) }
	return g.Pred > 0 && ok(g.Pred) && ok(g.ReadyBy) && ok(g.SoftAt) && (g.ReadyBy > 0 || g.SoftAt > 0)
}

// likelihood that the log came from a pour with time factor exp(theta).
func (g Log) likelihood(theta float64) float64 {
	by, at := 1.0, 0.0
	if g.ReadyBy > 0 {
		by = phi((math.Log(g.ReadyBy/g.Pred) - theta) / pourSD)
	}
	if g.SoftAt > 0 {
		at = phi((math.Log(g.SoftAt/g.Pred) - theta) / pourSD)
	}
	return slip + (1-slip)*max(0, by-at)
}

func theta(i int) float64 { return -thetaMax + thetaBy*float64(i) }

func (l *Learned) normalize() {
	l.sum = 0
	for _, w := range l.weight {
		l.sum += w
	}
	for i := range l.weight {
		l.weight[i] /= l.sum
	}
	l.sum = 1
}

// Logs is how many logs counted.
func (l Learned) Logs() int { return l.Own + l.Shared }

// Theta is the quantile of θ at u, 0 to 1. Each weight is spread evenly over
// its cell of 0.02.
func (l Learned) Theta(u float64) float64 {
	if l.sum == 0 {
		l = Learn(nil)
	}
	before := 0.0
	for i, w := range l.weight {
		if before+w >= u && w > 0 {
			return theta(i) + thetaBy*((u-before)/w-0.5)
		}
		before += w
	}
	return thetaMax
}

// Factor is the quantile of the time factor at u.
func (l Learned) Factor(u float64) float64 { return math.Exp(l.Theta(u)) }

// Narrowed is the share by which the logs made the 80 % band of θ narrower;
// negative where contradicting logs widened it.
func (l Learned) Narrowed() float64 {
	prior := Learn(nil)
	return 1 - (l.Theta(0.9)-l.Theta(0.1))/(prior.Theta(0.9)-prior.Theta(0.1))
}
