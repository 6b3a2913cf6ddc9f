package shop_test

import (
	"encoding/json"
	"testing"

	"github.com/pourwright/pourwright/internal/shop"
)

// What nobody said and the height of the sea stay apart wherever they are kept.
func TestAltitudeKept(t *testing.T) {
	for want, text := range map[shop.Altitude]string{{}: "null", shop.At(0): "0", shop.At(-12.5): "-12.5", shop.At(1609.344): "1609.344"} {
		got, err := json.Marshal(want)
		if err != nil || string(got) != text {
			t.Errorf("%+v is written %s, %v; want %s", want, got, err, text)
		}
		back := shop.At(7)
		if err := json.Unmarshal([]byte(text), &back); err != nil || back != want {
			t.Errorf("%s is read %+v, %v; want %+v", text, back, err, want)
		}
	}
	var a shop.Altitude
	if err := json.Unmarshal([]byte(`"high"`), &a); err == nil {
		t.Error("a word was read as an altitude")
	}
	if set := shop.NewSettings(); set.Altitude.Known {
		t.Errorf("a new shop says its altitude: %+v", set)
	}
}
