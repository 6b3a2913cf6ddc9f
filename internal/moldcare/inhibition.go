package moldcare

import "github.com/pourwright/pourwright/internal/fault"

// Master is what a master is made of.
type Master string

// The masters that members name.
const (
	PrintedUV          Master = "printed UV"
	PrintedFilament    Master = "printed filament"
	Wax                Master = "wax"
	SulfurClay         Master = "sulfur clay"
	OtherClay          Master = "other clay"
	Wood               Master = "wood"
	Metal              Master = "metal"
	CastResin          Master = "cast resin"
	LatexMaster        Master = "latex"
	CondensationMaster Master = "condensation rubber"
	AmineEpoxy         Master = "amine-cured epoxy"
)

// Masters lists them in the order they are offered.
func Masters() []Master {
	return []Master{PrintedUV, PrintedFilament, Wax, SulfurClay, OtherClay, Wood, Metal, CastResin, LatexMaster, CondensationMaster, AmineEpoxy}
}

// Risk is how likely a master keeps the rubber on it from setting.
type Risk string

// The risks.
const (
	RiskLow      Risk = "low"
	RiskPossible Risk = "possible"
	RiskHigh     Risk = "high"
)

// Contact is what is known of a rubber against a master.
type Contact struct {
	Risk Risk
	Why  string // a sentence without its full stop
	Seal bool   // pores or damp ask for a sealer before release
}

// Patch reports whether a patch test comes first.
func (c Contact) Patch() bool { return c.Risk != RiskLow }

// poisons are what stops addition cure: its catalyst binds to sulfur, amines,
// tin and what an uncured print gives off. Common practice, no source.
var poisons = map[Master]string{
	PrintedUV:          "what an ultraviolet print gives off stops addition cure, also after washing and curing",
	SulfurClay:         "sulfur stops addition cure",
	LatexMaster:        "latex holds sulfur and ammonia, and both stop addition cure",
	CondensationMaster: "the tin in condensation rubber stops addition cure",
	AmineEpoxy:         "amines left in the epoxy stop addition cure",
}

// doubtful are masters whose makeup is not known well enough.
var doubtful = map[Master]string{
	OtherClay: "some clays hold sulfur without saying so",
	CastResin: "a cast of an amine-cured epoxy, or one not fully cured, may stop addition cure",
	Wood:      "resin and damp in wood may stop addition cure",
}

// porous are masters that take up rubber or give off damp.
var porous = map[Master]bool{OtherClay: true, Wood: true, SulfurClay: true}

// Meets judges a rubber against a master; an empty master is one that nobody
// named. Common practice, no source; the rubber's bulletin wins.
func Meets(rubber Family, m Master) Contact {
	c := Contact{Risk: RiskLow, Seal: porous[m]}
	switch rubber {
	case Addition:
		switch {
		case poisons[m] != "":
			c.Risk, c.Why = RiskHigh, poisons[m]
		case m == "":
			c.Risk, c.Why = RiskPossible, "addition cure is stopped by many things, and what the master is made of is not said"
		case doubtful[m] != "":
			c.Risk, c.Why = RiskPossible, doubtful[m]
		default:
			c.Why = "nothing in it is known to stop addition cure"
		}
	case Condensation:
		c.Why = "condensation cure sets on nearly everything"
		if m == PrintedUV {
			c.Risk, c.Why = RiskPossible, "a print that is still tacky leaves a tacky skin on the rubber"
		}
	case Urethane:
		c.Why = "urethane rubber sticks to what is bare and foams on what is damp: seal, dry and release"
		if porous[m] || m == "" {
			c.Risk = RiskPossible
		}
	default:
		c.Why = "no stop of its cure is known"
	}
	return c
}

// ParseMaster reads a master's name; "" is none. Error: not_found.
func ParseMaster(text string) (Master, error) {
	var names []string
	for _, m := range Masters() {
		if text == string(m) {
			return m, nil
		}
		names = append(names, string(m))
	}
	if text == "" {
		return "", nil
	}
	return "", fault.New(fault.NotFound, "no master is made of %.40q here", text).In("made_of").
		Hint("take the nearest of the list").Choose(names...)
}
