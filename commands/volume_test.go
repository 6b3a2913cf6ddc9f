package commands_test

import (
	"bytes"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
)

// attach types a line with a file.
func attach(t testing.TB, d *chat.Dispatcher, line string, data []byte) chat.Answer {
	t.Helper()
	inv := calling("ada")
	inv.Line, inv.Files = line, map[string]chat.File{"": {Name: "part.stl", Data: data}}
	return d.Do(t.Context(), inv)
}

func cube(side float64) meshtest.Mesh {
	return meshtest.Box([3]float64{}, [3]float64{side, side, side})
}

func TestVolumeShape(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/volume shape kind:cylinder size:"d 30 mm h 12 mm"`)
	near(t, r, "volume", 8.48230016, 1e-6) // πd²h/4
	near(t, r, "thickest", 12, 1e-9)
	golden(t, "volume_shape", ask(t, d, "ada", `/volume shape kind:box size:"10 x 20 x 5 cm"`))
	ans := refused(t, d, "ada", `/volume shape kind:cilinder size:"d 30 mm h 12 mm"`, fault.NotFound, "kind")
	if next := press(t, d, "ada", ans, "cylinder"); next.Fault != nil || !next.Replace {
		t.Errorf("the near kind does not go on in place: %+v", next.Fault)
	}
	refused(t, d, "ada", `/volume shape kind:sphere size:"d 30 kg"`, fault.BadQuantity, "size")
	refused(t, d, "ada", `/volume shape kind:tube size:"od 30 mm id 40 mm h 5 mm"`, fault.OutOfRange, "size")
	refused(t, d, "ada", `/volume shape kind:cylinder size:"30 mm"`, fault.MissingOption, "size")
}

func TestVolumeFill(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/volume fill mass:"153.2 g" temp:"20 C"`)
	near(t, r, "volume", 153.4752, 0.01) // water at 20 °C, Tanaka 2001
	if !said(r, "one drop") || !said(r, "plaster") {
		t.Errorf("notes %q do not say to dry the mold", r.Notes)
	}
	r = told(t, d, "ada", `/volume fill volume:"240 ml" with:rice`)
	if f := fact(t, r, "volume"); f.Low == nil || *f.Low > 233 || *f.High < 247 {
		t.Errorf("rice is read without its spread: %+v", f)
	}
	refused(t, d, "ada", `/volume fill mass:"200 g" with:rice`, fault.MissingOption, "volume")
	refused(t, d, "ada", `/volume fill mass:"200 g" with:other`, fault.MissingOption, "density")
	refused(t, d, "ada", `/volume fill mass:"200 g" with:custard`, fault.NotFound, "with")
	refused(t, d, "ada", `/volume fill mass:"200 g" temp:"60 C"`, fault.OutOfRange, "temp")
	refused(t, d, "ada", `/volume fill`, fault.MissingOption, "mass")
}

func TestVolumePart(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/material add name:cured family:urethane ratio:"1:1 wt" pot_life:"5 min" density_mixed:1.08`)
	near(t, told(t, d, "ada", `/volume part mass:"86.4 g" material:cured`), "volume", 80, 1e-9)
	told(t, d, "ada", `/material add name:bare family:urethane ratio:"1:1 wt" pot_life:"5 min"`)
	refused(t, d, "ada", `/volume part mass:"86.4 g" material:bare`, fault.NotFound, "material")
}

func TestVolumeMesh(t *testing.T) {
	d := desk(t)
	ans := attach(t, d, "/volume mesh", cube(20).STL(""))
	if ans.Fault != nil {
		t.Fatal(ans.Fault)
	}
	r := ans.Reply
	near(t, r, "volume", 8, 1e-9)
	near(t, r, "area", 2400, 1e-9)
	near(t, r, "bbox_z", 20, 1e-9)
	near(t, r, "triangles", 12, 0)
	near(t, r, "shells", 1, 0)
	near(t, r, "open_edges", 0, 0)
	near(t, r, "thickest", 20, 0.1)
	near(t, r, "thinnest", 20, 0.6)
	golden(t, "volume_mesh", ans)

	big := attach(t, d, "/volume mesh resize:1.02", cube(20).STL(""))
	near(t, big.Reply, "volume", 8*1.02*1.02*1.02, 1e-9)
	long := attach(t, d, `/volume mesh resize:"80 mm"`, cube(20).STL(""))
	near(t, long.Reply, "volume", 512, 1e-9)
}

// The picture comes with the file, known or new, and not with a later press.
func TestVolumeMeshPicture(t *testing.T) {
	d := desk(t)
	data := meshtest.CabinetKnob().STL("")
	ans := attach(t, d, "/volume mesh unit:mm", data)
	im := drawn(t, ans)
	for _, words := range []string{"32 mm in x, 32 mm in y and 30 mm in z", "thickest section, 20", "thinnest wall"} {
		if !strings.Contains(im.Alt, words) {
			t.Errorf("alt %q lacks %q", im.Alt, words)
		}
	}
	if again := drawn(t, attach(t, d, "/volume mesh unit:mm", data)); !bytes.Equal(again.Data, im.Data) || again.Alt != im.Alt {
		t.Error("a file that is known is drawn otherwise")
	}
	if working := press(t, d, "ada", ans, "Show working"); working.Reply == nil || len(working.Reply.Images) > 0 {
		t.Errorf("a press without the file: %+v", working)
	}
	batch := drawn(t, attach(t, d, `/batch material:"demo rigid white" unit:mm`, data))
	if !bytes.Equal(batch.Data, im.Data) {
		t.Error("/batch draws the part otherwise")
	}
	inch := drawn(t, attach(t, d, "/volume mesh unit:mm resize:2", data))
	if !strings.Contains(inch.Alt, "64 mm in x") || bytes.Equal(inch.Data, im.Data) {
		t.Errorf("twice as large: alt %q", inch.Alt)
	}

	open := cube(20)
	open.Faces = open.Faces[1:]
	if alt := drawn(t, attach(t, d, "/volume mesh", open.STL(""))).Alt; !strings.Contains(alt, "A hole is marked, 28") { // 20·√2
		t.Errorf("alt %q does not tell the hole", alt)
	}
	sheet := cube(20)
	sheet.Faces = sheet.Faces[:2]
	if alt := drawn(t, attach(t, d, "/volume mesh", sheet.STL(""))).Alt; strings.Contains(alt, "hole") {
		t.Errorf("alt %q tells of holes in a sheet", alt)
	}
}

// drawn is the one picture of an answer.
func drawn(t *testing.T, ans chat.Answer) chat.Image {
	t.Helper()
	if ans.Reply == nil || len(ans.Reply.Images) != 1 {
		t.Fatalf("%+v, want an answer with one picture", ans)
	}
	im := ans.Reply.Images[0]
	size, err := png.DecodeConfig(bytes.NewReader(im.Data))
	if err != nil || size.Width != 720 || im.Name != "part.png" {
		t.Errorf("%s: %+v, %v", im.Name, size, err)
	}
	return im
}

func TestVolumeMeshAsksForTheUnitOnce(t *testing.T) {
	d := desk(t)
	ans := attach(t, d, "/volume mesh", cube(5).STL(""))
	if ans.Fault == nil || ans.Fault.Code != fault.AmbiguousUnit || ans.Fault.Option != "unit" {
		t.Fatalf("a cube of 5 units: %+v, want a question for the unit", ans.Fault)
	}
	if len(ans.Actions) < 2 || !strings.HasPrefix(ans.Actions[0].Label, "inch: 127 × 127 × 127 mm") {
		t.Fatalf("buttons %q", labels(ans.Actions))
	}
	inch := press(t, d, "ada", ans, ans.Actions[0].Label)
	if inch.Fault != nil {
		t.Fatal(inch.Fault)
	}
	near(t, inch.Reply, "volume", 127*127*127/1000.0, 1e-6)
	again := attach(t, d, "/volume mesh", cube(5).STL(""))
	if again.Fault != nil || !said(again.Reply, "as answered for this file before") {
		t.Errorf("the same file is asked about twice: %+v", again.Fault)
	}
}

func TestVolumeMeshFindings(t *testing.T) {
	d := desk(t)
	open := cube(20)
	open.Faces = open.Faces[1:]
	ans := attach(t, d, "/volume mesh", open.STL(""))
	near(t, ans.Reply, "open_edges", 3, 0)
	if f := fact(t, ans.Reply, "volume"); f.Low == nil || *f.Low >= *f.High {
		t.Errorf("an open mesh is given without a range: %+v", f)
	}
	if !said(ans.Reply, "3 open edges", "wrong by about") {
		t.Errorf("notes %q", ans.Reply.Notes)
	}
	sheet := cube(20)
	sheet.Faces = sheet.Faces[:2]
	flat := attach(t, d, "/volume mesh", sheet.STL(""))
	if flat.Fault != nil || !strings.Contains(flat.Reply.Title, "size and area only") {
		t.Errorf("a sheet: %+v", flat)
	}
	if b := attach(t, d, `/batch material:"demo rigid white"`, sheet.STL("")); b.Fault == nil || b.Fault.Code != fault.NotWatertight {
		t.Errorf("a batch for a sheet: %+v, want not_watertight", b.Fault)
	}
}

func TestVolumeMeshRefusals(t *testing.T) {
	d := desk(t)
	bad := func(name string) []byte {
		data, err := os.ReadFile(filepath.Join("..", "testdata", "reference", "meshes", "bad", name))
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	for name, code := range map[string]fault.Code{
		"plain_text.stl": fault.BadFile, "truncated_binary.stl": fault.BadFile, "zero_bytes.stl": fault.BadFile,
		"zip_bomb.3mf": fault.HostileFile, "component_bomb.3mf": fault.HostileFile, "entity_bomb.3mf": fault.HostileFile,
	} {
		ans := attach(t, d, "/volume mesh", bad(name))
		if ans.Fault == nil || ans.Fault.Option != "file" || ans.Fault.HintText() == "" {
			t.Errorf("%s: %+v, want a refusal of option file", name, ans.Fault)
		} else if ans.Fault.Code != code {
			t.Errorf("%s: %s, want %s", name, ans.Fault.Code, code)
		}
	}
	refused(t, d, "ada", "/volume mesh", fault.MissingOption, "file")
	refused(t, d, "ada", "/volume mesh file:#0123456789", fault.BadFile, "file")
}

func TestVolumeBox(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/volume box box:"84 x 64 x 47 mm" master:"60 ml" material:"demo tin silicone"`)
	near(t, r, "volume", 252.672-60, 1e-6)
	near(t, r, "mass_a", (252.672-60)*1.04*1.2333*100/108, 2)
	file := attach(t, d, `/volume box box:"44 x 44 x 44 mm"`, cube(20).STL(""))
	near(t, file.Reply, "volume", 44*44*44/1000.0-8, 1e-9)
	near(t, file.Reply, "wall", 12, 1e-9)
	refused(t, d, "ada", `/volume box box:"84 x 64 mm" master:"60 ml"`, fault.BadQuantity, "box")
	refused(t, d, "ada", `/volume box box:"20 x 20 x 20 mm" master:"60 ml"`, fault.OutOfRange, "box")
	refused(t, d, "ada", `/volume box box:"84 x 64 x 47 mm"`, fault.MissingOption, "master")
}

func TestVolumeCoat(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/volume coat area:"850 cm2" wall:"8 mm" coats:4`)
	near(t, r, "volume", 680, 1e-9)
	near(t, r, "per_coat", 170, 1e-9)
	// A 50 mm ball with 8 mm of rubber: 4/3·π·(33³−25³) mm³, a quarter more
	// than area times wall.
	ball := attach(t, d, `/volume coat wall:"8 mm"`, meshtest.Icosphere([3]float64{}, 25, 5).STL(""))
	near(t, ball.Reply, "volume", 85.08, 0.2)
	refused(t, d, "ada", `/volume coat area:"850 cm2" wall:"0 mm"`, fault.OutOfRange, "wall")
	refused(t, d, "ada", `/volume coat area:"850 cm2" wall:"8 mm" coats:0`, fault.OutOfRange, "coats")
	refused(t, d, "ada", `/volume coat area:"850 cm2" wall:"8 mm" side:upper`, fault.NotFound, "side")
}

// What the contract calls recoat: when the next coat goes on.
func TestVolumeCoatTellsWhenTheNextGoesOn(t *testing.T) {
	d := desk(t)
	line := `/volume coat area:"100 cm2" wall:"8 mm" coats:4 material:"demo tin silicone"`
	r := told(t, d, "ada", line)
	f := fact(t, r, "recoat")
	if f.Low == nil || f.Unit != "s" || *f.Low > f.Value.(float64) || *f.High < f.Value.(float64) {
		t.Errorf("recoat without its span: %+v", f)
	}
	if !said(r, "21 °C") {
		t.Errorf("notes %q do not say which room was taken", r.Notes)
	}
	warm := told(t, d, "ada", line+` temp:"30 C"`)
	if cold, hot := f.Value.(float64), fact(t, warm, "recoat").Value.(float64); hot >= cold {
		t.Errorf("the next coat waits %v s at 21 °C and %v s at 30 °C", cold, hot)
	}
	for _, other := range []string{`/volume coat area:"100 cm2" wall:"2 mm" coats:1 material:"demo tin silicone"`, `/volume coat area:"100 cm2" wall:"8 mm" coats:4`} {
		for _, f := range told(t, d, "ada", other).Facts {
			if f.Key == "recoat" {
				t.Errorf("%s tells of a next coat", other)
			}
		}
	}
	// Coats too thin for the model still have their volumes.
	if r := told(t, d, "ada", `/volume coat area:"100 cm2" wall:"1 mm" coats:4 material:"demo tin silicone"`); !said(r, "can't be foreseen") {
		t.Errorf("notes %q do not say why there is no time", r.Notes)
	}
}

func TestVolumeMeshTakesUnitsAsTyped(t *testing.T) {
	d := desk(t)
	for _, unit := range []string{"in", "inch", "inches", "Inch"} {
		ans := attach(t, d, "/volume mesh unit:"+unit, cube(2).STL("a cube"))
		if ans.Fault != nil {
			t.Fatalf("unit:%s: %v", unit, ans.Fault)
		}
		near(t, ans.Reply, "volume", 8*16.387064, 1e-6)
	}
	// Volumes in findings can be typed back: no comma between thousands.
	two := meshtest.Join(cube(120), meshtest.Box([3]float64{200, 0, 0}, [3]float64{210, 10, 10}))
	if r := attach(t, d, "/volume mesh unit:mm", two.STL("two cubes")).Reply; !said(r, "1.728 L, 1 mL") {
		t.Errorf("notes %q", r.Notes)
	}
}
