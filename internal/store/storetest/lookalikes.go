package storetest

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// lookalikes: a name that looks like another one in sight is refused wherever
// it would come in, and no one else's.
func lookalikes(t *testing.T, open Open) {
	const imitation = "dеmo white" // with a Cyrillic е
	w := usual(t, open)
	w.add(w.ada, "demo white", true)
	w.add(w.ada, "own white", false)

	_, err := w.AddMaterial(w.ctx, by(w.bram), profile(imitation), false)
	mustRefuse(t, "to add", err, fault.NameTaken)
	if f := fault.As(err); f != nil && !strings.Contains(f.Message, "ada's demo white") {
		t.Errorf("the refusal does not tell of which: %s", f.Message)
	}
	mine := w.add(w.bram, "bram's white", false)
	_, err = w.EditMaterial(w.ctx, by(w.bram), mine.ID, 1, profile(imitation))
	mustRefuse(t, "to rename", err, fault.NameTaken)

	// In the yard nothing looks like it; brought to the hall it does.
	inYard := shop.Viewer{Member: w.bram.Member, Shop: w.eve.Shop}
	away, err := w.AddMaterial(w.ctx, by(inYard), profile(imitation), false)
	if err != nil {
		t.Fatalf("where nothing looks like it: %v", err)
	}
	_, err = w.Share(w.ctx, by(w.bram), shop.KindMaterial, away.ID)
	mustRefuse(t, "to share", err, fault.NameTaken)

	for name, v := range map[string]shop.Viewer{
		"demo white": w.bram,    // the same name, which lists tell apart by its owner
		"own whitе":  w.bram,    // looks like one that is out of sight
		"білий":      w.bram,    // looks like nothing else
		"demo whіte": w.eve,     // in another shop
		"DEMO WHITE": w.adaAway, // her own, and plain
	} {
		_, err := w.AddMaterial(w.ctx, by(v), profile(name), false)
		if name == "DEMO WHITE" {
			mustRefuse(t, "her own name again", err, fault.NameTaken)
			continue
		}
		if err != nil {
			t.Errorf("%q: %v", name, err)
		}
	}
	if got := w.names(w.ada); len(got) != 2 {
		t.Errorf("ada sees %q", got)
	}
	// Other kinds are held to the same.
	if _, err := w.AddTint(w.ctx, by(w.ada), tintProfile("brick red"), true); err != nil {
		t.Fatal(err)
	}
	_, err = w.AddTint(w.ctx, by(w.bram), tintProfile("brісk red"), false)
	mustRefuse(t, "a tint", err, fault.NameTaken)
}
