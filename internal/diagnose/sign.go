package diagnose

import "slices"

// Sign is something that was seen or that a record shows, by the words it is
// typed with.
type Sign string

// The signs. Each belongs to a question.
const (
	OffRatio    Sign = "off ratio"
	RatioRight  Sign = "ratio right"
	CupSoft     Sign = "cup soft"
	CupHard     Sign = "cup hard"
	WarmHelped  Sign = "warmth helped"
	WarmNoHelp  Sign = "warmth no help"
	ColdRoom    Sign = "cold room"
	RoomFine    Sign = "room warm enough"
	HotRoom     Sign = "hot room"
	ColdMold    Sign = "cold mold"
	MoldFine    Sign = "mold warm enough"
	OldJug      Sign = "old jug"
	FreshJug    Sign = "fresh jug"
	TrialSoft   Sign = "trial bad"
	TrialHard   Sign = "trial good"
	TooEarly    Sign = "before its time"
	PastTime    Sign = "past its time"
	OneCup      Sign = "one cup"
	TwoCups     Sign = "second cup"
	StirShort   Sign = "stirred short"
	StirWell    Sign = "stirred long enough"
	StirFast    Sign = "stirred fast"
	StirSlow    Sign = "stirred slowly"
	StirLate    Sign = "stirred past half"
	StirInTime  Sign = "stirred in time"
	DampAir     Sign = "damp air"
	DryAir      Sign = "dry air"
	WaxyFilm    Sign = "waxy film"
	NoFilm      Sign = "no film"
	IsEpoxy     Sign = "epoxy"
	NotEpoxy    Sign = "not epoxy"
	Thin        Sign = "thin there"
	NotThin     Sign = "not thin"
	Thick       Sign = "thick there"
	NotThick    Sign = "not thick"
	Uneven      Sign = "thick beside thin"
	Even        Sign = "even section"
	HotInside   Sign = "it got hot"
	StayedCool  Sign = "stayed cool"
	IsAddition  Sign = "addition cure"
	IsTin       Sign = "condensation cure"
	WetRelease  Sign = "release wet"
	DryRelease  Sign = "release dry"
	Grew        Sign = "it grew"
	DidNotGrow  Sign = "did not grow"
	UsedFiller  Sign = "with filler"
	NoFiller    Sign = "no filler"
	PaperCup    Sign = "paper or wood"
	DryTools    Sign = "plastic tools"
	FastResin   Sign = "fast resin"
	SlowResin   Sign = "slow resin"
	SamePlace   Sign = "same place"
	Anywhere    Sign = "anywhere"
	PouredFast  Sign = "poured fast"
	PouredThin  Sign = "poured thin"
	YoungTin    Sign = "young tin mold"
	RestedMold  Sign = "mold rested"
	MoldSweats  Sign = "mold sweats"
	MoldDry     Sign = "mold dry"
	VentedEarly Sign = "vented early"
	HeldPress   Sign = "held pressure"
	GaugeFell   Sign = "gauge fell"
	GaugeHeld   Sign = "gauge held"
	MoldNotPut  Sign = "mold made without"
	MoldPressed Sign = "mold made under"
	InUrethane  Sign = "urethane mold"
	InSilicone  Sign = "silicone mold"
	SilOnSil    Sign = "silicone on silicone"
	NotSilicone Sign = "not silicone"
	CoatOverdue Sign = "release overdue"
	CoatFresh   Sign = "release fresh"
	WornMold    Sign = "worn mold"
	YoungMold   Sign = "few pulls"
	OutEarly    Sign = "out early"
	OutInTime   Sign = "out in time"
	OutHot      Sign = "out hot"
	OutCool     Sign = "out cool"
	WarmedLater Sign = "warmed later"
	NotWarmed   Sign = "not warmed"
	BigBatch    Sign = "big batch"
	SmallBatch  Sign = "small batch"
	MuchTint    Sign = "much tint"
	LittleTint  Sign = "little tint"
	WaterTint   Sign = "water-based tint"
	ResinTint   Sign = "tint for resin"
	ByDrops     Sign = "by drops"
	ByWeight    Sign = "by weight"
	TintLast    Sign = "tint last"
	TintFirst   Sign = "tint first"
	NotShaken   Sign = "not shaken"
	Shaken      Sign = "shaken"
	OtherThick  Sign = "other thickness"
	SameThick   Sign = "same thickness"
	Lumpy       Sign = "lumpy"
	Settled     Sign = "settled"
	WasFrosty   Sign = "stood in frost"
	StoodWarm   Sign = "stood warm"
	ThinWall    Sign = "thin wall"
	ThickWall   Sign = "thick wall"
	OverCat     Sign = "too much catalyst"
	NoCoat      Sign = "no release"
	WithCoat    Sign = "with release"
	LateCoat    Sign = "late coat"
	CoatInTime  Sign = "coat in time"
	ThickCoat   Sign = "thick coat"
	ThinCoat    Sign = "thin coat"
	Scaled      Sign = "master scaled"
	NotScaled   Sign = "master not scaled"
	OldLotGood  Sign = "old lot good"
	OldLotBad   Sign = "old lot bad too"
	LooseHalves Sign = "halves loose"
	TightHalves Sign = "halves tight"
	TurnedBadly Sign = "turned on one axis"
	TurnedWell  Sign = "turned on two axes"
)

// How telling a sign is: that many times likelier it makes a cause that it
// speaks for, and that many times less likely one that it speaks against.
// Judgement, no source.
const (
	hint    = 2.0
	telling = 4.0
	strong  = 8.0
)

// Answer is a sign as one of the answers to a question.
type Answer struct {
	Sign   Sign
	Label  string // of a button, at most 40 letters
	Weight float64
}

// Question is something a member can look at. Of its answers one holds.
type Question struct {
	Text    string
	Answers []Answer
}

func pair(text string, yes Sign, yesLabel string, yesWeight float64, no Sign, noLabel string, noWeight float64) Question {
	return Question{text, []Answer{{yes, yesLabel, yesWeight}, {no, noLabel, noWeight}}}
}

var questions = []Question{
	pair("Were A and B what the ratio says?", OffRatio, "A and B were off", strong, RatioRight, "A and B were right", telling),
	pair("What is the rest in the cup like?", CupSoft, "The cup is soft too", telling, CupHard, "The cup is hard", telling),
	pair("Does a day in the warm help?", WarmHelped, "Warmth made it harder", strong, WarmNoHelp, "Warmth did not help", telling),
	{"How warm was the room?", []Answer{{ColdRoom, "The room was cold", telling}, {RoomFine, "The room was warm enough", telling}, {HotRoom, "The room was hot", telling}}},
	pair("Was the mold cold?", ColdMold, "The mold was cold", telling, MoldFine, "The mold was warm", telling),
	pair("How old is the jug?", OldJug, "The jug is old", telling, FreshJug, "The jug is fresh", telling),
	pair("Does a small trial cup come out well?", TrialSoft, "A trial is bad too", strong, TrialHard, "A trial comes out well", strong),
	pair("Was it past the time it needs?", TooEarly, "It was before its time", strong, PastTime, "It was long past its time", telling),
	pair("Did it go through a second cup?", OneCup, "One cup, wall scraped in", telling, TwoCups, "Poured from a second cup", telling),
	pair("How long was it stirred?", StirShort, "Under 15 s", telling, StirWell, "20 s and more", telling),
	pair("How was it stirred?", StirFast, "Fast, or by a drill", telling, StirSlow, "Slowly", telling),
	pair("When was it poured?", StirLate, "Stirred past half the pot life", telling, StirInTime, "Poured in good time", telling),
	pair("How damp was the air?", DampAir, "The air was damp", telling, DryAir, "The air was dry", telling),
	pair("Is there a waxy film?", WaxyFilm, "A waxy film, washes off", strong, NoFilm, "No film", telling),
	pair("Is it an epoxy?", IsEpoxy, "It is an epoxy", hint, NotEpoxy, "It is no epoxy", strong),
	pair("Is it thin there?", Thin, "Only where it is thin", telling, NotThin, "It is not thin", telling),
	pair("Is it thick there?", Thick, "It is thick there", telling, NotThick, "It is not thick", telling),
	pair("Does thick meet thin there?", Uneven, "Thick beside thin", telling, Even, "About the same all over", telling),
	pair("Did it get hot?", HotInside, "It got hot", telling, StayedCool, "It stayed cool", telling),
	pair("Which silicone is it?", IsAddition, "Addition (platinum) cure", telling, IsTin, "Condensation (tin) cure", strong),
	pair("How long did the release dry?", WetRelease, "Under half an hour", telling, DryRelease, "An hour, and wiped", telling),
	pair("Did it grow?", Grew, "It rose in the mold", strong, DidNotGrow, "It did not grow", strong),
	pair("Was a filler in it?", UsedFiller, "With filler", telling, NoFiller, "No filler", strong),
	pair("What was it mixed with?", PaperCup, "Paper cup or wood stick", telling, DryTools, "Plastic, dry", telling),
	pair("How long does the resin flow?", FastResin, "Under 5 min", telling, SlowResin, "Longer", telling),
	pair("Where is it?", SamePlace, "Always in the same place", telling, Anywhere, "Anywhere", telling),
	pair("How was it poured?", PouredFast, "Fast, in one go", telling, PouredThin, "In a thin stream", telling),
	pair("Is it a young tin mold?", YoungTin, "A tin mold, under 3 days", strong, RestedMold, "It has rested, or is no tin", telling),
	pair("Was the mold dry?", MoldSweats, "Cold, with dew on it", strong, MoldDry, "Warm and dry", telling),
	pair("When was the pressure let off?", VentedEarly, "Before it had set", strong, HeldPress, "After demold time", telling),
	pair("Did the gauge hold?", GaugeFell, "The gauge fell", strong, GaugeHeld, "It held", telling),
	pair("How was the mold made?", MoldNotPut, "The rubber set without pressure", telling, MoldPressed, "The rubber set under pressure", telling),
	pair("What is the mold made of?", InUrethane, "Urethane", telling, InSilicone, "Silicone", strong),
	pair("What was cast?", SilOnSil, "Silicone in silicone", strong, NotSilicone, "No silicone", strong),
	pair("When was the last release coat?", CoatOverdue, "More than 5 pulls ago", telling, CoatFresh, "It was fresh", telling),
	pair("How many pulls has the mold had?", WornMold, "It is near its end", telling, YoungMold, "Few", telling),
	pair("When did it come out?", OutEarly, "Before demold time", telling, OutInTime, "After demold time", telling),
	pair("Was it hot when it came out?", OutHot, "It was hot", telling, OutCool, "It was cool", telling),
	pair("Was it warmed later?", WarmedLater, "Warmed, or in a hot car", telling, NotWarmed, "No", telling),
	pair("How big was the batch?", BigBatch, "A big cup", telling, SmallBatch, "A small cup", telling),
	pair("How much tint was in it?", MuchTint, "More than 2 %", telling, LittleTint, "Little, or none", telling),
	pair("What tint was it?", WaterTint, "Water-based, or paint", strong, ResinTint, "Made for resin", telling),
	pair("How was the tint measured?", ByDrops, "By drops", telling, ByWeight, "By weight", telling),
	pair("When did the tint go in?", TintLast, "When A and B were mixed", telling, TintFirst, "Into one part before", telling),
	pair("Was it shaken?", NotShaken, "Not shaken", telling, Shaken, "Shaken", telling),
	pair("Is it as thick as the swatch?", OtherThick, "Another thickness", telling, SameThick, "The same", telling),
	pair("What is the filler like?", Lumpy, "In lumps", telling, Settled, "Down at the bottom", telling),
	pair("Where did the jug stand?", WasFrosty, "In frost", strong, StoodWarm, "Always in the warm", telling),
	pair("How thick is the wall there?", ThinWall, "Under 5 mm", telling, ThickWall, "10 mm or more", telling),
	{"How much catalyst was in the rubber?", []Answer{{OverCat, "More than the bulletin says", strong}}},
	pair("Was it released?", NoCoat, "No release at all", telling, WithCoat, "Yes", telling),
	pair("When did the next coat go on?", LateCoat, "When the last was hard", telling, CoatInTime, "When the last was tacky", telling),
	pair("How thick was a coat?", ThickCoat, "Over 3 mm", telling, ThinCoat, "Thin", telling),
	pair("Was the master made larger?", NotScaled, "No", telling, Scaled, "Yes, for the shrinkage", telling),
	pair("How does the old lot do beside it?", OldLotGood, "The old lot cures well", strong, OldLotBad, "The old lot is as bad", strong),
	pair("Were the halves held tight?", LooseHalves, "They were loose", telling, TightHalves, "They were tight", telling),
	pair("How was it turned?", TurnedBadly, "On one axis, or unevenly", telling, TurnedWell, "On two axes", telling),
}

// SignNames lists every sign, as they are typed.
func SignNames() []string {
	var names []string
	for _, q := range questions {
		for _, a := range q.Answers {
			names = append(names, string(a.Sign))
		}
	}
	return names
}

// Look finds a sign's question and its place there.
func look(s Sign) (q, a int, ok bool) {
	at, ok := signAt[s]
	return at[0], at[1], ok
}

var signAt = func() map[Sign][2]int {
	m := map[Sign][2]int{}
	for i, q := range questions {
		for j, a := range q.Answers {
			m[a.Sign] = [2]int{i, j}
		}
	}
	return m
}()

// Saw is a sign that a member saw.
func Saw(s Sign) (Found, bool) {
	q, a, ok := look(s)
	if !ok {
		return Found{}, false
	}
	ans := questions[q].Answers[a]
	return Found{Sign: s, Weight: ans.Weight, Said: true, Because: "You said: " + ans.Label + "."}, true
}

// mentions reports that a cause has something to do with a sign.
func (c Cause) mentions(s Sign) bool {
	return slices.Contains(c.For, s) || slices.Contains(c.Against, s)
}
