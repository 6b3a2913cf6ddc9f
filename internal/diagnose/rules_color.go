package diagnose

var colorRules = []Rule{
	{
		Number: 24, Name: "streaky color", Group: Coloring,
		Say: []string{"marbled color", "color swirls", "pigment streaks", "uneven tint", "color not mixed in", "specks of pigment", "stripes of dye"},
		Causes: []Cause{
			{Name: "tint that was not in one part first", Tell: "The streaks follow the stir.",
				For: []Sign{TintLast, StirShort}, Against: []Sign{TintFirst, StirWell}, Lead: ToTint},
			{Name: "tint that had settled", Tell: "There is a sediment in its bottle, or in the jug that was tinted before.",
				For: []Sign{NotShaken}, Against: []Sign{Shaken}},
		},
		Now:     []string{"It stays as it is. Stir what is left of the tinted part once more."},
		Prevent: []string{"Shake the tint, and stir it into the tint side until it is even before the parts meet."},
	},
	{
		Number: 25, Name: "color shifted or pale", Group: Coloring,
		Say: []string{"wrong color", "color is different from last time", "too light", "color does not match", "paler than the swatch", "pastel instead of bright", "color changed after curing", "batch to batch color difference"},
		Causes: []Cause{
			{Name: "drops, which vary", Tell: "Drops differ by 10 to 20 % from bottle to bottle and from hand to hand.",
				For: []Sign{ByDrops}, Against: []Sign{ByWeight}, Lead: ToTint},
			{Name: "a resin that cures white", Tell: "White swallows a color; it looked right before it set.",
				For: []Sign{ByWeight, SameThick}, Lead: ToTint},
			{Name: "another thickness than the swatch's", Tell: "Thin places are paler than thick ones.",
				For: []Sign{OtherThick, Thin}, Against: []Sign{SameThick}, Lead: ToTint},
			{Name: "a resin that turns amber", Tell: "It gets warmer in color from week to week, or in the thick part.",
				For: []Sign{HotInside, WarmedLater, OldJug}, Against: []Sign{StayedCool, FreshJug}},
		},
		Now:     []string{"Match it anew by weight, on a swatch as thick as the part."},
		Prevent: []string{"Weigh 20 drops once, keep a swatch of each batch."},
	},
	{
		Number: 27, Name: "filler settled or lumpy", Group: Coloring, Cautions: []string{"dust"},
		Say: []string{"filler sank to the bottom", "powder settled", "lumps of powder", "metal powder at the bottom", "microspheres float", "clumps of filler", "filler not even"},
		Causes: []Cause{
			{Name: "a mix too thin for it", Tell: "It has sunk or risen in a layer, most in the slow parts.",
				For: []Sign{Settled, SlowResin}, Against: []Sign{Lumpy, FastResin}},
			{Name: "damp filler", Tell: "It sits in lumps, often with bubbles round them.",
				For: []Sign{Lumpy, Grew, DampAir}, Against: []Sign{Settled, DryAir}},
			{Name: "too coarse a filler", Tell: "Each grain is heavy: it sinks while you watch.",
				For: []Sign{Settled, FastResin}, Against: []Sign{Lumpy}},
		},
		Now:     []string{"Stir the next one until it thickens, or stir a thickener in."},
		Prevent: []string{"Dry the filler, use a finer one, thicken the mix, or take a resin that gels sooner."},
	},
}

var jugRules = []Rule{
	{
		Number: 28, Name: "lumps, crystals or skin in the jug", Group: Jugs, Wet: true, Cautions: []string{"isocyanate", "contamination"},
		Say: []string{"crystals in part A", "jug turned cloudy", "skin on the liquid", "lumps in the resin bottle", "jug has solid bits", "the liquid went thick in the jug", "white stuff in the hardener", "frozen resin", "crystallized"},
		Causes: []Cause{
			{Name: "moisture in the jug", Tell: "A skin or a haze that stays when it is warm; the cap was open or the rim dirty.",
				For: []Sign{OldJug, StoodWarm, DampAir}, Against: []Sign{FreshJug, WasFrosty}, Lead: ToStock},
			{Name: "frost", Tell: "It stood in the cold, and it clears when it is warmed as the bulletin says.",
				For: []Sign{WasFrosty, WarmHelped}, Against: []Sign{StoodWarm, WarmNoHelp}},
		},
		Now:     []string{"After frost: warm it as its bulletin says, with air moving.", "A haze or skin from damp: discard it as its SDS says, and don't seal it."},
		Prevent: []string{"Close it at once, wipe the rim, store it at 18 to 25 °C."},
	},
	{
		Number: 29, Name: "jug bulges", Group: Jugs, Wet: true, Cautions: []string{"isocyanate", "contamination"},
		Say: []string{"bottle is swollen", "jug is puffed up", "container blew up like a balloon", "hisses when opened", "jug under pressure", "can is bulging", "bottle expanded"},
		Causes: []Cause{
			{Name: "gas from isocyanate that got wet", Tell: "Water in the jug makes carbon dioxide, which can burst it.", For: []Sign{OldJug, DampAir}, Lead: ToSafety},
		},
		Now:     []string{"Don't open it and don't move it. Stand clear and keep people away.", "Read its SDS and ask who sold it what to do."},
		Prevent: []string{"Dry gas over what is left, dry tools, nothing poured back."},
	},
	{
		Number: 38, Name: "works in June, fails in January", Group: Jugs, Wet: true,
		Say: []string{"worked in summer", "only fails in winter", "same recipe fails in the cold", "since it got cold nothing works", "used to work last month", "seasonal problem", "fails in summer but not in winter"},
		Causes: []Cause{
			{Name: "another temperature", Tell: "The room is more than 5 °C from what it was.",
				For: []Sign{ColdRoom, HotRoom, WarmHelped}, Against: []Sign{RoomFine, WarmNoHelp}, Lead: ToCure},
			{Name: "a cold mold", Tell: "The mold stood on a cold floor or in a cold store.",
				For: []Sign{ColdMold, MoldSweats}, Against: []Sign{MoldFine}, Lead: ToCure},
			{Name: "another dampness of the air", Tell: "Foam and haze in the damp season, none in the dry one.",
				For: []Sign{DampAir, Grew}, Against: []Sign{DryAir, DidNotGrow}, Lead: ToDryAir},
		},
		Now:     []string{"Bring the room, the mold and both parts to 22 to 24 °C, and try again."},
		Prevent: []string{"Log the temperature and the humidity at each pour."},
	},
	{
		Number: 39, Name: "new lot behaves badly", Group: Jugs, Wet: true,
		Say: []string{"new jug is different", "new batch of resin does not work", "fresh kit fails", "the new bottle cures differently", "old kit was fine", "different since I opened the new can"},
		Causes: []Cause{
			{Name: "a change of the lot", Tell: "The old lot's cup still cures well beside it.",
				For: []Sign{OldLotGood, TrialSoft}, Against: []Sign{OldLotBad, TrialHard}, Lead: ToFirstPour},
			{Name: "age, of the new one too", Tell: "It stood long before it was sold: look for its date.",
				For: []Sign{OldJug}, Against: []Sign{FreshJug}, Lead: ToStock},
			{Name: "something else that changed with it", Tell: "A trial of both lots side by side comes out alike.",
				For: []Sign{OldLotBad, TrialHard, ColdRoom, HotRoom}, Against: []Sign{OldLotGood}},
		},
		Now:     []string{"Pour 20 g of each lot side by side on a scale that shows 0.1 g."},
		Prevent: []string{"Note the lot at each pour, and keep a reference cup of each."},
	},
}
