package storetest

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/store"
)

func computed(t *testing.T, open Open) {
	few := store.DefaultLimits()
	few.Computed = 3
	w := newWorld(t, open, few)
	save := func(key, value string) {
		t.Helper()
		if err := w.SaveComputed(w.ctx, key, []byte(value)); err != nil {
			t.Fatal(err)
		}
	}
	want := func(key, value string) {
		t.Helper()
		got, ok, err := w.Computed(w.ctx, key)
		if err != nil || ok != (value != "") || string(got) != value {
			t.Errorf("%s: %q, %v, %v, want %q", key, got, ok, err, value)
		}
	}
	want("one", "")
	save("one", "1")
	save("one", "again")
	want("one", "1")
	for _, key := range []string{"two", "three", "four"} {
		save(key, key)
	}
	want("one", "")
	want("two", "two")
	want("four", "four")
	for _, bad := range [][2]string{{"", "x"}, {strings.Repeat("k", 101), "x"}, {"k\xff", "x"}, {"k", "\xff"}, {"k", strings.Repeat("x", 1<<17)}} {
		if w.SaveComputed(w.ctx, bad[0], []byte(bad[1])) == nil {
			t.Errorf("key %.20q with %d bytes was kept", bad[0], len(bad[1]))
		}
	}
}
