package forecast

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/recent"
	"github.com/pourwright/pourwright/internal/shop"
)

// kept are answers that are worked out once: the latest in memory and, where
// there is a book, in it for the next process. It is safe for concurrent use.
type kept[K comparable, V any] struct {
	known recent.Map[K, V] // in memory
	name  string           // of the answers in the book, and of their form
	book  shop.Computed
}

// get gives the answer to a question, by work where it is not known. An error
// of the book is not the asker's: what can't be looked up is worked out, and
// what can't be kept is worked out again another time.
func (k *kept[K, V]) get(ctx context.Context, question K, work func() (V, error)) (V, error) {
	v, ok := k.known.Get(question)
	if ok {
		return v, nil
	}
	v, ok = k.read(ctx, question)
	if !ok {
		var err error
		if v, err = work(); err != nil {
			return v, err
		}
		k.write(ctx, question, v)
	}
	k.known.Put(question, v)
	return v, nil
}

func (k *kept[K, V]) read(ctx context.Context, question K) (v V, ok bool) {
	if k.book == nil {
		return v, false
	}
	text, ok, err := k.book.Computed(ctx, k.key(question))
	return v, err == nil && ok && json.Unmarshal(text, &v) == nil
}

func (k *kept[K, V]) write(ctx context.Context, question K, v V) {
	if k.book == nil {
		return
	}
	if text, err := json.Marshal(v); err == nil {
		_ = k.book.SaveComputed(ctx, k.key(question), text) // see get
	}
}

// key is a digest of the question and of the model that answers. Questions are
// plain structs of numbers and words, which print their every bit.
func (k *kept[K, V]) key(question K) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s %d %+v", k.name, cure.Revision, question))
	return hex.EncodeToString(sum[:])
}
