package forecast

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"sync"

	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/shop"
)

// kept are answers that are worked out once: the latest in memory, and in the
// book for the next process. The zero value with its name set is ready; it is
// safe for concurrent use.
type kept[K comparable, V any] struct {
	name string // of the answers, and of their form
	book shop.Computed

	mu    sync.Mutex
	known map[K]V
	order []K // oldest first
}

// mostKept is how many stay in memory, about 1 kB each.
const mostKept = 1024

// get gives the answer to a question, by work where it is not known. An error
// of the book is not the asker's: what can't be looked up is worked out, and
// what can't be kept is worked out again another time.
func (k *kept[K, V]) get(ctx context.Context, question K, work func() (V, error)) (V, error) {
	k.mu.Lock()
	v, ok := k.known[question]
	k.mu.Unlock()
	if ok {
		return v, nil
	}
	if k.book == nil {
		v, err := work()
		if err == nil {
			k.put(question, v)
		}
		return v, err
	}
	key := k.key(question)
	if text, ok, err := k.book.Computed(ctx, key); err == nil && ok && json.Unmarshal(text, &v) == nil {
		k.put(question, v)
		return v, nil
	}
	v, err := work()
	if err != nil {
		return v, err
	}
	k.put(question, v)
	if text, err := json.Marshal(v); err == nil {
		_ = k.book.SaveComputed(ctx, key, text) // see above
	}
	return v, nil
}

func (k *kept[K, V]) put(question K, v V) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.known == nil {
		k.known = map[K]V{}
	}
	if _, known := k.known[question]; !known {
		k.order = append(k.order, question)
	}
	k.known[question] = v
	if len(k.order) > mostKept {
		delete(k.known, k.order[0])
		k.order = k.order[1:]
	}
}

// key is a digest of the question and of the model that answers. Questions are
// plain structs of numbers and words, which print their every bit.
func (k *kept[K, V]) key(question K) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s %d %+v", k.name, cure.Revision, question))
	return hex.EncodeToString(sum[:])
}
