package transfer

import (
	"context"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// kept is a record with its profile.
type kept[P any] struct {
	shop.Record
	profile P
}

// shelf is how profiles of one kind are written, read and held against what
// the member keeps.
type shelf[P any] struct {
	kind    Kind
	most    int // characters of a name
	columns []column[P]
	fresh   func() P
	name    func(*P) *string
	check   func(*P) []error
	list    func(context.Context, shop.Viewer) ([]kept[P], error)
	add     func(context.Context, shop.Stamp, []P) error
	edit    func(context.Context, shop.Stamp, int64, int, P) error
	// settle makes references of names, before a profile is held against was,
	// nil for one that is new; it may add notes. nil where there are none.
	settle func(p, was *P) []string
}

// read fills a profile from a row. of is what is kept under that name: columns
// that a table leaves out stay as they are there.
func (s shelf[P]) read(r row, whole map[string]bool, of *P) (P, []Problem) {
	return readRow(s.columns, s.fresh(), r, whole, of, func(p *P) []error {
		name := s.name(p)
		*name = strings.Join(strings.Fields(*name), " ")
		return s.check(p)
	})
}

// readRow fills p from the cells of a row and judges it.
func readRow[P any](columns []column[P], p P, r row, whole map[string]bool, of *P, check func(*P) []error) (P, []Problem) {
	problems := rowProblems(r)
	for _, c := range columns {
		cell, given := r.cell(c.name)
		if !given && of != nil && whole != nil && !whole[c.name] {
			if v := c.get(of); v.said() {
				cell, given = cellOf(v), true
			}
		}
		if !given {
			continue
		}
		if err := c.set(&p, cell); err != nil {
			problems = append(problems, problem(r, c.name, err))
		}
	}
	if len(problems) > 0 {
		return p, problems
	}
	return p, checked(r, columns, check(&p))
}

// rowProblems are those that were found while reading the file.
func rowProblems(r row) []Problem {
	var all []Problem
	for _, err := range r.bad {
		all = append(all, problem(r, fault.As(err).Option, err))
	}
	return all
}

// checked puts what a check found into the columns that it is about.
func checked[P any](r row, columns []column[P], found []error) []Problem {
	if len(found) == 0 {
		return nil
	}
	stems := map[string]string{}
	for _, c := range columns {
		stems[c.stem] = c.name
	}
	var all []Problem
	for _, err := range found {
		column := ""
		if f := fault.As(err); f != nil {
			column = f.Option
		}
		if name, ok := stems[column]; ok {
			column = name
		}
		all = append(all, problem(r, column, err))
	}
	return all
}

// verdicts is what was made of the rows of a kind.
type verdicts[P any] struct {
	Part
	rows []settled[P] // beside Entries
	// taken are the folded names that the member has, own.
	own map[string]kept[P]
}

// settled is a row that was understood; was is nil for what is new.
type settled[P any] struct {
	profile P
	was     *kept[P]
	key     string // of the name, also where the row is refused
}

// look holds rows against what is kept.
func (s shelf[P]) look(ctx context.Context, v shop.Viewer, sheet Sheet) (verdicts[P], error) {
	all, err := s.list(ctx, v)
	if err != nil {
		return verdicts[P]{}, fmt.Errorf("list %s: %w", s.kind, err)
	}
	out := verdicts[P]{Part: Part{Kind: s.kind}, own: map[string]kept[P]{}}
	for _, k := range all {
		if v.MayChange(k.Record) {
			out.own[shop.NameKey(*s.name(&k.profile))] = k
		}
	}
	lines := make(map[string]int, len(sheet.rows))
	out.Entries, out.rows = make([]Entry, 0, len(sheet.rows)), make([]settled[P], 0, len(sheet.rows))
	for _, r := range sheet.rows {
		e, one := s.judge(r, sheet.columns, out.own)
		key := one.key
		if first, twice := lines[key]; twice && e.Name != "" {
			e.Verdict, e.Changes = Refused, nil
			e.Problems = append(e.Problems, Problem{Where: r.place("name"), Message: fmt.Sprintf("%s has that name already", at(sheet, first)), Hint: "give each a name of its own, or keep one of the two"})
		} else {
			lines[key] = r.line
		}
		out.Entries, out.rows = append(out.Entries, e), append(out.rows, one)
	}
	return out, nil
}

func at(s Sheet, line int) string {
	return fmt.Sprintf("the %s of line %d", s.Kind.One(), line)
}

// judge says what comes of one row.
func (s shelf[P]) judge(r row, columns map[string]bool, own map[string]kept[P]) (Entry, settled[P]) {
	name, _ := r.cell("name")
	e := Entry{Line: r.line, Name: strings.Join(strings.Fields(name.text), " ")}
	var was *kept[P]
	var of *P
	key, asked := shop.NameKey(e.Name), e.Name
	if k, ok := own[key]; ok && e.Name != "" {
		was, of = &k, &k.profile
	}
	p, problems := s.read(r, columns, of)
	if e.Name = *s.name(&p); e.Name != asked {
		key = shop.NameKey(e.Name)
	}
	if len(problems) > 0 {
		e.Verdict, e.Problems = Refused, problems
		return e, settled[P]{key: key}
	}
	if s.settle != nil {
		e.Notes = s.settle(&p, of)
	}
	e.Verdict = Fresh
	if was != nil {
		e.Verdict = Same
		if e.Changes = s.changes(of, &p); len(e.Changes) > 0 {
			e.Verdict = Changed
		}
	}
	return e, settled[P]{p, was, key}
}

// changes lists the columns in which two profiles differ.
func (s shelf[P]) changes(from, to *P) []Change {
	var all []Change
	for _, c := range s.columns {
		if a, b := c.get(from), c.get(to); !a.same(b) {
			all = append(all, Change{c.name, a.shown(), b.shown()})
		}
	}
	return all
}

// carry writes what was looked at. renamed tells by their folded names in the
// file what came in under another one.
func (s shelf[P]) carry(ctx context.Context, st shop.Stamp, found *verdicts[P], how Choice) (renamed map[string]string, err error) {
	taken := make(map[string]bool, len(found.own)+len(found.rows))
	for name := range found.own {
		taken[name] = true
	}
	for _, r := range found.rows {
		taken[r.key] = true
	}
	renamed = map[string]string{}
	added := make([]P, 0, found.Count(Fresh))
	for i, e := range found.Entries {
		p, was := found.rows[i].profile, found.rows[i].was
		switch {
		case e.Verdict == Refused:
			found.Done.LeftOut++
		case e.Verdict == Fresh:
			added = append(added, p)
		case e.Verdict == Same || how.OnClash == Skip:
			found.Done.Kept++
		case how.OnClash == AddNew:
			name := s.another(*s.name(&p), taken)
			renamed[found.rows[i].key] = name
			*s.name(&p) = name
			added = append(added, p)
		default:
			if err := s.edit(ctx, st, was.ID, was.Version, p); err != nil {
				return nil, fmt.Errorf("replace one of %s: %w", s.kind, err)
			}
			found.Done.Replaced++
		}
	}
	if err := s.add(ctx, st, added); err != nil {
		return nil, fmt.Errorf("add %s: %w", s.kind, err)
	}
	found.Done.Added = len(added)
	return renamed, nil
}

// another is a name beside one that is taken: "pawn (2)".
func (s shelf[P]) another(name string, taken map[string]bool) string {
	for n := 2; ; n++ {
		mark := fmt.Sprintf(" (%d)", n)
		base := []rune(name)
		if room := s.most - len(mark); len(base) > room {
			base = base[:room]
		}
		next := strings.TrimSpace(string(base)) + mark
		if !taken[shop.NameKey(next)] {
			taken[shop.NameKey(next)] = true
			return next
		}
	}
}
