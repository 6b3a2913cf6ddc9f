package demo

import "github.com/pourwright/pourwright/internal/shop"

// owned is a mold and the key of its owner.
type owned struct {
	owner string
	shop.MoldProfile
}

func molds() []owned {
	const condensation, addition = "condensation", "addition"
	all := []owned{
		{Ada, shop.MoldProfile{Name: "harbor pawn", Family: condensation, Volume: 6.2, Cavities: 6, Thickest: 14, Thinnest: 5, Pulls: 17, LastCoat: 15}},
		{Ada, shop.MoldProfile{Name: "harbor pawn 2", Family: condensation, Volume: 6.2, Cavities: 6, Thickest: 14, Thinnest: 5, Pulls: 3}},
		{Bram, shop.MoldProfile{Name: "shell knob", Family: addition, Volume: 31, Cavities: 1, Thickest: 26, Thinnest: 8, Pulls: 4}},
		{Ada, shop.MoldProfile{Name: "viaduct arch", Family: condensation, Volume: 185, Cavities: 1, Thickest: 22, Thinnest: 7, Pulls: 29, LastCoat: 25}},
		{Cleo, shop.MoldProfile{Name: "dice tray", Family: condensation, Volume: 240, Cavities: 1, Thickest: 9, Thinnest: 6, Pulls: 41, LastCoat: 40, Retired: "torn"}},
	}
	for i := range all {
		all[i].Wall, all[i].ReleaseEvery = 10, 5
	}
	return all
}
