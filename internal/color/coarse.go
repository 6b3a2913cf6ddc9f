package color

// coarseBands are as many as a look at the lattice needs: it only says where to
// begin.
const (
	coarseBands = 12
	coarseEach  = Bands / coarseBands
)

// coarse is a spectrum in bands of 30 nm.
type coarse [coarseBands]float64

// coarseWeights turn a coarse reflectance into XYZ.
var coarseWeights = func() (w [coarseBands][3]float64) {
	for i := range weights {
		for c, v := range weights[i] {
			w[i/coarseEach][c] += v
		}
	}
	return w
}()

// thin averages a spectrum over the coarse bands by what the eye sees of each.
func thin(s *Spectrum) (out coarse) {
	for b := range out {
		sum := 0.0
		for i := b * coarseEach; i < (b+1)*coarseEach; i++ {
			w := weights[i][0] + weights[i][1] + weights[i][2]
			out[b] += w * s[i]
			sum += w
		}
		out[b] /= sum
	}
	return out
}

// sketch is a set of tints in coarse bands.
type sketch struct {
	base, baseS   coarse
	tints, tintsS [Most]coarse
	n             int
	wall          float64
	backing       float64
}

func (f *fit) sketch() *sketch {
	s := sketch{base: thin(&f.base.k), baseS: thin(&f.base.s), n: len(f.tints), wall: f.wall.MM, backing: f.wall.Backing.reflectance()}
	for i, t := range f.tints {
		s.tints[i], s.tintsS[i] = thin(&t.k), thin(&t.s)
	}
	return &s
}

// look is about the color at u.
func (s *sketch) look(u *point) Lab {
	k, sc := s.base, s.baseS
	for i := range s.n {
		d := u[i] * u[i] * u[i]
		for b := range k {
			k[b] += d * s.tints[i][b]
			sc[b] += d * s.tintsS[i][b]
		}
	}
	var c XYZ
	for b := range k {
		r := 0.0
		if s.wall == 0 {
			r = Opaque(k[b], sc[b])
		} else {
			refl, pass := Layer(k[b], sc[b], s.wall)
			r = Backed(refl, pass, s.backing)
		}
		r = Surface(r)
		w := &coarseWeights[b]
		c[0] += w[0] * r
		c[1] += w[1] * r
		c[2] += w[2] * r
	}
	return c.Lab()
}
