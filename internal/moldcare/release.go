package moldcare

import "github.com/pourwright/pourwright/internal/quantity"

// ReleaseEvery is how many pulls a release coat lasts where nobody says
// (common practice, no source).
const ReleaseEvery = 5

// How long a release coat is let sit before it is wiped and the mold filled, in
// s. Common practice, no source.
const (
	ReleaseWait      = 60 * 60.0
	ReleaseWaitLeast = 30 * 60.0
)

// Wait is the usual wait after a release coat in s.
func Wait() quantity.Range {
	return quantity.Range{Low: ReleaseWaitLeast, Mid: ReleaseWait, High: ReleaseWait}
}

// LateWear is how many pulls of wear one pull counts that was made with the
// release coat overdue (judgement, no source).
const LateWear = 1.5

// Care is where a mold stands with its release coats.
type Care struct {
	Pulls    int // so far
	LastCoat int // pulls at the last release coat
	Every    int // pulls that a coat lasts; zero is ReleaseEvery
}

// CoatBefore is the pull at which the last coat of a mold was that is added
// with pulls so far and nothing said: the rest of the division counts as since.
func CoatBefore(pulls, every int) int { return pulls - pulls%Care{Every: every}.every() }

func (c Care) every() int {
	if c.Every > 0 {
		return c.Every
	}
	return ReleaseEvery
}

// Since is the number of pulls since the last coat.
func (c Care) Since() int { return max(c.Pulls-c.LastCoat, 0) }

// Due is the number of pulls until the next coat, 0 when it is due now.
func (c Care) Due() int { return max(c.every()-c.Since(), 0) }

// Late reports whether a pull made now would be one without its coat.
func (c Care) Late() bool { return c.Due() == 0 }

// Wear is pulls of wear: late ones of all pulls count each, at least 1.
func Wear(pulls, late int, each float64) float64 {
	return float64(pulls) + float64(min(late, pulls))*(max(each, 1)-1)
}
