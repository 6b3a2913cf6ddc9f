package layers

import (
	"os"
	"path/filepath"
	"testing"
)

// policy is the package tree, lowest first. A line "a < b, c" lets a import b
// and c; a line "NAME = b, c" names a group; "*" is every package above. A name
// on the right must stand on a line above, so arrows go down only and there can
// be no cycle. Paths are below internal/ but for commands and cmd/.
//
// This text is not to be loosened for a green run. If the test fails, move the
// code to where the tree allows it, or hand the value in from above. If the tree
// itself is wrong, change it here and in DEVELOPERS.md in a commit of its own
// that says why.
const policy = `
	# Level 0: what every package may speak in.
	fault    <
	quantity < fault
	working  < quantity
	recent   <
	ZERO     = fault, quantity, working, recent

	# Level 1: the core, numbers in and numbers out.
	material < ZERO
	shape    < ZERO
	mesh     < ZERO
	color    < ZERO
	mix      < ZERO, material
	cure     < ZERO, material
	gas      < ZERO, cure
	fit      < ZERO
	moldcare < ZERO, material
	stock    < ZERO, material
	caution  < ZERO, material
	plan     < ZERO, material, mix, cure, moldcare, stock
	diagnose < ZERO, material, cure
	formula  < ZERO, material, mix, shape, cure, gas, fit, moldcare
	CORE     = material, shape, mesh, color, mix, cure, gas, fit, moldcare, stock, caution, plan, diagnose, formula

	# Level 2: who asks, and what an answer is.
	shop < ZERO, material
	chat < ZERO, caution, shop
	plot < ZERO
	ical < ZERO

	# Level 3: what several commands share.
	library  < ZERO, CORE, shop, chat
	part     < ZERO, mesh, shape, shop, chat
	forecast < ZERO, CORE, shop, chat, plot, library, part
	transfer < ZERO, CORE, shop
	remind   < ZERO, shop, chat
	tidy     < ZERO, shop

	# Level 4: one file per slash command.
	commands < ZERO, CORE, shop, chat, plot, ical, library, part, forecast, transfer

	# Level 5: edges own time, network and disk.
	config         < fault
	serving        <
	store          < ZERO, CORE, shop
	store/sqlite   < ZERO, CORE, shop, store
	store/postgres < ZERO, CORE, shop, store
	discord        < ZERO, chat
	console        < ZERO, chat, shop
	bench          < ZERO, chat, shop, serving
	board          < ZERO, chat, shop, serving
	demo           < ZERO, CORE, shop
	ops            < ZERO, CORE, shop, serving

	# Test helpers, which only tests may import.
	mesh/meshtest   < ZERO, mesh
	discord/fake    < ZERO, chat, discord
	store/storetest < ZERO, CORE, shop, store
	store/postgres/pgtest < store, store/postgres
	testkit/browser <
	testkit         < *
	layers          <
	reference       <

	# Level 6: wiring.
	cmd/pourwright < *
`

// helpers are packages for tests: no other file may import them.
var helpers = []string{"mesh/meshtest", "discord/fake", "store/storetest", "store/postgres/pgtest", "testkit", "testkit/browser", "layers", "reference"}

// corePackages are held to purity.
const corePackages = "ZERO, CORE"

// owners are outside modules that one package, with those below it, imports
// alone: its types then stay out of all other packages.
var owners = map[string]string{
	"github.com/bwmarrin/discordgo":       "discord",
	"github.com/mattn/go-sqlite3":         "store/sqlite",
	"github.com/jackc/pgx":                "store/postgres",
	"github.com/pressly/goose":            "store",
	"github.com/spf13/viper":              "config",
	"github.com/spf13/cobra":              "cmd/pourwright",
	"github.com/expr-lang/expr":           "formula",
	"gonum.org/v1/plot":                   "plot",
	"github.com/peterh/liner":             "console",
	"github.com/arran4/golang-ical":       "ical",
	"github.com/prometheus/client_golang": "ops",
	"github.com/prometheus/common":        "ops",
	"github.com/mtibben/confusables":      "shop",
}

func TestLayers(t *testing.T) {
	rules, err := parsePolicy(policy)
	if err != nil {
		t.Fatal(err)
	}
	root := filepath.Join("..", "..")
	files, err := readModule(os.DirFS(root))
	if err != nil {
		t.Fatal(err)
	}
	core, err := rules.expand(corePackages)
	if err != nil {
		t.Fatal(err)
	}
	checks := checker{rules: rules, core: core, helpers: set(helpers...), owners: owners}
	for _, problem := range checks.check(files) {
		t.Error(problem)
	}
}
