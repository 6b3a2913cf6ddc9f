package commands

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/diagnose"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file reads what is on record of a pour that went wrong.

// troubleBook is what the books say of a pour.
type troubleBook struct {
	diagnose.Record
	mold shop.Mold // zero where there is none, or it is gone
	jugs []string  // that it drew from, with their lots
}

// bookOf gathers a pour's record: its plan, what was found at it, its
// material's figures as they were, and its mold as it was then.
func (t troubleCommand) bookOf(ctx context.Context, c *chat.Call, p shop.Pour, jugs []jugLog) (b troubleBook, err error) {
	room := p.Room
	b.Record = diagnose.Record{
		Thickest: p.Thickest, Thinnest: p.Thinnest, Mass: p.Mass, Room: &room, Resin: p.Resin, Mold: p.MoldTemp,
		Humidity: c.By.Shop.Set.Humidity, Coats: p.Coats, Recoat: library.Recoat(p.Foreseen), CoatGaps: coatGaps(p), Tint: tintOf(p),
		Demold: p.Foreseen.Demold, Cool: p.Foreseen.Cool, Peak: p.Foreseen.Peak,
		Failed: p.State == shop.PourFailed, System: c.By.System(),
	}
	for _, a := range p.Answers {
		b.SoftAt = max(b.SoftAt, a.SoftAt)
	}
	if p.State == shop.PourDone {
		b.OutAt = p.Ended.Sub(p.CoatedAt()).Seconds()
	}
	if p.MaterialID != 0 {
		m, err := t.Materials.Material(ctx, c.By, p.MaterialID, p.MaterialVersion)
		switch {
		case fault.As(err) != nil: // gone, or not shared any more
		case err != nil:
			return b, fmt.Errorf("fetch the material of a pour: %w", err)
		default:
			b.Material, b.OpenMost = m.Profile, spanDays(m.ShelfOpened)
		}
	}
	b.drewFrom(p, jugs)
	return b, t.moldThen(ctx, c, p, &b)
}

// jugLog is a container with what was taken from it.
type jugLog struct {
	shop.Container
	log []shop.StockEvent
}

// jugLogs are those of a material; none of material 0.
func (t troubleCommand) jugLogs(ctx context.Context, c *chat.Call, material int64) (logs []jugLog, err error) {
	if material == 0 {
		return nil, nil
	}
	all, err := t.Stock.Containers(ctx, c.By, material)
	if err != nil {
		return nil, fmt.Errorf("list containers: %w", err)
	}
	const most = 500 // entries of one container; a jug holds fewer pours
	for _, one := range all {
		log, err := t.Stock.ContainerLog(ctx, c.By, one.ID, most)
		if err != nil {
			return nil, fmt.Errorf("read the log of a container: %w", err)
		}
		logs = append(logs, jugLog{one, log})
	}
	return logs, nil
}

// drewFrom fills in the lots that a pour drew from, and how long its jug had
// been open then, the oldest of several; nothing where the shelf does not tell.
func (b *troubleBook) drewFrom(p shop.Pour, jugs []jugLog) {
	for _, one := range jugs {
		if !slices.ContainsFunc(one.log, func(e shop.StockEvent) bool { return e.Pour == p.ID }) {
			continue
		}
		name := jugName(one.Container)
		if one.Lot != "" {
			name += " of lot " + one.Lot
		}
		b.jugs = append(b.jugs, name)
		days := p.Started.Sub(one.OpenedOn).Hours() / 24
		if !one.OpenedOn.IsZero() && days >= 0 && (b.OpenDays == nil || days > *b.OpenDays) {
			b.OpenDays = &days
		}
	}
}

// moldThen fills in the mold of a pour as it was when it was filled. Of several
// molds nothing is said: which of them is meant is not known.
func (t troubleCommand) moldThen(ctx context.Context, c *chat.Call, p shop.Pour, b *troubleBook) error {
	fills := p.InMolds()
	if len(fills) != 1 || fills[0].Mold == 0 {
		return nil
	}
	m, err := t.Molds.Mold(ctx, c.By, fills[0].Mold, 0)
	if fault.As(err) != nil {
		return nil
	}
	if err != nil {
		return fmt.Errorf("fetch the mold of a pour: %w", err)
	}
	const most = 500 // marks; a mold does not last longer
	marks, err := t.Pulls.MoldMarks(ctx, c.By, m.ID, most)
	if err != nil {
		return fmt.Errorf("list the log of a mold: %w", err)
	}
	b.mold, b.MoldFamily, b.MoldWall = m, m.Family, m.Wall
	b.MoldLife = moldcare.PriorOf(moldcare.Family(m.Family)).Median
	b.CoatEvery = m.ReleaseEvery
	if b.CoatEvery == 0 {
		b.CoatEvery = moldcare.ReleaseEvery
	}
	pulls, coat := m.Pulls, m.LastCoat
	for i := len(marks) - 1; i >= 0; i-- { // oldest first
		mark := marks[i]
		if mark.At.After(p.Started) {
			break
		}
		pulls = mark.Number
		if mark.What == shop.MarkCoat {
			coat = mark.Number
			age := p.Started.Sub(mark.At).Seconds()
			b.CoatAge = &age
		}
	}
	since := max(pulls-coat, 0)
	if since > 0 {
		b.CoatAge = nil // casts came between
	}
	b.MoldPulls, b.SinceCoat = &pulls, &since
	if !m.MadeOn.IsZero() && !m.MadeOn.After(p.Started) {
		days := p.Started.Sub(m.MadeOn).Hours() / 24
		b.MoldDays = &days
	}
	return nil
}

// coatGaps are the times between a pour's coats in s.
func coatGaps(p shop.Pour) (gaps []float64) {
	last := p.Started
	for _, e := range p.Log {
		if e.What == shop.EventCoat {
			gaps = append(gaps, e.At.Sub(last).Seconds())
			last = e.At
		}
	}
	return gaps
}

// tintOf is the share of tint in a pour's mix, nil where it is not known.
func tintOf(p shop.Pour) *float64 {
	sum := 0.0
	for _, d := range p.Doses {
		sum += d.Share
	}
	if sum == 0 && p.Tint != "" {
		return nil
	}
	return &sum
}

func spanDays(s material.Span) float64 {
	const month = 365.2425 / 12
	return float64(s.Months)*month + float64(s.Days)
}

// recentTrouble finds a pour of the member's that went wrong of late.
func (t troubleCommand) recentTrouble(ctx context.Context, c *chat.Call) (shop.Pour, bool, error) {
	const most, late = 25, 14 * 24 * time.Hour
	all, err := t.Pours.Pours(ctx, c.By, most)
	if err != nil {
		return shop.Pour{}, false, fmt.Errorf("list pours: %w", err)
	}
	var best shop.Pour
	for _, p := range all {
		if spoiledPour(p, c.At) && c.At.Sub(p.Ended) < late && p.Ended.After(best.Ended) {
			best = p
		}
	}
	return best, best.ID != 0, nil
}
