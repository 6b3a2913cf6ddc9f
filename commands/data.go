package commands

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/formula"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/transfer"
)

func init() { register("data", newData) }

type dataCommand struct{ deps }

func newData(d deps) chat.Command {
	m := dataCommand{d}
	kind := chat.Option{Name: "kind", Help: "what the file holds; all for everything a JSON file has", Kind: chat.OneWord, Required: true, Like: "materials"}
	for _, k := range transfer.Kinds() {
		kind.Choices = append(kind.Choices, chat.Choice{Value: string(k), Label: kindLabels[k]})
	}
	kind.Choices = append(kind.Choices, chat.Choice{Value: allKinds, Label: "all: everything of yours"})
	return chat.Command{
		Name:  "data",
		Help:  "take your materials, molds, tints, formulas and logs out as a file, or bring them in",
		About: "CSV is for a spreadsheet, JSON for everything in one file. A file that comes in is only looked at first: you are told of each row what would happen. It is carried out whole or not at all. An exported file shows the columns and their units.",
		Asks: []chat.Ask{
			{Question: "Can I have my molds in a spreadsheet?", Line: "/data export kind:molds format:csv"},
			{Question: "Can I take everything with me?", Line: "/data export kind:all format:json"},
			{Question: "How do I bring a spreadsheet of materials in?", Line: "/data import kind:materials file:materials.csv"},
		},
		Subs: []chat.Sub{
			{Name: "export", Help: "your own things as a file", Run: m.export, Options: []chat.Option{kind, formatOption}},
			{Name: "import", Help: "things from a file; first only looked at, with sure:yes brought in", Writes: true, Run: m.bring,
				Options: append([]chat.Option{kind}, importOptions...)},
		},
	}
}

// allKinds is the kind of a JSON file with all kinds in it.
const allKinds = "all"

var kindLabels = map[transfer.Kind]string{
	transfer.Materials: "materials", transfer.Molds: "molds", transfer.Tints: "tints", transfer.Formulas: "formulas",
	transfer.Pulls: "pulls: the logs of your molds", transfer.Pours: "pours: with what was found at them", transfer.Containers: "containers: jugs and packs, with what is left",
}

var formatOption = chat.Option{Name: "format", Help: "csv for a spreadsheet, json for all in one file", Kind: chat.OneWord,
	Choices: []chat.Choice{{Value: string(transfer.CSV), Label: "csv: for a spreadsheet"}, {Value: string(transfer.JSON), Label: "json: for everything in one file"}}}

var importOptions = []chat.Option{
	{Name: "file", Help: "the file, CSV or JSON, as /data export makes it", Kind: chat.Attachment, Required: true, Like: "materials.csv"},
	{Name: "sure", Help: "yes brings it in; without it you are told what would happen", Kind: chat.YesNo},
	{Name: "on_clash", Help: "where you have one of that name which says otherwise", Kind: chat.OneWord, Choices: []chat.Choice{
		{Value: string(transfer.Skip), Label: "skip: keep mine"}, {Value: string(transfer.Replace), Label: "replace: a new version of mine"},
		{Value: string(transfer.AddNew), Label: "new: have both"}}},
	{Name: "skip_bad", Help: "yes leaves rows out that can't be taken; else one of them stops it all", Kind: chat.YesNo},
}

// materialData are the subs that /material has for its own kind.
func materialData(d deps, one chat.Option) []chat.Sub {
	m := dataCommand{d}
	one.Required, one.Help = false, "one alone; all of yours if left out"
	return []chat.Sub{
		{Name: "export", Help: "your materials as a file, or one", Run: m.exportMaterial, Options: []chat.Option{one, formatOption}},
		{Name: "import", Help: "materials from a file; first only looked at, with sure:yes brought in", Writes: true, Run: m.bringMaterials, Options: importOptions},
	}
}

// desk is transfer with the judgments of this call.
func (m dataCommand) desk(c *chat.Call) *transfer.Desk {
	return transfer.New(m.Books, transfer.Checks{
		Tint: m.library.CheckTint,
		Formula: func(p shop.FormulaProfile) error {
			_, err := formula.Compile(p.Text, c.By.System())
			return err
		},
	})
}

func (m dataCommand) export(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kinds, format := transfer.Kinds(), transfer.JSON
	if k := c.Text("kind"); k != allKinds {
		kinds, format = []transfer.Kind{transfer.Kind(k)}, transfer.CSV
	}
	if c.Has("format") {
		format = transfer.Format(c.Text("format"))
	}
	made, err := m.desk(c).Export(ctx, c.By, kinds, format)
	if err != nil {
		return nil, fmt.Errorf("export: %w", err)
	}
	return exported(made, kinds, format), nil
}

func (m dataCommand) exportMaterial(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	format := transfer.CSV
	if c.Has("format") {
		format = transfer.Format(c.Text("format"))
	}
	kinds := []transfer.Kind{transfer.Materials}
	if !c.Has("material") {
		made, err := m.desk(c).Export(ctx, c.By, kinds, format)
		if err != nil {
			return nil, fmt.Errorf("export materials: %w", err)
		}
		return exported(made, kinds, format), nil
	}
	kept, err := m.library.Material(ctx, c, "material", library.Take)
	if err != nil {
		return nil, err
	}
	made, err := m.desk(c).ExportMaterial(kept, format)
	if err != nil {
		return nil, fmt.Errorf("export a material: %w", err)
	}
	r := exported(made, kinds, format)
	r.Title = fmt.Sprintf("%s is in the file", kept.Name)
	r.Notes[0] = "It holds the profile as it is now: no earlier versions, and not whose it is. Its bulletin and SDS win over it."
	return r, nil
}

// exported is the reply with the files.
func exported(made []transfer.Made, kinds []transfer.Kind, format transfer.Format) *chat.Reply {
	r := &chat.Reply{}
	rows := map[transfer.Kind]int{}
	total := 0
	for _, f := range made {
		r.Files = append(r.Files, chat.File{Name: f.Name, Data: f.Data})
		for k, n := range f.Rows {
			rows[k] = n
			total += n
		}
	}
	for _, k := range kinds {
		r.Facts = append(r.Facts, chat.Whole(string(k), library.Capital(string(k)), rows[k], fmt.Sprint(rows[k])))
	}
	switch {
	case total == 0:
		r.Title = "You have none, so the file holds the names of the columns alone"
		r.Notes = append(r.Notes, "Fill it in with a spreadsheet and bring it in with /data import.")
	case len(kinds) == 1:
		r.Title = fmt.Sprintf("%d of your %s are in the file", total, kinds[0])
	default:
		r.Title = "Everything of yours is in the file"
	}
	if total == 1 && len(kinds) == 1 {
		r.Title = fmt.Sprintf("1 %s of yours is in the file", kinds[0].One())
	}
	r.Notes = append(r.Notes, "It holds your own things as they are now: no earlier versions, and not who may see them.")
	if format == transfer.CSV && len(kinds) == 1 && total > 0 {
		r.Notes = append(r.Notes, "Numbers are in the unit that the column's name ends with. A text that a spreadsheet would take for a formula has an apostrophe before it.")
	}
	return r
}

func (m dataCommand) bring(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kind := transfer.Kind(c.Text("kind"))
	if kind == allKinds {
		kind = ""
	}
	return m.carry(ctx, c, kind, "data import")
}

func (m dataCommand) bringMaterials(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	return m.carry(ctx, c, transfer.Materials, "material import")
}

// carry reads the file and says what would come of it, or brings it in.
func (m dataCommand) carry(ctx context.Context, c *chat.Call, kind transfer.Kind, path string) (*chat.Reply, error) {
	given := c.File("file")
	if given.Data == nil {
		return nil, fault.New(fault.BadFile, "that file is not kept").In("file").Hint("attach it again")
	}
	select {
	case m.reading <- struct{}{}:
		defer func() { <-m.reading }()
	case <-ctx.Done():
		return nil, fmt.Errorf("wait to read a file: %w", ctx.Err())
	}
	file, err := transfer.Read(given.Data, kind)
	if err != nil {
		return nil, inOption(err, "file")
	}
	if !c.Yes("sure", false) {
		rep, err := m.desk(c).Look(ctx, c.By, file)
		if err != nil {
			return nil, fmt.Errorf("look at a file: %w", err)
		}
		return lookedAt(c, rep, path)
	}
	rep, err := m.desk(c).Import(ctx, c.Stamp(), file, transfer.Choice{
		OnClash: transfer.OnClash(c.Text("on_clash")), SkipBad: c.Yes("skip_bad", false),
	})
	if err != nil {
		return nil, fmt.Errorf("bring a file in: %w", err)
	}
	return broughtIn(rep)
}

// inOption names the option of a refusal that names none.
func inOption(err error, option string) error {
	if f := fault.As(err); f != nil {
		return f.In(option)
	}
	return err
}

// rowsShown is how many rows a reply tells of; the file beside it has them all.
const rowsShown = 200

// lookedAt tells what would happen.
func lookedAt(c *chat.Call, rep transfer.Report, path string) (*chat.Reply, error) {
	r, err := reported(rep)
	if err != nil {
		return nil, err
	}
	fresh, same, changed, bad := rep.Count(transfer.Fresh), rep.Count(transfer.Same), rep.Count(transfer.Changed), rep.Count(transfer.Refused)
	r.Title = fmt.Sprintf("%s: %d new, %d the same, %d changed, %d refused. Nothing is changed yet", quantity.Count(rep.Rows(), "row", "rows"), fresh, same, changed, bad)
	if fresh+changed == 0 {
		r.Steps = append(r.Steps, "There is nothing to bring in.")
	} else {
		r.Steps = append(r.Steps, "To bring it in, send the file again with "+again(c, path, changed, bad)+".")
	}
	if changed > 0 {
		r.Steps = append(r.Steps, "on_clash says what becomes of the changed ones: skip keeps yours, replace makes a new version of yours, new keeps both.")
	}
	if bad > 0 {
		r.Steps = append(r.Steps, "Mend the refused rows, or leave them out with skip_bad:yes.")
	}
	r.Notes = append(r.Notes, "The file itself is not kept, so it has to come along again.")
	return r, nil
}

// again is the call that carries the same out.
func again(c *chat.Call, path string, changed, bad int) string {
	line := "/" + path
	if kind := c.Text("kind"); kind != "" {
		line += " kind:" + kind
	}
	line += " sure:yes"
	if changed > 0 {
		line += " on_clash:" + map[bool]string{true: c.Text("on_clash"), false: string(transfer.Skip)}[c.Has("on_clash")]
	}
	if bad > 0 {
		line += " skip_bad:yes"
	}
	return line
}

// reported puts a report into facts, what needs a hand first.
func reported(rep transfer.Report) (*chat.Reply, error) {
	r := &chat.Reply{}
	whole := func(key, label string, n int) {
		r.Facts = append(r.Facts, chat.Whole(key, label, n, fmt.Sprint(n)))
	}
	whole("rows", "Rows", rep.Rows())
	whole("new", "New", rep.Count(transfer.Fresh))
	whole("same", "The same", rep.Count(transfer.Same))
	whole("changed", "Changed", rep.Count(transfer.Changed))
	whole("refused", "Refused", rep.Count(transfer.Refused))
	shown := 0
	for _, v := range []transfer.Verdict{transfer.Refused, transfer.Changed, transfer.Fresh, transfer.Same} {
		for _, p := range rep.Parts {
			for _, e := range p.Entries {
				if e.Verdict != v || shown == rowsShown {
					continue
				}
				shown++
				r.Facts = append(r.Facts, chat.Fact{Key: "row", Label: strings.TrimSpace(fmt.Sprintf("%s, line %d %s", p.Kind.One(), e.Line, e.Name)), Value: string(e.Verdict), Text: e.Text()})
			}
		}
	}
	if len(rep.Left) > 0 {
		r.Notes = append(r.Notes, "Left out: "+strings.Join(rep.Left[:min(len(rep.Left), 8)], "; ")+".")
	}
	if rep.Rows() == 0 {
		return r, nil
	}
	report, err := rep.CSV()
	r.Files = []chat.File{{Name: "what-happens.csv", Data: report}}
	return r, err
}

// broughtIn tells what was done.
func broughtIn(rep transfer.Report) (*chat.Reply, error) {
	r, err := reported(rep)
	if err != nil {
		return nil, err
	}
	var done transfer.Done
	for _, p := range rep.Parts {
		done.Added += p.Done.Added
		done.Replaced += p.Done.Replaced
		done.Kept += p.Done.Kept
		done.LeftOut += p.Done.LeftOut
	}
	r.Title = fmt.Sprintf("Brought in: %d added, %d replaced, %d left as they were, %d left out", done.Added, done.Replaced, done.Kept, done.LeftOut)
	r.Facts = slices.Insert(r.Facts, 0, chat.Whole("added", "Added", done.Added, fmt.Sprint(done.Added)), chat.Whole("replaced", "Replaced", done.Replaced, fmt.Sprint(done.Replaced)),
		chat.Whole("kept", "Left as they were", done.Kept, fmt.Sprint(done.Kept)), chat.Whole("left_out", "Left out", done.LeftOut, fmt.Sprint(done.LeftOut)))
	r.Notes = append(r.Notes, "What came in is seen by you alone until you share it.")
	for _, p := range rep.Parts {
		if list, ok := lists[p.Kind]; ok {
			r.Actions = append(r.Actions, chat.Action{Label: "See your " + string(p.Kind), Line: list})
		}
	}
	return r, nil
}

// lists are where a kind is looked at.
var lists = map[transfer.Kind]string{
	transfer.Materials: "/material list", transfer.Molds: "/mold list", transfer.Tints: "/tint list", transfer.Formulas: "/formula list", transfer.Pours: "/pour list", transfer.Containers: "/stock list",
}
