// Package diagnose answers what went wrong: which symptom of the shop a text
// means, what causes it, in which order, and what tells the causes apart.
//
//	hits := diagnose.Match("still sticky after a day", "")
//	verdict := diagnose.Rank(hits[0].Rule, diagnose.Signs(record))
//
// A rule is one value: a symptom with its words, its causes, what to do now and
// how to prevent it. Causes are weighed by signs: what the record of a pour
// shows and what a member saw. The causes and their tell-tales are common
// practice, no source; the weights are judgement. It knows no member, keeps
// nothing, and can't tell a cause that is not in its rules: their share is
// "something else".
package diagnose

// Practice marks what rests on what casters do.
const Practice = "common practice, no source"

// Judgement marks a weight that nobody measured.
const Judgement = "judgement, no source"
