package cure

import (
	"math"
	"slices"
)

// draws is the size of the ensemble; the seed is fixed so that the same
// question has the same answer.
const (
	draws    = 64
	drawSeed = 1
)

// The dimensions of a draw, in the order in which they are drawn.
const (
	dimE = iota
	dimHeat
	dimCond
	dimCp
	dimSurface
	dimWall
	dimTemp
	dimPot
	dimDemold
	dimSheet
	dimAuto
	dimThick
	dimTheta
	dims
)

// splitmix is the generator splitmix64 (Steele, Lea and Flood 2014, public
// method).
type splitmix uint64

func (s *splitmix) next() uint64 {
	*s += 0x9E3779B97F4A7C15
	z := uint64(*s)
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}

// hypercube is a Latin hypercube: row i holds one value of 0 to 1 for each
// dimension, and each dimension has one value in each of n equal bins.
func hypercube(seed uint64) (u [draws][dims]float64) {
	rng := splitmix(seed)
	var p [draws]int
	for j := range dims {
		for i := range p {
			p[i] = i
		}
		for i := draws - 1; i > 0; i-- {
			k := rng.next() % uint64(i+1)
			p[i], p[k] = p[k], p[i]
		}
		for i := range p {
			u[i][j] = (float64(p[i]) + 0.5) / draws
		}
	}
	return u
}

// normal is the standard normal quantile of u, 0 < u < 1.
func normal(u float64) float64 { return math.Sqrt2 * math.Erfinv(2*u-1) }

// phi is the standard normal distribution function.
func phi(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// truncated is the quantile of a normal cut off at lo and hi.
func truncated(u, mean, sd, lo, hi float64) float64 {
	a, b := phi((lo-mean)/sd), phi((hi-mean)/sd)
	return mean + sd*normal(a+u*(b-a))
}

// quantile is linear between order statistics; v is sorted.
func quantile(v []float64, q float64) float64 {
	at := q * float64(len(v)-1)
	i := int(at)
	if i >= len(v)-1 {
		return v[len(v)-1]
	}
	if f := at - float64(i); f > 0 {
		return v[i] + f*(v[i+1]-v[i])
	}
	return v[i]
}

// sorted is a sorted copy.
func sorted(v []float64) []float64 {
	v = slices.Clone(v)
	slices.Sort(v)
	return v
}
