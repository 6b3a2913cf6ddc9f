package chat

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// arg is one option, read.
type arg struct {
	text  string
	q     quantity.Quantity
	ratio quantity.Ratio
	n     int
	yes   bool
	file  File
}

// Has reports whether the option was given.
func (c *Call) Has(option string) bool { _, ok := c.args[option]; return ok }

// Text is a Text, OneWord or Person option as typed, "" if not given.
func (c *Call) Text(option string) string { return c.args[option].text }

// Measure is a Measure option; the zero quantity if not given.
func (c *Call) Measure(option string) quantity.Quantity { return c.args[option].q }

// none is typed for no value at all.
const none = "none"

// None reports that a Measure option was given as no value at all.
func (c *Call) None(option string) bool { return c.args[option].text == none }

// Value is a Measure option in its base unit, or else if it was not given.
func (c *Call) Value(option string, otherwise float64) float64 {
	if a, ok := c.args[option]; ok {
		return a.q.Value
	}
	return otherwise
}

// Ratio is a Parts option.
func (c *Call) Ratio(option string) quantity.Ratio { return c.args[option].ratio }

// Count is a Count option, or else if it was not given.
func (c *Call) Count(option string, otherwise int) int {
	if a, ok := c.args[option]; ok {
		return a.n
	}
	return otherwise
}

// Yes is a YesNo option, or else if it was not given.
func (c *Call) Yes(option string, otherwise bool) bool {
	if a, ok := c.args[option]; ok {
		return a.yes
	}
	return otherwise
}

// File is an Attachment option. One that comes back from a button has no Data
// and the name that was pinned for it, "#…".
func (c *Call) File(option string) File { return c.args[option].file }

// read turns the raw texts into typed options, in declaration order, ratios
// last because their hint may use densities given beside them.
func (c *Call) read() error {
	if err := c.spread(); err != nil {
		return err
	}
	for _, late := range []bool{false, true} {
		for _, o := range c.sub.Options {
			raw, ok := c.Raw[o.Name]
			if !ok || (o.Kind == Parts) != late {
				continue
			}
			a, err := c.readOne(o, raw)
			if err != nil {
				if f := fault.As(err); f != nil {
					return f.In(o.Name)
				}
				return fmt.Errorf("read option %s: %w", o.Name, err)
			}
			c.args[o.Name] = a
		}
	}
	return c.checkGiven()
}

// spread moves the further members of a list to the options meant for them.
func (c *Call) spread() error {
	for _, o := range c.sub.Options {
		raw, ok := c.Raw[o.Name]
		if !ok || len(o.Spread) == 0 {
			continue
		}
		parts := quantity.SplitList(raw)
		if len(parts) < 2 {
			continue
		}
		group := append([]string{o.Name}, o.Spread...)
		if len(parts) > len(group) {
			return fault.New(fault.BadQuantity, "%s takes at most %d values, %q has %d", o.Name, len(group), raw, len(parts)).
				In(o.Name).Hint("such as %s:%s", o.Name, quote(o.Like))
		}
		placed, err := c.place(group, parts)
		if err != nil {
			return err
		}
		delete(c.Raw, o.Name)
		for name, text := range placed {
			if _, twice := c.Raw[name]; twice {
				return fault.New(fault.TooManyOptions, "%s is given on its own and in the list %q", name, raw).In(name).Hint("give it once")
			}
			c.Raw[name] = text
		}
		if _, ok := c.Raw[o.Name]; !ok {
			return fault.New(fault.BadQuantity, "%q holds no %s", raw, o.Name).In(o.Name).Hint("such as %s:%s", o.Name, quote(o.Like))
		}
	}
	return nil
}

// place gives each part of a list to the first free option of the group that
// can read its unit; a part without a unit, or a word, takes the next in order.
func (c *Call) place(group, parts []string) (map[string]string, error) {
	placed := make(map[string]string, len(parts))
	for i, part := range parts {
		fits := func(name string) bool {
			o, _ := c.sub.Option(name)
			if _, taken := placed[name]; taken {
				return false
			}
			if o.Kind != Measure || !strings.ContainsFunc(part, unicode.IsLetter) {
				return name == group[i]
			}
			_, _, err := quantity.Parse(part, c.want(o))
			return err == nil || fault.Is(err, fault.OutOfRange)
		}
		at := slices.IndexFunc(group, fits)
		if at < 0 {
			return nil, fault.New(fault.BadQuantity, "%q in the list has no place", fault.Echo(part)).In(group[0]).
				Hint("the list holds %s", strings.Join(group, ", "))
		}
		placed[group[at]] = part
	}
	return placed, nil
}

func (c *Call) readOne(o Option, raw string) (arg, error) {
	switch o.Kind {
	case Measure:
		if o.None && Fold(raw) == none {
			return arg{text: none}, nil
		}
		q, notes, err := quantity.Parse(raw, c.want(o))
		for _, n := range notes {
			c.Note(n)
		}
		return arg{text: raw, q: q}, err
	case Parts:
		r, err := quantity.ParseRatio(raw, quantity.RatioWant{
			Option: o.Name, DensityA: c.Value("density_a", 0), DensityB: c.Value("density_b", 0),
		})
		return arg{text: raw, ratio: r}, err
	case Count:
		n, err := readCount(o, raw)
		return arg{text: raw, n: n}, err
	case OneWord:
		w, err := readWord(o, raw)
		return arg{text: w}, err
	case YesNo:
		yes, err := readYesNo(o, raw)
		return arg{text: raw, yes: yes}, err
	case Attachment:
		f, ok := c.Files[o.Name]
		if !ok && !strings.HasPrefix(raw, "#") {
			return arg{}, fault.New(fault.BadFile, "no file came with %s", o.Name).Hint("attach the file to the command")
		}
		if !ok {
			f.Name = raw
		}
		return arg{text: raw, file: f}, nil
	}
	text, err := readText(o, raw)
	return arg{text: text}, err
}

func (c *Call) want(o Option) quantity.Want {
	w := quantity.Want{
		Option: o.Name, Dims: o.Dims, System: c.By.System(),
		Min: o.Min, Max: o.Max, Percent: o.Percent, Negative: o.Negative, Zero: o.Zero,
	}
	if o.Bare != "" {
		w.Bare, _ = quantity.UnitNamed(o.Bare, w.System)
	}
	return w
}

func readCount(o Option, raw string) (int, error) {
	low, high := o.Bounds()
	n, err := strconv.Atoi(strings.TrimSpace(raw))
	if err != nil {
		return 0, fault.New(fault.BadQuantity, "%q is not a whole number", fault.Echo(raw)).Hint("give %d to %d", low, high)
	}
	if n < low || n > high {
		return 0, fault.New(fault.OutOfRange, "%s is %d, it must be %d to %d", o.Name, n, low, high).Hint("give %d to %d", low, high)
	}
	return n, nil
}

func readWord(o Option, raw string) (string, error) {
	folded := Fold(raw)
	for _, ch := range o.Choices {
		same := func(word string) bool { return Fold(word) == folded }
		if same(ch.Value) || same(ch.Label) || slices.ContainsFunc(ch.Also, same) {
			return ch.Value, nil
		}
	}
	words := make([]string, len(o.Choices))
	for i, ch := range o.Choices {
		words[i] = ch.Value
	}
	f := fault.New(fault.NotFound, "%s has no %q", o.Name, fault.Echo(raw)).
		Hint("one of %s", strings.Join(words, ", "))
	return "", f.Choose(Nearest(raw, words)...)
}

func readYesNo(o Option, raw string) (bool, error) {
	switch Fold(raw) {
	case "yes", "y", "true", "on", "1":
		return true, nil
	case "no", "n", "false", "off", "0":
		return false, nil
	}
	return false, fault.New(fault.NotFound, "%s is yes or no, not %q", o.Name, fault.Echo(raw)).Hint("%s:yes or %s:no", o.Name, o.Name)
}

// readText cleans a stranger's text: nothing that can't be seen, bounded length,
// a newline only in a paragraph.
func readText(o Option, raw string) (string, error) {
	most := o.Length
	if most == 0 {
		most = 200
	}
	clean := strings.TrimSpace(shop.Seen(raw, o.Long))
	if n := utf8.RuneCountInString(clean); n > most {
		return "", fault.New(fault.LimitReached, "%s has %d characters, at most %d fit", o.Name, n, most).Hint("shorten it")
	}
	if clean == "" && o.Required {
		return "", hintLike(fault.New(fault.MissingOption, "%s is empty", o.Name), o)
	}
	return clean, nil
}

// checkGiven wants every required option and one of each group.
func (c *Call) checkGiven() error {
	for _, o := range c.sub.Options {
		if o.Required && !c.Has(o.Name) {
			return missing(o)
		}
	}
	for _, group := range c.sub.OneOf {
		var given []string
		for _, name := range group {
			if c.Has(name) {
				given = append(given, name)
			}
		}
		switch {
		case len(given) == 0:
			o, _ := c.sub.Option(group[0])
			return hintLike(fault.New(fault.MissingOption, "give one of %s", strings.Join(group, ", ")).In(group[0]), o)
		case len(given) > 1:
			return fault.New(fault.TooManyOptions, "%s are given together, only one can count", strings.Join(given, " and ")).In(given[1]).
				Hint("keep one of %s", strings.Join(group, ", "))
		}
	}
	return nil
}

func missing(o Option) error {
	return hintLike(fault.New(fault.MissingOption, "%s is missing: %s", o.Name, o.Help).In(o.Name), o)
}

// hintLike shows how the option is written.
func hintLike(f *fault.Error, o Option) error {
	if o.Like == "" {
		return f.Hint("add %s:…", o.Name)
	}
	return f.Hint("such as %s:%s", o.Name, quote(o.Like))
}
