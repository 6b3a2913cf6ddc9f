package diagnose

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"unicode"

	"github.com/pourwright/pourwright/internal/material"
)

// Hit is a rule that a text may mean.
type Hit struct {
	Rule  Rule
	Score float64 // 0 to 1
}

// Scores from which a rule is offered at all, and shares of the best score from
// which others are offered beside it. Judgement, tried on the sentences of the
// tests.
const (
	scoreLeast  = 0.34
	besideLeast = 0.72
	besideWord  = 0.5 // where one word was said
	hitsMost    = 8
	wordsMost   = 60
)

// Match finds the rules that a text may mean, best first; one alone is meant,
// several have to be asked about. A family, where it is known, rules out what is
// not about it. Words are taken as they are: slips are the caller's to mend,
// with Words.
func Match(text string, family material.Family) []Hit {
	if r, ok := Named(text); ok {
		return []Hit{{r, 1}}
	}
	said := concepts(text)
	if len(said) == 0 {
		return nil
	}
	var hits []Hit
	for i, r := range rules {
		score := 0.0
		for _, phrase := range phrases[i] {
			score = max(score, alike(said, phrase))
		}
		if !r.suits(family) {
			score /= 2
		}
		if len(said) == 1 && !central(phrases[i], said[0]) {
			continue // one word is not enough for what it only touches
		}
		if score >= scoreLeast {
			hits = append(hits, Hit{r, score})
		}
	}
	slices.SortStableFunc(hits, func(a, b Hit) int { return cmp.Compare(b.Score, a.Score) })
	beside := besideLeast
	if len(said) == 1 {
		beside = besideWord
	}
	for i, h := range hits {
		if i == hitsMost || h.Score < beside*hits[0].Score {
			return hits[:i]
		}
	}
	return hits
}

// central reports that a rule is about a concept: it is all that one of its
// phrases says, or in more than one of them.
func central(all [][]string, concept string) bool {
	n := 0
	for _, phrase := range all {
		if slices.Contains(phrase, concept) {
			n++
			if len(phrase) == 1 {
				return true
			}
		}
	}
	return n > 1
}

// alike is how much of what two texts say they both say, by the weight of their
// concepts: the harmonic mean of both shares. That both speak of a mold is not
// enough.
func alike(a, b []string) float64 {
	both, inA, inB, told := 0.0, 0.0, 0.0, false
	for _, c := range a {
		inA += weightOf(c)
		if slices.Contains(b, c) {
			both += weightOf(c)
			told = told || !objects[c]
		}
	}
	for _, c := range b {
		inB += weightOf(c)
	}
	if !told {
		return 0
	}
	return 2 * both / (inA + inB)
}

// weightOf is how telling a concept is: one that few rules speak of says more.
// What no rule speaks of says nothing.
func weightOf(c string) float64 {
	n := spoken[c]
	if n == 0 {
		return 0
	}
	return math.Log(1 + float64(len(rules))/float64(n))
}

// phrases are the concepts of each rule's name and of what people say of it, and
// spoken is how many rules speak of a concept.
var phrases, spoken = func() ([][][]string, map[string]int) {
	all, count := make([][][]string, len(rules)), map[string]int{}
	for i, r := range rules {
		mine := map[string]bool{}
		for _, say := range append([]string{r.Name}, r.Say...) {
			c := concepts(say)
			all[i] = append(all[i], c)
			for _, one := range c {
				mine[one] = true
			}
		}
		for one := range mine {
			count[one]++
		}
	}
	return all, count
}()

// Words are those that a text is matched by, for mending slips.
func Words() []string {
	seen := map[string]bool{}
	for word := range means {
		seen[word] = true
	}
	for word := range idle {
		seen[word] = true
	}
	for _, r := range rules {
		for _, say := range append([]string{r.Name}, r.Say...) {
			for _, w := range split(say) {
				seen[w] = true
			}
		}
	}
	out := make([]string, 0, len(seen))
	for w := range seen {
		out = append(out, w)
	}
	slices.Sort(out)
	return out
}

// Split gives the words of a text as Match takes them.
func Split(text string) []string { return split(text) }

func split(text string) []string {
	text = strings.NewReplacer("'", "", "’", "", "`", "", "like rubber", "rubbery").Replace(strings.ToLower(text))
	words := strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return words[:min(len(words), wordsMost)]
}

// concepts are what a text says, each once: words that mean the same are one,
// and "did not set" is soft.
func concepts(text string) (out []string) {
	no := -1 // words since a "not"
	for _, w := range split(text) {
		c := conceptOf(w)
		if c == "not" {
			no = 0
			continue
		}
		if no >= 0 {
			if no++; no > reach {
				no = -1
			}
		}
		if no >= 0 {
			if turned, ok := denied[c]; ok {
				c, no = turned, -1
			}
		}
		if c != "" && !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	return out
}

// reach is how many words after a "not" are still denied by it.
const reach = 4

// denied is what a concept means behind a "not".
var denied = map[string]string{"set": "soft", "hard": "soft", "dry": "tacky", "even": "uneven", "release": "stick", "out": "stick", "demold": "stick", "stick": "loose", "fit": "misfit", "match": "misfit", "flat": "warp"}

// conceptOf is what a word means, "" for one that says nothing.
func conceptOf(w string) string {
	if c, ok := meaning(w); ok {
		return c
	}
	for _, end := range []string{"s", "es", "ing", "ed", "y"} {
		stem, cut := strings.CutSuffix(w, end)
		if !cut || len(stem) < 3 {
			continue
		}
		if c, ok := meaning(stem); ok {
			return c
		}
	}
	if len(w) > 3 {
		w = strings.TrimSuffix(w, "s")
	}
	return w
}

func meaning(w string) (string, bool) {
	if idle[w] {
		return "", true
	}
	c, ok := means[w]
	return c, ok
}
