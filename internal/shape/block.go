package shape

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/working"
)

// Wall of rubber round a master in a block mold, in mm. Common practice, no
// source; large or heavy masters take 25.
const (
	WallUsual = 10.0
	WallMost  = 15.0
)

// BoxRound is the inside of a mold box in mm round a master: l + 2w, b + 2w,
// h + base + top. All in mm; wall, base and top are positive.
func BoxRound(master [3]float64, wall, base, top float64) [3]float64 {
	return [3]float64{master[0] + 2*wall, master[1] + 2*wall, master[2] + base + top}
}

// BlockWant is a box with a master in it.
type BlockWant struct {
	Box    [3]float64 // mm, inside
	Master float64    // mL that the master takes up
	// Size is the master's own size in mm; zero where only its volume is known.
	Size [3]float64
}

// Block is the rubber for a block mold.
type Block struct {
	Box, Rubber float64 // mL
	// Wall is the thinnest wall of rubber in mm with the master in the middle,
	// negative where the size is not known.
	Wall  float64
	Notes []string
	Steps []working.Step
}

// Measure is V = box − master. Errors: out_of_range in option box or master.
func (w BlockWant) Measure() (Block, error) {
	for _, s := range w.Box {
		if math.IsNaN(s) || s < 1 || s > maxLength {
			return Block{}, fault.New(fault.OutOfRange, "a box side of %s mm is outside 1 mm to 100 m", num(s)).In("box").Hint("give the inside, such as 70 x 70 x 60 mm")
		}
	}
	if !(w.Master > 0) {
		return Block{}, fault.New(fault.OutOfRange, "a master of %s mL is not possible", num(w.Master)).In("master").Hint("give what it takes up, such as 65 ml")
	}
	b := Block{Box: ml(w.Box[0] * w.Box[1] * w.Box[2]), Wall: -1}
	b.Rubber = b.Box - w.Master
	if b.Rubber <= 0 {
		return Block{}, fault.New(fault.OutOfRange, "the master takes %s mL and the box holds %s mL", num(w.Master), num(b.Box)).In("box").
			Hint("give a box with %s to %s mm of rubber on each side, inside measure", num(WallUsual), num(WallMost))
	}
	b.Steps = working.Add(nil, "box", "l × w × h", working.Definition, "%s × %s × %s mm = %s mL", num(w.Box[0]), num(w.Box[1]), num(w.Box[2]), num(b.Box))
	b.Steps = working.Add(b.Steps, "rubber", "box − master", working.Definition, "%s − %s = %s mL", num(b.Box), num(w.Master), num(b.Rubber))
	return b, w.walls(&b)
}

// walls judges the rubber left round the master, laid into the box the way it
// fits best: longest side along longest.
func (w BlockWant) walls(b *Block) error {
	if w.Size == ([3]float64{}) {
		return nil
	}
	box, size := sorted(w.Box), sorted(w.Size)
	b.Wall = math.Inf(1)
	for i := range box {
		if size[i] >= box[i] {
			return fault.New(fault.OutOfRange, "a master of %s × %s × %s mm does not fit a box of %s × %s × %s mm",
				num(w.Size[0]), num(w.Size[1]), num(w.Size[2]), num(w.Box[0]), num(w.Box[1]), num(w.Box[2])).In("box").
				Hint("with %s mm all round: %s x %s x %s mm", num(WallUsual), num(w.Size[0]+2*WallUsual), num(w.Size[1]+2*WallUsual), num(w.Size[2]+2*WallUsual))
		}
		b.Wall = min(b.Wall, (box[i]-size[i])/2)
	}
	if b.Wall < 5 {
		b.Notes = append(b.Notes, "The rubber is only "+num(b.Wall)+" mm at its thinnest with the master in the middle: 10 to 15 mm lasts longer (common practice).")
	}
	return nil
}

func sorted(s [3]float64) [3]float64 {
	if s[0] > s[1] {
		s[0], s[1] = s[1], s[0]
	}
	if s[1] > s[2] {
		s[1], s[2] = s[2], s[1]
	}
	if s[0] > s[1] {
		s[0], s[1] = s[1], s[0]
	}
	return s
}
