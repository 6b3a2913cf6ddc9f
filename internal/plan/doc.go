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
// on nothing but the molds and the copies, and carrying one out is monotone:
// longer hours and shorter cures never end it later. More people and more molds
// only add lists. So none of them ever makes a plan later.
package plan
