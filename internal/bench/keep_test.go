package bench

import (
	"fmt"
	"sync"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
)

// picture is an entry with one picture of so many bytes.
func picture(key string, n int) (entry, map[string]blob) {
	return entry{asked: key, pictures: []blobRef{{Key: key}}, ans: chat.Answer{}}, map[string]blob{key: {data: make([]byte, n)}}
}

func TestConversationIsBounded(t *testing.T) {
	t.Run("by number", func(t *testing.T) {
		var c conversation
		for i := range entriesMost + 20 {
			e, blobs := picture(fmt.Sprint(i), 1)
			c.add(e, blobs, 0)
		}
		all := c.all()
		if len(all) != entriesMost || len(c.blobs) != entriesMost || c.bytes != entriesMost {
			t.Errorf("%d entries, %d pictures, %d bytes, want %d of each", len(all), len(c.blobs), c.bytes, entriesMost)
		}
		if first, last := all[0].asked, all[entriesMost-1].asked; first != fmt.Sprint(entriesMost+19) || last != "20" {
			t.Errorf("kept %s to %s, want the newest", last, first)
		}
	})
	t.Run("by bytes", func(t *testing.T) {
		var c conversation
		for i := range 10 {
			e, blobs := picture(fmt.Sprint(i), bytesMost/4)
			c.add(e, blobs, 0)
		}
		if len(c.all()) != 4 || c.bytes != bytesMost {
			t.Errorf("%d entries of %d bytes, want 4 of %d", len(c.all()), c.bytes, bytesMost)
		}
	})
	t.Run("but for the last", func(t *testing.T) {
		var c conversation
		e, blobs := picture("large", 2*bytesMost)
		c.add(e, blobs, 0)
		if len(c.all()) != 1 {
			t.Error("an answer that was just given is not kept")
		}
	})
}

func TestConversationReplaces(t *testing.T) {
	var c conversation
	for _, key := range []string{"a", "b", "c"} {
		e, blobs := picture(key, 10)
		c.add(e, blobs, 0)
	}
	e, blobs := picture("new", 5)
	if id := c.add(e, blobs, 2); id != 2 {
		t.Errorf("the entry got number %d, want 2", id)
	}
	if got, _ := c.find(2); got.asked != "new" || len(c.all()) != 3 {
		t.Errorf("entry 2 is %q of %d entries", got.asked, len(c.all()))
	}
	if _, still := c.blob("b"); still || c.bytes != 25 {
		t.Errorf("the picture of the replaced entry is kept: %d bytes", c.bytes)
	}
	if id := c.add(e, nil, 99); id != 4 {
		t.Errorf("an entry in place of one that is gone got number %d, want 4", id)
	}
}

// Pages are read while answers come in.
func TestConversationTogether(t *testing.T) {
	var c conversation
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			for j := range 50 {
				key := fmt.Sprint(i, j)
				e, blobs := picture(key, 3)
				id := c.add(e, blobs, j%3*i)
				c.find(id)
				c.blob(key)
				c.all()
			}
		})
	}
	wg.Wait()
	if len(c.all())*3 != c.bytes {
		t.Errorf("%d entries hold %d bytes, want 3 each", len(c.all()), c.bytes)
	}
}

func TestLabel(t *testing.T) {
	for option, want := range map[string]string{"material": "Material", "cup_size": "Cup size", "density_a": "Density A", "a": "A", "a-left": "A left"} {
		if got := label(option); got != want {
			t.Errorf("label(%q) = %q, want %q", option, got, want)
		}
	}
}

// What leads is short, and a long fact has a row of its own.
func TestFactsAreShared(t *testing.T) {
	long := "1:1 by weight, silicone addition, pot life 35 min"
	tests := []struct {
		name             string
		texts            []string
		lead, facts, all int
		rows             bool
	}{
		{"none", nil, 0, 0, 0, false},
		{"two", []string{"1 g", "2 g"}, 2, 0, 2, false},
		{"eleven", []string{"1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11"}, 3, 5, 11, false},
		{"a long one first", []string{long, "2"}, 0, 2, 2, true},
		{"a long one second", []string{"1", long, "3"}, 1, 2, 3, true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			facts := make([]factView, len(tt.texts))
			for i, text := range tt.texts {
				facts[i].Text = text
			}
			var v replyView
			v.share(facts)
			if len(v.Lead) != tt.lead || len(v.Facts) != tt.facts || len(v.Lead)+len(v.Facts)+len(v.More) != tt.all || v.Rows != tt.rows {
				t.Errorf("%d lead, %d follow, %d more, rows %t; want %d, %d of %d, %t", len(v.Lead), len(v.Facts), len(v.More), v.Rows, tt.lead, tt.facts, tt.all, tt.rows)
			}
		})
	}
}
