package plot_test

import (
	"bytes"
	"image/png"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/plot"
	"github.com/pourwright/pourwright/internal/quantity"
)

// A curve with a step curve beside it, over a count of things.
func TestStepsOverACount(t *testing.T) {
	var pulls []float64
	var share []quantity.Range
	for n := 0.0; n <= 80; n++ {
		pulls = append(pulls, n)
		mid := 100 * (1 - n*n/8000)
		share = append(share, quantity.Range{Low: mid * 0.8, Mid: mid, High: min(mid*1.15, 100)})
	}
	flat := func(v float64) quantity.Range { return quantity.Range{Low: v - 15, Mid: v, High: v} }
	c := plot.Curves{
		Of: "pulls", Since: "since it was made",
		Panels: []plot.Panel{{Title: "Molds still whole, %", High: 100, Series: []plot.Series{
			{Label: "expected", Time: pulls, Values: share},
			{Label: "5 molds", Time: []float64{0, 41, 41, 60, 60, 80}, Values: []quantity.Range{flat(100), flat(100), flat(75), flat(75), flat(38), flat(38)}},
		}}},
		Marks: []plot.Mark{{Label: "now 17", At: quantity.Exactly(17)}},
	}
	data, err := c.PNG()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := png.Decode(bytes.NewReader(data)); err != nil {
		t.Fatal(err)
	}
	show(t, "steps", data)
	for _, want := range []string{"A chart over 80 pulls since it was made.", "now 17: 17 pulls.", "5 molds from 100 to 38"} {
		if alt := c.Alt(); !strings.Contains(alt, want) {
			t.Errorf("alt lacks %q: %s", want, alt)
		}
	}
}
