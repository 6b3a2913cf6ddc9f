package color

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// RGB is a color as a screen takes it, IEC 61966-2-1 (sRGB), 8 bits a channel.
type RGB struct{ R, G, B uint8 }

// Linear is red, green and blue as amounts of light, 0 to 1 inside of sRGB.
type Linear [3]float64

// XYZ is a color in CIE tristimulus values, white at Y = 100.
type XYZ [3]float64

// String is the color as a member types it, "#E4AFB3".
func (c RGB) String() string { return fmt.Sprintf("#%02X%02X%02X", c.R, c.G, c.B) }

// ParseHex reads #RRGGBB or #RGB; the # may be left out. Error: bad_color,
// without an option.
func ParseHex(text string) (RGB, error) {
	s := strings.TrimPrefix(strings.TrimSpace(text), "#")
	if len(s) == 3 {
		s = string([]byte{s[0], s[0], s[1], s[1], s[2], s[2]})
	}
	v, err := strconv.ParseUint(s, 16, 32)
	if len(s) != 6 || err != nil || strings.ContainsAny(s, "+-_xX") {
		return RGB{}, fault.New(fault.BadColor, "%q is no color code", fault.Echo(text)).
			Hint("give six digits 0-9 and A-F for red, green and blue, such as #C9837F")
	}
	return RGB{uint8(v >> 16), uint8(v >> 8), uint8(v)}, nil
}

// decoded is the light of each 8-bit value.
var decoded = func() (t [256]float64) {
	for i := range t {
		t[i] = decode(float64(i) / 255)
	}
	return t
}()

// decode turns a coded value of 0 to 1 into light, IEC 61966-2-1.
func decode(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// encode turns light of 0 to 1 into a coded value, IEC 61966-2-1.
func encode(v float64) float64 {
	if v <= 0.0031308 {
		return v * 12.92
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

// Linear gives the light of each channel.
func (c RGB) Linear() Linear { return Linear{decoded[c.R], decoded[c.G], decoded[c.B]} }

// XYZ gives the tristimulus values.
func (c RGB) XYZ() XYZ { return c.Linear().XYZ() }

// Lab gives the CIELAB values.
func (c RGB) Lab() Lab { return c.XYZ().Lab() }

// outside is how far a channel may leave 0 to 1 before the color counts as one
// that a screen cannot show.
const outside = 0.002

// RGB gives the nearest code, halves up; clipped tells that a screen cannot
// show the color and the nearest edge stands for it.
func (l Linear) RGB() (c RGB, clipped bool) {
	var out [3]uint8
	for i, v := range l {
		clipped = clipped || v < -outside || v > 1+outside
		out[i] = uint8(math.Floor(255*encode(min(max(v, 0), 1)) + 0.5))
	}
	return RGB{out[0], out[1], out[2]}, clipped
}

// XYZ gives the tristimulus values.
func (l Linear) XYZ() XYZ { return apply[XYZ](&fromLinear, l) }

// Linear gives the light of each channel, which may lie outside of 0 to 1.
func (c XYZ) Linear() Linear { return apply[Linear](&toLinear, c) }

type matrix [3][3]float64

func apply[W, V ~[3]float64](m *matrix, v V) (out W) {
	for i, row := range m {
		out[i] = row[0]*v[0] + row[1]*v[1] + row[2]*v[2]
	}
	return out
}

// fromLinear turns light into XYZ: the columns are the primaries of
// IEC 61966-2-1 by their chromaticities, scaled to add up to the white point of
// the tables here (the standard rounds to x 0.3127, y 0.3290, which moves Lab
// by 0.01 at most).
var fromLinear = func() matrix {
	chromaticity := [3][2]float64{{0.64, 0.33}, {0.30, 0.60}, {0.15, 0.06}}
	var m matrix
	for c, xy := range chromaticity {
		m[0][c], m[1][c], m[2][c] = xy[0]/xy[1], 1, (1-xy[0]-xy[1])/xy[1]
	}
	inverse := m.inverse()
	scale := apply[XYZ](&inverse, white)
	for i := range m {
		for c := range m[i] {
			m[i][c] *= scale[c]
		}
	}
	return m
}()

var toLinear = fromLinear.inverse()

// inverse is by cofactors; the matrices here are far from singular.
func (m matrix) inverse() (out matrix) {
	minor := func(i, j int) float64 {
		a, b, c, d := (i+1)%3, (i+2)%3, (j+1)%3, (j+2)%3
		return m[a][c]*m[b][d] - m[a][d]*m[b][c]
	}
	det := m[0][0]*minor(0, 0) + m[0][1]*minor(0, 1) + m[0][2]*minor(0, 2)
	for i := range out {
		for j := range out[i] {
			out[j][i] = minor(i, j) / det
		}
	}
	return out
}
