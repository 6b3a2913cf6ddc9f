package store

import (
	"strings"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Limits bound what one member and one shop may keep, so that no stranger can
// fill the disk. Where the oldest give way nobody is refused.
type Limits struct {
	Materials int // records a member keeps, of each kind
	Molds     int
	Tints     int
	Formulas  int
	Versions  int // versions of one record
	Total     int // versions of all records of one member, of each kind
	Removed   int // removed records a member still has in the store, of each kind; the oldest give way
	Shared    int // records shared in one shop, of each kind
	Codes     int // of one member that lead others to records, offers too
	FAQs      int // of one shop
	Managers  int // of one shop
	Pours     int // of one member under way
	Pulls     int // of one member, release coats too, over all molds
	PastPours int // ended ones that a member still has in the store; the oldest give way
	Answers   int // to one pour
	Notes     int // at one pour
	Events    int // of one pour, besides notes; the oldest give way
	Dues      int // reminders to come of one member
	PastDues  int // past ones that a member still has in the store; the oldest give way
	Cards     int // messages of one member that follow pours; the oldest give way
	Stock     int // containers of one member, finished ones too
	Draws     int // what happened to one container
	Measures  int // of one member, over all shops; the oldest give way
	Lines     int // of one member, over all shops; the oldest give way
	Computed  int // answers that are the same for all; the oldest give way

	ShopMeasures int // of one shop; the oldest give way
	ShopLines    int // of one shop; the oldest give way
}

// DefaultLimits are far above what a busy workshop needs (common practice, no
// source) and keep one member under 100 MB:
// the largest part is 4 kinds × 3000 versions × 8 KiB.
func DefaultLimits() Limits {
	return Limits{
		Materials: 500, Molds: 500, Tints: 500, Formulas: 500, Versions: 200, Total: 3000, Removed: 500, Shared: 5000, Codes: 100,
		FAQs: 200, Managers: 50,
		Pours: 100, Pulls: 20000, PastPours: 2000, Answers: 50, Notes: 50, Events: 100, Dues: 200, PastDues: 200, Cards: 200, Stock: 500, Draws: 2000,
		Measures: 200, ShopMeasures: 5000, Lines: 200, ShopLines: 5000,
		Computed: 5000, // about 1 kB each
	}
}

// Bounds of single texts, in bytes where the comment does not say characters.
const (
	maxName        = 80      // characters: a name must fit a choice of the chat service (100) with its owner
	maxPerson      = 100     // characters of a member's or shop's name; more is cut
	maxKey         = 100     // a namespaced key or a file's hash
	maxProfile     = 8 << 10 // a profile as JSON
	maxPlan        = 8 << 10 // a pour's plan as JSON: several molds with their names
	maxEvent       = 8 << 10 // what an event of a pour keeps, as JSON
	maxNote        = 500     // characters of a note at a pour
	maxLink        = 500     // characters
	maxLot         = 60      // characters
	maxAbout       = 200     // characters: what a reminder is about
	maxTopic       = 80      // characters
	maxReason      = 200     // characters: why a pull was spoiled
	maxAnswer      = 2000    // characters: fits one message of the chat service with its title
	maxLine        = 4000    // a command line; the longest form stays under it
	maxMeasure     = 64 << 10
	maxInteraction = 64 // the id of an interaction
)

// tidyName refuses a name that can't be kept and gives it without needless
// space. option is the option that it came in.
func tidyName(option, what, s string) (string, error) {
	if err := keepable(option, what, s); err != nil {
		return "", err
	}
	s = strings.Join(strings.Fields(s), " ")
	switch n := utf8.RuneCountInString(s); {
	case n == 0:
		return "", fault.New(fault.MissingOption, "the %s has no name", what).
			In(option).Hint(`give it one, such as %s:"slow white"`, option)
	case n > maxName:
		return "", fault.New(fault.OutOfRange, "the name is %d characters long and the most is %d", n, maxName).
			In(option).Hint("give a shorter name and put the rest in notes")
	}
	return s, oneLine(option, "name", s)
}

// oneLine refuses what can't be seen, which a terminal or a page would obey, and
// letters under a heap of marks, which run into the lines around them.
func oneLine(option, what, s string) error {
	switch {
	case strings.ContainsFunc(s, shop.Unseen):
		return fault.New(fault.OutOfRange, "the %s holds a character that can't be seen", what).
			In(option).Hint("type it anew, without pasting")
	case shop.Heaped(s):
		return fault.New(fault.OutOfRange, "the %s has more marks on one letter than can be read", what).
			In(option).Hint("type it anew with plain letters")
	}
	return nil
}

// fits refuses a text of more than most characters.
func fits(option, what, s string, most int) error {
	if err := keepable(option, what, s); err != nil {
		return err
	}
	if n := utf8.RuneCountInString(s); n > most {
		return fault.New(fault.OutOfRange, "the %s is %d characters long and the most is %d", what, n, most).
			In(option).Hint("shorten it to %d characters", most)
	}
	return nil
}

// keepable refuses bytes that are no text: a database may not take them.
func keepable(option, what, s string) error {
	if utf8.ValidString(s) && !strings.ContainsRune(s, 0) {
		return nil
	}
	return fault.New(fault.OutOfRange, "the %s holds bytes that are no text", what).
		In(option).Hint("type it anew, without pasting")
}

// person makes a name from outside fit to keep: it is shown, never compared,
// so it is mended rather than refused.
func person(s string) string {
	s = strings.Join(strings.Fields(shop.Seen(s, false)), " ")
	if r := []rune(s); len(r) > maxPerson {
		s = strings.TrimSpace(string(r[:maxPerson]))
	}
	return s
}
