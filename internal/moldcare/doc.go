// Package moldcare answers for a mold what its pulls say: when the next release
// coat is due, how long molds of its kind last, what the next pull risks, and
// before that, whether its rubber will set on the master and when the first
// cast may go in.
//
//	post, err := moldcare.Estimate(moldcare.PriorOf(moldcare.Condensation), lives, done)
//	post.Median()    // pulls, 10 to 90 %
//	post.Risk(17, 1) // that pull 18 finishes a mold that has had 17
//
// The clock of a mold is its pulls, not its days. Heat and moisture wear a mold
// too; that is said in words and not computed.
package moldcare
