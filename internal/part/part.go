// Package part measures the file a member attaches: it asks for the unit where
// the file cannot tell it, and remembers what it measured, so that a button
// works when the file is gone and a unit is asked for once.
//
//	p, err := desk.Measure(ctx, call, "file") // reads the options unit and resize too
//	p.CastVolume() / 1000                     // mL of resin
package part

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"sync"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// Limits bound a stranger's file.
type Limits = mesh.Limits

// Options are what every command that takes a file takes with it.
var Options = []chat.Option{
	{Name: "unit", Help: "the file's unit, where the file does not say", Kind: chat.OneWord, Like: "mm", Choices: []chat.Choice{
		{Value: "mm", Label: "millimeter", Also: []string{"millimeters", "millimetre", "millimetres"}},
		{Value: "inch", Label: "inch", Also: []string{"in", "inches", `"`}},
		{Value: "cm", Label: "centimeter", Also: []string{"centimeters", "centimetre", "centimetres"}},
		{Value: "m", Label: "meter", Also: []string{"meters", "metre", "metres"}},
		{Value: "foot", Label: "foot", Also: []string{"ft", "feet"}},
		{Value: "um", Label: "micron", Also: []string{"µm", "microns"}}}},
	{Name: "resize", Help: "a factor for every length, such as 1.02, or the longest side wanted", Kind: chat.Measure, Like: "1.02",
		Dims: []quantity.Dim{quantity.Number, quantity.Length}, Min: 1e-4, Max: 1e4},
}

// Desk measures files, one at a time for each member.
type Desk struct {
	measures shop.Measures
	limits   Limits

	mu   sync.Mutex
	busy map[shop.MemberID]bool
}

// New makes a desk that remembers in measures.
func New(measures shop.Measures, limits Limits) *Desk {
	return &Desk{measures: measures, limits: limits, busy: map[shop.MemberID]bool{}}
}

// Measured is a part in millimeters, mm² and mm³.
type Measured struct {
	mesh.Report
	Outside  mesh.Outside   // zero for loose faces
	Thickest quantity.Range // mm; zero where it could not be told
	Thinnest quantity.Range
	NoThick  string // why there is no thickness, or ""
	Steps    []working.Step

	thickAt [3]float64 // mm, the middle of the thickest section
	scale   float64    // from the file's lengths to these
	mesh    *mesh.Mesh // only where it was read for this very call
}

// CastVolume is what one pour takes in mm³: a sealed hollow is filled too,
// since no pour can leave it empty.
func (m Measured) CastVolume() float64 { return m.Outer }

// NeedVolume refuses loose faces. The error is not_watertight in that option.
func (m Measured) NeedVolume(option string) error {
	if m.Kind != mesh.Loose {
		return nil
	}
	return fault.New(fault.NotWatertight, "the file holds loose faces and no closed part, so it has no volume").In(option).
		Hint("export the part as a closed solid, or give volume")
}

// kept is what is remembered of a file: measured in its own units.
type kept struct {
	Format   mesh.Format
	Header   string
	Declared mesh.Unit // Report is then in millimeters
	Answered mesh.Unit // the unit that a member gave
	Report   mesh.Report
	Outside  mesh.Outside // zero for loose faces
	Thick    mesh.Thick
	NoThick  string
}

// holesKept bounds the list of holes that is remembered.
const holesKept = 20

// Measure measures the file of an option, in the unit that the file, the
// option unit or an earlier answer gives. Errors: bad_file, file_too_large,
// hostile_file; ambiguous_unit with the sizes that each unit would give;
// out_of_range for a resize; busy while another file of the member is read.
func (d *Desk) Measure(ctx context.Context, c *chat.Call, option string) (Measured, error) {
	hash, k, m, err := d.recall(ctx, c, option)
	if err != nil {
		return Measured{}, err
	}
	c.Pin(option, "#"+hash)
	unit, err := d.unit(c, option, k)
	if err != nil {
		return Measured{}, err
	}
	if c.Has("unit") && k.Answered != unit {
		k.Answered = unit
		if err := d.keep(ctx, c, hash, k); err != nil {
			return Measured{}, err
		}
	}
	p := k.in(unit)
	p.mesh = m
	return resized(c, p, unit)
}

// recall gives what is known of the file, reading it where it is new; only then
// is there a mesh.
func (d *Desk) recall(ctx context.Context, c *chat.Call, option string) (hash string, k kept, m *mesh.Mesh, err error) {
	f := c.File(option)
	if f.Data == nil {
		hash = strings.TrimPrefix(f.Name, "#")
		k, ok, err := d.known(ctx, c, hash)
		if err == nil && !ok {
			err = fault.New(fault.BadFile, "that file is not remembered any more").In(option).Hint("attach it again")
		}
		return hash, k, nil, err
	}
	sum := sha256.Sum256(f.Data)
	hash = hex.EncodeToString(sum[:10])
	k, ok, err := d.known(ctx, c, hash)
	if err != nil || ok {
		return hash, k, nil, err
	}
	if k, m, err = d.read(c, f.Data); err != nil {
		if e := fault.As(err); e != nil {
			return hash, k, nil, e.In(option)
		}
		return hash, k, nil, err
	}
	return hash, k, m, d.keep(ctx, c, hash, k)
}

func (d *Desk) known(ctx context.Context, c *chat.Call, hash string) (k kept, ok bool, err error) {
	data, ok, err := d.measures.Measure(ctx, c.By, hash)
	if err != nil || !ok {
		return k, false, err
	}
	if err := json.Unmarshal(data, &k); err != nil {
		return k, false, fmt.Errorf("read a remembered measure: %w", err)
	}
	return k, true, nil
}

func (d *Desk) keep(ctx context.Context, c *chat.Call, hash string, k kept) error {
	data, err := json.Marshal(k)
	if err != nil {
		return fmt.Errorf("write down a measure: %w", err)
	}
	return d.measures.SaveMeasure(ctx, c.Stamp(), hash, data)
}

// read measures a new file.
func (d *Desk) read(c *chat.Call, data []byte) (kept, *mesh.Mesh, error) {
	release, err := d.take(c.By.Member.ID)
	if err != nil {
		return kept{}, nil, err
	}
	defer release()
	m, err := mesh.Read(data, d.limits, c.Done)
	if err != nil {
		return kept{}, nil, stopped(err)
	}
	r, err := m.Measure(c.Done, runtime.GOMAXPROCS(0))
	if err != nil {
		return kept{}, nil, stopped(err)
	}
	k := kept{Format: m.Format, Header: m.Header, Declared: m.Unit, Report: r.Scaled(1)}
	k.Report.Holes = k.Report.Holes[:min(len(k.Report.Holes), holesKept)]
	k.Report.Shells = k.Report.Shells[:min(len(k.Report.Shells), holesKept)]
	if k.Outside, err = r.Outside(c.Done); err != nil && fault.As(err) == nil {
		return kept{}, nil, stopped(err)
	}
	k.Thick, err = r.Thickness(rand.New(rand.NewPCG(1, 2)), c.Done)
	if f := fault.As(err); f != nil {
		k.NoThick = f.Message
	} else if err != nil {
		return kept{}, nil, stopped(err)
	}
	return k, m, nil
}

// stopped tells a file that took too long from one that is wrong.
func stopped(err error) error {
	if err == mesh.ErrStopped {
		return context.DeadlineExceeded
	}
	return err
}

// take lets a member have one file measured at a time.
func (d *Desk) take(who shop.MemberID) (release func(), err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.busy[who] {
		return nil, fault.New(fault.Busy, "your last file is still being measured").Hint("wait for its answer, then send the next")
	}
	d.busy[who] = true
	return func() {
		d.mu.Lock()
		defer d.mu.Unlock()
		delete(d.busy, who)
	}, nil
}

// unit decides which unit the numbers of the file are in.
func (d *Desk) unit(c *chat.Call, option string, k kept) (mesh.Unit, error) {
	switch {
	case c.Has("unit"):
		u, err := mesh.ParseUnit(c.Text("unit"))
		if err != nil {
			return 0, err
		}
		if k.Declared != mesh.Unit0 && k.Declared != u {
			c.Note(fmt.Sprintf("The file itself says %s; it was read in %s as you asked.", k.Declared, u))
		}
		return u, nil
	case k.Declared != mesh.Unit0:
		return k.Declared, nil
	case k.Answered != mesh.Unit0:
		c.Note(fmt.Sprintf("Read in %s, as answered for this file before.", k.Answered))
		return k.Answered, nil
	}
	g := mesh.GuessUnit(k.Report.Size, k.Header)
	if !g.Ask {
		note := fmt.Sprintf("The file does not say its unit; it was taken as %s.", g.Unit)
		if g.Note != "" {
			note += " " + capital(g.Note) + "."
		}
		c.Note(note)
		return g.Unit, nil
	}
	return 0, askUnit(g, k.Report.Size)
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// askUnit puts the question back, with the size that each unit would give.
func askUnit(g mesh.Guess, size [3]float64) error {
	f := fault.New(fault.AmbiguousUnit, "the file does not say its unit, and with %s for its longest side it could be any", short(max(size[0], size[1], size[2]))).In("unit")
	var hints []string
	for _, cand := range g.Candidates {
		name := cand.Unit.String()
		sizes := fmt.Sprintf("%s × %s × %s mm", short(cand.Size[0]), short(cand.Size[1]), short(cand.Size[2]))
		f.Offer(fault.Choice{Value: name, Label: name + ": " + sizes})
		hints = append(hints, fmt.Sprintf("unit:%s for %s", name, sizes))
	}
	return f.Hint("%s", strings.Join(hints, ", "))
}

func short(v float64) string { return quantity.Text(v, quantity.Number, quantity.Metric) }

// in gives the measure in millimeters.
func (k kept) in(u mesh.Unit) Measured {
	factor := u.MM()
	if k.Declared != mesh.Unit0 {
		factor = u.MM() / k.Declared.MM()
	}
	m := Measured{Report: k.Report.Scaled(factor), Outside: k.Outside.Scaled(factor), NoThick: k.NoThick, scale: factor}
	if k.NoThick == "" {
		t := k.Thick.Scaled(factor)
		m.thickAt = t.Center
		m.Thickest = quantity.Range{Low: t.Thickest, Mid: t.Thickest, High: t.Thickest * (1 + mesh.ThickestBand)}
		spread := math.Max(t.ThinnestSpread, thinBand*t.Thinnest)
		m.Thinnest = quantity.Range{Low: t.Thinnest - spread, Mid: t.Thinnest, High: t.Thinnest + spread}
	}
	m.Steps = working.Add(nil, "volume of the mesh", "V = Σ (a−c)·((b−c)×(d−c))/6", "divergence theorem, with the middle of the box as c",
		"%d triangles: %s mL", m.Triangles, working.Num(m.Volume/1000))
	if m.Outer > m.Volume*(1+1e-9) {
		m.Steps = working.Add(m.Steps, "with its hollows filled", "V + hollows", working.Definition, "%s mL", working.Num(m.Outer/1000))
	}
	if factor != 1 {
		m.Steps = working.Add(m.Steps, "unit", "1 "+u.String()+" in mm", "international inch and SI prefixes", "× %s, cubed for the volume", working.Num(factor))
	}
	return m
}

// thinBand is how far the thin wall's quantile may be off by sampling, as a
// share. It was tried against brute force on the parts of the tests.
const thinBand = 0.03

// resized carries out the option resize.
func resized(c *chat.Call, m Measured, u mesh.Unit) (Measured, error) {
	if !c.Has("resize") {
		return m, nil
	}
	k := c.Measure("resize").Value
	if c.Measure("resize").Dim == quantity.Length {
		k /= max(m.Size[0], m.Size[1], m.Size[2])
	}
	if !(k >= 0.001 && k <= 1000) {
		return m, fault.New(fault.OutOfRange, "resizing by a factor of %s is outside 0.001 to 1000", short(k)).In("resize").Hint("give a factor such as 1.02, or the longest side wanted, such as 80 mm")
	}
	out := m
	out.Report, out.Outside, out.scale = m.Report.Scaled(k), m.Outside.Scaled(k), m.scale*k
	for i := range out.thickAt {
		out.thickAt[i] *= k
	}
	for _, r := range []*quantity.Range{&out.Thickest, &out.Thinnest} {
		r.Low, r.Mid, r.High = r.Low*k, r.Mid*k, r.High*k
	}
	out.Steps = working.Add(out.Steps, "resized", "V·k³", working.Definition, "k = %s: %s mL", working.Num(k), working.Num(out.Volume/1000))
	return out, nil
}
