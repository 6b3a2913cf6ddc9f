package commands_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// who plays each role: nora owns and manages nothing, bram is a member, mia
// manages the shop and owns none of it, eve manages another shop.
var who = map[shop.Role]string{shop.AsOwner: "nora", shop.AsMember: "bram", shop.AsManager: "mia", shop.AsStranger: "eve"}

// court is a shop, another one, and a desk over both.
type court struct {
	*chat.Dispatcher
	db  *sqlite.DB
	t   testing.TB
	num int
}

func newCourt(t testing.TB) *court {
	t.Helper()
	d, db := deskAndStore(t)
	c := &court{Dispatcher: d, db: db, t: t}
	for _, as := range []string{"mia", "eve"} { // who calls first founds the shop
		c.must(as, "/shop show")
		c.must(as, `/material add name:"house white" family:urethane ratio:"1:1 vol" density_a:"1.10, 1.02" pot_life:"30 min, 100 g, 23 C" demold:"2 h, 6 mm" cured_color:"#F2EFE6" tint_side:B`)
		c.must(as, `/material share material:"house white"`)
	}
	c.must("mia", `/shop faq topic:keys answer:"By the door."`)
	c.must("nora", "/me show")
	c.must("bram", "/me show")
	return c
}

// call is a call by someone, from the shop they belong to.
func (c *court) call(as string) chat.Invocation {
	inv := calling(as)
	inv.ShopKey = "local:hall"
	if as == "eve" {
		inv.ShopKey = "local:yard"
	}
	return inv
}

func (c *court) line(as, line string) chat.Answer {
	inv := c.call(as)
	inv.Line = line
	return c.Do(context.Background(), inv)
}

func (c *court) must(as, line string) *chat.Reply {
	c.t.Helper()
	ans := c.line(as, line)
	if ans.Reply == nil {
		c.t.Fatalf("%s: %s: %v", as, line, ans.Fault)
	}
	return ans.Reply
}

func (c *court) viewer(as string) shop.Viewer {
	c.t.Helper()
	inv := c.call(as)
	m, err := c.db.Member(context.Background(), inv.MemberKey, as, monday)
	if err != nil {
		c.t.Fatal(err)
	}
	s, err := c.db.Shop(context.Background(), inv.ShopKey, "", 0, monday)
	if err != nil {
		c.t.Fatal(err)
	}
	return shop.Viewer{Member: m, Shop: s}
}

// kept is everything that is kept of everyone, and of the shop.
func (c *court) kept() string {
	c.t.Helper()
	ctx := context.Background()
	var b bytes.Buffer
	for _, as := range []string{"nora", "bram", "mia", "eve"} {
		v := c.viewer(as)
		held, err := c.db.Export(ctx, v)
		if err != nil {
			c.t.Fatal(err)
		}
		faqs, err := c.db.FAQs(ctx, v)
		if err != nil {
			c.t.Fatal(err)
		}
		managers, err := c.db.Managers(ctx, v)
		if err != nil {
			c.t.Fatal(err)
		}
		token, has, err := c.db.Board(ctx, v)
		if err != nil {
			c.t.Fatal(err)
		}
		fmt.Fprintf(&b, "%s\n%+v\n%+v\n%+v\n%v %v\n", held, faqs, managers, v.Shop.Set, token, has)
	}
	// Buttons keep their lines, which is no answer's business.
	return keptLines.ReplaceAllString(b.String(), "")
}

var keptLines = regexp.MustCompile(`(?s)"lines": \[.*?\n  \]`)

// thing makes a thing of nora's and gives the text that names it.
func (c *court) thing(kind string, shared bool) (ref string) {
	c.t.Helper()
	c.num++
	name := fmt.Sprintf("%s number %d", kind, c.num)
	add := map[string]string{
		"material":  `/material add name:%q family:urethane ratio:"1:1 vol" density_a:"1.10, 1.02" pot_life:"30 min, 100 g, 23 C" demold:"2 h, 6 mm"`,
		"mold":      `/mold add name:%q family:condensation volume:"20 ml" thickest:"6 mm"`,
		"tint":      `/tint add name:%q family:colored base:"house white" dose:0.5%% swatch:"#C9837F" quality:careful`,
		"formula":   `/formula save name:%q text:"1 + 1"`,
		"pour":      `/pour start material:"house white" volume:"20 ml" where:%q`,
		"due":       `/due add about:%q in:"1 h"`,
		"container": `/stock add material:"house white" part:A amount:"500 g" lot:%q`,
	}[kind]
	inv := c.call("nora")
	inv.Line = fmt.Sprintf(add, name)
	if kind == "pour" {
		inv.At = monday.Add(-time.Hour)
	}
	made := c.Do(context.Background(), inv)
	if made.Reply == nil {
		c.t.Fatalf("%s: %v", inv.Line, made.Fault)
	}
	v := c.viewer("nora")
	ctx := context.Background()
	var id int64
	var err error
	newest := func(all []shop.Entry, e error) {
		err = e
		for _, e := range all {
			if e.Name == name {
				id = e.ID
			}
		}
	}
	switch kind {
	case "material":
		newest(c.db.MaterialNames(ctx, v))
	case "mold":
		newest(c.db.MoldNames(ctx, v))
		c.must("nora", fmt.Sprintf("/mold pull mold:#%d", id))
	case "tint":
		newest(c.db.TintNames(ctx, v))
	case "formula":
		newest(c.db.FormulaNames(ctx, v))
	case "pour":
		var all []shop.Pour
		all, err = c.db.Pours(ctx, v, 100)
		for _, p := range all {
			id = max(id, p.ID)
		}
	case "due":
		var all []shop.Due
		all, err = c.db.Dues(ctx, v, 100)
		for _, d := range all {
			if d.About == name {
				id = d.ID
			}
		}
	}
	if kind == "container" {
		var all []shop.Container
		all, err = c.db.Containers(ctx, v)
		for _, one := range all {
			id = max(id, one.ID)
		}
	}
	if err != nil || id == 0 {
		c.t.Fatalf("made %q (%q) and can't find it: %v", name, made.Reply.Title, err)
	}
	ref = "#" + strconv.FormatInt(id, 10)
	if shared {
		command := kind
		if kind == "container" {
			command = "stock"
		}
		c.must("nora", fmt.Sprintf("/%s share %s:%s", command, kind, ref))
	}
	if kind == "container" {
		c.must("nora", "/stock use amount:\"5 g\" container:"+ref)
	}
	if kind == "pour" {
		c.must("nora", fmt.Sprintf(`/pour note pour:%s text:"to be undone"`, ref))
	}
	return ref
}

// acts are the command lines of the table's acts; %[1]s is the kind and %[2]s
// what names the thing.
var acts = map[string]string{
	"see":               `/%[1]s show %[1]s:%[2]s`,
	"see its history":   `/%[1]s history %[1]s:%[2]s`,
	"remove":            `/%[1]s remove %[1]s:%[2]s sure:yes`,
	"share":             `/%[1]s share %[1]s:%[2]s`,
	"share by link":     `/%[1]s share %[1]s:%[2]s by:link`,
	"unshare":           `/%[1]s unshare %[1]s:%[2]s`,
	"give":              `/%[1]s give %[1]s:%[2]s to:bram`,
	"adopt":             `/%[1]s adopt %[1]s:%[2]s name:"a copy"`,
	"hide":              `/%[1]s hide %[1]s:%[2]s why:"looks odd"`,
	"unhide":            `/%[1]s unhide %[1]s:%[2]s`,
	"pin":               `/%[1]s pin %[1]s:%[2]s`,
	"unpin":             `/%[1]s unpin %[1]s:%[2]s`,
	"material use":      `/batch material:%[2]s volume:"20 ml"`,
	"mold use":          `/batch material:"house white" mold:%[2]s`,
	"tint use":          `/tint dose base:"house white" tint:%[2]s mass:"500 g" percent:1%%`,
	"formula use":       `/formula run name:%[2]s`,
	"material edit":     `/material edit material:%[2]s notes:"another hand"`,
	"mold edit":         `/mold edit mold:%[2]s notes:"another hand"`,
	"tint edit":         `/tint drops tint:%[2]s weight_of_20:"0.9 g"`,
	"formula edit":      `/formula edit formula:%[2]s text:"2 + 2"`,
	"count a pull":      `/mold pull mold:%[2]s`,
	"count a coat":      `/mold release mold:%[2]s`,
	"take a count back": `/mold undo mold:%[2]s`,
	"retire":            `/mold retire mold:%[2]s why:torn`,
	"see its pulls":     `/mold life mold:%[2]s`,
	"found ready":       `/pour ready pour:%[2]s`,
	"found soft":        `/pour soft pour:%[2]s`,
	"pour done":         `/pour done pour:%[2]s good:1`,
	"ask why it failed": `/trouble symptom:"soft all over" pour:%[2]s`,
	"fail":              `/pour fail pour:%[2]s`,
	"note":              `/pour note pour:%[2]s text:"a word"`,
	"cancel":            `/%[1]s cancel %[1]s:%[2]s`,
	"undo":              `/pour undo pour:%[2]s`,
	"container see":     `/stock show container:%[2]s`,
	"open":              `/stock open container:%[2]s`,
	"take from":         `/stock use container:%[2]s amount:"1 g"`,
	"check":             `/stock check container:%[2]s`,
	"finish":            `/stock finish container:%[2]s sure:yes`,
	"container share":   `/stock share container:%[2]s`,
	"container unshare": `/stock unshare container:%[2]s`,
	"container remove":  `/stock remove container:%[2]s sure:yes`,
	"take back":         `/stock undo container:%[2]s`,
	"due done":          `/due done due:%[2]s`,
	"snooze":            `/due snooze due:%[2]s in:"10 min"`,
}

func lineOf(r shop.Right, ref string) string {
	form, own := acts[r.Thing+" "+r.Act]
	if !own {
		form = acts[r.Act]
	}
	return fmt.Sprintf(form, r.Thing, ref)
}

// fits reports whether an answer is what the table says.
func fits(ans chat.Answer, thing string, v shop.Verdict) bool {
	switch {
	case v == shop.Yes || v == shop.OwnAlone:
		return ans.Reply != nil
	case ans.Fault == nil:
		return false
	case v == shop.Refused:
		return ans.Fault.Code == fault.NotAllowed
	}
	return ans.Fault.Code == fault.NotFound || ans.Fault.Code == fault.Code("unknown_"+thing)
}

// ways are how one may try a line: typed, as a button of the owner's that was
// forged, and as a form sent in.
func (c *court) ways(as, line string) map[string]func() chat.Answer {
	owner := strconv.FormatInt(int64(c.viewer("nora").Member.ID), 36)
	press := func(verb string, filled map[string]string) func() chat.Answer {
		return func() chat.Answer {
			inv := c.call(as)
			inv.Press, inv.Filled = "1"+verb+"."+owner+"."+line, filled
			return c.Do(context.Background(), inv)
		}
	}
	return map[string]func() chat.Answer{
		"typed": func() chat.Answer { return c.line(as, line) }, "pressed": press("r", nil), "pressed to replace": press("e", nil), "sent in": press("f", map[string]string{}),
	}
}

// TestRights tries every cell of the table: what it refuses is refused by every
// way, with nothing written; what it allows is carried out.
func TestRights(t *testing.T) {
	cells := 0
	for _, thing := range []string{"material", "mold", "tint", "formula", "pour", "container", "due"} {
		for _, shared := range []bool{true, false} {
			if thing == "due" && shared {
				continue
			}
			t.Run(fmt.Sprintf("%s, shared %v", thing, shared), func(t *testing.T) {
				c := newCourt(t)
				ref := c.thing(thing, shared)
				before := c.kept()
				n := c.eachCell(thing, shared, func(r shop.Right, role shop.Role, v shop.Verdict) {
					if v != shop.Yes {
						c.mustRefuse(r, role, ref, v)
					}
				})
				if after := c.kept(); after != before {
					t.Errorf("something of what was refused was written:\n%s\nwas\n%s", after, before)
				}
				c.eachCell(thing, shared, func(r shop.Right, role shop.Role, v shop.Verdict) {
					if v == shop.Yes {
						line := lineOf(r, c.thing(thing, shared))
						if ans := c.line(who[role], line); !fits(ans, thing, v) {
							t.Errorf("%s: %s: %v, want %s", role, line, ans.Fault, v)
						}
					}
				})
				cells += n
			})
		}
	}
	if cells < 400 {
		t.Errorf("only %d cells were tried", cells)
	}
}

// eachCell goes through the acts upon a thing that a name leads to.
func (c *court) eachCell(thing string, shared bool, do func(shop.Right, shop.Role, shop.Verdict)) (cells int) {
	for _, r := range shop.Rights() {
		if r.Thing != thing || acts[r.Act] == "" && acts[thing+" "+r.Act] == "" {
			continue // which no name leads to: those have tests of their own below
		}
		verdicts := r.Private
		if shared {
			verdicts = r.Shared
		}
		for _, role := range shop.Roles() {
			cells++
			do(r, role, verdicts.Of(role))
		}
	}
	return cells
}

// mustRefuse tries an act by every way.
func (c *court) mustRefuse(r shop.Right, role shop.Role, ref string, v shop.Verdict) {
	c.t.Helper()
	line := lineOf(r, ref)
	for way, do := range c.ways(who[role], line) {
		if ans := do(); !fits(ans, r.Thing, v) {
			c.t.Errorf("%s, %s: %s: got %v, want %s", role, way, line, ans.Fault, v)
		}
	}
}

// What managers hide is gone for members, and for them and its owner it is not.
func TestRightsToWhatIsHidden(t *testing.T) {
	for _, k := range shop.Kinds() {
		t.Run(string(k), func(t *testing.T) {
			c := newCourt(t)
			ref := c.thing(string(k), true)
			c.must("mia", fmt.Sprintf(acts["hide"], k, ref))
			before := c.kept()
			c.eachCell(string(k), true, func(r shop.Right, role shop.Role, v shop.Verdict) {
				if role == shop.AsMember {
					v = shop.Gone
				}
				if v != shop.Yes {
					c.mustRefuse(r, role, ref, v)
				}
			})
			if after := c.kept(); after != before {
				t.Error("something of what was refused was written")
			}
			for _, as := range []string{"nora", "mia"} {
				c.must(as, fmt.Sprintf(acts["see"], k, ref))
			}
		})
	}
}

// A code leads whoever has it to a copy, wherever they ask; an offer leads its
// taker alone to the thing itself.
func TestRightsByCode(t *testing.T) {
	for _, r := range shop.Rights() {
		if r.Act != "adopt by its code" && r.Act != "take over what is offered" {
			continue
		}
		t.Run(r.Thing+", "+r.Act, func(t *testing.T) {
			c := newCourt(t)
			ref := c.thing(r.Thing, false)
			var code string
			if r.Act == "adopt by its code" {
				code = fact(t, c.must("nora", fmt.Sprintf(acts["share by link"], r.Thing, ref)), "code").Text
			} else {
				code = fact(t, c.must("nora", fmt.Sprintf(acts["give"], r.Thing, ref)), "offer").Text
			}
			line := fmt.Sprintf(`/%s adopt code:%s`, r.Thing, code)
			// Who may not goes first: what is taken over is gone after.
			for _, want := range []bool{false, true} {
				before := c.kept()
				for _, role := range shop.Roles() {
					v := r.Private.Of(role)
					if (v == shop.Yes) != want {
						continue
					}
					if ans := c.line(who[role], line); !fits(ans, r.Thing, v) {
						t.Errorf("%s: %v, want %s", role, ans.Fault, v)
					}
				}
				if !want && c.kept() != before {
					t.Error("something of what was refused was written")
				}
			}
			wrong := code[:len(code)-1] + string("abcdefgh"[(strings.IndexByte("abcdefgh", code[len(code)-1])+1)%8])
			for _, as := range []string{"nora", "bram", "eve"} {
				if ans := c.line(as, fmt.Sprintf(`/%s adopt code:%s`, r.Thing, wrong)); !fits(ans, r.Thing, shop.Gone) {
					t.Errorf("%s with a code that leads nowhere: %v", as, ans.Fault)
				}
			}
		})
	}
}

// Answers teach those whom the table lets learn from them.
func TestRightsToAnswers(t *testing.T) {
	var right shop.Right
	for _, r := range shop.Rights() {
		if r.Act == "learn from its answers" {
			right = r
		}
	}
	for _, shared := range []bool{true, false} {
		c := newCourt(t)
		mold := c.thing("mold", true)
		inv := c.call("nora")
		inv.At, inv.Line = monday.Add(-3*time.Hour), `/pour start material:"house white" mold:`+mold
		if ans := c.Do(t.Context(), inv); ans.Reply == nil {
			t.Fatal(ans.Fault)
		}
		answer, verdicts := "/pour ready", right.Private
		if shared {
			answer, verdicts = "/pour ready share:yes", right.Shared
		}
		c.must("nora", answer)
		for _, role := range shop.Roles() {
			learned := fact(t, c.must(who[role], `/cure material:"house white" thickness:"6 mm"`), "logs_used").Value
			if want := verdicts.Of(role) == shop.Yes; (learned != 0) != want {
				t.Errorf("%s, shared %v: %v answers used, want some: %v", role, shared, learned, want)
			}
		}
	}
}

// shopLines are the acts upon a shop as such, which only its own members name.
var shopLines = map[string]string{
	"see its settings": "/shop show", "set it up": `/shop set temp:"18 C"`, "name managers": "/shop set managers:bram",
	"read an answer": "/shop faq", "write an answer": `/shop faq topic:tools answer:"On the wall."`, "remove an answer": "/shop faq topic:keys remove:yes",
	"make a board": "/shop board do:make", "revoke a board": "/shop board do:revoke",
}

func TestRightsToAShop(t *testing.T) {
	for _, r := range shop.Rights() {
		if r.Thing != "shop" {
			continue
		}
		t.Run(r.Act, func(t *testing.T) {
			c := newCourt(t)
			line := shopLines[r.Act]
			if r.Act == "revoke a board" {
				c.must("mia", shopLines["make a board"])
			}
			hall := func() string {
				v := c.viewer("mia")
				faqs, err := c.db.FAQs(t.Context(), v)
				if err != nil {
					t.Fatal(err)
				}
				managers, err := c.db.Managers(t.Context(), v)
				if err != nil {
					t.Fatal(err)
				}
				token, has, err := c.db.Board(t.Context(), v)
				return fmt.Sprint(faqs, managers, v.Shop.Set, token, has, err)
			}
			before := hall()
			// eve manages the yard: there it may work, in the hall it may not.
			c.line("eve", line)
			inv := c.call("eve")
			inv.ShopKey, inv.Line = "local:hall", line
			if ans := c.Do(t.Context(), inv); r.Shared.Of(shop.AsMember) == shop.Refused && !fits(ans, "shop", shop.Refused) {
				t.Errorf("a manager of another shop: %v", ans.Fault)
			}
			for way, do := range c.ways("bram", line) {
				if ans := do(); !fits(ans, "shop", r.Shared.Of(shop.AsMember)) {
					t.Errorf("a member, %s: got %v, want %s", way, ans.Fault, r.Shared.Of(shop.AsMember))
				}
			}
			if after := hall(); after != before {
				t.Errorf("the shop was changed by those who may not: %s, was %s", after, before)
			}
			if ans := c.line("mia", line); !fits(ans, "shop", r.Shared.Of(shop.AsManager)) {
				t.Errorf("its manager: got %v, want %s", ans.Fault, r.Shared.Of(shop.AsManager))
			}
			if after := hall(); (after != before) != (r.Shared.Of(shop.AsMember) == shop.Refused) {
				t.Errorf("after its manager did it the shop is %s, was %s", after, before)
			}
		})
	}
}

// One's own data is one's own: the same line shows and changes another's when
// another gives it.
func TestRightsToOwnData(t *testing.T) {
	c := newCourt(t)
	c.thing("material", false)
	c.thing("due", false)
	mine := func() string {
		held, err := c.db.Export(t.Context(), c.viewer("nora"))
		if err != nil {
			t.Fatal(err)
		}
		return keptLines.ReplaceAllString(string(held), "")
	}
	before := mine()
	for _, as := range []string{"bram", "mia", "eve"} {
		for _, line := range []string{"/due list", "/me show", "/me set units:us", "/me export", "/data export kind:materials", "/me erase sure:yes"} {
			for way, do := range c.ways(as, line) {
				ans := do()
				if ans.Reply == nil && !strings.Contains(line, "erase") {
					t.Errorf("%s, %s: %s: %v", as, way, line, ans.Fault)
					continue
				}
				var shown strings.Builder
				fmt.Fprintf(&shown, "%+v", ans)
				for _, f := range replyFiles(ans) {
					shown.Write(f.Data)
				}
				if strings.Contains(shown.String(), "number 1") || strings.Contains(shown.String(), "number 2") {
					t.Errorf("%s, %s: %s shows what is nora's", as, way, line)
				}
			}
		}
	}
	if after := mine(); after != before {
		t.Errorf("what nora keeps was changed by others:\n%s\nwas\n%s", after, before)
	}
	if r := c.must("nora", "/me export"); !bytes.Contains(r.Files[0].Data, []byte("material number 1")) {
		t.Error("her own export lacks what she keeps")
	}
}

func replyFiles(ans chat.Answer) []chat.File {
	if ans.Reply == nil {
		return nil
	}
	return ans.Reply.Files
}

// TestRightsTable keeps the table in DEVELOPERS.md as the code has it; -update
// writes it.
func TestRightsTable(t *testing.T) {
	const path, begin, end = "../DEVELOPERS.md", "<!-- rights: go test ./commands -run TestRightsTable -update -->\n", "<!-- end of rights -->"
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	head, rest, ok := strings.Cut(string(file), begin)
	old, tail, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatalf("%s has no place for the table between %q and %q", path, begin, end)
	}
	want := rightsText()
	if old == want {
		return
	}
	if !*update {
		t.Fatalf("the table in %s is not that of shop.Rights; -update rewrites it", path)
	}
	if err := os.WriteFile(path, []byte(head+begin+want+end+tail), 0o644); err != nil {
		t.Fatal(err)
	}
}

// rightsText is the table, acts that have the same verdicts in one line.
func rightsText() string {
	var b strings.Builder
	b.WriteString("\n| thing | act | owner | member of the shop | manager of the shop | anyone elsewhere |\n|---|---|---|---|---|---|\n")
	rights := shop.Rights()
	things := []string{"material", "mold", "pour", "container", "due", "shop", "own data"}
	for _, thing := range things {
		var keys []string
		acts := map[string][]string{}
		for _, r := range rights {
			if r.Thing != thing {
				continue
			}
			key := cellsOf(r)
			if acts[key] == nil {
				keys = append(keys, key)
			}
			acts[key] = append(acts[key], r.Act)
		}
		name := thing
		if thing == "material" {
			name = "material, mold, tint, formula"
		}
		for _, key := range keys {
			if thing == "mold" {
				acts[key] = slices.DeleteFunc(acts[key], func(act string) bool {
					return slices.ContainsFunc(rights, func(r shop.Right) bool { return r.Thing == "material" && r.Act == act })
				})
				if len(acts[key]) == 0 {
					continue
				}
			}
			fmt.Fprintf(&b, "| %s | %s | %s |\n", name, strings.Join(acts[key], ", "), key)
		}
	}
	b.WriteString("\n")
	return b.String()
}

// cellsOf writes what is shared, and what is private where it differs.
func cellsOf(r shop.Right) string {
	var cells []string
	for _, role := range shop.Roles() {
		shared, alone := r.Shared.Of(role), r.Private.Of(role)
		switch {
		case shared == alone, alone == shop.NoMatter:
			cells = append(cells, string(shared))
		case shared == shop.NoMatter:
			cells = append(cells, string(alone))
		default:
			cells = append(cells, fmt.Sprintf("%s; private: %s", shared, alone))
		}
	}
	return strings.Join(cells, " | ")
}
