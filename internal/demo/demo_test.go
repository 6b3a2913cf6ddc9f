package demo_test

import (
	"context"
	"crypto/rand"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/demo"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/formula"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

var at = time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)

// seeded opens the demo shop and gives a viewer for a member's key.
func seeded(t testing.TB) (*sqlite.DB, func(key string) shop.Viewer) {
	t.Helper()
	ctx := context.Background()
	db, err := sqlite.Memory(ctx, sqlite.Config{Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	if err := demo.Seed(ctx, db, at); err != nil {
		t.Fatal(err)
	}
	return db, func(key string) shop.Viewer {
		t.Helper()
		m, err := db.Member(ctx, key, "", at)
		if err != nil {
			t.Fatal(err)
		}
		s, err := db.Shop(ctx, demo.ShopKey, "", 0, at)
		if err != nil {
			t.Fatal(err)
		}
		return shop.Viewer{Member: m, Shop: s}
	}
}

func TestShopAndMembers(t *testing.T) {
	db, as := seeded(t)
	ada := as(demo.Ada)
	want := shop.Settings{Units: "metric", Temp: 21, Humidity: 0.5, Zone: "Europe/London", Currency: "GBP", ScaleStep: 0.1}
	if ada.Shop.Name != "Kettle Lane Makers' Hall" || ada.Shop.Key != "local:kettle-lane" || ada.Shop.Set != want {
		t.Errorf("shop %+v, want settings %+v", ada.Shop, want)
	}
	managers, err := db.Managers(t.Context(), ada)
	if err != nil || len(managers) != 1 || managers[0].Key != "local:ada" {
		t.Errorf("managers: %+v, %v", managers, err)
	}
	for key, name := range map[string]string{demo.Ada: "ada", demo.Bram: "bram", demo.Cleo: "cleo"} {
		if got := as(key).Member; got.Name != name {
			t.Errorf("%s is named %q", key, got.Name)
		}
	}
}

// The two tables below are the documented demo shop, typed a second time and
// in one text per row, so that a slip in either place shows.

func TestMaterials(t *testing.T) {
	db, as := seeded(t)
	all, err := db.Materials(t.Context(), as(demo.Cleo))
	if err != nil {
		t.Fatal(err)
	}
	basis := map[quantity.Basis]string{quantity.ByVolume: "vol", quantity.ByWeight: "wt"}
	var got []string
	for _, m := range all {
		got = append(got, fmt.Sprintf("%s|%s|%g:%g %s|%.2f, %.2f|%g min (%g g, %g)|%s (%g mm)|%s|%g %s|%s|%g kg, %.2f|min %g, side %s, tint %g, open %d, depth %g|%s %v",
			m.Name, m.Family, m.Ratio.A, m.Ratio.B, basis[m.Ratio.By], m.DensityA, m.DensityB,
			m.PotLife/60, m.PotLifeMass, *m.PotLifeTemp, seconds(m.Demold), m.DemoldSection, seconds(m.FullCure),
			m.Hardness.Shore, m.Hardness.Scale, m.CuredColor, m.Pack/1000, m.Price,
			*m.MinTemp, m.TintSide, m.MaxTint, m.ShelfOpened.Months, m.MaxDepth, m.OwnerOf, m.Shared))
	}
	want := []string{
		"demo addition silicone|silicone addition|1:1 wt|1.11, 1.11|35 min (100 g, 23)|5h0m0s (0 mm)|36h0m0s|24 A|milky blue|2 kg, 64.00|min 18, side A, tint 0.02, open 0, depth 0|ada true",
		"demo casting epoxy|epoxy|100:45 wt|1.15, 0.98|40 min (150 g, 22)|24h0m0s (6 mm)|168h0m0s|80 D|clear|1.45 kg, 39.00|min 20, side A, tint 0.02, open 0, depth 10|ada true",
		"demo flexible amber|urethane rubber|100:70 wt|1.06, 1.02|25 min (100 g, 23)|16h0m0s (6 mm)|120h0m0s|55 A|amber|1.7 kg, 55.00|min 18, side B, tint 0.02, open 4, depth 0|ada true",
		"demo rigid black|urethane|1:1 vol|1.11, 1.03|3 min (100 g, 23)|12m0s (6 mm)|24h0m0s|75 D|#141416|1.8 kg, 46.00|min 18, side B, tint 0.02, open 4, depth 0|ada true",
		"demo rigid clear|urethane|100:80 wt|1.08, 1.04|15 min (100 g, 23)|2h30m0s (6 mm)|120h0m0s|77 D|clear|1.8 kg, 68.00|min 18, side B, tint 0.02, open 4, depth 0|ada true",
		"demo rigid slow white|urethane|1:1 vol|1.10, 1.02|8 min (100 g, 23)|40m0s (6 mm)|48h0m0s|74 D|#F2EFE6|1.8 kg, 44.00|min 18, side B, tint 0.02, open 4, depth 0|ada true",
		"demo rigid white|urethane|1:1 vol|1.10, 1.02|3 min (100 g, 23)|12m0s (6 mm)|24h0m0s|74 D|#F2EFE6|1.8 kg, 42.00|min 18, side B, tint 0.02, open 4, depth 0|ada true",
		"demo tin silicone|silicone condensation|100:8 wt|1.26, 0.98|40 min (100 g, 23)|16h0m0s (0 mm)|168h0m0s|28 A|sand|1.08 kg, 31.00|min 18, side A, tint 0.02, open 0, depth 0|ada true",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("materials (-want +got):\n%s", diff)
	}
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

func TestMolds(t *testing.T) {
	db, as := seeded(t)
	all, err := db.Molds(t.Context(), as(demo.Ada))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, m := range all {
		got = append(got, fmt.Sprintf("%s|%s|%g mL × %d|%g / %g mm|%d pulls, coat at %d|every %d|wall %g|%s|%s %v",
			m.Name, m.Family, m.Volume, m.Cavities, m.Thickest, m.Thinnest, m.Pulls, m.LastCoat, m.ReleaseEvery, m.Wall, m.Retired, m.OwnerOf, m.Shared))
	}
	want := []string{
		"harbor pawn|condensation|6.2 mL × 6|14 / 5 mm|17 pulls, coat at 15|every 5|wall 10||ada true",
		"harbor pawn 2|condensation|6.2 mL × 6|14 / 5 mm|3 pulls, coat at 0|every 5|wall 10||ada true",
		"viaduct arch|condensation|185 mL × 1|22 / 7 mm|29 pulls, coat at 25|every 5|wall 10||ada true",
		"dice tray|condensation|240 mL × 1|9 / 6 mm|41 pulls, coat at 40|every 5|wall 10|torn|cleo true",
		"shell knob|addition|31 mL × 1|26 / 8 mm|4 pulls, coat at 0|every 5|wall 10||bram true",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("molds (-want +got):\n%s", diff)
	}
}

func TestTints(t *testing.T) {
	db, as := seeded(t)
	all, err := db.Tints(t.Context(), as(demo.Bram))
	if err != nil {
		t.Fatal(err)
	}
	materials, err := db.Materials(t.Context(), as(demo.Bram))
	if err != nil {
		t.Fatal(err)
	}
	names := map[int64]string{}
	for _, m := range materials {
		names[m.ID] = m.Name
	}
	var got []string
	for _, x := range all {
		got = append(got, fmt.Sprintf("%s|%s|in %s %s (%s)|%g %%|%s|%s|%.3f g a drop|%s %v",
			x.Name, x.Family, x.BaseName, x.BaseColor, names[x.Base], 100*x.Dose, x.Swatch, x.Quality, x.WeightOf20/20, x.OwnerOf, x.Shared))
	}
	const in = "|colored|in demo rigid white #F2EFE6 (demo rigid white)|"
	const rest = "|careful|0.045 g a drop|ada true"
	want := []string{
		"brick red" + in + "0.5 %|#C9837F" + rest,
		"leaf green" + in + "0.5 %|#86AC8B" + rest,
		"primrose yellow" + in + "0.5 %|#E6CF7E" + rest,
		"sea blue" + in + "0.5 %|#7F9DC0" + rest,
		"soot black" + in + "0.2 %|#8E8E8E" + rest,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("tints (-want +got):\n%s", diff)
	}
}

func TestStock(t *testing.T) {
	db, as := seeded(t)
	all, err := db.Containers(t.Context(), as(demo.Bram))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range all {
		a, b := c.Left()
		got = append(got, fmt.Sprintf("%s|%g + %g g|opened %s|%s %v", c.Name(), a, b, c.OpenedOn.Format(time.DateOnly), c.OwnerOf, c.Shared))
	}
	want := []string{
		"demo rigid white A|610 + 0 g|opened 2026-10-20|ada true",
		"demo rigid white B|0 + 480 g|opened 2026-10-20|ada true",
		"demo rigid clear pack|1000 + 800 g|opened 0001-01-01|ada true",
		"demo tin silicone A|700 + 0 g|opened 0001-01-01|ada true",
		"demo tin silicone B|0 + 56 g|opened 0001-01-01|ada true",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("stock (-want +got):\n%s", diff)
	}
}

// TestFormulas: what the shop shares is written right and passes its own test.
func TestFormulas(t *testing.T) {
	db, as := seeded(t)
	all, err := db.Formulas(t.Context(), as(demo.Cleo))
	if err != nil || len(all) != 1 || all[0].OwnerOf != "ada" {
		t.Fatalf("%+v, %v", all, err)
	}
	materials, err := db.Materials(t.Context(), as(demo.Cleo))
	if err != nil {
		t.Fatal(err)
	}
	p, err := formula.Compile(all[0].Text, quantity.Metric)
	if err != nil {
		t.Fatal(err)
	}
	set := formula.Setting{ScaleStep: 0.1}
	for _, thing := range p.Things() {
		for _, m := range materials {
			if m.Name == thing.Name {
				thing.Material = m.Profile
			}
		}
		set.Things = append(set.Things, thing)
	}
	if err := p.Try(all[0].Test, set); err != nil {
		t.Error(err)
	}
}

// TestSeedTwice: the second time is refused and changes nothing.
func TestSeedTwice(t *testing.T) {
	db, as := seeded(t)
	if err := demo.Seed(t.Context(), db, at); !fault.Is(err, fault.NameTaken) {
		t.Errorf("got %v, want name_taken", err)
	}
	if all, err := db.Materials(t.Context(), as(demo.Ada)); err != nil || len(all) != 8 {
		t.Errorf("%d materials, %v", len(all), err)
	}
}

func BenchmarkOpenAndSeed(b *testing.B) {
	b.ReportAllocs()
	ctx := context.Background()
	for b.Loop() {
		db, err := sqlite.Memory(ctx, sqlite.Config{Rand: rand.Reader})
		if err != nil {
			b.Fatal(err)
		}
		if err := demo.Seed(ctx, db, at); err != nil {
			b.Fatal(err)
		}
		if err := db.Close(); err != nil {
			b.Fatal(err)
		}
	}
}
