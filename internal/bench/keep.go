package bench

import (
	"context"
	"maps"
	"slices"
	"sync"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
)

// What is kept of a run. Past either bound the oldest answers go.
const (
	entriesMost = 100
	bytesMost   = 64 << 20
)

// entry is one thing asked and what came of it. It is not changed once it is
// in the conversation, only replaced.
type entry struct {
	id    int
	mark  int // unlike that of any other entry, also of one it replaced
	at    time.Time
	asked string // what was typed, or the label of what was pressed
	file  string // the name of the file that came with it
	again string // where to change and ask again, below base; "" after a press
	ans   chat.Answer
	// it came by itself: the member is called
	called bool
	// under a form that was refused: the form again, and what was typed
	form  *chat.OpenForm
	typed map[string]string

	pictures, files []blobRef
}

// blob is a picture or a file of an answer, served by its name.
type blob struct {
	name string // the file's own, for the download
	kind string // media type
	data []byte
}

type blobRef struct {
	Name, Key, Alt string
	Bytes          int
}

// conversation is what the page shows, oldest first.
type conversation struct {
	mu      sync.Mutex
	last    int           // the highest id given
	marks   int           // entries added so far
	changed chan struct{} // closed by the next one added
	entries []entry
	blobs   map[string]blob
	bytes   int
}

// all is a copy, newest first.
func (c *conversation) all() []entry {
	c.mu.Lock()
	defer c.mu.Unlock()
	out := slices.Clone(c.entries)
	slices.Reverse(out)
	return out
}

func (c *conversation) find(id int) (entry, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	i := slices.IndexFunc(c.entries, func(e entry) bool { return e.id == id })
	if i < 0 {
		return entry{}, false
	}
	return c.entries[i], true
}

func (c *conversation) blob(key string) (blob, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	b, ok := c.blobs[key]
	return b, ok
}

// wait gives the number of entries added so far and what ends with the next.
func (c *conversation) wait() (marks int, changed <-chan struct{}) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.changed == nil {
		c.changed = make(chan struct{})
	}
	return c.marks, c.changed
}

// add puts an entry at the end, or in the place of the one numbered replace,
// and gives its number.
func (c *conversation) add(e entry, blobs map[string]blob, replace int) int {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.blobs == nil {
		c.blobs = map[string]blob{}
	}
	maps.Copy(c.blobs, blobs)
	for _, b := range blobs {
		c.bytes += len(b.data)
	}
	c.marks++
	e.mark = c.marks
	if c.changed != nil {
		close(c.changed)
		c.changed = nil
	}
	i := slices.IndexFunc(c.entries, func(old entry) bool { return old.id == replace })
	if replace > 0 && i >= 0 {
		c.drop(c.entries[i])
		e.id = replace
		c.entries[i] = e
	} else {
		c.last++
		e.id = c.last
		c.entries = append(c.entries, e)
	}
	for len(c.entries) > 1 && (len(c.entries) > entriesMost || c.bytes > bytesMost) {
		c.drop(c.entries[0])
		c.entries = slices.Delete(c.entries, 0, 1)
	}
	return e.id
}

// drop forgets the pictures and files of an entry.
func (c *conversation) drop(e entry) {
	for _, ref := range slices.Concat(e.pictures, e.files) {
		c.bytes -= len(c.blobs[ref.Key].data)
		delete(c.blobs, ref.Key)
	}
}

// say keeps an entry, and tells the desk of a live card what it became: it is
// then shown anew as its pour goes on.
func (b *Bench) say(ctx context.Context, e entry, replace int) (id int, err error) {
	e.at = b.cfg.Now()
	if id, err = b.keep(e, replace); err != nil || !e.ans.Live() {
		return id, err
	}
	inv := b.call()
	inv.Place = b.place()
	// The answer stands, also for a browser that left; at worst it stays as it is.
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), callMost)
	defer cancel()
	if err := b.cfg.Desk.Posted(ctx, inv, e.ans, b.cardName(id)); err != nil {
		b.cfg.Log.Error("keep a live card of the page", "error", err)
	}
	return id, nil
}

// keep puts an entry into the conversation; its pictures and files get names
// that can't be guessed.
func (b *Bench) keep(e entry, replace int) (id int, err error) {
	blobs := map[string]blob{}
	if r := e.ans.Reply; r != nil {
		for _, img := range r.Images {
			key, err := b.draw()
			if err != nil {
				return 0, err
			}
			blobs[key] = blob{name: img.Name, kind: "image/png", data: img.Data}
			e.pictures = append(e.pictures, blobRef{Name: img.Name, Key: key, Alt: img.Alt, Bytes: len(img.Data)})
		}
		for _, f := range r.Files {
			key, err := b.draw()
			if err != nil {
				return 0, err
			}
			blobs[key] = blob{name: f.Name, kind: "application/octet-stream", data: f.Data}
			e.files = append(e.files, blobRef{Name: f.Name, Key: key, Bytes: len(f.Data)})
		}
	}
	return b.said.add(e, blobs, replace), nil
}
