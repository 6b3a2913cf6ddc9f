// Package formula runs sums that members write themselves, with units, safely
// whoever wrote them.
//
//	p, err := formula.Compile("input width = 100 mm (10 mm to 1 m)\nbox(width, 5 cm, 2 in)", quantity.Metric)
//	given, _, err := p.Given("width 120 mm", quantity.Metric)
//	out, err := p.Run(formula.Setting{Given: given})
//	// out.Values[0] is "result", 304.8 mL
//
// A text is lines: inputs first, then names set with let, and last the result.
// A number followed by a unit is a quantity. What every name measures is known
// before the formula runs, so a sum of a length and a weight is refused where it
// stands, and the program that runs is plain arithmetic on numbers: lengths in
// mm, volumes in mm³, masses in g, times in s, pressures in Pa, temperatures in
// °C.
//
// # Safety
//
// There are no loops. Text goes through three gates. The reader here knows
// numbers, units, names, strings and a dozen signs; anything else, such as a
// bracket, a dot or a bar, is refused with its place. Each expression then goes
// through the parser of expr-lang/expr with every literal replaced by a
// placeholder, so that its own numbers, strings and comments are never reached.
// The tree it gives is walked once, node kinds that are not listed are refused,
// and a new tree is built of what remains; a node met twice is refused too, for
// the parser shares operands of a < b < c between two comparisons, and walking
// such a tree can take for ever. Its optimizer is off and its built-in functions
// are taken out. What runs is straight-line code of at most 500 nodes.
//
// # Uncertainty
//
// A function that can't promise its result gives a range. The formula is then
// run again with each uncertain value at its low and at its high end, one at a
// time, and what moves is added in quadrature: the numerical form of the law of
// propagation for independent values (JCGM 100:2008, 5.1.2 and the note to
// 5.1.3), with the two sides kept apart.
//
// Names of materials and molds are constants in the text. Program.Things lists
// them; the caller finds them and hands in plain values.
package formula
