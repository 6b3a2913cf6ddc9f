// Package caution answers which warnings a piece of work calls for, what they
// say in full, and what the words of the trade mean.
//
//	for _, c := range caution.For(caution.Situation{Step: caution.Mixing, Family: material.Epoxy}) { … }
//
// It decides nothing: every full text sends the reader on to the safety data
// sheet, the technical bulletin, local rules and licensed practice. It holds
// no member's data and computes no exposure: room size and air changes cannot
// prove that a room is safe.
package caution

// Deferral ends every full text.
const Deferral = "Check the SDS and bulletin; local rules and licensed practice decide."
