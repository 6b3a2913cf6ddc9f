package quantity_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

func TestParseSize(t *testing.T) {
	size := takes(quantity.Length)
	tests := []struct {
		text string
		want quantity.Want
		got  string // name=mm for each measure
		note string
	}{
		{"10 x 20 x 5 cm", size, "=100 =200 =50", ""},
		{"10 × 20 × 5 cm", size, "=100 =200 =50", ""},
		{"10 by 20 by 5 cm", size, "=100 =200 =50", ""},
		{"10 * 20 * 5 cm", size, "=100 =200 =50", ""},
		{"d 30 mm h 12 mm", size, "d=30 h=12", ""},
		{"D 30 mm, H 12 mm", size, "d=30 h=12", ""},
		{"60x40x30", size, "=60 =40 =30", "taken as mm"},
		{"6x4x3", in(size, quantity.US), "=152.4 =101.6 =76.2", "taken as in"},
		{"6x4x3", quantity.Want{Option: "size", Dims: size.Dims, Bare: quantity.Centimeter}, "=60 =40 =30", "taken as cm"},
		{"d=30 h=12", size, "d=30 h=12", "taken as mm"},
		{"d: 30 mm h: 12 mm", size, "d=30 h=12", ""},
		{"d30h12", size, "d=30 h=12", "taken as mm"},
		{"d 30 h 12 mm", size, "d=30 h=12", ""},
		{`5' 3" x 2 ft`, size, "=1600.2 =609.6", ""},
		{"5′3″ × 2′", size, "=1600.2 =609.6", ""},
		{"10 cm x 20 x 5", size, "=100 =200 =50", "taken as cm"},
		{"10 mm x 2 cm x 1 in", size, "=10 =20 =25.4", ""},
		{"1/2 x 3/4 x 2 1/4 in", size, "=12.7 =19.05 =57.15", ""},
		{"10,5 x 20,5 cm", size, "=105 =205", ""},
		{"5cmx20cmx3cm", size, "=50 =200 =30", ""},
		{"30 mm wide x 12 mm high", size, "wide=30 high=12", ""},
		{"x=10 y=20 z=5 mm", size, "x=10 y=20 z=5", ""},
		{"l 10 w 20 h 5 in", size, "l=254 w=508 h=127", ""}, // l is no liter here
		{"outer d 40, inner d 30 mm", size, "outer d=40 inner d=30", ""},
		{"d1 80 mm d2 60 mm h 100 mm", size, "d1=80 d2=60 h=100", ""},
		{"d1=8 d2=6 h=10 cm", size, "d1=80 d2=60 h=100", ""},
		{"R 40 mm r 8 mm", size, "r=40 r=8", ""},
		{"d 1 1/2 in h 2 in", size, "d=38.1 h=50.8", ""},
		{"12 mm", size, "=12", ""},
		{"r 5", size, "r=5", "taken as mm"},
	}
	for _, tt := range tests {
		t.Run(tt.text, func(t *testing.T) {
			named, notes, err := quantity.ParseSize(tt.text, tt.want)
			if err != nil {
				t.Fatalf("ParseSize(%q): %v", tt.text, err)
			}
			var got []string
			for _, n := range named {
				got = append(got, fmt.Sprintf("%s=%.10g", n.Name, n.Value))
			}
			if strings.Join(got, " ") != tt.got {
				t.Errorf("ParseSize(%q) = %s, want %s", tt.text, got, tt.got)
			}
			if tt.note == "" && len(notes) > 0 || tt.note != "" && (len(notes) != 1 || !strings.Contains(notes[0], tt.note)) {
				t.Errorf("ParseSize(%q) notes %q, want %q", tt.text, notes, tt.note)
			}
		})
	}
}

func TestParseSizeRefusals(t *testing.T) {
	tests := []struct {
		name, text string
		code       fault.Code
	}{
		{"nothing", "", fault.BadQuantity},
		{"only a name", "h", fault.BadQuantity},
		{"only a separator", "x", fault.BadQuantity},
		{"ends in a separator", "10 x", fault.BadQuantity},
		{"begins with a separator", "x 10", fault.BadQuantity},
		{"two separators", "10 x x 20", fault.BadQuantity},
		{"wrong dimension", "10 g x 5 g", fault.BadQuantity},
		{"name between two numbers", "30 mm wide 12 mm high", fault.BadQuantity},
		{"one name of two", "d 30 mm x 12 mm", fault.BadQuantity},
		{"a name twice", "d 30 d 20", fault.BadQuantity},
		{"too many", "1x2x3x4x5x6x7x8x9", fault.BadQuantity},
		{"sign", "10 mm + 5 mm?", fault.BadQuantity},
		{"bare beside two units", "10 mm x 20 x 5 cm", fault.AmbiguousUnit},
		{"bare beside a compound", "5' 3 x 2", fault.AmbiguousUnit},
		{"comma and three digits", "1,000 x 20 mm", fault.AmbiguousNumber},
		{"zero", "0 x 20 mm", fault.OutOfRange},
		{"negative", "-10 x 20 mm", fault.OutOfRange},
		{"absurd", "1e20 x 20 mm", fault.OutOfRange},
		{"too long", strings.Repeat("1 x ", 300), fault.BadQuantity},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, _, err := quantity.ParseSize(tt.text, takes(quantity.Length))
			f := fault.As(err)
			if f == nil || f.Code != tt.code || f.Option != "size" || f.HintText() == "" {
				t.Errorf("ParseSize(%q) = %v, %v, want %s with a hint", tt.text, got, err, tt.code)
			}
		})
	}
}
