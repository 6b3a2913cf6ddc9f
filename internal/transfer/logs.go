package transfer

import (
	"context"
	"fmt"
	"math"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// every is above what is kept of one member.
const every = math.MaxInt32

// lookPulls holds marks against the logs of the member's molds. A mark that is
// there already is the same; a log grows at its end alone.
func (o *outlook) lookPulls(ctx context.Context, sheet Sheet) (Part, []pull, error) {
	part := Part{Kind: Pulls}
	var rows []pull
	logs := map[string]*moldLog{}
	for _, r := range sheet.rows {
		p, problems := readRow(pullColumns(), newPull(), r, nil, nil, checkPull)
		e := Entry{Line: r.line, Name: p.Mold, Problems: problems, Verdict: Fresh}
		if len(problems) == 0 {
			if name, ok := o.renamed[shop.NameKey(p.Mold)]; ok {
				p.Mold = name
			}
			log, err := o.logOf(ctx, logs, p.Mold)
			if err != nil {
				return part, nil, err
			}
			e.Verdict, e.Problems = log.judge(r, p)
		}
		if len(e.Problems) > 0 {
			e.Verdict = Refused
		}
		part.Entries, rows = append(part.Entries, e), append(rows, p)
	}
	return part, rows, nil
}

// moldLog is what a mold's log holds.
type moldLog struct {
	known bool
	marks map[markKey]int
	last  time.Time
}

// markKey is what makes two marks the same one.
type markKey struct {
	what, why string
	at        int64
}

func keyOf(m shop.MoldMark) markKey { return markKey{m.What, m.Why, m.At.UnixMilli()} }

// logOf gives the log of the member's mold of that name, read once.
func (o *outlook) logOf(ctx context.Context, logs map[string]*moldLog, name string) (*moldLog, error) {
	key := shop.NameKey(name)
	if l, ok := logs[key]; ok {
		return l, nil
	}
	l := &moldLog{known: o.coming[Molds][key], marks: map[markKey]int{}}
	logs[key] = l
	m, ok := o.molds[key]
	if !ok || !o.v.MayChange(m.Record) {
		return l, nil
	}
	l.known = true
	marks, err := o.d.books.Pulls.MoldMarks(ctx, o.v, m.ID, every)
	if err != nil {
		return nil, fmt.Errorf("read the log of a mold: %w", err)
	}
	for _, m := range marks {
		l.marks[keyOf(m)]++
	}
	if len(marks) > 0 {
		l.last = marks[0].At
	}
	return l, nil
}

// judge says what comes of one mark.
func (l *moldLog) judge(r row, p pull) (Verdict, []Problem) {
	switch {
	case !l.known:
		return Refused, []Problem{{Where: r.place("mold"), Message: "no mold of yours is called " + shown(p.Mold), Hint: "bring your molds first, or add it with /mold add"}}
	case l.marks[keyOf(p.MoldMark)] > 0:
		l.marks[keyOf(p.MoldMark)]--
		return Same, nil
	case p.At.Before(l.last):
		return Refused, []Problem{{Where: r.place("at"), Message: "the log of " + shown(p.Mold) + " goes on after that time",
			Hint: "a log grows at its end alone: /mold edit with pulls sets the count right"}}
	}
	return Fresh, nil
}

// carryPulls writes the marks that are new.
func (o *outlook) carryPulls(ctx context.Context, st shop.Stamp, part *Part, rows []pull) error {
	by := map[int64][]shop.MoldMark{}
	var order []int64
	for i, e := range part.Entries {
		switch e.Verdict {
		case Refused:
			part.Done.LeftOut++
			continue
		case Same:
			part.Done.Kept++
			continue
		}
		m := o.molds[shop.NameKey(rows[i].Mold)]
		if _, ok := by[m.ID]; !ok {
			order = append(order, m.ID)
		}
		by[m.ID] = append(by[m.ID], rows[i].MoldMark)
	}
	for _, id := range order {
		m, err := o.d.books.Molds.Mold(ctx, o.v, id, 0)
		if err != nil {
			return fmt.Errorf("find a mold: %w", err)
		}
		marks := numbered(by[id], m.PullsSoFar())
		if err := o.d.books.Bulk.KeepMarks(ctx, st, id, marks); err != nil {
			return fmt.Errorf("keep the log of a mold: %w", err)
		}
		part.Done.Added += len(marks)
	}
	return nil
}

// numbered counts on where a mark does not say its number.
func numbered(marks []shop.MoldMark, pulls int) []shop.MoldMark {
	for i := range marks {
		m := &marks[i]
		if m.Number == unnumbered {
			m.Number = pulls
			if m.What != shop.MarkCoat {
				m.Number++
			}
		}
		pulls = m.Number
	}
	return marks
}

// lookPours holds pours against those that are kept.
func (o *outlook) lookPours(ctx context.Context, sheet Sheet) (Part, []pour, error) {
	part := Part{Kind: Pours}
	past, err := o.d.books.Pours.Pours(ctx, o.v, every)
	if err != nil {
		return part, nil, fmt.Errorf("list pours: %w", err)
	}
	kept := map[string]int64{}
	for _, p := range past {
		kept[pourKey(p)] = p.ID
	}
	seen := map[string]int{}
	var rows []pour
	for _, r := range sheet.rows {
		p, problems := readRow(pourColumns(), newPour(), r, nil, nil, func(p *pour) []error {
			p.answerTimes()
			return checkPour(p)
		})
		e := Entry{Line: r.line, Name: p.Material, Problems: problems, Verdict: Fresh}
		if len(problems) == 0 {
			e.Notes = o.settle(&p)
			key := pourKey(p.Pour)
			if first, twice := seen[key]; twice {
				e.Problems = []Problem{{Where: r.place("started"), Message: fmt.Sprintf("%s is of the same material and mold, and of the same time", at(sheet, first)), Hint: "keep one of the two"}}
			}
			seen[key] = r.line
			if id, ok := kept[key]; ok && len(e.Problems) == 0 {
				if e.Verdict, e.Problems, err = o.again(ctx, r, p, id); err != nil {
					return part, nil, err
				}
			}
		}
		if len(e.Problems) > 0 {
			e.Verdict = Refused
		}
		part.Entries, rows = append(part.Entries, e), append(rows, p)
	}
	return part, rows, nil
}

func pourKey(p shop.Pour) string {
	return fmt.Sprint(shop.NameKey(p.Material), "\n", shop.NameKey(p.Mold), "\n", p.Started.UnixMilli())
}

// again holds a pour against the one that is kept: what was logged is not
// written anew.
func (o *outlook) again(ctx context.Context, r row, p pour, id int64) (Verdict, []Problem, error) {
	was, err := o.d.books.Pours.Pour(ctx, o.v, id)
	if err != nil {
		return Refused, nil, fmt.Errorf("find a pour: %w", err)
	}
	known := o.asPour(was)
	for _, c := range pourColumns() {
		if a, b := c.get(&known), c.get(&p); c.name != "profile" && !a.same(b) {
			return Refused, []Problem{{Where: r.place(c.name), Message: fmt.Sprintf("that pour is kept with %s, and not with %s", a.shown(), b.shown()),
				Hint: "a log is not written anew: leave the row out"}}, nil
		}
	}
	return Same, nil, nil
}

// settle finds what a pour names, here.
func (o *outlook) settle(p *pour) (notes []string) {
	if p.Profile != "" {
		key := o.nowCalled(p.Profile)
		m, ok := o.materials[key]
		switch {
		case ok:
			p.MaterialID, p.MaterialVersion = m.ID, m.Version
		case !o.coming[Materials][key]:
			notes = append(notes, "No material here is called "+shown(p.Profile)+": the pour keeps its figures and teaches nothing.")
		}
	}
	if p.Mold != "" {
		p.MoldID = o.molds[o.nowCalled(p.Mold)].ID
	}
	for i, f := range p.Fills {
		p.Fills[i].Mold = o.molds[o.nowCalled(f.Name)].ID
	}
	for i, dose := range p.Doses {
		t := o.tints[o.nowCalled(dose.Name)]
		p.Doses[i].Tint, p.Doses[i].Version = t.ID, t.Version
	}
	return notes
}

// carryPours writes the pours that are new.
func (o *outlook) carryPours(ctx context.Context, st shop.Stamp, part *Part, rows []pour) error {
	var added []shop.Pour
	for i, e := range part.Entries {
		switch e.Verdict {
		case Refused:
			part.Done.LeftOut++
		case Same:
			part.Done.Kept++
		default:
			added = append(added, rows[i].Pour)
		}
	}
	if err := o.d.books.Bulk.KeepPours(ctx, st, added); err != nil {
		return fmt.Errorf("keep pours: %w", err)
	}
	part.Done.Added = len(added)
	return nil
}
