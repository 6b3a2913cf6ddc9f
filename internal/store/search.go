package store

import (
	"context"
	"database/sql"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
)

// searchMost bounds how many materials a search gives in full.
const searchMost = 100

// conditions is the part of a search that is SQL: what follows the rule of
// sight, with its values.
type conditions struct {
	text strings.Builder
	args []any
}

func (c *conditions) and(text string, args ...any) {
	c.text.WriteString(" AND " + text)
	c.args = append(c.args, args...)
}

// asked adds what is known of every material: words and families.
func (c *conditions) asked(q shop.MaterialQuery) {
	if len(q.IDs) > 0 {
		c.and("r.id IN ("+marks(len(q.IDs))+")", anys(q.IDs)...)
	} else {
		for _, w := range q.Words {
			c.word(w)
		}
	}
	if len(q.Families) > 0 {
		c.and("r.family IN ("+marks(len(q.Families))+")", anys(q.Families)...)
	}
}

// word wants the word in the name, the family or the color. Names are kept
// folded, colors in capitals; a family is one of few.
func (c *conditions) word(w string) {
	text, args := "(instr(r.name_key, ?) > 0 OR instr(r.cured_color, ?) > 0", []any{shop.NameKey(w), strings.ToUpper(w)}
	for _, f := range material.Families() {
		if strings.Contains(string(f), strings.ToLower(w)) {
			text, args = text+" OR r.family = ?", append(args, f)
		}
	}
	c.and(text+")", args...)
}

// figures gives the conditions on what a profile may leave unsaid, and the
// columns that they are on. With silent what is not said passes too.
func figures(q shop.MaterialQuery, silent bool) (c *conditions, columns []string) {
	c = &conditions{}
	add := func(column string, text string, args ...any) {
		columns = append(columns, column)
		if silent {
			text = "(" + column + " IS NULL OR " + text + ")"
		}
		c.and(text, args...)
	}
	for _, f := range []struct {
		column string
		shop.Bounds
	}{{"r.pot_life", q.PotLife}, {"r.demold", q.Demold}, {"r.cost", q.Cost}} {
		if !f.Open() {
			text, args := within(f.column, f.Bounds)
			add(f.column, text, args...)
		}
	}
	if len(q.Hardness) > 0 {
		text, args := onScale(q.Hardness)
		add("r.shore", text, args...)
	}
	return c, columns
}

// onScale wants a reading within the bounds of its scale, which is read once.
func onScale(asked []shop.ShoreBounds) (text string, args []any) {
	text = "CASE r.shore_scale"
	for i, h := range asked {
		if slices.ContainsFunc(asked[:i], func(b shop.ShoreBounds) bool { return b.Scale == h.Scale }) {
			continue
		}
		var either []string
		args = append(args, h.Scale)
		for _, same := range asked[i:] {
			if same.Scale == h.Scale {
				in, bounds := within("r.shore", same.Bounds)
				either, args = append(either, in), append(args, bounds...)
			}
		}
		text += " WHEN ? THEN " + strings.Join(either, " OR ")
	}
	return text + " END", args
}

// slack forgives the last digit of what was converted from another unit.
const slack = 1e-9

// within wants a figure that is said and in bounds: no comparison with what is
// unsaid is true.
func within(column string, b shop.Bounds) (text string, args []any) {
	if b.Open() {
		return column + " IS NOT NULL", nil
	}
	var parts []string
	if b.Low != nil {
		parts, args = append(parts, column+" >= ?"), append(args, *b.Low-slack*math.Abs(*b.Low))
	}
	if b.High != nil {
		parts, args = append(parts, column+" <= ?"), append(args, *b.High+slack*math.Abs(*b.High))
	}
	return strings.Join(parts, " AND "), args
}

func marks(n int) string { return strings.TrimPrefix(strings.Repeat(", ?", n), ", ") }

func anys[T any](list []T) []any {
	out := make([]any, len(list))
	for i, v := range list {
		out[i] = v
	}
	return out
}

// sorted is the order of what is found: by the figure or by how well the words
// fit, and then that of every list.
func sorted(v shop.Viewer, q shop.MaterialQuery) (text string, args []any) {
	text, args = ordered(v)
	first := figureOrder[q.Sort]
	if q.Sort == shop.SortName && len(q.Words) > 0 && len(q.IDs) == 0 {
		whole := shop.NameKey(strings.Join(q.Words, " "))
		first = "CASE WHEN r.name_key = ? THEN 0 WHEN instr(r.name_key, ?) = 1 THEN 1 WHEN instr(' ' || r.name_key, ' ' || ?) > 0 THEN 2 ELSE 3 END, "
		args = append([]any{whole, whole, whole}, args...)
	}
	return strings.Replace(text, "ORDER BY ", "ORDER BY "+first, 1), args
}

var figureOrder = map[shop.MaterialSort]string{
	shop.SortPotLife:  "r.pot_life, ",
	shop.SortDemold:   "r.demold, ",
	shop.SortCost:     "r.cost, ",
	shop.SortHardness: "CASE r.shore_scale WHEN '00' THEN 0 WHEN 'A' THEN 1 ELSE 2 END, r.shore, ",
}

// SearchMaterials looks through the newest versions of what the viewer may see.
// It reads profiles only of what it gives.
func (s *Store) SearchMaterials(ctx context.Context, v shop.Viewer, q shop.MaterialQuery) (found shop.MaterialsFound, err error) {
	err = s.snapshot(ctx, func(ses *session) error {
		found, err = searchMaterials(ctx, ses, v, q)
		return err
	})
	return kept(found, err)
}

func searchMaterials(ctx context.Context, ses *session, v shop.Viewer, q shop.MaterialQuery) (found shop.MaterialsFound, err error) {
	if err := countFound(ctx, ses, v, q, &found); err != nil || found.All == 0 {
		return found, err
	}
	fit, _ := figures(q, false)
	fit.asked(q)
	order, orderArgs := sorted(v, q)
	var ids []int64
	top := materials.seenBare(v, "r.id", fit.text.String()+" "+order+" LIMIT ?",
		append(append(fit.args, orderArgs...), min(max(q.Most, 1), searchMost))...)
	err = ses.each(ctx, top, func(scan func(...any) error) error {
		var id int64
		err := scan(&id)
		ids = append(ids, id)
		return err
	})
	if err != nil {
		return found, fmt.Errorf("search materials: %w", err)
	}
	found.Materials, err = materialsByID(ctx, ses, v, ids)
	return found, err
}

// countFound counts what fits and what may fit but does not say. It is a
// statement of its own: to count beside the order, the database would keep all
// that fits instead of the best few, which takes longer than to look twice.
func countFound(ctx context.Context, ses *session, v shop.Viewer, q shop.MaterialQuery, found *shop.MaterialsFound) error {
	loose, columns := figures(q, true)
	loose.asked(q)
	said := "count(*)"
	if len(columns) > 0 {
		said += " FILTER (WHERE " + strings.Join(columns, " IS NOT NULL AND ") + " IS NOT NULL)"
	}
	var all int
	if _, err := ses.one(ctx, materials.seenBare(v, said+", count(*)", loose.text.String(), loose.args...), &found.All, &all); err != nil {
		return fmt.Errorf("count found materials: %w", err)
	}
	found.Silent = all - found.All
	return nil
}

// materialsByID gives the newest versions of those, in that order.
func materialsByID(ctx context.Context, ses *session, v shop.Viewer, ids []int64) ([]shop.Material, error) {
	if len(ids) == 0 {
		return nil, nil
	}
	at := make(map[int64]int, len(ids))
	for i, id := range ids {
		at[id] = i
	}
	all := make([]shop.Material, len(ids))
	st := materials.seenVersions(v, recordColumns, "AND n.number = r.version AND r.id IN ("+marks(len(ids))+")", anys(ids)...)
	err := ses.each(ctx, st, func(scan func(...any) error) error {
		rec, err := read[material.Profile](scan)
		if err == nil {
			all[at[rec.ID]] = asMaterial(rec)
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("read what was found: %w", err)
	}
	return all, nil
}

// SearchNames gives id and name of all that fit but for the words. They come
// as two texts in one order, which is many times as quick as row by row; a kept
// name holds no line end.
func (s *Store) SearchNames(ctx context.Context, v shop.Viewer, q shop.MaterialQuery) ([]shop.Entry, error) {
	q.Words, q.IDs = nil, nil
	c, _ := figures(q, false)
	c.asked(q)
	var ids, names sql.NullString
	st := materials.seenBare(v, "string_agg(CAST(r.id AS TEXT), '\n'), string_agg(r.name, '\n')", c.text.String(), c.args...)
	if _, err := s.reading().one(ctx, st, &ids, &names); err != nil {
		return nil, fmt.Errorf("search names of materials: %w", err)
	}
	if !ids.Valid {
		return nil, nil // nothing was found at all
	}
	all := make([]shop.Entry, 0, strings.Count(ids.String, "\n")+1)
	rest := names.String
	for id := range strings.SplitSeq(ids.String, "\n") {
		name, after, _ := strings.Cut(rest, "\n")
		n, err := strconv.ParseInt(id, 10, 64)
		if err != nil {
			return nil, fmt.Errorf("search names of materials: id %q: %w", id, err)
		}
		all, rest = append(all, shop.Entry{ID: n, Name: name}), after
	}
	return all, nil
}
