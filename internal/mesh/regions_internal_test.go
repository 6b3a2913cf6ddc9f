package mesh

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// scattered is the body of a binary STL file of a wavy square of about n
// triangles in no order. Some lie far out, some use a corner twice, some are
// there twice, and minus zero stands for zero here and there.
func scattered(n int, odd bool) []byte {
	rng := rand.New(rand.NewPCG(3, 4))
	side := int(math.Sqrt(float64(n) / 2))
	at := func(x, y int) [3]float32 {
		return [3]float32{float32(x) - 20, float32(y) - 20, float32(math.Sin(float64(x*y) / 900))}
	}
	var list [][3][3]float32
	for x := range side {
		for y := range side {
			a, b, c, d := at(x, y), at(x+1, y), at(x, y+1), at(x+1, y+1)
			list = append(list, [3][3]float32{a, b, c}, [3][3]float32{c, b, d})
		}
	}
	if odd {
		for i := 0; i < len(list); i += 97 {
			t := &list[i]
			switch i % 5 {
			case 0:
				t[1] = t[0]
			case 1:
				*t = list[i/2]
			case 2:
				t[i%3][i%2] = 1e6 * rng.Float32()
			case 3:
				t[0], t[1] = t[1], t[0]
			}
		}
	}
	rng.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	body := make([]byte, len(list)*stlRecord)
	for i, t := range list {
		for k := range 9 {
			bits := math.Float32bits(t[k/3][k%3])
			if bits == 0 && i%2 == 0 {
				bits = signBit
			}
			binary.LittleEndian.PutUint32(body[i*stlRecord+12+4*k:], bits)
		}
	}
	return body
}

// TestRegionsKeepEveryTriangle holds the welding by regions against that in the
// order of the file: the same triangles, with the same points.
func TestRegionsKeepEveryTriangle(t *testing.T) {
	for _, odd := range []bool{false, true} {
		t.Run(fmt.Sprint("odd ", odd), func(t *testing.T) {
			body := scattered(regionFrom+20_000, odd)
			n := len(body) / stlRecord
			want := make([]triangle, n)
			points, bad, err := weldSTL(body, want, 1, nil)
			if bad >= 0 || err != nil {
				t.Fatal(bad, err)
			}
			var before []triangle
			for _, workers := range []int{1, 2} {
				r, bad, err := findRegions(body, n, workers, nil)
				if r == nil || bad >= 0 || err != nil {
					t.Fatalf("findRegions: %v, %d, %v", r, bad, err)
				}
				if r.count < 10 || len(r.guests) == 0 {
					t.Fatalf("%d regions, %d guests: too few to say anything", r.count, len(r.guests))
				}
				got := make([]triangle, n)
				verts, blocks, err := weldRegions(body, r, got, workers, nil)
				if err != nil {
					t.Fatal(err)
				}
				if len(verts) != len(points) {
					t.Fatalf("%d points, want %d", len(verts), len(points))
				}
				if b := blocks[len(blocks)-1]; b.tris != n || b.verts != len(verts) {
					t.Fatalf("the last block ends at %+v of %d, %d", b, n, len(verts))
				}
				name := make(map[uint32]uint32) // the number here of a point there
				for i, e := range r.list {
					for k, v := range want[e&listedNumber] {
						if verts[got[i][k]] != points[v] {
							t.Fatalf("corner %d of triangle %d is %v, want %v", k, e&listedNumber, verts[got[i][k]], points[v])
						}
						if old, ok := name[v]; ok && old != got[i][k] {
							t.Fatalf("point %v has the numbers %d and %d", points[v], old, got[i][k])
						}
						name[v] = got[i][k]
					}
				}
				if before != nil && !slices.Equal(got, before) {
					t.Fatal("two workers number otherwise than one")
				}
				before = got
			}
		})
	}
}

// TestRegionsOfLooseTriangles: with three points a triangle there are six times
// as many as expected, in each half of the work.
func TestRegionsOfLooseTriangles(t *testing.T) {
	body := scattered(regionFrom+10_000, false)
	n := len(body) / stlRecord
	rng := rand.New(rand.NewPCG(5, 6))
	for i := range n {
		for k := range 9 {
			at := body[i*stlRecord+12+4*k:]
			x := math.Float32frombits(binary.LittleEndian.Uint32(at))
			binary.LittleEndian.PutUint32(at, math.Float32bits(x+rng.Float32()/8))
		}
	}
	r, _, err := findRegions(body, n, 2, nil)
	if err != nil || r == nil {
		t.Fatal(r, err)
	}
	tris := make([]triangle, n)
	verts, _, err := weldRegions(body, r, tris, 2, nil)
	if err != nil || len(verts) < 3*n-n/100 {
		t.Fatalf("%d points of %d corners, %v", len(verts), 3*n, err)
	}
	for i, e := range r.list {
		c := firstCorner(body, int(e&listedNumber))
		if v := verts[tris[i][0]]; v != (point{float64(c[0]), float64(c[1]), float64(c[2])}) {
			t.Fatalf("triangle %d begins at %v, want %v", e&listedNumber, v, c)
		}
	}
}

func TestRegionsRefuseTheFirstBadTriangle(t *testing.T) {
	for _, bits := range []uint32{math.Float32bits(2e7), math.Float32bits(float32(math.NaN())), math.Float32bits(float32(math.Inf(-1)))} {
		body := scattered(regionFrom+10_000, false)
		n := len(body) / stlRecord
		for _, i := range []int{n - 5, n / 3, n/3 + 1, n/2 + 100} {
			binary.LittleEndian.PutUint32(body[i*stlRecord+12+4*(i%9):], bits)
		}
		for _, workers := range []int{1, 2} {
			if _, bad, err := findRegions(body, n, workers, nil); bad != n/3 || err != nil {
				t.Errorf("%x, %d workers: bad is %d, %v; want %d", bits, workers, bad, err, n/3)
			}
		}
	}
}

func TestScatteredStops(t *testing.T) {
	done := make(chan struct{})
	close(done)
	body := scattered(regionFrom+10_000, false)
	n := len(body) / stlRecord
	if _, _, err := findRegions(body, n, 2, done); err != ErrStopped {
		t.Errorf("findRegions: %v", err)
	}
	r, _, err := findRegions(body, n, 2, nil)
	if err != nil {
		t.Fatal(err)
	}
	tris := make([]triangle, n)
	if _, _, err := weldRegions(body, r, tris, 2, done); err != ErrStopped {
		t.Errorf("weldRegions: %v", err)
	}
	verts, blocks, err := weldRegions(body, r, tris, 2, nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := weave(tris, len(verts), nil, blocks, true, 2, done); err != ErrStopped {
		t.Errorf("weave: %v", err)
	}
}

// plainMatch is match by one table of all edges in order.
func plainMatch(f *fabric) {
	type edge struct{ low, high uint32 }
	type one struct {
		tri  uint32
		down bool
	}
	all := make(map[edge][]one)
	for i, t := range f.tris {
		f.sets[i] = uint32(i)
		if repeated(&t) {
			f.RepeatedCorner++
		}
		if f.out(i) {
			continue
		}
		for k := range 3 {
			from, to := t[k], t[(k+1)%3]
			e := edge{min(from, to), max(from, to)}
			all[e] = append(all[e], one{uint32(i), from > to})
		}
	}
	keys := make([]edge, 0, len(all))
	for e := range all {
		keys = append(keys, e)
	}
	slices.SortFunc(keys, func(a, b edge) int { return slices.Compare([]uint32{a.low, a.high}, []uint32{b.low, b.high}) })
	f.Edges = len(keys)
	for _, e := range keys {
		uses := all[e]
		balance := 0
		for _, u := range uses {
			f.sets.join(uses[0].tri, u.tri)
			if u.down {
				balance--
			} else {
				balance++
			}
			if len(uses) > 2 {
				f.tangled = append(f.tangled, u.tri)
			}
		}
		switch {
		case len(uses) == 1 && balance > 0:
			f.open = append(f.open, openEdge{e.low, e.high, uses[0].tri})
		case len(uses) == 1:
			f.open = append(f.open, openEdge{e.high, e.low, uses[0].tri})
		case len(uses) == 2 && balance != 0:
			f.Inconsistent++
		case len(uses) > 2:
			f.NonManifold++
			if balance != 0 {
				f.Unbalanced++
			}
		}
	}
	f.OpenEdges = len(f.open)
}

// TestMatchAgainstOneTable draws tangled triangles and any blocks at all, and
// holds what the blocks find against one table.
func TestMatchAgainstOneTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := rapid.IntRange(1, 12).Draw(t, "points")
		corner := rapid.Uint32Range(0, uint32(points-1))
		tris := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) triangle {
			return triangle{corner.Draw(t, "a"), corner.Draw(t, "b"), corner.Draw(t, "c")}
		}), 1, 40).Draw(t, "triangles")
		var skip []bool
		if rapid.Bool().Draw(t, "skipping") {
			skip = rapid.SliceOfN(rapid.Bool(), len(tris), len(tris)).Draw(t, "skip")
		}
		var blocks []block
		for b := (block{}); b.tris < len(tris) || b.verts < points; {
			b.tris = rapid.IntRange(b.tris, len(tris)).Draw(t, "triangles up to")
			b.verts = rapid.IntRange(b.verts, points).Draw(t, "points up to")
			if len(blocks) == 8 {
				b = block{len(tris), points}
			}
			blocks = append(blocks, b)
		}
		make2 := func() *fabric {
			return &fabric{tris: tris, points: points, skip: skip, sets: make(forest, len(tris))}
		}
		got, want := make2(), make2()
		if err := got.match(blocks, rapid.IntRange(1, 3).Draw(t, "workers"), nil); err != nil {
			t.Fatal(err)
		}
		plainMatch(want)
		if got.Topology != want.Topology || !slices.Equal(got.open, want.open) || !slices.Equal(got.tangled, want.tangled) {
			t.Fatalf("got  %+v %v %v\nwant %+v %v %v", got.Topology, got.open, got.tangled, want.Topology, want.open, want.tangled)
		}
		for i := range tris {
			if g, w := got.sets.root(uint32(i)), want.sets.root(uint32(i)); g != w {
				t.Fatalf("the root of %d is %d, want %d", i, g, w)
			}
		}
	})
}
