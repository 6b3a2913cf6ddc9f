package commands

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file is /shop board: the address of the page that hangs on the shop's
// wall. An answer with the address is always the asker's alone, so the sub has
// no show.

const (
	makeBoard   = "make"
	revokeBoard = "revoke"
)

func (s shopCommand) boardSub() chat.Sub {
	return chat.Sub{
		Name: "board", Help: "the page for the shop's wall; managers make and revoke its address", Writes: true, Run: s.board,
		Options: []chat.Option{{Name: "do", Help: "for managers: a new address, or none any more", Kind: chat.OneWord, Like: makeBoard,
			Choices: []chat.Choice{{Value: makeBoard, Label: "make: a new address, the old one ends"}, {Value: revokeBoard, Label: "revoke: the address works no more"}}}},
	}
}

func (s shopCommand) board(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	was, has, err := s.Boards.Board(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("look for the board: %w", err)
	}
	do := c.Text("do")
	if do == "" {
		return s.boardNow(c, was, has), nil
	}
	if !c.By.Manager {
		return nil, fault.New(fault.NotAllowed, "only a manager of %s can make or take back its board", c.By.Shop.Name).In("do").
			Hint("/shop show names the managers; ask one of them")
	}
	if do == revokeBoard {
		if err := s.Boards.RevokeBoard(ctx, c.Stamp()); err != nil {
			return nil, fmt.Errorf("revoke the board: %w", err)
		}
		return &chat.Reply{Title: "The board's address works no more", Notes: []string{"Pages that were open show nothing any more."},
			Actions: []chat.Action{{Label: "Make a new address", Line: boardLine(makeBoard)}}}, nil
	}
	token, err := s.Boards.MakeBoard(ctx, c.Stamp())
	if err != nil {
		return nil, fmt.Errorf("make a board: %w", err)
	}
	return s.boardMade(c, token, has), nil
}

func boardLine(do string) string {
	return chat.FormatLine("shop board", map[string]string{"do": do}, nil)
}

// boardNow tells whether there is a board, to members too: what they share may
// hang on a wall.
func (s shopCommand) boardNow(c *chat.Call, was shop.Board, has bool) *chat.Reply {
	r := &chat.Reply{Title: c.By.Shop.Name + " has no board on its wall", Notes: []string{shown}}
	make := "Make its address"
	if has {
		by := was.By
		if by == "" {
			by = "a former member"
		}
		r.Title = c.By.Shop.Name + " has a board for its wall"
		r.Facts = []chat.Fact{
			{Key: "made", Label: "Address made", Value: was.Made.UTC().Format("2006-01-02T15:04:05Z07:00"), Text: library.When(c, was.Made)},
			{Key: "made_by", Label: "By", Value: by, Text: by},
		}
		r.Notes = append(r.Notes, "The address itself was told once, to who made it, and is not kept.")
		make = "Make a new address"
	}
	s.whereBoard(r)
	if c.By.Manager {
		r.Actions = append(r.Actions, chat.Action{Label: make, Line: boardLine(makeBoard)})
		if has {
			r.Actions = append(r.Actions, chat.Action{Label: "Take the address back", Line: boardLine(revokeBoard)})
		}
	}
	return r
}

const shown = "A board shows the pours and molds that members share with the shop, with their names, and nothing else."

func (s shopCommand) boardMade(c *chat.Call, token string, again bool) *chat.Reply {
	r := &chat.Reply{
		Title: "The board of " + c.By.Shop.Name + " has an address",
		Notes: []string{shown, "Whoever has the address can look, without a login. It is told this once: open it on the wall now, and hand it to nobody else."},
	}
	path := s.place.BoardPath(token)
	if s.place.BoardAt == "" {
		r.Facts = []chat.Fact{{Key: "path", Label: "Open this path on your board's address", Value: path, Text: path}}
	} else {
		r.Facts = []chat.Fact{{Key: "address", Label: "Open this on the wall", Value: s.place.BoardAt + path, Text: s.place.BoardAt + path}}
	}
	if again {
		r.Notes = append(r.Notes, "The address before works no more.")
	}
	s.whereBoard(r)
	r.Actions = []chat.Action{{Label: "Take it back", Line: boardLine(revokeBoard)}}
	return r
}

// whereBoard says what is missing for anyone to see a board.
func (s shopCommand) whereBoard(r *chat.Reply) {
	switch {
	case !s.place.Board:
		r.Notes = append(r.Notes, `No board is served yet: whoever runs this helper sets board_listen, such as "127.0.0.1:8090" in pourwright.toml, and starts serve again.`)
	case s.place.BoardAt == "":
		r.Notes = append(r.Notes, "Its address begins with the name or number by which the machine is reached, and the port of board_listen.")
	}
}
