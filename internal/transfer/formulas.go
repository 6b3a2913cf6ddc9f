package transfer

import "github.com/pourwright/pourwright/internal/shop"

// maxFormula bounds a formula's text, in characters.
const maxFormula = 2000

// formulaColumns are those of a formula. Its inputs stand in the head of its
// text, so a text that is copied is whole.
func formulaColumns() []column[shop.FormulaProfile] {
	type p = shop.FormulaProfile
	return []column[p]{
		words("name", maxName, false, "what you call it", func(f *p) *string { return &f.Name }),
		words("text", maxFormula, true, "the formula, inputs first", func(f *p) *string { return &f.Text }),
		words("about", maxNotes, true, "what it answers", func(f *p) *string { return &f.About }),
		words("test", maxNotes, true, "inputs, and the result that they must give", func(f *p) *string { return &f.Test }),
	}
}

// checkFormula gives what keeps a formula from being kept.
func (d *Desk) checkFormula(f *shop.FormulaProfile) []error {
	c := checker{}
	c.must("name", f.Name, "give the name that you call it by")
	c.must("text", f.Text, "write the formula")
	if len(c.found) == 0 && d.checks.Formula != nil {
		c.also("text", d.checks.Formula(*f))
	}
	return c.found
}
