package bench_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// hostile stands in every text that a page shows.
const hostile = `<script>alert(1)</script><img src=x onerror="alert(2)">'"&amp;`

// declared is a small set of commands with an option of every kind. They
// compute next to nothing: what is tried here is the page.
func declared() []chat.Command {
	return []chat.Command{cupCommand(), moldCommand(), termCommand(), faultCommand()}
}

func cupCommand() chat.Command {
	materials := func(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
		return chat.Narrow(typed, []string{"demo rigid white", "demo rigid black", "demo casting epoxy"}), nil
	}
	return chat.Command{
		Name: "cup", Help: "How much of A and B goes into the cup",
		About: "Weigh A, then B into the same cup.",
		Asks: []chat.Ask{
			{Question: "How much A and B for 250 ml?", Line: `/cup material:"demo rigid white" volume:"250 ml"`},
			{Question: "How much for 12 knobs?", Line: `/cup material:"demo rigid white" mass:"300 g" count:12`},
		},
		Subs: []chat.Sub{{
			Help: "How much of A and B goes into the cup", Computes: true,
			OneOf: [][]string{{"volume", "mass", "file"}},
			Options: []chat.Option{
				{Name: "material", Help: "a material of yours or the shop's", Required: true, Like: "demo rigid white", Suggest: materials},
				{Name: "volume", Help: "what must reach the mold", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Volume}, Like: "250 ml"},
				{Name: "mass", Help: "the total in the cup", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}, Like: "300 g"},
				{Name: "file", Help: "a 3-D file of the part", Kind: chat.Attachment},
				{Name: "count", Help: "parts wanted", Kind: chat.Count, Like: "12"},
				{Name: "ratio", Help: "another ratio than the material's", Kind: chat.Parts, Like: "1:1 vol"},
				{Name: "side", Help: "which side is weighed first", Kind: chat.OneWord, Choices: []chat.Choice{{Value: "a", Label: "A first"}, {Value: "b", Label: "B first"}}},
				{Name: "cup", Help: "the cup's size", Kind: chat.OneWord, Choices: []chat.Choice{{Value: "100"}, {Value: "200"}, {Value: "300"}, {Value: "400"}, {Value: "500"}, {Value: "1000"}}},
				{Name: "warm", Help: "whether the jugs were warmed", Kind: chat.YesNo},
				{Name: "helper", Help: "who holds the mold", Kind: chat.Person},
			},
			Run: runCup,
		}},
	}
}

func runCup(_ context.Context, c *chat.Call) (*chat.Reply, error) {
	if c.Text("material") == "nothing" {
		return nil, fault.New(fault.UnknownMaterial, "no material is called %q", c.Text("material")).In("material").
			Hint("did you mean demo rigid white?").Choose("demo rigid white", "demo rigid black")
	}
	total := c.Value("mass", c.Value("volume", float64(len(c.File("file").Data))))
	if c.Text("material") == "demo rigid black" {
		total = 42
	}
	r := &chat.Reply{
		Title: fmt.Sprintf("Mix %.0f g A with %.0f g B of %s", total/2, total/2, c.Text("material")),
		Facts: []chat.Fact{
			chat.Num("mass_a", "Part A", total/2, quantity.Mass, c.By.System()).Between(total/2-.05, total/2+.05),
			chat.Num("mass_b", "Part B", total/2, quantity.Mass, c.By.System()),
			{Key: "ready", Label: "Out of the mold", Value: "2026-11-25T12:12:00Z", Text: "12:12"},
		},
		Steps:    []string{"Warm the jugs to the room.", "Stir for one minute, scrape the sides.", "Pour into the thinnest section first."},
		Notes:    []string{"At the shop's 21 °C; is your room colder?"},
		Cautions: []chat.Caution{{ID: "gloves", Text: "Gloves and fresh air; see the safety data sheet.", Full: "Nitrile gloves, goggles, fresh air. The safety data sheet of your material goes before this."}},
		Working: []working.Step{
			{What: "mass of A", Formula: "M·wA/(wA+wB)", Value: fmt.Sprintf("%.1f g × 1/2 = %.1f g", total, total/2), Source: working.Definition},
		},
		Images:  []chat.Image{{Name: "cup.png", Alt: "The level of A and of both in the cup", Data: drawing()}},
		Files:   []chat.File{{Name: "cup.csv", Data: []byte("part,grams\n")}},
		Actions: []chat.Action{{Label: "Twice as much", Do: chat.DoReplace, Line: fmt.Sprintf(`/cup material:"demo rigid white" mass:"%.0f g"`, 2*total)}, {Label: "Keep this mold", Do: chat.DoForm, Line: "/mold add"}},
	}
	for i := range 7 {
		r.Facts = append(r.Facts, chat.Whole(fmt.Sprintf("extra_%d", i), fmt.Sprintf("Extra %d", i), i, fmt.Sprint(i)))
	}
	return r, nil
}

// drawing is a small picture: a cup with two levels.
func drawing() []byte {
	img := image.NewNRGBA(image.Rect(0, 0, 480, 200))
	for y := range 200 {
		for x := range 480 {
			c := color.NRGBA{R: 0xf4, G: 0xf1, B: 0xe8, A: 0xff}
			inCup := math.Abs(float64(x-240)) < 110-float64(y)/5 && y > 20
			switch {
			case inCup && y > 120:
				c = color.NRGBA{R: 0x1b, G: 0x57, B: 0x5e, A: 0xff}
			case inCup && y > 60:
				c = color.NRGBA{R: 0xc9, G: 0x8a, B: 0x1b, A: 0xff}
			}
			img.SetNRGBA(x, y, c)
		}
	}
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil {
		panic(err) // into memory, of a valid size: can't fail
	}
	return out.Bytes()
}

func moldCommand() chat.Command {
	return chat.Command{
		Name: "mold", Help: "Molds you keep",
		Asks: []chat.Ask{{Question: "How do I keep a mold?", Line: `/mold add name:"harbor pawn" pulls:3`}},
		Subs: []chat.Sub{
			{
				Name: "add", Help: "keep a mold", Writes: true,
				Options: []chat.Option{
					{Name: "name", Help: "what it is called", Required: true, Like: "harbor pawn"},
					{Name: "pulls", Help: "pulls so far", Kind: chat.Count, Zero: true, Like: "3"},
					{Name: "notes", Help: "anything to remember", Long: true, Length: 500, Suggest: lastWord},
				},
				Forms: []chat.Form{{Title: "A new mold", Options: []string{"name", "pulls", "notes"}}},
				Run: func(_ context.Context, c *chat.Call) (*chat.Reply, error) {
					return &chat.Reply{Title: fmt.Sprintf("Kept %s with %d pulls", c.Text("name"), c.Count("pulls", 0)), Notes: []string{c.Text("notes"), "One pull wears a mold a little."}}, nil
				},
			},
			{Name: "list", Help: "all your molds", Run: func(context.Context, *chat.Call) (*chat.Reply, error) {
				return &chat.Reply{Title: "No molds yet"}, nil
			}},
		},
	}
}

func termCommand() chat.Command {
	return chat.Command{
		Name: "term", Help: "What a word of the trade means",
		Subs: []chat.Sub{{
			Help: "What a word of the trade means", Public: true,
			Options: []chat.Option{{Name: "word", Help: "the word", Required: true, Like: "pull"}},
			Run: func(_ context.Context, c *chat.Call) (*chat.Reply, error) {
				return &chat.Reply{Title: "What " + c.Text("word") + " means"}, nil
			},
		}},
	}
}

// faultCommand goes wrong, or answers with hostile text wherever it can stand.
func faultCommand() chat.Command {
	return chat.Command{
		Name: "odd", Help: "Odd answers " + hostile, About: hostile,
		Asks: []chat.Ask{{Question: hostile, Line: "/odd break"}},
		Subs: []chat.Sub{
			{Name: "break", Help: "break", Run: func(context.Context, *chat.Call) (*chat.Reply, error) { return nil, errors.New("the disk is full") }},
			{
				Name: "hostile", Help: hostile,
				Options: []chat.Option{{Name: "text", Help: hostile, Like: hostile}, {Name: "pick", Help: hostile, Kind: chat.OneWord, Choices: []chat.Choice{{Value: hostile, Label: hostile}}}},
				Forms:   []chat.Form{{Name: "x", Title: hostile[:40], Options: []string{"text", "pick"}}},
				Run: func(_ context.Context, c *chat.Call) (*chat.Reply, error) {
					if c.Has("text") {
						return nil, fault.New(fault.BadQuantity, "%s", hostile).In("text").Hint("%s", hostile).Offer(fault.Choice{Value: "x", Label: hostile})
					}
					return &chat.Reply{
						Title: hostile, Facts: []chat.Fact{{Key: hostile, Label: hostile, Text: hostile, Value: hostile}},
						Steps: []string{hostile}, Notes: []string{hostile}, Cautions: []chat.Caution{{ID: hostile, Text: hostile, Full: "full " + hostile}},
						Working: []working.Step{{What: hostile, Formula: hostile, Value: hostile, Source: hostile}},
						Images:  []chat.Image{{Name: hostile, Alt: hostile, Data: drawing()}}, Files: []chat.File{{Name: hostile, Data: []byte(hostile)}},
						Actions: []chat.Action{{Label: hostile, Line: "/odd hostile"}}, Terms: []string{hostile},
					}, nil
				},
			},
		},
	}
}

// waitRun tells that it began and waits for the call's end.
func waitRun(began chan<- struct{}) chat.Run {
	return func(ctx context.Context, _ *chat.Call) (*chat.Reply, error) {
		close(began)
		<-ctx.Done()
		return nil, ctx.Err()
	}
}

// lastWord completes a paragraph that ends with the beginnings of "release".
func lastWord(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
	head, ok := strings.CutSuffix(typed, "rel")
	if !ok {
		return nil, nil
	}
	return []chat.Choice{{Value: head + "release", Label: "release"}}, nil
}
