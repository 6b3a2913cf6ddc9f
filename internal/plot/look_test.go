package plot_test

import (
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var look = flag.String("look", "", "a folder to write the pictures of the tests to; look at them at full size and at 360 pixels")

// show keeps a picture for the eye.
func show(t testing.TB, name string, data []byte) {
	t.Helper()
	if *look == "" {
		return
	}
	if err := os.WriteFile(filepath.Join(*look, name+".png"), data, 0o644); err != nil {
		t.Fatal(err)
	}
}
