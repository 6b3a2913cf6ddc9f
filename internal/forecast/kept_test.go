package forecast_test

import (
	"context"
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/quantity"
)

// book is a shop.Computed in memory.
type book struct {
	kept   map[string]string
	asked  int
	broken error
}

func (b *book) Computed(_ context.Context, key string) ([]byte, bool, error) {
	b.asked++
	v, ok := b.kept[key]
	return []byte(v), ok && b.broken == nil, b.broken
}

func (b *book) SaveComputed(_ context.Context, key string, value []byte) error {
	if b.broken == nil {
		b.kept[key] = string(value)
	}
	return b.broken
}

// What one process worked out another one reads, and it is the same; what is
// spoiled in the book, or can't be read, is worked out again.
func TestCupsAreKept(t *testing.T) {
	b := &book{kept: map[string]string{}}
	ask := func(mass float64) forecast.Cup {
		t.Helper()
		got, err := forecast.New(nil, nil, nil, nil, b).Cup(t.Context(), white(), mass, 21, quantity.Metric)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	first := ask(276)
	if first.Calm == 0 || len(b.kept) != 2 {
		t.Fatalf("%d answers kept of a cup with its calm mass, %+v", len(b.kept), first)
	}
	if diff := cmp.Diff(first, ask(276)); diff != "" {
		t.Errorf("read back (-worked out +read):\n%s", diff)
	}
	if ask(300); len(b.kept) != 3 {
		t.Errorf("%d answers kept; another mass has the same calm one", len(b.kept))
	}
	for key := range b.kept {
		b.kept[key] = "}"
	}
	if diff := cmp.Diff(first, ask(276)); diff != "" {
		t.Errorf("worked out again:\n%s", diff)
	}
	for key := range b.kept {
		b.kept[key] = `{"PotLife":{"Low":1,"Mid":2,"High":3}}`
	}
	if got := ask(276); got.PotLife.Low != 1 {
		t.Errorf("the book is not read: %+v", got)
	}
	b.broken = errors.New("disk full")
	if diff := cmp.Diff(first, ask(276)); diff != "" {
		t.Errorf("without a book:\n%s", diff)
	}
	d, was := forecast.New(nil, nil, nil, nil, b), b.asked
	for range 3 {
		if _, err := d.Cup(t.Context(), white(), 276, 21, quantity.Metric); err != nil {
			t.Fatal(err)
		}
	}
	if b.asked != was+2 {
		t.Errorf("the book was asked %d times for a cup and its calm mass", b.asked-was)
	}
}
