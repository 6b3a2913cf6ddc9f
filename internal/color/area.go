package color

import (
	"image"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// ParseArea reads where in a picture something is: a point "620,410", whose
// surroundings are taken, or an area by two corners "600,400 640,430"; each
// number in pixels from the left and the top, or in percent of width and
// height, "31%,40%". Errors: out_of_range, missing_option, neither naming an
// option.
func ParseArea(text string, img image.Image) (image.Rectangle, error) {
	fields := strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' || r == ';' || r == '\t' || r == '\n' })
	bad := func() error {
		b := img.Bounds()
		return fault.New(fault.OutOfRange, "%q is no place in a picture of %d × %d", fault.Echo(text), b.Dx(), b.Dy()).
			Hint("give a point such as 620,410 or 31%%,40%%, or two corners such as 600,400 640,430")
	}
	switch len(fields) {
	case 0:
		return image.Rectangle{}, fault.New(fault.MissingOption, "where it is in the picture is missing").
			Hint("give a point such as 620,410 or 31%%,40%%")
	case 2, 4:
	default:
		return image.Rectangle{}, bad()
	}
	var at [4]int
	for i, f := range fields {
		side, origin := img.Bounds().Dx(), img.Bounds().Min.X
		if i%2 == 1 {
			side, origin = img.Bounds().Dy(), img.Bounds().Min.Y
		}
		v, ok := place(f, side)
		if !ok {
			return image.Rectangle{}, bad()
		}
		at[i] = origin + v
	}
	if len(fields) == 2 {
		return Around(img, image.Pt(at[0], at[1])), nil
	}
	return image.Rect(at[0], at[1], at[2], at[3]), nil
}

// place reads one number, from 0 to the side.
func place(text string, side int) (int, bool) {
	number, percent := strings.CutSuffix(text, "%")
	v, err := strconv.ParseFloat(number, 64)
	if percent {
		v *= float64(side) / 100
	}
	if err != nil || !(v >= 0 && v <= float64(side)) {
		return 0, false
	}
	return min(int(v), side-1), true
}
