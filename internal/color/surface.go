package color

// The gloss of a cast surface: k1 is Fresnel's mirror share at a refractive
// index of 1.5, k2 the share of the light from inside that is thrown back.
// Saunderson, J. Opt. Soc. Am. 32 (1942) 727 (from memory), also ISO 18314-2;
// k2 is usually taken as 0.4 to 0.6.
const (
	gloss    = 0.04
	thrown   = 0.60
	through  = (1 - gloss) * (1 - thrown)
	darkest  = 1e-4   // internal reflectances are kept within these
	lightest = 0.9999 // two, so that K/S stays finite and above 0
)

// Surface gives what is seen of an internal reflectance beside the mirror
// gloss; 1 gives 0.96.
func Surface(internal float64) float64 { return through * internal / (1 - thrown*internal) }

// Inside gives the internal reflectance back, unclamped: 0.96 gives 1.
func Inside(seen float64) float64 { return seen / (through + thrown*seen) }

// inside does so for a curve, kept within what the layer model can hold. light
// tells that some band was lighter than any glossy surface.
func inside(seen *Spectrum) (internal Spectrum, light bool) {
	for i, s := range seen {
		r := Inside(s)
		// A hair above 1 is rounding: the lightest gray that fits is #FAFAFA.
		light = light || r > 1
		internal[i] = min(max(r, darkest), lightest)
	}
	return internal, light
}
