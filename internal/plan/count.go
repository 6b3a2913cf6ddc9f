package plan

// Batches is how many cups, or rounds, things need of which each serves so many:
// ceil(things/each). each is positive.
func Batches(things, each int) int { return (things + each - 1) / each }

// Coats is how many release coats fall before so many pulls of a mold that has
// had since pulls after its last one and whose coat lasts every. A mold that has
// none yet is due at once: since is every.
func Coats(pulls, since, every int) int {
	if since < every {
		pulls -= every - since
	}
	if pulls <= 0 {
		return 0
	}
	return Batches(pulls, every)
}

// Spares is how many parts more must be cast so that, on average, so many are
// good at a scrap rate: ceil(copies·s/(1 − s)).
func Spares(copies int, scrap float64) int {
	if scrap <= 0 {
		return 0
	}
	extra := float64(copies) * scrap / (1 - scrap)
	n := int(extra)
	if float64(n) < extra-1e-9 {
		n++
	}
	return n
}

// UsualScrap is the share of parts that are spoiled where nothing is logged
// (judgement, no source), and scrapWeight how many parts it counts like beside
// logged ones.
const (
	UsualScrap  = 0.05
	scrapWeight = 20
)

// Scrap is the share to expect after so many good and spoiled parts.
func Scrap(good, spoiled int) float64 {
	return (float64(spoiled) + UsualScrap*scrapWeight) / (float64(good+spoiled) + scrapWeight)
}

// Pert is the mean and the spread of a time of which the shortest, the likeliest
// and the longest are known: (a + 4m + b)/6 and (b − a)/6. Malcolm, Roseboom,
// Clark and Fazar, Oper. Res. 7 (1959) 646, from memory.
func Pert(least, likely, most float64) (mean, sd float64) {
	return (least + 4*likely + most) / 6, (most - least) / 6
}
