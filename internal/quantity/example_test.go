package quantity_test

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/quantity"
)

func ExampleParse() {
	want := quantity.Want{Option: "volume", Dims: []quantity.Dim{quantity.Volume}}
	q, notes, err := quantity.Parse("8 oz", want)
	fmt.Println(q.Text(quantity.Metric), err)
	fmt.Printf("%.4f %s\n", q.Value, quantity.BaseUnit(q.Dim))
	fmt.Println(notes[0])
	// Output:
	// 8 fl oz <nil>
	// 236.5882 mL
	// 8 oz read as US fluid ounces, 29.57 mL each; an ounce of weight is another thing
}

func ExampleParseSize() {
	size, _, _ := quantity.ParseSize("d 30 mm h 1/2 in", quantity.Want{Option: "size", Dims: []quantity.Dim{quantity.Length}})
	for _, m := range size {
		fmt.Println(m.Name, m.Value)
	}
	// Output:
	// d 30
	// h 12.7
}

func ExampleTextRange() {
	demold := quantity.Range{Low: 11 * 60, Mid: 12 * 60, High: 14 * 60}
	fmt.Println(quantity.TextRange(demold, quantity.Time, quantity.Metric))
	// Output: 11–14 min
}
