package reference

import (
	"errors"
	"fmt"
	"maps"
	"testing"
)

// computes works an entry out with the real packages: a float64 in the
// expected unit, a band or a text.
type computes func(entry) (any, error)

// tradeForms is every form of trade.json that is computed here.
var tradeForms = func() map[string]computes {
	all := map[string]computes{}
	for _, part := range []map[string]computes{shapeForms, fillForms, rubberForms, meshForms, ratioForms, batchForms, fillerForms, practiceForms, limitForms, tintForms, airForms, waterForms, heatForms, survivalForms, dateForms, handbookForms, stockForms, planForms} {
		for form := range part {
			if _, twice := all[form]; twice {
				panic("form known twice: " + form)
			}
		}
		maps.Copy(all, part)
	}
	return all
}()

// TestReferenceTrade computes every value of trade.json whose form is known
// here.
func TestReferenceTrade(t *testing.T) {
	var entries []entry
	if !load(t, "trade.json", &entries) {
		t.Skip("no trade.json")
	}
	for _, e := range entries {
		form := e.form()
		if _, ok := elsewhere[form]; ok {
			continue
		}
		t.Run(e.ID, func(t *testing.T) {
			compute, ok := tradeForms[form]
			if !ok {
				t.Fatalf("no test knows the form %q: add it to tradeForms", form)
			}
			got, err := safely(compute, e)
			if errors.Is(err, errUnsaid) {
				t.Skip(err)
			}
			if err == nil {
				err = e.check(got)
			}
			if err != nil {
				t.Errorf("%v: %v (source: %s)", e.Input, err, e.Source)
			}
		})
	}
}

// safely turns a panic over an odd input into an error of its entry.
func safely(f computes, e entry) (got any, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("panic: %v", r)
		}
	}()
	return f(e)
}
