package storetest

import (
	"regexp"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// boards: a manager makes the address of a shop's board, which opens that shop
// and no other until it is made again or taken back.
func boards(t *testing.T, open Open) {
	w := usual(t, open)
	opens := func(token string, want shop.ID) {
		t.Helper()
		got, ok, err := w.BoardShop(w.ctx, token)
		if err != nil || ok != (want != 0) || got.ID != want {
			t.Errorf("%.6s… opens %+v, %v, %v; want shop %d", token, got, ok, err, want)
		}
	}
	make := func(v shop.Viewer) string {
		t.Helper()
		token, err := w.MakeBoard(w.ctx, by(v))
		if err != nil {
			t.Fatal(err)
		}
		return token
	}
	for who, v := range map[string]shop.Viewer{"a member": w.bram, "a manager of another shop": w.adaAway, "nobody": {Shop: w.ada.Shop}} {
		token, err := w.MakeBoard(w.ctx, by(v))
		mustRefuse(t, who+" makes one", err, fault.NotAllowed)
		if token != "" {
			t.Errorf("%s was told %q", who, token)
		}
		mustRefuse(t, who+" takes one back", w.RevokeBoard(w.ctx, by(v)), fault.NotAllowed)
	}
	mustRefuse(t, "take back what is not there", w.RevokeBoard(w.ctx, by(w.ada)), fault.NotFound)
	if b, ok, err := w.Board(w.ctx, w.ada); ok || err != nil {
		t.Errorf("a board before it is made: %+v, %v", b, err)
	}

	hall, yard := make(w.ada), make(w.eve)
	if form := regexp.MustCompile(`^[a-z2-7]{32}$`); !form.MatchString(hall) || !form.MatchString(yard) || hall == yard {
		t.Errorf("addresses %q and %q", hall, yard)
	}
	opens(hall, w.ada.Shop.ID)
	opens(yard, w.eve.Shop.ID)
	opens("", 0)
	opens("%", 0)
	opens(hall[:31], 0)
	if b, ok, err := w.Board(w.ctx, w.bram); !ok || err != nil || b != (shop.Board{By: "ada", Made: at}) {
		t.Errorf("the hall's board: %+v, %v, %v", b, ok, err)
	}

	again := make(w.ada)
	opens(hall, 0)
	opens(again, w.ada.Shop.ID)
	if err := w.RevokeBoard(w.ctx, by(w.ada)); err != nil {
		t.Fatal(err)
	}
	opens(again, 0)
	opens(yard, w.eve.Shop.ID)
}

// boardsOutlive: the board stays with the shop when who made it is erased.
func boardsOutlive(t *testing.T, open Open) {
	w := usual(t, open)
	token, err := w.MakeBoard(w.ctx, by(w.ada))
	if err != nil {
		t.Fatal(err)
	}
	if got := exported(t, w, w.ada); len(got.Boards) != 1 || got.Boards[0].Shop != "The Hall" {
		t.Errorf("ada's export: %+v", got.Boards)
	}
	if err := w.Erase(w.ctx, by(w.ada)); err != nil {
		t.Fatal(err)
	}
	if b, ok, err := w.Board(w.ctx, w.bram); !ok || err != nil || b.By != "" {
		t.Errorf("the board of who is gone: %+v, %v, %v", b, ok, err)
	}
	if s, ok, err := w.BoardShop(w.ctx, token); !ok || err != nil || s.ID != w.ada.Shop.ID {
		t.Errorf("it opens %+v, %v, %v", s, ok, err)
	}
}

// changes: each commit is counted and wakes who waits, a refusal is not.
func changes(t *testing.T, open Open) {
	w := usual(t, open)
	before, next := w.Changes()
	if _, err := w.AddMaterial(w.ctx, under(shop.Viewer{}, "x"), profile("x"), true); err == nil {
		t.Fatal("a material of nobody was taken")
	}
	select {
	case <-next:
		t.Error("a refused write woke who waits")
	default:
	}
	w.add(w.ada, "white", false)
	select {
	case <-next:
	case <-time.After(5 * time.Second):
		t.Error("a write woke nobody")
	}
	if after, _ := w.Changes(); after != before+1 {
		t.Errorf("%d commits, then %d", before, after)
	}
	if err := w.Together(w.ctx, func(b shop.Books) error {
		for _, name := range []string{"one", "two"} {
			if _, err := b.Materials.AddMaterial(w.ctx, by(w.ada), profile(name), false); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	if after, _ := w.Changes(); after != before+2 {
		t.Errorf("two writes together count %d commits", after-before-1)
	}
}
