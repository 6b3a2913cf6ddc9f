package commands_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

func TestStock(t *testing.T) {
	d := desk(t)
	golden(t, "stock_list", ask(t, d, "ada", "/stock list"))
	golden(t, "stock_check", ask(t, d, "ada", `/stock check material:"demo rigid white" part:A jug_temp:"8 C" show:yes`))
	golden(t, "stock_add", ask(t, d, "ada", `/stock add material:"demo rigid black" part:kit amount:"1.8 kg" lot:"L 7" opened:2026-11-01 tare:"100 g" low:"300 g"`))
	golden(t, "stock_use", ask(t, d, "ada", `/stock use material:"demo rigid white" amount:"132 g"`))
	golden(t, "stock_open", ask(t, d, "ada", `/stock open material:"demo rigid clear"`))
	golden(t, "stock_weigh", ask(t, d, "ada", `/stock use container:"demo rigid black pack" left:"1320 g"`))
	golden(t, "stock_reorder", ask(t, d, "ada", `/stock reorder material:"demo rigid white" use:"900 g" order_cost:8`))
	golden(t, "stock_finish", ask(t, d, "ada", `/stock finish container:#5 sure:yes`))
	golden(t, "stock_show", ask(t, d, "ada", `/stock show container:#6`))
}

func left(t testing.TB, d *chat.Dispatcher, as, container string) float64 {
	t.Helper()
	return fact(t, told(t, d, as, "/stock show container:"+container), "left").Value.(float64)
}

func grams(t testing.TB, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 0.06 {
		t.Errorf("%s: %g, want %g", what, got, want)
	}
}

// TestStockOfPours: a pour takes what /batch says, a cancel gives it back, a
// cancel taken back takes it again, and one that failed keeps it.
func TestStockOfPours(t *testing.T) {
	d := desk(t)
	b := told(t, d, "bram", `/batch material:"demo rigid white" mold:"harbor pawn"`)
	a, bb := fact(t, b, "mass_a").Value.(float64), fact(t, b, "mass_b").Value.(float64)
	r := told(t, d, "bram", `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	if !said(r, "Taken from stock", "#1 demo rigid white A", "#2 demo rigid white B") {
		t.Errorf("notes %q", r.Notes)
	}
	grams(t, "A", left(t, d, "ada", "#1"), 610-a)
	grams(t, "B", left(t, d, "ada", "#2"), 480-bb)
	if r = told(t, d, "bram", "/pour cancel"); !said(r, "Given back to stock", "/pour fail") {
		t.Errorf("notes %q", r.Notes)
	}
	grams(t, "A given back", left(t, d, "ada", "#1"), 610)
	told(t, d, "bram", "/pour undo")
	grams(t, "A taken again", left(t, d, "ada", "#1"), 610-a)
	told(t, d, "bram", "/pour fail")
	r = told(t, d, "bram", `/pour cancel pour:#1`)
	if !said(r, "stays taken") {
		t.Errorf("notes %q", r.Notes)
	}
	grams(t, "A of a pour that failed", left(t, d, "ada", "#1"), 610-a)
	log := told(t, d, "ada", "/stock show container:#1")
	if f := fact(t, log, "pour"); !strings.Contains(f.Text, "bram, pour #1") || strings.Contains(f.Text, "harbor") {
		t.Errorf("ada reads %q of a pour that bram keeps to himself", f.Text)
	}
}

// TestStockSealed: a pour opens what was sealed, and sealed it is again when the
// pour never was. It has one call, its own.
func TestStockSealed(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/pour start material:"demo rigid clear" mold:"viaduct arch"`)
	if !said(r, "was sealed by the book and counts as opened today", "use it by 23 Mar 2027") {
		t.Errorf("notes %q", r.Notes)
	}
	if list := told(t, d, "ada", "/due list"); !strings.HasPrefix(list.Title, "You wait for 1 call") {
		t.Errorf("%q", list.Title)
	}
	told(t, d, "ada", "/pour cancel")
	if f := told(t, d, "ada", "/stock show container:#3"); !strings.Contains(f.Title, "1.8 kg left, sealed") {
		t.Errorf("%q", f.Title)
	}
	// By hand it makes the call, and taking it back takes the call back.
	if r = told(t, d, "ada", `/stock use container:#3 amount:"100 g"`); !said(r, "You will be called before that") {
		t.Errorf("notes %q", r.Notes)
	}
	if list := told(t, d, "ada", "/due list"); !strings.HasPrefix(list.Title, "You wait for 1 call") {
		t.Errorf("%q", list.Title)
	}
	told(t, d, "ada", "/stock undo container:#3")
	if list := told(t, d, "ada", "/due list"); list.Title != "You wait for nothing" {
		t.Errorf("%q", list.Title)
	}
}

// TestStockGates: what is not there, or past its date, is refused until one is
// sure, and said of a batch.
func TestStockGates(t *testing.T) {
	d := desk(t)
	march := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC).Sub(monday)
	if r := told(t, d, "ada", `/batch material:"demo rigid white" volume:"2 l"`); !said(r, "There is too little in stock") {
		t.Errorf("notes %q", r.Notes)
	}
	if r := toldAt(t, d, "ada", march, `/batch material:"demo rigid white" volume:"20 ml"`); !said(r, "past its date since 20 Feb 2027") {
		t.Errorf("notes %q", r.Notes)
	}
	refused(t, d, "ada", `/pour start material:"demo rigid white" thickness:"12 mm" volume:"2 l"`, fault.NotEnoughStock, "sure")
	grams(t, "A after a refusal", left(t, d, "ada", "#1"), 610)
	ans := askAt(t, d, "ada", march, `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	if ans.Fault == nil || ans.Fault.Code != fault.PastDate {
		t.Fatalf("%v", ans.Fault)
	}
	toldAt(t, d, "ada", march, `/pour start material:"demo rigid white" mold:"harbor pawn" sure:yes`)
	r := told(t, d, "ada", `/pour start material:"demo rigid white" thickness:"12 mm" volume:"2 l" sure:yes`)
	if !said(r, "more was not there by the book") {
		t.Errorf("notes %q", r.Notes)
	}
	grams(t, "A after all of it", left(t, d, "ada", "#1"), 0)
	refused(t, d, "ada", `/stock use container:#1 amount:"1 g"`, fault.NotEnoughStock, "sure")
	refused(t, d, "ada", `/stock use container:#1 amount:"1 g" sure:yes`, fault.NotEnoughStock, "amount")
	// A material of which nothing is kept takes nothing and says nothing.
	if r := told(t, d, "ada", `/pour start material:"demo rigid slow white" thickness:"12 mm" volume:"2 l"`); said(r, "stock") {
		t.Errorf("notes %q", r.Notes)
	}
}

func TestStockOldestFirst(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/stock add material:"demo rigid white" part:A amount:"100 ml" opened:2026-09-01 lot:"L 1"`)
	r := told(t, d, "ada", `/stock use material:"demo rigid white" part:A amount:"150 g"`)
	grams(t, "the older", left(t, d, "ada", "#6"), 0)
	grams(t, "the newer", left(t, d, "ada", "#1"), 570)
	if !strings.Contains(r.Title, "110.0 g A from #6") {
		t.Errorf("%q", r.Title)
	}
	told(t, d, "ada", `/stock use container:#1 amount:"70 g"`)
	grams(t, "the one named", left(t, d, "ada", "#1"), 500)
}

// TestStockLot: where a lot went.
func TestStockLot(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/stock add material:"demo rigid black" part:kit amount:"400 g" opened:2026-11-01 lot:"L 7"`)
	told(t, d, "ada", `/pour start material:"demo rigid black" mold:"harbor pawn"`)
	r := told(t, d, "ada", `/stock list lot:"l 7"`)
	if !strings.Contains(r.Title, "1 container, drawn from by 1 pour") || !strings.Contains(fact(t, r, "pour").Text, "harbor pawn") {
		t.Errorf("%q %+v", r.Title, r.Facts)
	}
	refused(t, d, "ada", `/stock list lot:"L 8"`, fault.NotFound, "lot")
	low, mid, high := bounds(t, told(t, d, "ada", "/stock check container:#6"), "left")
	if low >= mid || mid >= high || mid >= 400 {
		t.Errorf("after an unweighed draw %g to %g, %g", low, high, mid)
	}
}

func TestStockReorder(t *testing.T) {
	d := desk(t)
	refused(t, d, "ada", `/stock reorder material:"demo rigid white"`, fault.MissingOption, "use")
	for i := range 4 {
		toldAt(t, d, "ada", time.Duration(i*24*20)*time.Hour, `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	}
	r := toldAt(t, d, "ada", 61*24*time.Hour, `/stock reorder material:"demo rigid white"`)
	mass := 4 * 37.2 * 1.06
	grams(t, "use", fact(t, r, "use_per_month").Value.(float64), mass/61*365.25/12)
	told(t, d, "ada", `/stock reorder material:"demo rigid white" level:"600 g"`)
	if r := told(t, d, "ada", "/stock list"); !said(r, "Low:", "you wanted to be told at 600 g") {
		t.Errorf("notes %q", r.Notes)
	}
	// The level goes with the next jug too, and together they are not low.
	r = told(t, d, "ada", `/stock add material:"demo rigid white" part:A amount:"1 kg"`)
	grams(t, "level", fact(t, r, "low").Value.(float64), 600)
	if r := told(t, d, "ada", `/stock list`); said(r, "of demo rigid white A is left") || !said(r, "of demo rigid white B is left") {
		t.Errorf("notes %q", r.Notes)
	}
	refused(t, d, "bram", `/stock reorder material:"demo rigid white" use:"1 kg" level:"600 g"`, fault.NotFound, "level")
}

func TestStockCheck(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/stock check container:"demo rigid white A" temp:"22 C" humidity:50%`)
	if got := fact(t, r, "dew_margin").Value.(float64); math.Abs(got-(22-11.09)) > 0.02 { // Magnus form, WMO-No. 8
		t.Errorf("margin %g", got)
	}
	if n := fact(t, r, "open_days").Value; n != 34 {
		t.Errorf("open for %v days", n)
	}
	if left := fact(t, r, "shelf_left").Value; left != 89*86400.0 {
		t.Errorf("good for %v s", left)
	}
	if r = told(t, d, "ada", `/stock check container:#1 temp:"33 C"`); !said(r, "count on about 44") { // half, at ten degrees more
		t.Errorf("notes %q", r.Notes)
	}
	if r = told(t, d, "ada", `/stock check container:#1 temp:"10 C" humidity:95%`); !strings.Contains(strings.Join(r.Steps, " "), "too damp") {
		t.Errorf("steps %q", r.Steps)
	}
	// The label ends it where that is sooner, and a profile without an open
	// life leaves what is usual, as a range.
	told(t, d, "ada", `/stock add material:"demo rigid white" part:A amount:"1 kg" use_by:2026-12-31 opened:2026-11-20`)
	if use := fact(t, told(t, d, "ada", "/stock check container:#6"), "use_by").Text; use != "31 Dec 2026" {
		t.Errorf("use by %s", use)
	}
	told(t, d, "ada", `/material edit material:"demo rigid black" clear:shelf_opened`)
	told(t, d, "ada", `/stock add material:"demo rigid black" part:A amount:"1 kg" opened:2026-08-31`)
	low, mid, high := bounds(t, told(t, d, "ada", "/stock check container:#7"), "shelf_left")
	day := func(y int, m time.Month, d int) float64 { // months clamped to their end
		return math.Round(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Sub(time.Date(2026, 11, 23, 0, 0, 0, 0, time.UTC)).Seconds())
	}
	if low != day(2026, 9, 30) || mid != day(2026, 11, 30) || high != day(2027, 2, 28) {
		t.Errorf("usual: %g, %g, %g", low, mid, high)
	}
}

func TestStockRefusals(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", `/material add name:"bare" family:urethane ratio:"1:1 vol" pot_life:"3 min"`)
	for _, c := range []struct {
		as, line string
		code     fault.Code
		option   string
	}{
		{"ada", `/stock add material:"demo rigid white" part:A`, fault.MissingOption, "amount"},
		{"ada", `/stock add material:"demo rigid white" part:A amount:"1 m"`, fault.BadQuantity, "amount"},
		{"ada", `/stock add material:"no such" part:A amount:"1 kg"`, fault.UnknownMaterial, "material"},
		{"ada", `/stock add material:"demo rigid white" part:A amount:"1 kg" opened:soon`, fault.BadTime, "opened"},
		{"ada", `/stock add material:"demo rigid white" part:A amount:"1 kg" opened:2030-01-01`, fault.BadTime, "opened"},
		{"ada", `/stock add material:"demo rigid white" part:A amount:"1 kg" bought:2026-11-01 opened:2026-10-01`, fault.BadTime, "opened"},
		{"ada", `/stock add material:"demo rigid white" part:A amount:"1 kg" use_by:"next year"`, fault.BadTime, "use_by"},
		{"bram", `/stock add material:bare part:A amount:"100 ml"`, fault.MissingOption, "amount"},
		{"bram", `/stock add material:bare part:kit amount:"100 g"`, fault.MissingOption, "part"},
		{"bram", `/stock open material:bare`, fault.NotFound, "material"},
		{"ada", `/stock use amount:"1 g"`, fault.MissingOption, "container"},
		{"ada", `/stock use container:#99 amount:"1 g"`, fault.NotFound, "container"},
		{"ada", `/stock use container:nothing amount:"1 g"`, fault.NotFound, "container"},
		{"ada", `/stock use container:#1 left:"500 g"`, fault.MissingOption, "tare"},
		{"ada", `/stock use container:#1 left:"50 g" tare:"85 g"`, fault.OutOfRange, "left"},
		{"ada", `/stock use container:#1 left:"50 g" amount:"85 g"`, fault.TooManyOptions, ""},
		{"bram", `/stock finish container:#1 sure:yes`, fault.NotAllowed, "container"},
		{"ada", `/stock undo container:#1`, fault.NotFound, "container"},
	} {
		ans := ask(t, d, c.as, c.line)
		if ans.Fault == nil || ans.Fault.Code != c.code || c.option != "" && ans.Fault.Option != c.option || ans.Fault.HintText() == "" {
			t.Errorf("%s: got %v, want %s in %s", c.line, ans.Fault, c.code, c.option)
		}
	}
}

// TestStockSteps: what is asked before it is done, and what is kept by it.
func TestStockSteps(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "ada", "/stock finish container:#1")
	if ans.Reply == nil || !strings.Contains(ans.Reply.Title, "Nothing is changed yet") {
		t.Fatalf("%+v", ans)
	}
	done := press(t, d, "ada", ans, "It is finished")
	if done.Reply == nil || done.Reply.Title != "Finished: #1 demo rigid white A" {
		t.Fatalf("%+v", done)
	}
	refused(t, d, "ada", `/stock open container:#1`, fault.NotAllowed, "container")
	if r := told(t, d, "ada", "/stock list"); strings.Contains(r.Facts[0].Label, "#1") {
		t.Errorf("%+v", r.Facts)
	}
	if r := told(t, d, "ada", "/stock list finished:yes"); !strings.Contains(r.Facts[0].Text, "finished 23 Nov 2026") {
		t.Errorf("%+v", r.Facts)
	}
	if back := press(t, d, "ada", done, "Take it back"); back.Reply == nil {
		t.Fatalf("%+v", back)
	}
	// The empty weight is kept, and the next weighing needs it no more.
	told(t, d, "ada", `/stock use container:#1 left:"600 g" tare:"85 g"`)
	r := told(t, d, "ada", `/stock use container:#1 left:"585 g"`)
	grams(t, "weighed", fact(t, r, "left").Value.(float64), 500)
	grams(t, "off", fact(t, r, "book_off").Value.(float64), 15)
	// Private is private.
	told(t, d, "ada", "/stock unshare container:#1")
	if ans := ask(t, d, "bram", "/stock show container:#1"); ans.Fault == nil || ans.Fault.Code != fault.NotFound {
		t.Errorf("bram sees %+v", ans.Reply)
	}
	if r := told(t, d, "bram", `/pour start material:"demo rigid white" mold:"harbor pawn"`); !said(r, "Taken from stock", "#2 demo rigid white B") || said(r, "from #1") {
		t.Errorf("notes %q", r.Notes)
	}
	if ans := ask(t, d, "ada", "/stock remove container:#1"); ans.Reply == nil || press(t, d, "ada", ans, "Remove it").Reply == nil {
		t.Error("it stays")
	}
}
