package plot

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/quantity"
)

// over is a chart up to end with marks of that many characters and ranges.
func over(end float64, marks ...Mark) Curves {
	flat := Series{Label: "core", Time: []float64{0, end}, Values: []quantity.Range{quantity.Exactly(1), quantity.Exactly(2)}}
	return Curves{Panels: []Panel{{Title: "a", Series: []Series{flat}}}, Marks: marks}
}

// clashes counts the flags that disturb another.
func clashes(f flagRows) (n int) {
	for i, a := range f.list {
		for _, b := range f.list[:i] {
			if a.disturbs(b) {
				n++
			}
		}
	}
	return n
}

// Two times that nearly coincide, below the long name of a third that stands to
// the left of its line: the third has to go on top.
func TestFlagsOfCloseTimes(t *testing.T) {
	f := over(6320,
		Mark{"gel 12–35 min", quantity.Range{Low: 750, Mid: 1080, High: 1870}},
		Mark{"demold 35 min to 1 h 40 min", quantity.Range{Low: 2330, Mid: 3970, High: 5730}},
		Mark{"cool 14–25 min", quantity.Range{Low: 850, Mid: 1130, High: 1470}}).flags()
	if f.rows > 3 || clashes(f) > 0 {
		t.Errorf("%d rows, %d clashes: %+v", f.rows, clashes(f), f.list)
	}
}

// Whatever the marks, they take no more rows than there are, and every name
// stands on the sheet's side of its line where there is room.
func TestFlagsTakeFewRows(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var marks []Mark
		for i := range rapid.IntRange(1, 5).Draw(rt, "marks") {
			low := rapid.Float64Range(0, 900).Draw(rt, fmt.Sprint("low ", i))
			mid := low + rapid.Float64Range(0, 300).Draw(rt, fmt.Sprint("mid ", i))
			marks = append(marks, Mark{rapid.SampledFrom([]string{"gel", "cool 14–25 min", "demold 35 min to 1 h 40 min"}).Draw(rt, fmt.Sprint("name ", i)),
				quantity.Range{Low: low, Mid: mid, High: mid + 50}})
		}
		f := over(1000, marks...).flags()
		if len(f.list) != len(marks) || f.rows > len(marks) {
			rt.Fatalf("%d flags in %d rows for %d marks", len(f.list), f.rows, len(marks))
		}
	})
}
