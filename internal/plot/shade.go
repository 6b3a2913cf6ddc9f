package plot

import (
	"image"
	"image/color"
	"math"
)

// light is where the light stands, in right, up and toward; its length is 1.
var light = func() vector {
	l := vector{-0.35, 0.85, 0.55}
	n := norm(l)
	return vector{l[0] / n, l[1] / n, l[2] / n}
}()

// Shares of brightness: Lambert's cosine of the light, a little light from
// where the viewer stands, and what reaches everything.
const (
	fromLight  = 0.68
	fromViewer = 0.2
	ambient    = 0.12
)

// brightness is 0 to 1 for a surface whose normal, of length 1, is given in
// right, up and toward, and faces the viewer.
func brightness(n vector) float64 {
	return ambient + fromLight*max(dot(n, light), 0) + fromViewer*n[2]
}

// toneOf is a triangle's tone, given its corners on the film: flat, the same
// all over. inner says that the viewer sees its inner side.
func toneOf(a, b, c *dot3, inner bool) uint8 {
	// y runs down on the film and up in the view
	n := cross(vector{b.x - a.x, a.y - b.y, b.z - a.z}, vector{c.x - a.x, a.y - c.y, c.z - a.z})
	l := norm(n)
	if l == 0 {
		return 1
	}
	if n[2] < 0 {
		l = -l
	}
	t := 1 + uint8(brightness(vector{n[0] / l, n[1] / l, n[2] / l})*(toneSteps-1))
	if inner {
		t += innerTone - 1
	}
	return t
}

// edgeFrom and edgeFull are the bends of the depth, in samples per sample
// squared, from which an edge is drawn and at which it is darkest. Straight
// faces have none, a crease of 45° about 1.
const (
	edgeFrom = 0.7
	edgeFull = 3
	edgeDark = 0.55 // what is left of the brightness there
)

// outline darkens edges and the rim of what stands before something else, so
// that a part of one color can be read. It looks at depths only.
func (f *film) outline() {
	for y := 1; y < f.h-1; y++ {
		row := f.near[y*f.w : (y+1)*f.w]
		over, under := f.near[(y-1)*f.w:y*f.w], f.near[(y+1)*f.w:(y+2)*f.w]
		tones := f.tone[y*f.w : (y+1)*f.w]
		for x := 1; x < f.w-1; x++ {
			if tones[x] == 0 {
				continue
			}
			z := 2 * row[x]
			bend := max(z-row[x-1]-row[x+1], row[x-1]+row[x+1]-z, z-over[x]-under[x], over[x]+under[x]-z)
			if bend > edgeFrom {
				tones[x] = darker(tones[x], min((bend-edgeFrom)/(edgeFull-edgeFrom), 1))
			}
		}
	}
}

func darker(tone uint8, by float32) uint8 {
	base := uint8(1)
	if tone >= innerTone {
		base = innerTone
	}
	return base + uint8(float32(tone-base)*(1-by*(1-edgeDark)))
}

// The ends of the ramps of tones: a part in the gray of a primed casting, its
// inner side in brick.
var (
	partDark, partLight   = color.RGBA{0x2B, 0x35, 0x40, 0xFF}, color.RGBA{0xEC, 0xF1, 0xF5, 0xFF}
	innerDark, innerLight = color.RGBA{0x6B, 0x1F, 0x12, 0xFF}, color.RGBA{0xF2, 0xA8, 0x8C, 0xFF}
)

// ramp gives each tone its color as light.
var ramp = func() (t [256][3]float32) {
	mix := func(a, b uint8, k float64) float32 {
		return float32(linear(uint8(math.Round(float64(a) + k*(float64(b)-float64(a))))))
	}
	for i := range toneSteps {
		k := float64(i) / (toneSteps - 1)
		t[1+i] = [3]float32{mix(partDark.R, partLight.R, k), mix(partDark.G, partLight.G, k), mix(partDark.B, partLight.B, k)}
		t[innerTone+i] = [3]float32{mix(innerDark.R, innerLight.R, k), mix(innerDark.G, innerLight.G, k), mix(innerDark.B, innerLight.B, k)}
	}
	return t
}()

// linear and coded are the sRGB curve, IEC 61966-2-1.
func linear(v uint8) float64 {
	c := float64(v) / 255
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

func coded(l float64) uint8 {
	c := l * 12.92
	if l > 0.0031308 {
		c = 1.055*math.Pow(l, 1/2.4) - 0.055
	}
	return uint8(math.Round(255 * min(max(c, 0), 1)))
}

const codedSteps = 4096

// quickCoded is coded in steps too fine to see but in near black, which has no
// place in these pictures.
var quickCoded = func() (t [codedSteps + 1]uint8) {
	for i := range t {
		t[i] = coded(float64(i) / codedSteps)
	}
	return t
}()

// stripe is the width in pixels of the stripes on inner sides: they tell them
// from outer ones without color.
const stripe = 7

// develop puts the film onto the picture with its corner at (left, top), each
// pixel the mean light of fine × fine samples over what is there.
func (f *film) develop(pic *image.RGBA, left, top, fine int) {
	full := float32(fine * fine)
	for y := range f.h / fine {
		for x := range f.w / fine {
			var sum [3]float32
			empty := 0
			striped := ((x+y)/stripe)&1 == 1
			for j := range fine {
				at := (y*fine+j)*f.w + x*fine
				for _, t := range f.tone[at : at+fine] {
					if t == 0 {
						empty++
						continue
					}
					if striped && t >= innerTone {
						t = innerTone + (t-innerTone)/3
					}
					c := &ramp[t]
					sum[0], sum[1], sum[2] = sum[0]+c[0], sum[1]+c[1], sum[2]+c[2]
				}
			}
			if empty == fine*fine {
				continue
			}
			p := pic.Pix[pic.PixOffset(left+x, top+y):]
			for k := range 3 {
				l := (sum[k] + float32(empty)*float32(linearOf[p[k]])) / full
				p[k] = quickCoded[int(l*codedSteps+0.5)]
			}
		}
	}
}

var linearOf = func() (t [256]float64) {
	for i := range t {
		t[i] = linear(uint8(i))
	}
	return t
}()
