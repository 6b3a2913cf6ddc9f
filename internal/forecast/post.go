package forecast

import (
	"regexp"

	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// between parts the time of a post cure from its temperature.
var between = regexp.MustCompile(`(?i)\s+at\s+|\s*@\s*`)

// ParsePost reads "4 h at 65 C". Errors: bad_quantity and those of
// quantity.ParseList, of option post.
func ParsePost(text string, sys quantity.System) (cure.Post, []string, error) {
	want := func(d quantity.Dim) quantity.Want {
		return quantity.Want{Option: "post", Dims: []quantity.Dim{d}, System: sys}
	}
	got, notes, err := quantity.ParseList(between.ReplaceAllString(text, ", "), want(quantity.Time), want(quantity.Temp))
	if f := fault.As(err); f != nil {
		return cure.Post{}, nil, f.In("post").Hint("give a time and a temperature, such as 4 h at 65 C")
	}
	if err != nil {
		return cure.Post{}, nil, err
	}
	if got[0] == nil || got[1] == nil {
		return cure.Post{}, nil, fault.New(fault.BadQuantity, "%.40q is not a time and a temperature", text).In("post").
			Hint("give both, as the bulletin does, such as 4 h at 65 C")
	}
	return cure.Post{Time: got[0].Value, Temp: got[1].Value}, notes, nil
}
