package reference

import "testing"

// TestCheck makes sure that a wrong value is noticed: every check above rests
// on it.
func TestCheck(t *testing.T) {
	f := func(v float64) *float64 { return &v }
	value := expectation{Value: 10.0, Tolerance: 0.1, Unit: "mL"}
	bounds := expectation{Min: f(2), Max: f(5), Unit: "%"}
	for _, c := range []struct {
		name string
		x    expectation
		got  any
		ok   bool
	}{
		{"equal", value, 10.0, true},
		{"inside the tolerance", value, 10.09, true},
		{"above it", value, 10.11, false},
		{"below it", value, 9.89, false},
		{"not a number", value, nan(), false},
		{"within bounds", bounds, 3.0, true},
		{"at a bound", bounds, 5.0, true},
		{"past a bound", bounds, 5.01, false},
		{"not a number within bounds", bounds, nan(), false},
		{"a band within bounds", bounds, band{2, 4}, true},
		{"a band past them", bounds, band{2, 6}, false},
		{"a band turned round", bounds, band{4, 3}, false},
		{"a band against a value", value, band{9, 11}, false},
		{"a text", expectation{Value: "a"}, "a", true},
		{"another text", expectation{Value: "a"}, "b", false},
		{"a number for a text", expectation{Value: "a"}, 1.0, false},
		{"nothing expected", expectation{}, 1.0, false},
		{"nothing computed", value, nil, false},
	} {
		if err := (entry{Expect: c.x}).check(c.got); (err == nil) != c.ok {
			t.Errorf("%s: %v against %s gave %v", c.name, c.got, c.x, err)
		}
	}
}

func nan() float64 { zero := 0.0; return zero / zero }
