package color_test

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/color"
)

// A deep red tint in a base that cures white comes out pink. The base and the
// swatch are read off cured pieces.
func Example() {
	cache := color.NewCache(0)
	white, err := color.ParseHex("#F2EFE6")
	if err != nil {
		fmt.Println(err)
		return
	}
	base, err := color.NewBase(color.BaseSpec{Name: "demo rigid white", Kind: color.WhiteBase, Seen: color.Hex(white), Quality: color.Careful}, cache)
	if err != nil {
		fmt.Println(err)
		return
	}
	red, err := color.NewTint(color.TintSpec{Name: "brick red", Family: color.Colored, Base: base,
		Swatch: color.Hex(color.RGB{R: 0xC9, G: 0x83, B: 0x7F}), Dose: 0.005, Quality: color.Careful}, cache)
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := color.Predict(color.Recipe{Base: base, Doses: []color.Dose{{Tint: red, Part: 0.001}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("0.1 %% gives %s; about two in three parts come within ± %.1f\n", p.Code, p.Floor)

	m, err := color.Find(color.Want{Base: base, Palette: []*color.Tint{red}, Target: color.Hex(color.RGB{R: 0x7A}), TargetQuality: color.Careful}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("#7A0000 is %s: the closest is %s\n", m.Verdict, m.Best.Code)
	// Output:
	// 0.1 % gives #E4B2AE; about two in three parts come within ± 3.5
	// #7A0000 is not reachable: the closest is #A35652
}
