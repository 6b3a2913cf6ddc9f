package transfer

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Look says of each row of a file what an import would do with it. It writes
// nothing.
func (d *Desk) Look(ctx context.Context, v shop.Viewer, f File) (Report, error) {
	return d.run(ctx, shop.Stamp{By: v}, f, nil)
}

// Import carries a file out: all of it, or, where anything is refused, none.
// Errors: bad_file where rows are refused and are not to be left out;
// missing_option where a name is taken by something else and how does not say
// what then; limit_reached.
func (d *Desk) Import(ctx context.Context, st shop.Stamp, f File, how Choice) (rep Report, err error) {
	err = d.books.Together.Together(ctx, func(b shop.Books) error {
		inner := &Desk{b, d.checks}
		rep, err = inner.run(ctx, st, f, &how)
		return err
	})
	if err != nil {
		return Report{}, err
	}
	return rep, nil
}

// run goes through the kinds in their order, and carries each out where how is
// given.
func (d *Desk) run(ctx context.Context, st shop.Stamp, f File, how *Choice) (Report, error) {
	rep := Report{Left: f.Left}
	o := &outlook{d: d, v: st.By, coming: map[Kind]map[string]bool{}, renamed: map[string]string{}}
	for _, kind := range Kinds() {
		i := slices.IndexFunc(f.Sheets, func(s Sheet) bool { return s.Kind == kind })
		if i < 0 {
			continue
		}
		f.Sheets[i].style.zone = st.By.Zone()
		part, err := o.part(ctx, st, f.Sheets[i], how)
		if err != nil {
			return rep, err
		}
		rep.Parts = append(rep.Parts, part)
		if how == nil {
			o.note(part)
		}
	}
	return rep, nil
}

// part looks at the rows of one kind and carries them out.
func (o *outlook) part(ctx context.Context, st shop.Stamp, s Sheet, how *Choice) (Part, error) {
	if s.Kind == Tints || s.Kind == Pulls || s.Kind == Pours || s.Kind == Containers { // they name other things
		if err := o.see(ctx); err != nil {
			return Part{}, err
		}
	}
	switch s.Kind {
	case Materials:
		return runShelf(ctx, o, o.d.materials(), st, s, how)
	case Molds:
		return runShelf(ctx, o, o.d.molds(), st, s, how)
	case Tints:
		return runShelf(ctx, o, o.d.tints(o.materials), st, s, how)
	case Formulas:
		return runShelf(ctx, o, o.d.formulas(), st, s, how)
	case Pulls:
		part, rows, err := o.lookPulls(ctx, s)
		if err == nil && how != nil {
			if err = refuse(part, *how); err == nil {
				err = o.carryPulls(ctx, st, &part, rows)
			}
		}
		return part, err
	}
	if s.Kind == Containers {
		part, rows, err := o.lookContainers(ctx, s)
		if err == nil && how != nil {
			if err = refuse(part, *how); err == nil {
				err = o.carryContainers(ctx, st, &part, rows)
			}
		}
		return part, err
	}
	part, rows, err := o.lookPours(ctx, s)
	if err == nil && how != nil {
		if err = refuse(part, *how); err == nil {
			err = o.carryPours(ctx, st, &part, rows)
		}
	}
	return part, err
}

func runShelf[P any](ctx context.Context, o *outlook, s shelf[P], st shop.Stamp, sheet Sheet, how *Choice) (Part, error) {
	found, err := s.look(ctx, o.v, sheet)
	if err != nil || how == nil {
		return found.Part, err
	}
	if err := refuse(found.Part, *how); err != nil {
		return found.Part, err
	}
	renamed, err := s.carry(ctx, st, &found, *how)
	for from, to := range renamed {
		o.renamed[from] = to
	}
	return found.Part, err
}

// refuse stops an import that its member has to decide about first.
func refuse(p Part, how Choice) error {
	if bad := p.Count(Refused); bad > 0 && !how.SkipBad {
		return fault.New(fault.BadFile, "%d of %d %s can't be taken, and nothing was changed", bad, len(p.Entries), p.Kind).In("file").
			Hint("%s. Mend them and send the file again, or leave them out with skip_bad:yes", firstProblems(p))
	}
	if n := p.Count(Changed); n > 0 && how.OnClash == "" {
		return fault.New(fault.MissingOption, "%d of %d %s have the name of one that you have and say otherwise, and nothing was changed", n, len(p.Entries), p.Kind).
			In("on_clash").Hint("say on_clash:skip to keep yours, replace to make them a new version of yours, or new to have both").
			Choose(string(Skip), string(Replace), string(AddNew))
	}
	return nil
}

// firstProblems tells of the first rows that are refused.
func firstProblems(p Part) string {
	const most = 3
	var told []string
	for _, e := range p.Entries {
		if e.Verdict == Refused && len(e.Problems) > 0 && len(told) < most {
			told = append(told, fmt.Sprintf("%s: %s", e.Problems[0].Where, e.Problems[0].Message))
		}
	}
	return strings.Join(told, "; ")
}
