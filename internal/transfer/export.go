package transfer

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
)

// Made is a file that an export made.
type Made struct {
	Name string
	Data []byte
	Rows map[Kind]int
}

// table is the rows of a kind as they are written.
type table struct {
	kind  Kind
	heads []head
	rows  [][]value
}

// Export writes the viewer's own things of those kinds: one JSON file, or a
// CSV file for each kind.
func (d *Desk) Export(ctx context.Context, v shop.Viewer, kinds []Kind, f Format) ([]Made, error) {
	o := &outlook{d: d, v: v}
	var tables []table
	for _, k := range Kinds() {
		if !slices.Contains(kinds, k) {
			continue
		}
		t, err := o.gather(ctx, k)
		if err != nil {
			return nil, err
		}
		tables = append(tables, t)
	}
	return write(tables, f)
}

// ExportMaterial writes one material that the viewer sees.
func (d *Desk) ExportMaterial(m shop.Material, f Format) ([]Made, error) {
	columns := materialColumns()
	return write([]table{tableOf(Materials, columns, []material.Profile{m.Profile})}, f)
}

// gather reads what is to be written of a kind.
func (o *outlook) gather(ctx context.Context, k Kind) (table, error) {
	switch k {
	case Materials:
		return gatherShelf(ctx, o, o.d.materials())
	case Molds:
		return gatherShelf(ctx, o, o.d.molds())
	case Tints:
		return gatherShelf(ctx, o, o.d.tints(nil))
	case Formulas:
		return gatherShelf(ctx, o, o.d.formulas())
	case Pulls:
		return o.gatherPulls(ctx)
	case Containers:
		return o.gatherContainers(ctx)
	}
	return o.gatherPours(ctx)
}

func gatherShelf[P any](ctx context.Context, o *outlook, s shelf[P]) (table, error) {
	all, err := s.list(ctx, o.v)
	if err != nil {
		return table{}, fmt.Errorf("list %s: %w", s.kind, err)
	}
	var own []P
	for _, k := range all {
		if o.v.MayChange(k.Record) {
			own = append(own, k.profile)
		}
	}
	return tableOf(s.kind, s.columns, own), nil
}

func tableOf[P any](k Kind, columns []column[P], all []P) table {
	t := table{kind: k, heads: headsOf(columns)}
	for i := range all {
		values := make([]value, len(columns))
		for j, c := range columns {
			values[j] = c.get(&all[i])
		}
		t.rows = append(t.rows, values)
	}
	return t
}

// gatherPulls reads the logs of the member's molds, by the molds' names, each
// from its beginning.
func (o *outlook) gatherPulls(ctx context.Context) (table, error) {
	molds, err := o.d.books.Molds.Molds(ctx, o.v)
	if err != nil {
		return table{}, fmt.Errorf("list molds: %w", err)
	}
	var all []pull
	for _, m := range molds {
		if !o.v.MayChange(m.Record) {
			continue
		}
		marks, err := o.d.books.Pulls.MoldMarks(ctx, o.v, m.ID, every)
		if err != nil {
			return table{}, fmt.Errorf("read the log of a mold: %w", err)
		}
		for _, mark := range slices.Backward(marks) {
			all = append(all, pull{m.Name, mark})
		}
	}
	return tableOf(Pulls, pullColumns(), all), nil
}

// gatherPours reads the member's pours, the oldest first.
func (o *outlook) gatherPours(ctx context.Context) (table, error) {
	if err := o.see(ctx); err != nil {
		return table{}, err
	}
	list, err := o.d.books.Pours.Pours(ctx, o.v, every)
	if err != nil {
		return table{}, fmt.Errorf("list pours: %w", err)
	}
	slices.SortFunc(list, func(a, b shop.Pour) int {
		if c := a.Started.Compare(b.Started); c != 0 {
			return c
		}
		return int(a.ID - b.ID)
	})
	var all []pour
	for _, p := range list {
		whole, err := o.d.books.Pours.Pour(ctx, o.v, p.ID)
		if err != nil {
			return table{}, fmt.Errorf("read a pour: %w", err)
		}
		all = append(all, o.asPour(whole))
	}
	return tableOf(Pours, pourColumns(), all), nil
}

// write makes the files. The one of JSON is not called pourwright.json, which is
// a name of the program's settings.
func write(tables []table, f Format) ([]Made, error) {
	if f == JSON {
		made := Made{Name: "my-data.json", Data: writeJSON(tables), Rows: map[Kind]int{}}
		for _, t := range tables {
			made.Rows[t.kind] = len(t.rows)
		}
		return []Made{made}, nil
	}
	var all []Made
	for _, t := range tables {
		data, err := writeCSV(t)
		if err != nil {
			return nil, err
		}
		all = append(all, Made{Name: string(t.kind) + ".csv", Data: data, Rows: map[Kind]int{t.kind: len(t.rows)}})
	}
	return all, nil
}

// writeCSV begins with the mark of UTF-8, without which some spreadsheets take
// the text for another encoding.
func writeCSV(t table) ([]byte, error) {
	var out bytes.Buffer
	out.WriteString("\uFEFF")
	w := csv.NewWriter(&out)
	record := make([]string, len(t.heads))
	for i, h := range t.heads {
		record[i] = h.name
	}
	if err := w.Write(record); err != nil {
		return nil, fmt.Errorf("write csv: %w", err)
	}
	for _, row := range t.rows {
		for i, v := range row {
			record[i] = v.csv()
		}
		if err := w.Write(record); err != nil {
			return nil, fmt.Errorf("write csv: %w", err)
		}
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return nil, fmt.Errorf("write csv: %w", err)
	}
	return out.Bytes(), nil
}

func (v value) csv() string {
	switch {
	case v.isNum:
		return numberText(v.num)
	case len(v.list) > 0:
		return guard(strings.Join(v.list, "\n"))
	}
	return guard(v.text)
}

// writeJSON keeps the order of the columns, a row a line.
func writeJSON(tables []table) []byte {
	var out bytes.Buffer
	fmt.Fprintf(&out, "{\n  \"schema\": %s", quoted(Schema))
	for _, t := range tables {
		fmt.Fprintf(&out, ",\n  %s: [", quoted(string(t.kind)))
		for i, row := range t.rows {
			if i > 0 {
				out.WriteByte(',')
			}
			out.WriteString("\n    {")
			t.object(&out, row)
			out.WriteByte('}')
		}
		if len(t.rows) > 0 {
			out.WriteString("\n  ")
		}
		out.WriteByte(']')
	}
	out.WriteString("\n}\n")
	return out.Bytes()
}

func (t table) object(out *bytes.Buffer, row []value) {
	first := true
	for i, v := range row {
		if !v.said() {
			continue
		}
		if !first {
			out.WriteString(", ")
		}
		first = false
		out.WriteString(quoted(t.heads[i].name) + ": ")
		switch {
		case v.isNum:
			out.WriteString(numberText(v.num))
		case v.isText:
			out.WriteString(quoted(v.text))
		default:
			items := each(v.list, quoted)
			out.WriteString("[" + strings.Join(items, ", ") + "]")
		}
	}
}

// quoted is a JSON text, with < and > as themselves.
func quoted(s string) string {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(s); err != nil { // a text always encodes
		return `""`
	}
	return strings.TrimSuffix(out.String(), "\n")
}
