package main

import (
	"context"
	"log/slog"
	"time"

	"github.com/pourwright/pourwright/internal/board"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/shop"
)

// newBoard is the board over a store.
func (p *program) newBoard(db records, log *slog.Logger) (*board.Board, error) {
	return board.New(board.Config{
		Pours: db, Molds: db, Dues: db, Changes: db.Changes, Now: p.Now, Log: log,
		Phase: func(pour shop.Pour, now time.Time) board.Phase { return board.Phase(library.PhaseOf(pour, now)) },
		Coat:  func(m shop.Mold) int { return library.CareOf(m).Due() },
	})
}

// newWall begins to listen for who looks at the boards of shops.
func (p *program) newWall(db records, listen string, log *slog.Logger) (*board.Wall, error) {
	b, err := p.newBoard(db, log)
	if err != nil {
		return nil, err
	}
	wall, err := board.NewWall(b, db, listen)
	if err != nil {
		return nil, misuse{err}
	}
	log.Info("serving boards", "address", wall.Addr())
	return wall, nil
}

// looking is the one member of the bench, as its board sees them.
func (p *program) looking(db records, w console.Who) board.Look {
	return board.Look{Home: "../", Viewer: func(ctx context.Context) (shop.Viewer, bool, error) {
		m, err := db.Member(ctx, w.MemberKey, w.MemberName, p.Now())
		if err != nil {
			return shop.Viewer{}, false, err
		}
		s, err := db.Shop(ctx, w.ShopKey, w.ShopName, m.ID, p.Now())
		if err != nil {
			return shop.Viewer{}, false, err
		}
		manages, err := db.Manages(ctx, m.ID, s.ID)
		return shop.Viewer{Member: m, Shop: s, Manager: manages}, err == nil, err
	}}
}
