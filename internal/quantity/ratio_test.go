package quantity_test

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

func TestParseRatio(t *testing.T) {
	tests := []struct {
		text string
		want quantity.Ratio
		back string
	}{
		{"1:1 vol", quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume}, "1:1 by volume"},
		{"100:45 wt", quantity.Ratio{A: 100, B: 45, By: quantity.ByWeight}, "100:45 by weight"},
		{"100 : 8.5 by weight", quantity.Ratio{A: 100, B: 8.5, By: quantity.ByWeight}, "100:8.5 by weight"},
		{"100:8,5wt", quantity.Ratio{A: 100, B: 8.5, By: quantity.ByWeight}, "100:8.5 by weight"},
		{"2 to 1 by volume", quantity.Ratio{A: 2, B: 1, By: quantity.ByVolume}, "2:1 by volume"},
		{"2A:1B v/v", quantity.Ratio{A: 2, B: 1, By: quantity.ByVolume}, "2:1 by volume"},
		{"wt 10:1", quantity.Ratio{A: 10, B: 1, By: quantity.ByWeight}, "10:1 by weight"},
		{"100:90 PBW", quantity.Ratio{A: 100, B: 90, By: quantity.ByWeight}, "100:90 by weight"},
		{"10:1 mass", quantity.Ratio{A: 10, B: 1, By: quantity.ByWeight}, "10:1 by weight"},
	}
	for _, tt := range tests {
		t.Run(tt.text, func(t *testing.T) {
			got, err := quantity.ParseRatio(tt.text, quantity.RatioWant{Option: "ratio"})
			if err != nil || got != tt.want {
				t.Fatalf("ParseRatio(%q) = %v, %v, want %v", tt.text, got, err, tt.want)
			}
			if got.Text() != tt.back {
				t.Errorf("ParseRatio(%q).Text() = %q, want %q", tt.text, got.Text(), tt.back)
			}
			if again, err := quantity.ParseRatio(got.Text(), quantity.RatioWant{}); err != nil || again != got {
				t.Errorf("ParseRatio(%q) = %v, %v, want %v", got.Text(), again, err, got)
			}
		})
	}
}

func TestParseRatioRefusals(t *testing.T) {
	known := quantity.RatioWant{Option: "ratio", DensityA: 1.10, DensityB: 1.02}
	tests := []struct {
		name, text string
		want       quantity.RatioWant
		code       fault.Code
		hint       string
	}{
		// By volume, A 100 g takes B 100·1.02/1.10 = 92.7 g.
		{"basis not said", "1:1", known, fault.AmbiguousUnit, "type 1:1 wt for A 100 g + B 100 g, or 1:1 vol for A 100 g + B 92.7 g"},
		// 100·45/100·1.00/1.10 = 40.9 g with the densities of the example.
		{"densities not known", "100:45", quantity.RatioWant{Option: "ratio"}, fault.AmbiguousUnit, "A 100 g + B 40.9 g, if A were 1.10 and B 1.00 g/mL"},
		{"both bases", "1:1 wt vol", known, fault.BadQuantity, "1:1 vol"},
		{"one number", "100 wt", known, fault.BadQuantity, "100:45 wt"},
		{"three numbers", "1:1:1 wt", known, fault.BadQuantity, "100:45 wt"},
		{"a fraction", "100/45 wt", known, fault.BadQuantity, "100:45 wt"},
		{"words", "half and half", known, fault.BadQuantity, "100:45 wt"},
		{"nothing", "", known, fault.BadQuantity, "100:45 wt"},
		{"unreadable number", "1.2.3:1 wt", known, fault.BadQuantity, "100:45 wt"},
		{"too long", strings.Repeat("1", 300), known, fault.BadQuantity, "100:45 wt"},
		{"nothing of A", "0:1 vol", known, fault.OutOfRange, "above zero"},
		{"below zero", "-1:1 vol", known, fault.OutOfRange, "above zero"},
		{"lopsided", "1:5000 wt", known, fault.OutOfRange, "1000 times"},
		{"infinite", "1e999:1 wt", known, fault.OutOfRange, "1000 times"},
		{"comma and three digits", "1,000:45 wt", known, fault.AmbiguousNumber, "type 1000 if the comma groups thousands, or 1 if"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := quantity.ParseRatio(tt.text, tt.want)
			f := fault.As(err)
			if f == nil || f.Code != tt.code || f.Option != "ratio" || !strings.Contains(f.HintText(), tt.hint) {
				t.Fatalf("ParseRatio(%q) = %v, %v, want %s", tt.text, got, err, tt.code)
			}
			if got != (quantity.Ratio{}) {
				t.Errorf("ParseRatio(%q) gives %v beside the refusal", tt.text, got)
			}
		})
	}
}

func TestRatioText(t *testing.T) {
	if got := (quantity.Ratio{A: 100, B: 45}).Text(); got != "100:45" {
		t.Errorf("without a basis: %q", got)
	}
}
