// Package stock is the arithmetic of jugs and packs: until when they keep, what
// is left in them, which one to pour from first, and how much to buy.
//
// It leaves out where containers are kept (package store), the clock, and the
// dew point, which package cure has.
//
//	last := stock.LastDay(sealed, opened)
//	choice := stock.Choose(jugs, stock.Amount{A: 69, B: 64}, today)
package stock
