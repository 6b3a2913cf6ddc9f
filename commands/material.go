package commands

import (
	"context"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
)

func init() { register("material", newMaterial) }

// materialForms are the steps in which a chat form asks for a profile; the
// first makes it, the others complete it.
var materialForms = []chat.Form{
	{Name: "main", Title: "A material from its bulletin", Options: []string{"name", "ratio", "density_a", "pot_life", "demold"}},
	{Name: "look", Title: "Color and hardness", Options: []string{"full_cure", "hardness", "cured_color", "tint_side", "max_tint"}},
	{Name: "price", Title: "Price and dates", Options: []string{"price", "pack", "shelf_life", "shelf_opened", "link"}},
	{Name: "limits", Title: "Limits of the bulletin", Options: []string{"min_temp", "max_temp", "max_depth", "max_mass", "notes"}},
}

// materialSteps are the buttons under a new profile.
var materialSteps = []struct{ form, label string }{
	{"look", "Add color and hardness"}, {"price", "Add price and dates"}, {"limits", "Add limits"},
}

type materialCommand struct {
	deps
	sharing library.Sharing[material.Profile]
}

func newMaterial(d deps) chat.Command {
	m := materialCommand{d, d.library.ShareMaterials(d.Books)}
	one := chat.Option{Name: "material", Help: "its name", Like: "demo rigid white", Required: true, Suggest: d.library.SuggestMaterial}
	return chat.Command{
		Name:  "material",
		Help:  "keep what a material's bulletin says",
		About: "A profile holds the numbers of a technical bulletin, each with the condition it was measured under, so that every other command can work with them. Profiles are yours; the bulletin and the SDS always win over them.",
		Asks: []chat.Ask{
			{Question: "How do I save what the bulletin of my resin says?", Line: `/material add name:"bench white" family:urethane ratio:"1:1 vol" density_a:"1.10, 1.02" pot_life:"3 min, 100 g, 23 C" demold:"12 min, 6 mm"`},
			{Question: "What do we know about this material?", Line: `/material show material:"demo rigid white"`},
			{Question: "Which of our resins stay pourable for 10 to 30 minutes?", Line: `/material find pot_life:"10 min to 30 min"`},
			{Question: "How do others in the shop get to see my material?", Line: `/material share material:"demo rigid white"`},
			{Question: "How do two materials differ?", Line: `/material compare material:"demo rigid white" second:"demo rigid clear"`},
		},
		Subs: append([]chat.Sub{
			{Name: "add", Help: "save a material from its bulletin", Options: addOptions(), Forms: materialForms[:1], Writes: true, Run: m.add},
			{Name: "edit", Help: "change a material of yours; the old version is kept", Options: editOptions(one), Forms: m.editForms(), Writes: true, Run: m.edit},
			{Name: "show", Help: "everything a profile says", Options: []chat.Option{one}, Computes: true, Run: m.show},
			{Name: "list", Help: "the materials you can use here", Computes: true, Run: m.list},
			{Name: "find", Help: "materials by name, family, hardness, pot life, demold or cost", Options: library.FindOptions(), Computes: true, Run: m.find},
			{Name: "compare", Help: "up to four materials side by side", Options: m.compareOptions(one), Computes: true, Run: m.compare},
			{Name: "history", Help: "the versions of a material", Options: []chat.Option{one}, Run: m.history},
			{Name: "remove", Help: "take a material of yours off the shelf", Options: []chat.Option{
				one, {Name: "sure", Kind: chat.YesNo, Help: "yes removes it"},
			}, Writes: true, Run: m.remove},
		}, append(m.sharing.Subs(), materialData(d, one)...)...),
	}
}

func addOptions() []chat.Option {
	var must, may []chat.Option
	for _, f := range library.MaterialFields() {
		if f.Required {
			must = append(must, f.Option)
		} else {
			may = append(may, f.Option)
		}
	}
	return append(must, may...)
}

func editOptions(one chat.Option) []chat.Option {
	options := []chat.Option{one}
	for _, f := range library.MaterialFields() {
		f.Required = false
		// The chat service registers 25 options: what lists and forms can
		// reach gives way.
		f.Folded = f.Folded || f.Name == "density_b" || f.Name == "family"
		options = append(options, f.Option)
	}
	return append(options, chat.Option{Name: "clear", Help: "values to forget, by option name", Like: "max_depth, notes"})
}

func (m materialCommand) editForms() []chat.Form {
	forms := make([]chat.Form, len(materialForms))
	for i, f := range materialForms {
		f.Fill = func(ctx context.Context, c *chat.Call) (map[string]string, error) {
			if !c.Has("material") {
				return nil, fault.New(fault.MissingOption, "material is missing: its name").In("material").Hint(`such as material:"bench white"`)
			}
			kept, err := m.library.Material(ctx, c, "material", library.Take)
			return library.Typed(kept.Profile, c.By.System()), err
		}
		forms[i] = f
	}
	return forms
}

func (m materialCommand) add(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	var p material.Profile
	if err := library.SetGiven(c, library.MaterialFields(), &p); err != nil {
		return nil, err
	}
	checked := material.Check(p)
	if err := checked.Err(); err != nil {
		return nil, err
	}
	kept, err := m.Materials.AddMaterial(ctx, c.Stamp(), p, false)
	if err != nil {
		return nil, fmt.Errorf("add a material: %w", err)
	}
	return m.saved(c, kept, fmt.Sprintf("Saved %q", p.Name), checked.Warnings), nil
}

// saved is the reply to a write: what the profile now says, what does not fit
// together, and the forms that go on.
func (m materialCommand) saved(c *chat.Call, kept shop.Material, title string, warnings []material.Warning) *chat.Reply {
	r := m.card(c, kept)
	r.Title = title
	for _, w := range warnings {
		r.Notes = append(r.Notes, w.Text)
	}
	edit := chat.FormatLine("material edit", map[string]string{"material": chat.Ref(kept.ID, 0)}, nil)
	r.Actions = nil
	for _, s := range materialSteps {
		r.Actions = append(r.Actions, chat.Action{Label: s.label, Do: chat.DoForm, Form: s.form, Line: edit})
	}
	r.Actions = append(append(r.Actions, batchAction(kept)), m.sharing.Offer(kept.Record)...)
	return r
}

func batchAction(kept shop.Material) chat.Action {
	return chat.Action{Label: "Size a 250 mL batch", Line: chat.FormatLine("batch",
		map[string]string{"material": chat.Ref(kept.ID, 0), "volume": "250 ml"}, []string{"material"})}
}

// card shows a profile as facts.
func (m materialCommand) card(c *chat.Call, kept shop.Material) *chat.Reply {
	r := &chat.Reply{Title: kept.Name + ", " + string(kept.Family)}
	var missing []string
	for _, f := range library.MaterialFields() {
		fact, ok := f.Show(&kept.Profile, c.By.System())
		switch {
		case ok && f.Name == "price":
			fact.Unit = c.By.Shop.Set.Currency
			fact.Text = strings.TrimSpace(fmt.Sprintf("%.2f %s", kept.Price, c.By.Shop.Set.Currency))
		case !ok && askedFor[f.Name]:
			missing = append(missing, lowerFirst(fact.Label))
		}
		if ok && f.Name != "name" {
			r.Facts = append(r.Facts, fact)
		}
	}
	if len(missing) > 0 {
		r.Notes = append(r.Notes, "Not said yet: "+strings.Join(missing, ", ")+". Answers that rest on them are left out or marked.")
	}
	r.Notes = append(r.Notes, fmt.Sprintf("Version %d, %s. The material's own bulletin and SDS win over this profile.", kept.Version, library.Standing(c, kept.Record)))
	return r
}

// askedFor are the values that other commands work with.
var askedFor = map[string]bool{
	"density_a": true, "density_b": true, "pot_life_mass": true, "pot_life_temp": true,
	"demold": true, "demold_section": true, "tint_side": true, "price": true,
}

func (m materialCommand) edit(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kept, err := m.library.Material(ctx, c, "material", library.Offer)
	if err != nil {
		return nil, err
	}
	p := kept.Profile
	if err := library.SetGiven(c, library.MaterialFields(), &p); err != nil {
		return nil, err
	}
	if err := clearFields(c, &p); err != nil {
		return nil, err
	}
	checked := material.Check(p)
	if err := checked.Err(); err != nil {
		return nil, err
	}
	now, err := m.Materials.EditMaterial(ctx, c.Stamp(), kept.ID, kept.Version, p)
	if err != nil {
		return nil, fmt.Errorf("edit a material: %w", err)
	}
	r := m.saved(c, now, fmt.Sprintf("Changed %q, now version %d", p.Name, now.Version), checked.Warnings)
	r.Steps = changes(kept.Profile, p, c)
	return r, nil
}

func clearFields(c *chat.Call, p *material.Profile) error {
	for _, name := range library.ClearNames(c) {
		if err := library.ClearOne(library.MaterialFields(), p, name, "clear:max_depth"); err != nil {
			return err
		}
	}
	return nil
}

// changes lists what an edit changed, before and after.
func changes(before, after material.Profile, c *chat.Call) []string {
	was, is := library.Typed(before, c.By.System()), library.Typed(after, c.By.System())
	var out []string
	for _, f := range library.MaterialFields() {
		if was[f.Name] != is[f.Name] {
			out = append(out, fmt.Sprintf("%s: %s → %s", f.Name, orNotSaid(was[f.Name]), orNotSaid(is[f.Name])))
		}
	}
	return out
}

func orNotSaid(s string) string {
	if s == "" {
		return "not said"
	}
	return s
}

func (m materialCommand) show(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kept, err := m.library.Material(ctx, c, "material", library.Take)
	if err != nil {
		return nil, err
	}
	r := m.card(c, kept)
	r.Actions = append(r.Actions, batchAction(kept))
	if kept.Owner == c.By.Member.ID {
		r.Actions = append(r.Actions, chat.Action{Label: "Edit", Do: chat.DoForm, Form: "main",
			Line: chat.FormatLine("material edit", map[string]string{"material": chat.Ref(kept.ID, 0)}, nil)})
	}
	r.Actions = append(r.Actions, library.OpenedCall(kept)...)
	return r, m.sharing.Tell(ctx, c, r, kept.Record)
}

func (m materialCommand) list(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	// A shop may share thousands: those that are listed are read, no more.
	found, err := m.Search.SearchMaterials(ctx, c.By, shop.MaterialQuery{Most: listMost})
	if err != nil {
		return nil, fmt.Errorf("list materials: %w", err)
	}
	r := &chat.Reply{Title: howMany(found.All) + " on your shelf"}
	for _, kept := range found.Materials {
		r.Facts = append(r.Facts, hit(c, kept, shelfLine(c, kept)))
		if len(r.Actions) < 5 {
			r.Actions = append(r.Actions, showAction(kept))
		}
	}
	if more := found.All - len(found.Materials); more > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("The first %d are listed; /material find narrows all of them down.", len(found.Materials)))
	}
	if found.All == 0 {
		r.Notes = append(r.Notes, "/material add saves one from its bulletin.")
	}
	return r, m.sharing.TellList(ctx, c, r)
}

// listMost is how many materials a list names.
const listMost = 100

// hit is a material of a list: its line, and what the reader is to it.
func hit(c *chat.Call, kept shop.Material, line string) chat.Fact {
	if badges := library.Badges(c, kept.Record); len(badges) > 0 {
		line += " (" + strings.Join(badges, ", ") + ")"
	}
	return chat.Fact{Key: "material", Label: kept.Name, Value: kept.Name, Text: line}
}

func showAction(kept shop.Material) chat.Action {
	return chat.Action{Label: kept.Name, Line: chat.FormatLine("material show", map[string]string{"material": chat.Ref(kept.ID, 0)}, nil)}
}

// howMany counts materials.
func howMany(n int) string {
	switch n {
	case 0:
		return "No materials"
	case 1:
		return "1 material"
	}
	return fmt.Sprintf("%d materials", n)
}

// shelfLine is a material in one line.
func shelfLine(c *chat.Call, kept shop.Material) string {
	line := fmt.Sprintf("%s, %s, pot life %s", kept.Ratio.Text(), kept.Family, library.Typed(kept.Profile, c.By.System())["pot_life"])
	if kept.Hardness != nil {
		line += ", " + kept.Hardness.String()
	}
	return line
}

func (m materialCommand) history(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kept, err := m.library.Material(ctx, c, "material", library.Take)
	if err != nil {
		return nil, err
	}
	versions, err := m.Materials.MaterialHistory(ctx, c.By, kept.ID)
	if err != nil {
		return nil, fmt.Errorf("list a material's versions: %w", err)
	}
	return library.History(c, "material", kept.Name, kept.ID, versions), nil
}

func (m materialCommand) remove(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kept, err := m.library.Material(ctx, c, "material", library.Offer)
	if err != nil {
		return nil, err
	}
	if !c.Yes("sure", false) {
		return library.AskRemove(c, "material", "material", kept.Name, kept.Record, library.LeavesShelf)
	}
	if err := m.Materials.RemoveMaterial(ctx, c.Stamp(), kept.ID); err != nil {
		return nil, fmt.Errorf("remove a material: %w", err)
	}
	return &chat.Reply{Title: fmt.Sprintf("Removed %q", kept.Name), Notes: []string{library.VersionsStay}}, nil
}
