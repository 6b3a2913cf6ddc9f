package bench_test

import (
	"net/url"
	"testing"

	"github.com/pourwright/pourwright/internal/bench"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/testkit"
)

// TestForgedPress: the page of one member gives no right to what another keeps,
// whatever id is posted, and under whatever path.
func TestForgedPress(t *testing.T) {
	desk, db := testkit.Desk(t)
	ask := func(who, line string) {
		t.Helper()
		ans := desk.Do(t.Context(), chat.Invocation{At: testkit.Noon, MemberKey: who, MemberName: who, ShopKey: "local:hall", Founds: true, Line: line})
		if ans.Reply == nil {
			t.Fatalf("%s: %v", line, ans.Fault)
		}
	}
	ask("local:mia", "/shop show")
	ask("local:nora", `/material add name:"own white" family:urethane ratio:"1:1 vol" pot_life:"3 min"`)
	v := open(t, func(c *bench.Config) {
		c.Desk, c.MemberKey, c.MemberName, c.ShopKey, c.ShopName = desk, "local:bram", "bram", "local:hall", ""
	})
	try := func(id, code string) {
		t.Helper()
		wants(t, v.post("press", url.Values{"id": {id}, "of": {"1"}}), 200, `data-code="`+code+`"`)
	}
	const show, remove, edit = "1r.2./material show material:#1", "1e.2./material remove material:#1 sure:yes", "1fmain.2./material edit material:#1"
	filled := url.Values{"id": {edit}, "of": {"1"}, "pot_life": {"9 min"}}
	for _, id := range []string{show, remove, edit} {
		try(id, "unknown_material")
	}
	wants(t, v.post("fill", filled), 200, `data-code="unknown_material"`)
	ask("local:nora", "/material share material:#1")
	for _, id := range []string{remove, edit, `1r.1./shop set temp:"5 C"`} {
		try(id, "not_allowed")
	}
	wants(t, v.post("fill", filled), 200, `data-code="not_allowed"`)
	for _, path := range []string{"../press", "../../press", "../aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa/press"} {
		if page := v.post(path, url.Values{"id": {remove}, "of": {"1"}}); page.status != 404 {
			t.Errorf("%s answers %d", path, page.status)
		}
	}
	who, err := db.Member(t.Context(), "local:nora", "", testkit.Noon)
	if err != nil || who.ID != 2 {
		t.Fatalf("nora is member %d, and the ids above say 2: %v", who.ID, err)
	}
	wants(t, v.ask("/material history material:#1"), 200, "1 version")
}
