// Package plan works out a run of many copies from a few molds: which molds to
// fill together and when, what comes out when, where release coats fall, how
// early it can be finished at best, and what a part costs.
//
//	p, err := plan.Make(plan.Job{Copies: 24, Molds: molds, People: 1, PerCup: 2,
//		Hands: plan.UsualHands(), Open: plan.Always()}, done)
//	p.Finish.High // s from the start, with the long end of the cure time
//	p.Bound       // s; nothing that fills these molds so can be sooner
//
// Times are whole seconds from the start of the run. It knows no clock: working
// hours come as windows. It does not say how long a material cures, how many
// molds a cup reaches, or how long a mold lasts: those are handed in.
//
// The method is a list of acts, carried out in their order by whoever is free
// first. A list comes from an event simulation with a simple rule, and is
// improved by a bounded search with a fixed seed. Which lists are tried depends
// on the molds, their cures and the copies, not on hours; more people and more
// molds only add lists, and to carry one out takes no longer with more hands,
// longer hours or shorter cures. So more people, molds or hours never make a plan
// later, and its early end is never after its late one. A plan made anew for a
// shorter cure tries other lists, and may end a little later than the one for the
// longer cure.
package plan
