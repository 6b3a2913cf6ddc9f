package commands_test

import (
	"context"
	"crypto/rand"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/commands"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// TestEachCodeIsRaised goes through the codes that today's commands can
// answer with. Every refusal says what was wrong and what to type instead.
func TestEachCodeIsRaised(t *testing.T) {
	d := desk(t)
	line := func(as, text string) func(*testing.T) chat.Answer {
		return func(t *testing.T) chat.Answer { return ask(t, d, as, text) }
	}
	file := func(text string, data []byte) func(*testing.T) chat.Answer {
		return func(t *testing.T) chat.Answer { return attach(t, d, text, data) }
	}
	hostile, err := os.ReadFile(filepath.Join("..", "testdata", "reference", "meshes", "bad", "zip_bomb.3mf"))
	if err != nil {
		t.Fatal(err)
	}
	sheet := cube(20)
	sheet.Faces = sheet.Faces[:2]
	for _, c := range []struct {
		code  fault.Code
		raise func(*testing.T) chat.Answer
	}{
		{fault.BadQuantity, line("ada", `/batch material:"demo rigid white" volume:"two cups"`)},
		{fault.AmbiguousUnit, line("ada", `/ratio convert ratio:"1:1" density_a:1.1 density_b:1`)},
		{fault.AmbiguousNumber, line("ada", `/batch material:"demo rigid white" volume:"1,000"`)},
		{fault.BadTime, line("ada", `/material edit material:"demo rigid white" shelf_opened:"soon"`)},
		{fault.OutOfRange, line("ada", `/batch material:"demo rigid white" volume:"0 ml"`)},
		{fault.MissingOption, line("ada", "/batch")},
		{fault.TooManyOptions, line("ada", `/batch material:"demo rigid white" volume:"1 l" mass:"1 kg"`)},
		{fault.UnknownCommand, line("ada", "/btach")},
		{fault.UnknownOption, line("ada", "/batch matterial:x")},
		{fault.UnknownMaterial, line("ada", `/batch material:"demo rigid whte" volume:"1 l"`)},
		{fault.UnknownFormula, line("ada", `/formula show formula:"no such sum"`)},
		{fault.FormulaError, line("ada", `/formula run text:"250 ml + 2 g"`)},
		{fault.FormulaLimit, line("ada", `/formula run text:"`+strings.Repeat("1 + ", 600)+`1"`)},
		{fault.UnknownTint, line("ada", `/tint show tint:"brik red"`)},
		{fault.BadColor, line("ada", `/tint match base:"demo rigid white" target:"#12345"`)},
		{fault.Unsupported, line("ada", `/tint add name:"alcohol ink" family:colored base:"demo rigid white" dose:1% swatch:#336699 quality:careful`)},
		{fault.UnknownMold, line("ada", `/batch material:"demo rigid white" mold:"harbour pawn"`)},
		{fault.AmbiguousName, line("ada", `/material edit material:"demo rigid white" family:silicone`)},
		{fault.NotAllowed, line("bram", `/shop set temp:"18 C"`)},
		{fault.NotFound, line("ada", "/term word:blockchain")},
		{fault.NameTaken, line("ada", `/material add name:"demo rigid white" family:urethane ratio:"1:1 vol" pot_life:"3 min"`)},
		{fault.LimitReached, line("ada", "/material find words:"+strings.Repeat("x", 300))},
		{fault.BadFile, file("/volume mesh", []byte("not a mesh"))},
		{fault.FileTooLarge, tooLarge},
		{fault.HostileFile, file("/volume mesh", hostile)},
		{fault.NotWatertight, file(`/batch material:"demo rigid white"`, sheet.STL(""))},
		{fault.TooLate, line("ada", `/ratio rescue material:"demo rigid clear" a:"150 g" b:"105 g" since:"8 min"`)},
		{fault.NotEnoughStock, line("ada", `/pour start material:"demo rigid white" thickness:"12 mm" volume:"2 l"`)},
		{fault.PastDate, func(t *testing.T) chat.Answer {
			inv := calling("ada")
			inv.At = time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
			inv.Line = `/pour start material:"demo rigid white" mold:"harbor pawn"`
			return d.Do(t.Context(), inv)
		}},
		{fault.Busy, func(t *testing.T) chat.Answer {
			ctx, cancel := context.WithCancel(t.Context())
			cancel()
			inv := calling("ada")
			inv.Line = "/material list"
			return d.Do(ctx, inv)
		}},
		{fault.Unavailable, damaged},
		{fault.Internal, closed},
	} {
		t.Run(string(c.code), func(t *testing.T) {
			ans := c.raise(t)
			switch {
			case ans.Fault == nil:
				t.Fatalf("answered %q", ans.Reply.Title)
			case ans.Fault.Code != c.code:
				t.Errorf("got %v", ans.Fault)
			case ans.Fault.HintText() == "" || ans.Fault.Message == "":
				t.Errorf("refused without saying what to do: %v", ans.Fault)
			}
		})
	}
}

// tooLarge attaches more than the limits of this desk take.
func tooLarge(t *testing.T) chat.Answer {
	db, err := sqlite.Memory(t.Context(), sqlite.Config{Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	lim := mesh.ChatLimits()
	lim.Bytes = 1000
	return attach(t, over(t, db, lim), "/volume mesh", meshtest.Icosphere([3]float64{}, 20, 3).STL(""))
}

// damaged asks a database whose pages were overwritten while it was open.
func damaged(t *testing.T) chat.Answer {
	path := filepath.Join(t.TempDir(), "damaged.db")
	open := func() *sqlite.DB {
		db, err := sqlite.Open(t.Context(), sqlite.Config{Path: path, Rand: rand.Reader})
		if err != nil {
			t.Fatal(err)
		}
		return db
	}
	if err := open().Close(); err != nil {
		t.Fatal(err)
	}
	db := open()
	defer db.Close()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i := 4096; i < len(data); i++ {
		data[i] = 0xA5
	}
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return ask(t, over(t, db, mesh.ChatLimits()), "ada", "/material list")
}

// closed asks a database that is gone: nothing a member could mend.
func closed(t *testing.T) chat.Answer {
	db, err := sqlite.Memory(t.Context(), sqlite.Config{Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	d := over(t, db, mesh.ChatLimits())
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	return ask(t, d, "ada", "/material list")
}

func over(t *testing.T, db *sqlite.DB, lim mesh.Limits) *chat.Dispatcher {
	t.Helper()
	d, err := chat.New(chat.Config{
		Commands: commands.All(db.Books(), lim, place), People: db, Lines: db, Log: slog.New(slog.DiscardHandler),
		NewRef: func() string { return "ref-1" }, Now: time.Now,
	})
	if err != nil {
		t.Fatal(err)
	}
	return d
}
