package shop

import "context"

// Computed remembers answers that are dear to work out and the same for
// whoever asks, so that a new process need not work them out again. A key is
// a digest of all that the answer depends on, so that it tells nothing of who
// asked; the oldest answers give way.
type Computed interface {
	Computed(ctx context.Context, key string) (value []byte, ok bool, err error)
	// SaveComputed keeps the first answer to a key.
	SaveComputed(ctx context.Context, key string, value []byte) error
}
