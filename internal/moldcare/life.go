package moldcare

// Life is what is known of one mold's life, in pulls of wear.
type Life struct {
	// Entry is where the count began: pulls that the mold had survived when it
	// was added. The life is conditioned on them.
	Entry float64
	End   float64 // pulls so far
	// Failed is true for a mold that is torn, stuck or degraded. One in use,
	// lost, sold or given up for another reason has lasted at least End.
	Failed bool
	Last   float64 // wear of the last pull; zero is 1
	Shared bool    // another member's, which counts by half
}

// SharedWeight is the power of the likelihood of another member's mold: it
// tells of other hands, rubber and resin (judgement, no source).
const SharedWeight = 0.5

// FewFailures is the number of failures below which an estimate is mostly its
// prior (judgement, no source).
const FewFailures = 3

// fails reports whether a reason to retire a mold is a failure of the mold.
var fails = map[string]bool{"torn": true, "stuck": true, "degraded": true}

// Reasons lists what a mold is retired for, failures of the mold first.
func Reasons() []string { return []string{"torn", "stuck", "degraded", "lost", "other"} }

// Fails reports whether a mold retired for that reason had come to its end.
func Fails(reason string) bool { return fails[reason] }

// last is the wear of the last pull.
func (l Life) last() float64 {
	if l.Last > 0 {
		return l.Last
	}
	return 1
}

// interval gives the likelihood's three points: where the count began, what
// was survived for certain, and the end. A mold that failed with no pull
// counted since it was added failed in the pull before: it had survived one
// less.
func (l Life) interval() (entry, survived, end float64) {
	end = max(l.End, 0)
	if !l.Failed {
		return min(max(l.Entry, 0), end), end, end
	}
	end = max(end, l.last())
	survived = end - l.last()
	return min(max(l.Entry, 0), survived), survived, end
}
