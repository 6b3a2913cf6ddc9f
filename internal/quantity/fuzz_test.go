package quantity_test

import (
	"math"
	"slices"
	"testing"
	"unicode"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

var seeds = []string{
	"250", "2,5", "1/2", "2 3/8", "1e3", "250ml", "1 lb 4 oz", "5 ft 3 in", `5' 3"`, "72F", "22 °C", "45 min", "1h20",
	"10%", "3 min, 100 g, 23 C", "1,000", "0,125", "1,000.5", "8 oz", "NaN", "-1e999 g", "½ in", "２５ ml", "1:02:30",
	"SG 1.10", "26 in3/lb", "1:1 vol", "100:45 wt", "10 x 20 x 5 cm", "d 30 mm h 12 mm", "60x40x30", "brick red 0.5%",
	"1 000", "\xff\x00", "9 lb per gal", "1/0", "(", "5ft3in", "2-3/8 in", "1.2.3", "K", "° °", "''", "%",
}

func seed(f *testing.F) {
	for i, s := range seeds {
		f.Add(s, uint16(1<<(i%10)), uint8(i))
	}
}

// wantFrom makes a want of the dimensions in mask, with the rest of its fields
// from bits.
func wantFrom(mask uint16, bits uint8) quantity.Want {
	w := quantity.Want{Option: "fuzz", System: quantity.System(bits % 3), Percent: bits&4 != 0, Negative: bits&8 != 0, Zero: bits&16 != 0}
	for d := quantity.Number; d <= quantity.Drops; d++ {
		if mask&(1<<d) != 0 {
			w.Dims = append(w.Dims, d)
		}
	}
	if bits&32 != 0 && len(w.Dims) > 0 {
		w.Bare = quantity.BareUnit(w.Dims[0], quantity.US)
	}
	return w
}

// checkRefusal expects what every refusal owes a member: a code, the option, a
// short message of printable characters, and what to type instead.
func checkRefusal(t *testing.T, text string, err error) {
	t.Helper()
	f := fault.As(err)
	if f == nil {
		t.Fatalf("%q: %v is no refusal", text, err)
	}
	if f.Code == "" || f.Option != "fuzz" || f.Message == "" || f.HintText() == "" || len(f.Message) > 500 {
		t.Errorf("%q: code %q, option %q, message %q, hint %q", text, f.Code, f.Option, f.Message, f.HintText())
	}
	for _, r := range f.Message + f.HintText() {
		if !unicode.IsPrint(r) {
			t.Errorf("%q: %q in the message", text, r)
		}
	}
}

func checkValue(t *testing.T, text string, q quantity.Quantity, w quantity.Want) {
	t.Helper()
	if math.IsNaN(q.Value) || math.IsInf(q.Value, 0) {
		t.Errorf("%q: %v", text, q.Value)
	}
	if len(w.Dims) > 0 && !slices.Contains(w.Dims, q.Dim) {
		t.Errorf("%q is %s", text, q.Dim.Name())
	}
	if q.Value < 0 && !w.Negative && q.Dim != quantity.Temp || q.Value == 0 && !w.Zero && !w.Negative && q.Dim != quantity.Temp {
		t.Errorf("%q: %g was taken", text, q.Value)
	}
}

// FuzzParse expects a value that the want allows and that is read again from
// its own text, or a refusal.
func FuzzParse(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, text string, mask uint16, bits uint8) {
		w := wantFrom(mask, bits)
		q, notes, err := quantity.Parse(text, w)
		if err != nil {
			checkRefusal(t, text, err)
			return
		}
		checkValue(t, text, q, w)
		for _, n := range notes {
			if n == "" || len(n) > 300 {
				t.Errorf("%q: note %q", text, n)
			}
		}
		u := unitOf(q)
		if math.Abs(q.Value) < 1e-5 || q.Dim == quantity.Time { // no digit may show; times are rounded by their size
			return
		}
		back := q.Text(w.System)
		r, _, err := quantity.Parse(back, quantity.Want{Option: "fuzz", Dims: []quantity.Dim{q.Dim}, System: w.System, Negative: true, Zero: true})
		if loss := 0.00051 * math.Abs(u.From(q.Value)); err != nil || math.Abs(u.From(r.Value)-u.From(q.Value)) > loss+1e-9 {
			t.Errorf("%q = %v, written as %q, read as %v, %v", text, q, back, r, err)
		}
	})
}

func unitOf(q quantity.Quantity) quantity.Unit {
	if q.Unit == quantity.NoUnit {
		return quantity.One
	}
	return q.Unit
}

func FuzzParseList(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, text string, mask uint16, bits uint8) {
		wants := []quantity.Want{wantFrom(mask, bits), wantFrom(mask>>3, bits), wantFrom(1<<quantity.Temp, bits)}
		got, _, err := quantity.ParseList(text, wants...)
		if err != nil {
			checkRefusal(t, text, err)
			return
		}
		if len(got) != len(wants) {
			t.Fatalf("%q gives %d values for %d wants", text, len(got), len(wants))
		}
		for i, q := range got {
			if q != nil {
				checkValue(t, text, *q, wants[i])
			}
		}
	})
}

func FuzzParseSize(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, text string, mask uint16, bits uint8) {
		w := wantFrom(mask|1<<quantity.Length, bits)
		got, _, err := quantity.ParseSize(text, w)
		if err != nil {
			checkRefusal(t, text, err)
			return
		}
		if len(got) == 0 {
			t.Errorf("%q gives no measures and no refusal", text)
		}
		for _, n := range got {
			checkValue(t, text, n.Quantity, w)
			if (n.Name == "") != (got[0].Name == "") {
				t.Errorf("%q has measures with and without a name", text)
			}
		}
	})
}

func FuzzParseRatio(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, text string, _ uint16, _ uint8) {
		r, err := quantity.ParseRatio(text, quantity.RatioWant{Option: "fuzz"})
		if err != nil {
			checkRefusal(t, text, err)
			return
		}
		again, err := quantity.ParseRatio(r.Text(), quantity.RatioWant{Option: "fuzz"})
		if err != nil || again != r || !(r.A > 0 && r.B > 0) {
			t.Errorf("%q = %v, written as %q, read as %v, %v", text, r, r.Text(), again, err)
		}
	})
}
