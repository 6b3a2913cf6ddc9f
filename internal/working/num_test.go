package working_test

import (
	"math"
	"testing"

	"github.com/pourwright/pourwright/internal/working"
)

func TestNum(t *testing.T) {
	for _, c := range []struct {
		v    float64
		want string
	}{
		{0, "0"}, {math.Copysign(0, -1), "0"}, {1, "1"}, {-1.5, "-1.5"},
		{132.000004, "132"}, {122.448, "122.45"}, {0.0837, "0.0837"},
		{123456.7, "123457"}, {100, "100"}, {0.00012345678, "0.00012346"},
		{0.000012, "1.2e-05"}, {2.5e12, "2.5e+12"}, {math.Inf(1), "+Inf"},
	} {
		if got := working.Num(c.v); got != c.want {
			t.Errorf("Num(%v) = %q, want %q", c.v, got, c.want)
		}
	}
}
