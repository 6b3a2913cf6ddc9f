package commands_test

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

func TestTint(t *testing.T) {
	d := desk(t)
	golden(t, "tint_look", ask(t, d, "bram", `/tint look base:"demo rigid white" tints:"brick red 0.2%"`))
	golden(t, "tint_look_drops", ask(t, d, "bram", `/tint look base:"demo rigid white" tints:"brick red 0.5%, soot black 2 drops" mass:"200 g"`))
	golden(t, "tint_look_clear", ask(t, d, "bram", `/tint look base:"demo rigid clear" tints:"sea blue 0.1%" wall:"4 mm"`))
	golden(t, "tint_dose", ask(t, d, "bram", `/tint dose base:"demo rigid white" tint:"brick red" mass:"200 g" percent:"0.5%" scale_step:"0.01 g"`))
	golden(t, "tint_dose_letdown", ask(t, d, "bram", `/tint dose base:"demo rigid white" tint:"brick red" mass:"60 g" percent:"0.2%" scale_step:"0.01 g"`))
	golden(t, "tint_dose_cups", ask(t, d, "bram", `/tint dose base:"demo rigid white" tint:"brick red" mass:"600 g" percent:"0.5%" cups:3`))
	golden(t, "tint_match", ask(t, d, "bram", `/tint match base:"demo rigid white" target:#D9A8A0 mass:"200 g" scale_step:"0.01 g"`))
	golden(t, "tint_match_working", press(t, d, "bram", ask(t, d, "bram", `/tint match base:"demo rigid white" target:#D9A8A0 palette:"brick red" mass:"200 g" scale_step:"0.01 g"`), "Show working"))
	golden(t, "tint_match_out_of_reach", ask(t, d, "bram", `/tint match base:"demo rigid white" target:#7A0000`))
	golden(t, "tint_list", ask(t, d, "bram", "/tint list"))
	golden(t, "tint_show", ask(t, d, "bram", `/tint show tint:"soot black"`))
	golden(t, "batch_tint", ask(t, d, "bram", `/batch material:"demo rigid white" volume:"250 ml" tint:"brick red 0.5%" scale_step:"0.01 g"`))
	golden(t, "batch_tint_cups", ask(t, d, "bram", `/batch material:"demo rigid white" volume:"1 l" cup_size:"300 ml" tint:"brick red 0.5%, soot black 0.1%"`))
}

// A tint at its swatch's own dose in its swatch's own base is its swatch.
func TestTintGivesItsSwatchBack(t *testing.T) {
	d := desk(t)
	for tints, want := range map[string]string{
		"brick red 0.5%": "#C9837F", "sea blue 0.5%": "#7F9DC0", "primrose yellow 0.5%": "#E6CF7E", "soot black 0.2%": "#8E8E8E", "leaf green 0.5%": "#86AC8B",
		"0.5% of brick red": "#C9837F",
	} {
		r := told(t, d, "cleo", `/tint look base:"demo rigid white" tints:"`+tints+`"`)
		if got := fact(t, r, "predicted_hex").Value; got != want {
			t.Errorf("%s: predicted %v, want %s", tints, got, want)
		}
		near(t, r, "floor", 3.5, 1e-12)
		if len(r.Images) != 2 || !strings.Contains(r.Images[0].Alt, "base #F2EFE6, predicted "+want) || strings.Count(r.Images[1].Alt, "#") != 5 {
			t.Errorf("%s: pictures %+v", tints, r.Images)
		}
	}
}

// Red in white comes out pink, black in white gray, and red in black stays
// black: what the whole command is for.
func TestTintInItsBase(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/tint look base:"demo rigid black" tints:"brick red 2%"`)
	if got := fact(t, r, "predicted_hex").Value.(string); got > "#151516" {
		t.Errorf("red in black gives %s", got)
	}
	if !said(r, "white base, this one is black") {
		t.Errorf("no warning that the tint was measured in another base: %q", r.Notes)
	}
}

// The amounts are those of weighing by hand. Values: w01, w02 and w03 of
// testdata/reference/color.json, whose part B is half of the resin; here B is
// that of 1.10:1.02.
func TestTintDoseNumbers(t *testing.T) {
	d := desk(t)
	dose := func(options string) *chat.Reply {
		return told(t, d, "ada", `/tint dose base:"demo rigid white" tint:"brick red" `+options)
	}
	r := dose(`mass:"200 g" percent:"0.2%" scale_step:"0.01 g"`)
	near(t, r, "dose_1", 0.002, 1e-12)
	near(t, r, "mass_tint", 0.400801603206, 0.005)
	near(t, r, "drops_1", 0.400801603206/0.045, 1e-6)
	for _, f := range r.Facts {
		if f.Key == "letdown_parts" {
			t.Error("0.4 g on a scale of 0.01 g needs no letdown")
		}
	}
	r = dose(`mass:"60 g" percent:"0.2%" scale_step:"0.01 g"`)
	near(t, r, "letdown_parts", 10, 0)
	near(t, r, "mass_tint", 0.120240480962, 1e-9)
	const side = 60 * 1.02 / 2.12 // g of B
	steps := strings.Join(r.Steps, "\n")
	for _, want := range []string{"0.20 g of brick red into 1.80 g B", "1.20 g of the 1:10 letdown", "27.79 g B", "31.13 g A"} {
		if !strings.Contains(steps, want) {
			t.Errorf("the steps lack %q (B is %.2f g):\n%s", want, side, steps)
		}
	}
	r = dose(`mass:"60 g" percent:"0.2%" scale_step:"0.1 g"`)
	near(t, r, "letdown_parts", 100, 0)
	if steps := strings.Join(r.Steps, "\n"); !strings.Contains(steps, "12.0 g of the 1:100 letdown") || !strings.Contains(steps, "2.0 g of the 1:10 into 18.0 g B") {
		t.Errorf("steps of a letdown of a letdown:\n%s", steps)
	}
	r = dose(`mass:"200 g" drops:20 scale_step:"0.01 g"`)
	near(t, r, "dose_1", 0.9/200.9, 1e-12)
	near(t, r, "drops_1", 20, 1e-9)
	if r = dose(`mass:"200 g" percent:"0.5%" drops:12`); !said(r, "12 drops", "10 drops more") {
		t.Errorf("notes %q do not say what is still to add", r.Notes)
	}
}

func TestTintTooLittle(t *testing.T) {
	d := desk(t)
	golden(t, "tint_too_little", ask(t, d, "ada", `/tint dose base:"demo rigid white" tint:"brick red" mass:"20 g" percent:"0.05%"`))
	r := told(t, d, "ada", `/batch material:"demo rigid white" mass:"20 g" tint:"brick red 0.05%"`)
	if !strings.Contains(r.Notes[0], "less tint than a scale of 0.1 g") || !strings.Contains(r.Notes[0], "mix at least") {
		t.Errorf("the first note of the batch is %q", r.Notes[0])
	}
}

// A match is looked at as the scale gives it: the doses of the facts, put in by
// hand, give the same color.
func TestTintMatchAgreesWithLook(t *testing.T) {
	d := desk(t)
	m := told(t, d, "ada", `/tint match base:"demo rigid white" target:#D9A8A0 palette:"brick red, primrose yellow"`)
	near(t, m, "delta_e", 0, 2)
	if fact(t, m, "reachable").Value != true {
		t.Error("a pink is not reachable")
	}
	line := `/tint look base:"demo rigid white" tints:"`
	for i, name := range []string{"brick red", "primrose yellow"} {
		line += name + " " + strings.TrimSpace(strings.Split(fact(t, m, []string{"dose_1", "dose_2"}[i]).Text, ":")[0]) + ", "
	}
	l := told(t, d, "ada", strings.TrimSuffix(line, ", ")+`"`)
	if a, b := fact(t, m, "predicted_hex").Value, fact(t, l, "predicted_hex").Value; a != b {
		t.Errorf("match predicts %v, look %v", a, b)
	}
	if alt := m.Images[0].Alt; !strings.Contains(alt, "target #D9A8A0") {
		t.Errorf("alt %q lacks the target", alt)
	}
}

func TestTintOutOfReach(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/tint match base:"demo rigid white" target:#7A0000`)
	if fact(t, r, "reachable").Value != false {
		t.Error("a deep red is reachable in a white base")
	}
	for _, want := range []string{"Not reachable: the closest is #", "because the base is white", "a clear-curing base would reach it"} {
		if !strings.Contains(r.Title, want) {
			t.Errorf("title %q lacks %q", r.Title, want)
		}
	}
	if load := valued(t, r, "load"); load > 0.02*(1+1e-6) {
		t.Errorf("a load of %v is over the limit", load)
	}
	r = told(t, d, "ada", `/tint match base:"demo rigid white" target:#7A0000 max_load:5%`)
	if !said(r, "5 %", "more than the 2 %") {
		t.Errorf("notes %q do not warn of the load", r.Notes)
	}
}

func TestTintRefusals(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/material add name:"no side" family:urethane ratio:"1:1 wt" pot_life:"3 min" cured_color:"#F2EFE6"`)
	told(t, d, "ada", `/material add name:"no weights" family:urethane ratio:"1:1 vol" pot_life:"3 min" cured_color:"#F2EFE6" tint_side:B`)
	told(t, d, "ada", `/material add name:"no color" family:urethane ratio:"1:1 wt" pot_life:"3 min" tint_side:B`)
	told(t, d, "ada", `/tint add name:"gold flake" family:metallic base:"demo rigid white" dose:1% swatch:#A07820 quality:careful`)
	told(t, d, "ada", `/tint add name:"night glow" family:glow base:"demo rigid white"`)
	told(t, d, "ada", `/tint add name:"food color" family:colored base:"demo casting epoxy" dose:1% swatch:#A07820 quality:careful wall:6mm`)
	told(t, d, "ada", `/tint add name:"no drop" family:colored base:"demo rigid white" dose:1% swatch:#A07820 quality:careful`)
	for _, c := range []struct {
		line   string
		code   fault.Code
		option string
	}{
		{`/tint look base:"demo rigid white"`, fault.MissingOption, "tints"},
		{`/tint look base:"demo rigid wite" tints:"brick red 1%"`, fault.UnknownMaterial, "base"},
		{`/tint look base:"demo rigid white" tints:"brik red 1%"`, fault.UnknownTint, "tints"},
		{`/tint look base:"demo rigid white" tints:"brick red"`, fault.BadQuantity, "tints"},
		{`/tint look base:"demo rigid white" tints:"brick red 1 ml"`, fault.BadQuantity, "tints"},
		{`/tint look base:"demo rigid white" tints:"brick red 0.5"`, fault.AmbiguousNumber, "tints"},
		{`/tint look base:"demo rigid white" tints:"brick red 40%"`, fault.OutOfRange, "tints"},
		{`/tint look base:"demo rigid white" tints:"brick red 0%"`, fault.OutOfRange, "tints"},
		{`/tint look base:"demo rigid white" tints:"brick red 12%, sea blue 12%"`, fault.OutOfRange, "tints"},
		{`/tint look base:"demo rigid white" tints:"brick red 1%, Brick Red 1%"`, fault.TooManyOptions, "tints"},
		{`/tint look base:"demo rigid white" tints:"brick red 1%, sea blue 1%, soot black 1%, leaf green 1%, no drop 1%"`, fault.TooManyOptions, "tints"},
		{`/tint look base:"demo rigid white" tints:"brick red 2 drops"`, fault.MissingOption, "mass"},
		{`/tint look base:"demo rigid white" tints:"brick red 1%" cups:2`, fault.MissingOption, "mass"},
		{`/tint look base:"demo rigid white" tints:"no drop 2 drops" mass:100g`, fault.NotFound, "tints"},
		{`/tint look base:"demo rigid white" tints:"gold flake 1%"`, fault.Unsupported, "tints"},
		{`/tint look base:"demo rigid white" tints:"food color 1%"`, fault.Unsupported, "tints"},
		{`/tint look base:"demo rigid clear" tints:"brick red 1%"`, fault.MissingOption, "wall"},
		{`/tint look base:"no color" tints:"brick red 1%"`, fault.MissingOption, "base"},
		{`/tint look base:"demo tin silicone" tints:"brick red 1%"`, fault.BadColor, "base"},
		{`/tint dose base:"demo rigid white" tint:"brick red" mass:"200 g"`, fault.MissingOption, "percent"},
		{`/tint dose base:"demo rigid white" tint:"brick red" percent:1%`, fault.MissingOption, "mass"},
		{`/tint dose base:"demo rigid white" tint:"brick red" mass:"200 g" percent:40%`, fault.OutOfRange, "percent"},
		{`/tint dose base:"demo rigid white" tint:"brick red" mass:"200 g" drops:9000`, fault.OutOfRange, "drops"},
		{`/tint dose base:"demo rigid white" tint:"no drop" mass:"200 g" drops:9`, fault.NotFound, "drops"},
		{`/tint dose base:"demo rigid white" tint:"food color" mass:"200 g" percent:1%`, fault.Unsupported, "tint"},
		{`/tint dose base:"no side" tint:"brick red" mass:"200 g" percent:1%`, fault.NotFound, "base"},
		{`/tint dose base:"no weights" tint:"brick red" mass:"200 g" percent:1%`, fault.NotFound, "base"},
		{`/tint match base:"demo rigid white" target:"#12"`, fault.BadColor, "target"},
		{`/tint match base:"demo rigid white" target:"brick rde"`, fault.UnknownTint, "target"},
		{`/tint match base:"demo rigid white" target:#C9837F max_load:40%`, fault.OutOfRange, "max_load"},
		{`/tint match base:"demo rigid white" target:#C9837F palette:"night glow"`, fault.Unsupported, "palette"},
		{`/tint match base:"demo rigid white" target:#C9837F palette:"brik red"`, fault.UnknownTint, "palette"},
		{`/tint match base:"demo rigid white" target:"night glow"`, fault.BadColor, "target"},
		{`/tint add name:x base:"demo rigid white" dose:1% swatch:#C9837F quality:careful`, fault.MissingOption, "family"},
		{`/tint add name:x family:colored base:"demo rigid white" dose:1% swatch:#C9837 quality:careful`, fault.BadColor, "swatch"},
		{`/tint add name:x family:colored base:"demo rigid white" dose:1% swatch:#C9837F`, fault.MissingOption, "quality"},
		{`/tint add name:x family:colored base:"demo rigid white" dose:1% quality:careful`, fault.MissingOption, "swatch"},
		{`/tint add name:x family:colored base:"demo rigid white" swatch:#C9837F quality:careful`, fault.MissingOption, "dose"},
		{`/tint add name:x family:colored base:"demo rigid white" dose:40% swatch:#C9837F quality:careful`, fault.OutOfRange, "dose"},
		{`/tint add name:x family:colored base:"demo rigid clear" dose:1% swatch:#C9837F quality:careful`, fault.MissingOption, "wall"},
		{`/tint add name:x family:sparkly base:"demo rigid white" dose:1% swatch:#C9837F quality:careful`, fault.NotFound, "family"},
		{`/tint add name:x family:colored base:"demo rigid white" dose:1% swatch_at:"1,1"`, fault.MissingOption, "photo"},
		{`/tint add name:"poster paint" family:colored base:"demo rigid white" dose:1% swatch:#C9837F quality:careful`, fault.Unsupported, "name"},
		{`/tint add name:"Brick Red" family:colored base:"demo rigid white" dose:1% swatch:#C9837F quality:careful`, fault.NameTaken, "name"},
		{`/tint drops tint:"brick red" weight_of_20:"90 g"`, fault.OutOfRange, "weight_of_20"},
		{`/tint drops tint:"brick" weight_of_20:"0.9 g"`, fault.UnknownTint, "tint"},
		{`/batch material:"demo rigid white" volume:"250 ml" tint:"brik red 1%"`, fault.UnknownTint, "tint"},
		{`/batch material:"demo rigid white" volume:"250 ml" tint:"food color 1%"`, fault.Unsupported, "tint"},
		{`/batch material:"no side" mass:"250 g" tint:"brick red 1%"`, fault.NotFound, "material"},
		{`/batch material:"demo rigid white" mass:"0.5 g" tint:"brick red 20 drops"`, fault.OutOfRange, "tint"},
		{`/batch material:"demo rigid white" mass:"100 g" tint:"brick red 40%"`, fault.OutOfRange, "tint"},
	} {
		t.Run(c.line, func(t *testing.T) { refused(t, d, "ada", c.line, c.code, c.option) })
	}
	// What has no color can be weighed, and says why it has none.
	if r := told(t, d, "ada", `/tint dose base:"demo rigid white" tint:"gold flake" mass:"200 g" percent:1%`); !said(r, "No color is predicted", "metallic") {
		t.Errorf("notes of a metallic: %q", r.Notes)
	}
	if r := told(t, d, "ada", `/tint dose base:"demo tin silicone" tint:"brick red" mass:"200 g" percent:1%`); !said(r, "No color is predicted", "sand") {
		t.Errorf("notes of a base without a color: %q", r.Notes)
	}
}

// A near name in a list is offered within the list, and the press goes on with
// the rest of it.
func TestTintNearNameInAList(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "ada", `/tint look base:"demo rigid white" tints:"soot black 0.2%, brik red 0.5%"`)
	again := press(t, d, "ada", ans, "brick red")
	if again.Reply == nil || !strings.Contains(again.Reply.Title, "Soot black 0.2 % and brick red 0.5 %") {
		t.Errorf("after the press: %+v, %v", again.Reply, again.Fault)
	}
}

func TestTintCompletes(t *testing.T) {
	d := desk(t)
	for _, c := range []struct{ option, typed, want string }{
		{"tints", "bri", "brick red 0.5%"},
		{"tints", "brick red 0.3%, so", "brick red 0.3%, soot black 0.5%"},
		{"tints", "brick 0.3%", "brick red 0.3%"},
	} {
		inv := calling("bram")
		inv.Command, inv.Sub, inv.Raw = "tint", "look", map[string]string{"base": "demo rigid white", c.option: c.typed}
		got, err := d.Complete(t.Context(), inv, c.option)
		if err != nil || len(got) == 0 || got[0].Value != c.want {
			t.Errorf("%s %q: %+v, %v; want %q first", c.option, c.typed, got, err, c.want)
		}
	}
}

func TestTintShelf(t *testing.T) {
	d := desk(t)
	inv := calling("bram")
	inv.Command, inv.Sub, inv.Forms = "tint", "add", true
	open := d.Do(t.Context(), inv)
	if open.Form == nil || len(open.Form.Fields) != 5 {
		t.Fatalf("a bare /tint add opens %+v, want a form of five fields", open)
	}
	saved := send(t, d, "bram", open.Form, map[string]string{"name": "rust, colored", "base": "demo rigid white", "dose": "0.5%", "swatch": "a0522d", "quality": "phone"})
	if saved.Fault != nil {
		t.Fatal(saved.Fault)
	}
	golden(t, "tint_add", saved)
	near(t, told(t, d, "bram", `/tint look base:"demo rigid white" tints:"rust 0.5%"`), "floor", 10, 1e-12)
	refused(t, d, "cleo", "/tint show tint:rust", fault.UnknownTint, "tint")
	golden(t, "tint_drops", ask(t, d, "bram", `/tint drops tint:rust weight_of_20:"1.1 g"`))
	near(t, told(t, d, "bram", "/tint show tint:rust"), "drop", 0.055, 1e-12)
	old := press(t, d, "bram", ask(t, d, "bram", "/tint history tint:rust"), "Show version 1")
	if old.Fault != nil || !said(old.Reply, "was not weighed yet") {
		t.Errorf("version 1: %+v, %v", old.Reply, old.Fault)
	}
	refused(t, d, "bram", `/tint drops tint:"brick red" weight_of_20:"1.1 g"`, fault.NotAllowed, "tint")
	if gone := press(t, d, "bram", ask(t, d, "bram", "/tint remove tint:rust"), "Remove it"); gone.Fault != nil {
		t.Fatal(gone.Fault)
	}
	refused(t, d, "bram", "/tint show tint:rust", fault.UnknownTint, "tint")
}

// Everyone begins without tints: the answer says how to get one.
func TestTintEmptyShelf(t *testing.T) {
	d := desk(t)
	for _, name := range []string{"brick red", "sea blue", "primrose yellow", "soot black", "leaf green"} {
		told(t, d, "ada", `/tint remove tint:"`+name+`" sure:yes`)
	}
	refused(t, d, "ada", `/tint match base:"demo rigid white" target:#C9837F`, fault.MissingOption, "palette")
	if r := told(t, d, "ada", "/tint list"); !said(r, "/tint add") {
		t.Errorf("notes of an empty shelf: %q", r.Notes)
	}
}

// The tint of a batch is that of /tint for the same A and B, and the mass in
// the cup holds it.
func TestBatchTint(t *testing.T) {
	d := desk(t)
	b := told(t, d, "ada", `/batch material:"demo rigid white" volume:"250 ml" tint:"brick red 0.5%"`)
	l := told(t, d, "ada", `/tint look base:"demo rigid white" tints:"brick red 0.5%" mass:"275.6 g"`)
	for _, key := range []string{"dose_1", "drops_1", "mass_tint", "load", "letdown_parts", "floor"} {
		near(t, b, key, valued(t, l, key), 1e-9)
	}
	near(t, b, "mass_a", 143, 0.05)
	near(t, b, "mass_b", 132.6, 0.05)
	m := told(t, d, "ada", `/batch material:"demo rigid white" mass:"60 g" tint:"brick red 2%"`)
	near(t, m, "mass_total", 60, 0.11)
	near(t, m, "mass_tint", 1.2, 0.005)
	near(t, m, "load", 0.02, 1e-12)
	cups := told(t, d, "ada", `/batch material:"demo rigid white" volume:"1 l" cup_size:"300 ml" tint:"brick red 0.5%"`)
	if steps := strings.Join(cups.Steps, "\n"); !strings.Contains(steps, "for all cups") || !strings.Contains(steps, "each of the 4 cups") || strings.Count(steps, " add ") != 4 {
		t.Errorf("steps of four cups:\n%s", steps)
	}
	if a := told(t, d, "ada", `/batch material:"demo casting epoxy" mass:"100 g" tint:"brick red 1%"`); !strings.Contains(strings.Join(a.Steps, "\n"), " A, stir in") {
		t.Errorf("an epoxy is tinted in part A: %q", a.Steps)
	}
	again := press(t, d, "ada", ask(t, d, "ada", `/tint match base:"demo rigid white" target:#D9A8A0 palette:"brick red" mass:"200 g"`), "Size this batch")
	if again.Fault != nil {
		t.Fatal(again.Fault)
	}
	near(t, again.Reply, "mass_total", 200.4, 0.5)
}

// A photo in a cast of light, as under a warm lamp: swatch of #C9837F in the
// middle, a white card to the right.
func photo(t *testing.T, gain [3]float64, encode func(*bytes.Buffer, image.Image) error) chat.File {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 400, 300))
	lit := func(light [3]float64) color.RGBA {
		var out [3]uint8
		for i, v := range light {
			out[i] = uint8(math.Round(255 * coded(v*gain[i])))
		}
		return color.RGBA{out[0], out[1], out[2], 255}
	}
	linear := func(v uint8) float64 { return math.Pow((float64(v)/255+0.055)/1.055, 2.4) }
	for y := range 300 {
		for x := range 400 {
			c := [3]float64{0.3, 0.3, 0.3}
			if x < 200 {
				c = [3]float64{linear(0xC9), linear(0x83), linear(0x7F)}
			} else if x > 300 {
				c = [3]float64{0.9, 0.9, 0.9}
			}
			img.SetRGBA(x, y, lit(c))
		}
	}
	var b bytes.Buffer
	if err := encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return chat.File{Name: "swatch.jpg", Data: b.Bytes()}
}

// coded is the curve of IEC 61966-2-1 above its toe.
func coded(v float64) float64 { return 1.055*math.Pow(v, 1/2.4) - 0.055 }

func TestTintPhoto(t *testing.T) {
	asPNG := func(b *bytes.Buffer, img image.Image) error { return png.Encode(b, img) }
	asJPEG := func(b *bytes.Buffer, img image.Image) error { return jpeg.Encode(b, img, &jpeg.Options{Quality: 90}) }
	add := func(t *testing.T, f chat.File, options string) chat.Answer {
		inv := calling("bram")
		inv.Line = `/tint add name:x family:colored base:"demo rigid white" dose:0.5% ` + options
		inv.Files = map[string]chat.File{"": f}
		return desk(t).Do(t.Context(), inv)
	}
	warm := [3]float64{0.95, 0.8, 0.7}
	for name, c := range map[string]struct {
		file    chat.File
		options string
		within  int
		quality string
	}{
		"corrected by the card": {photo(t, warm, asPNG), `swatch_at:"25 %, 50 %" card_at:"white 90 %, 50 %"`, 2, "card"},
		"jpeg, pixel boxes":     {photo(t, warm, asJPEG), `swatch_at:"60,100 140,200" card_at:"white 320,100 380,200"`, 3, "card"},
		"card not named":        {photo(t, warm, asPNG), `swatch_at:"100,150" card_at:"360,150"`, 2, "card"},
		"no card":               {photo(t, [3]float64{0.9, 0.9, 0.9}, asPNG), `swatch_at:"100,150"`, 12, "phone"},
		"said to be poor":       {photo(t, warm, asPNG), `swatch_at:"100,150" card_at:"white 360,150" quality:poor`, 2, "poor"},
		"a photo's claim to be more is not taken": {photo(t, warm, asPNG), `swatch_at:"100,150" card_at:"white 360,150" quality:instrument`, 2, "card"},
	} {
		t.Run(name, func(t *testing.T) {
			ans := add(t, c.file, c.options)
			if ans.Fault != nil {
				t.Fatal(ans.Fault)
			}
			got := fact(t, ans.Reply, "swatch").Value.(string)
			if d := apart(t, got, "#C9837F"); d > c.within {
				t.Errorf("read %s, %d off #C9837F", got, d)
			}
			if q := fact(t, ans.Reply, "quality").Value; q != c.quality {
				t.Errorf("quality %v, want %s", q, c.quality)
			}
			if !said(ans.Reply, "read off the photo", "not as a measurement") {
				t.Errorf("notes %q pass the reading off as a measurement", ans.Reply.Notes)
			}
		})
	}
	good := photo(t, warm, asPNG)
	for name, c := range map[string]struct {
		file    chat.File
		options string
		code    fault.Code
		option  string
	}{
		"nowhere":            {good, "", fault.MissingOption, "swatch_at"},
		"outside":            {good, `swatch_at:"900,150"`, fault.OutOfRange, "swatch_at"},
		"card outside":       {good, `swatch_at:"100,150" card_at:"white 40 %"`, fault.OutOfRange, "card_at"},
		"with a code":        {good, `swatch:#C9837F quality:phone swatch_at:"100,150"`, fault.TooManyOptions, "photo"},
		"no picture":         {chat.File{Name: "a.jpg", Data: []byte("not a picture")}, `swatch_at:"100,150"`, fault.BadFile, "photo"},
		"half a picture":     {chat.File{Name: "a.png", Data: good.Data[:len(good.Data)/2]}, `swatch_at:"100,150"`, fault.BadFile, "photo"},
		"a picture too wide": {chat.File{Name: "a.png", Data: hugePNG()}, `swatch_at:"100,150"`, fault.FileTooLarge, "photo"},
	} {
		t.Run(name, func(t *testing.T) {
			ans := add(t, c.file, c.options)
			if ans.Fault == nil || ans.Fault.Code != c.code || ans.Fault.Option != c.option || ans.Fault.HintText() == "" {
				t.Errorf("got %v, want %s in %s with a hint", ans.Fault, c.code, c.option)
			}
		})
	}
}

// apart is the largest difference of a channel.
func apart(t *testing.T, a, b string) int {
	t.Helper()
	d := 0
	for i := 1; i < 7; i += 2 {
		d = max(d, abs(channel(t, a[i:i+2])-channel(t, b[i:i+2])))
	}
	return d
}

func channel(t *testing.T, text string) int {
	t.Helper()
	n := 0
	for _, r := range text {
		i := strings.IndexRune("0123456789ABCDEF", r)
		if i < 0 {
			t.Fatalf("%q is no channel", text)
		}
		n = 16*n + i
	}
	return n
}

func abs(n int) int { return max(n, -n) }

// hugePNG is the head of a picture of 60000 × 60000 pixels in a few bytes.
func hugePNG() []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 1, 1))); err != nil {
		panic(err)
	}
	data := b.Bytes()
	copy(data[16:24], []byte{0, 0, 0xEA, 0x60, 0, 0, 0xEA, 0x60})
	binary.BigEndian.PutUint32(data[29:], crc32.ChecksumIEEE(data[12:29]))
	return data
}
