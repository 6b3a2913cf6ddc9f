package material_test

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
)

func TestParseFamily(t *testing.T) {
	for text, want := range map[string]material.Family{
		"urethane": material.Urethane, "Polyurethane": material.Urethane, "PU": material.Urethane,
		"tin cure": material.SiliconeCondensation, "Tin-Cure": material.SiliconeCondensation, " tin   silicone ": material.SiliconeCondensation,
		"platinum cure": material.SiliconeAddition, "silicone_addition": material.SiliconeAddition, "addition": material.SiliconeAddition,
		"urethane rubber": material.UrethaneRubber, "epoxy resin": material.Epoxy, "plaster of paris": material.Plaster, "other": material.Other,
	} {
		if got, err := material.ParseFamily(text); err != nil || got != want {
			t.Errorf("ParseFamily(%q) = %q, %v; want %q", text, got, err, want)
		}
	}
	for text, code := range map[string]fault.Code{
		"": fault.MissingOption, "  ": fault.MissingOption, "silicone": fault.AmbiguousName, "resin": fault.AmbiguousName,
		"cheese": fault.NotFound, strings.Repeat("urethane ", 50): fault.NotFound,
	} {
		_, err := material.ParseFamily(text)
		if f := fault.As(err); f == nil || f.Code != code || f.Option != "family" || f.HintText() == "" || len(f.Choices()) == 0 || len(f.Message) > 150 {
			t.Errorf("ParseFamily(%.20q) = %v, want %s with choices", text, err, code)
		}
	}
	for _, f := range material.Families() {
		if got, err := material.ParseFamily(string(f)); err != nil || got != f {
			t.Errorf("%q does not read back: %q, %v", f, got, err)
		}
	}
}

func TestFamilyTraits(t *testing.T) {
	for _, c := range []struct {
		f                            material.Family
		rubber, silicone, isocyanate bool
	}{
		{material.Urethane, false, false, true},
		{material.UrethaneRubber, true, false, true},
		{material.SiliconeAddition, true, true, false},
		{material.SiliconeCondensation, true, true, false},
		{material.Epoxy, false, false, false},
	} {
		if c.f.Rubber() != c.rubber || c.f.Silicone() != c.silicone || c.f.Isocyanate() != c.isocyanate {
			t.Errorf("%s: rubber %v, silicone %v, isocyanate %v", c.f, c.f.Rubber(), c.f.Silicone(), c.f.Isocyanate())
		}
	}
}

func TestParseHardness(t *testing.T) {
	for text, want := range map[string]material.Hardness{
		"74 D": {Shore: 74, Scale: "D"}, "74d": {Shore: 74, Scale: "D"}, "D74": {Shore: 74, Scale: "D"}, "shore a 28": {Shore: 28, Scale: "A"},
		"28 Shore A": {Shore: 28, Scale: "A"}, "A-28": {Shore: 28, Scale: "A"}, "30 00": {Shore: 30, Scale: "00"}, "00-30": {Shore: 30, Scale: "00"},
		"OO 30": {Shore: 30, Scale: "00"}, "30 OO": {Shore: 30, Scale: "00"}, "72,5 D": {Shore: 72.5, Scale: "D"}, "100 A": {Shore: 100, Scale: "A"},
	} {
		if got, err := material.ParseHardness(text); err != nil || got != want {
			t.Errorf("ParseHardness(%q) = %+v, %v; want %+v", text, got, err, want)
		}
	}
	for text, code := range map[string]fault.Code{
		"": fault.BadQuantity, "74": fault.BadQuantity, "100": fault.BadQuantity, "D": fault.BadQuantity, "hard": fault.BadQuantity,
		"74 E": fault.BadQuantity, "NaN D": fault.BadQuantity, "Inf A": fault.BadQuantity, "101 A": fault.OutOfRange, "-1 A": fault.OutOfRange,
	} {
		if got, err := material.ParseHardness(text); !fault.Is(err, code) || fault.As(err).HintText() == "" {
			t.Errorf("ParseHardness(%q) = %+v, %v; want %s", text, got, err, code)
		}
	}
}

func TestParseSpan(t *testing.T) {
	for text, want := range map[string]material.Span{
		"4 months": {Months: 4}, "4mo": {Months: 4}, "1 year": {Months: 12}, "90 d": {Days: 90}, "2 weeks": {Days: 14},
		"1 y 6 mo": {Months: 18}, "1 year, 2 weeks and 1 day": {Months: 12, Days: 15}, "12 Months": {Months: 12},
	} {
		got, err := material.ParseSpan(text)
		if err != nil || got != want {
			t.Errorf("ParseSpan(%q) = %+v, %v; want %+v", text, got, err, want)
		}
		if back, err := material.ParseSpan(got.String()); err != nil || back != got {
			t.Errorf("%+v prints %q, which reads %+v, %v", got, got.String(), back, err)
		}
	}
	for text, code := range map[string]fault.Code{
		"": fault.BadTime, "4": fault.BadTime, "months": fault.BadTime, "-4 months": fault.BadTime, "0 d": fault.BadTime, "4 min": fault.BadTime,
		"1.5 years": fault.BadTime, "99999999999999999999 d": fault.BadTime, "60 years": fault.OutOfRange,
	} {
		if got, err := material.ParseSpan(text); !fault.Is(err, code) || fault.As(err).HintText() == "" {
			t.Errorf("ParseSpan(%q) = %+v, %v; want %s", text, got, err, code)
		}
	}
}

func TestParseSide(t *testing.T) {
	for text, want := range map[string]material.Side{"A": material.SideA, " b ": material.SideB, "part B": material.SideB} {
		if got, err := material.ParseSide(text); err != nil || got != want {
			t.Errorf("ParseSide(%q) = %q, %v", text, got, err)
		}
	}
	for text, code := range map[string]fault.Code{"": fault.MissingOption, "C": fault.NotFound, "AB": fault.NotFound} {
		if _, err := material.ParseSide(text); !fault.Is(err, code) || fault.As(err).HintText() == "" {
			t.Errorf("ParseSide(%q) = %v, want %s", text, err, code)
		}
	}
}

// Whatever reads prints, and what is printed reads the same.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"74 D", "00-30", "4 months", "1 y 6 mo", "tin cure", "1 year, 2 weeks and 1 day", "\xff", "9 9 9"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if h, err := material.ParseHardness(text); err == nil {
			if back, err := material.ParseHardness(h.String()); err != nil || back != h {
				t.Fatalf("%q: %+v prints %q, which reads %+v, %v", text, h, h.String(), back, err)
			}
		}
		if s, err := material.ParseSpan(text); err == nil {
			if back, err := material.ParseSpan(s.String()); err != nil || back != s {
				t.Fatalf("%q: %+v prints %q, which reads %+v, %v", text, s, s.String(), back, err)
			}
		}
		if fam, err := material.ParseFamily(text); err == nil {
			if back, err := material.ParseFamily(string(fam)); err != nil || back != fam {
				t.Fatalf("%q: %q reads %q, %v", text, fam, back, err)
			}
		}
	})
}
