package commands_test

import (
	"fmt"
	"strings"
	"testing"
)

// The picture shows how hot it may get, as high as the answer says.
func TestCurePictureShowsThePeak(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/cure material:"demo casting epoxy" mold:"viaduct arch"`)
	f := fact(t, r, "peak_temp")
	if want := fmt.Sprintf("hottest it may get at %.0f", *f.High); !strings.Contains(r.Images[0].Alt, want) {
		t.Errorf("%q does not say %q", r.Images[0].Alt, want)
	}
}
