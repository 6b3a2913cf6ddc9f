package storetest

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// searches: what a search finds is what looking at each profile in sight
// finds, and it follows every change at once.
func searches(t *testing.T, open Open) {
	w := usual(t, open)
	r := rand.New(rand.NewPCG(7, 11))
	var kept []shop.Material
	for i := range 60 {
		who := []shop.Viewer{w.ada, w.bram, w.eve, w.adaAway}[i%4]
		m, err := w.AddMaterial(w.ctx, by(who), figured(r, i), i%3 > 0)
		if err != nil {
			t.Fatal(err)
		}
		kept = append(kept, m)
	}
	for i, m := range kept {
		who := []shop.Viewer{w.ada, w.bram, w.eve, w.adaAway}[i%4]
		var err error
		switch i % 5 {
		case 0:
			_, err = w.EditMaterial(w.ctx, by(who), m.ID, 1, figured(r, 100+i))
		case 1:
			err = w.RemoveMaterial(w.ctx, by(who), m.ID)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	hits := 0
	for i := range 150 {
		q := wanted(r)
		for _, v := range []shop.Viewer{w.ada, w.bram, w.eve, w.adaAway} {
			found, err := w.SearchMaterials(w.ctx, v, q)
			if err != nil {
				t.Fatalf("search %d %+v: %v", i, q, err)
			}
			all, err := w.Materials(w.ctx, v)
			if err != nil {
				t.Fatal(err)
			}
			fit, silent := byHand(all, q)
			if diff := cmp.Diff(namesOf(fit), namesOf(found.Materials)); diff != "" || found.All != len(fit) || found.Silent != silent {
				t.Fatalf("search %d %+v finds %d and %d silent, want %d and %d (-want +got):\n%s", i, q, found.All, found.Silent, len(fit), silent, diff)
			}
			hits += len(fit)
			names, err := w.SearchNames(w.ctx, v, q)
			if err != nil {
				t.Fatal(err)
			}
			q.Words = nil
			fit, _ = byHand(all, q)
			if len(names) != len(fit) {
				t.Fatalf("search %d %+v names %d, want %d", i, q, len(names), len(fit))
			}
		}
	}
	if hits < 500 {
		t.Errorf("all searches together found %d, too few to tell anything", hits)
	}
	searchOrder(t, w)
}

// searchOrder: the best fit first, and as many as were asked for.
func searchOrder(t *testing.T, w *world) {
	for _, name := range []string{"teal", "light teal", "teal light", "steal"} {
		w.add(w.bram, name, true)
	}
	for _, c := range []struct {
		q    shop.MaterialQuery
		want []string
	}{
		{shop.MaterialQuery{Words: []string{"TEAL"}, Most: 10}, []string{"teal", "teal light", "light teal", "steal"}},
		{shop.MaterialQuery{Words: []string{"teal"}, Most: 2}, []string{"teal", "teal light"}},
		{shop.MaterialQuery{Words: []string{"light", "teal"}, Most: 10}, []string{"light teal", "teal light"}},
		{shop.MaterialQuery{Words: []string{"teal", "urethane"}, Most: 1}, []string{"light teal"}},
	} {
		found, err := w.SearchMaterials(w.ctx, w.ada, c.q)
		if err != nil {
			t.Fatal(err)
		}
		if got := inOrder(found.Materials); !slices.Equal(got, c.want) {
			t.Errorf("%q gives %q, want %q", c.q.Words, got, c.want)
		}
	}
}

// figured is a material whose figures are few and often left unsaid.
func figured(r *rand.Rand, i int) material.Profile {
	p := profile(fmt.Sprintf("%s %d", []string{"Soft amber", "rigid white", "Über klar"}[r.IntN(3)], i))
	p.Family = material.Families()[r.IntN(len(material.Families()))]
	p.PotLife = float64(60 * (1 + r.IntN(5)))
	if r.IntN(3) > 0 {
		p.Demold = p.PotLife * 10
	}
	if r.IntN(3) > 0 {
		p.Hardness = &material.Hardness{Shore: float64(10 * r.IntN(10)), Scale: []string{"A", "D", "00"}[r.IntN(3)]}
	}
	if r.IntN(3) > 0 {
		p.Price = float64(10 * (1 + r.IntN(5)))
	}
	if r.IntN(2) == 0 {
		p.Ratio = quantity.Ratio{A: 100, B: 45, By: quantity.ByWeight}
	}
	if r.IntN(3) == 0 {
		p.DensityA = 0
	}
	switch r.IntN(5) {
	case 0:
		p.Pack = 2000
	case 1:
		p.PackA, p.PackB = 600, 500
	case 2:
		p.Pack, p.PackB = 1500, 700
	case 3:
		p.PackA = 600
	}
	p.CuredColor = []string{"", "white", "clear", "#F2EFE6"}[r.IntN(4)]
	return p
}

func wanted(r *rand.Rand) shop.MaterialQuery {
	q := shop.MaterialQuery{Most: 100}
	bounds := func(step float64) (b shop.Bounds) {
		low, high := step*float64(1+r.IntN(4)), step*float64(2+r.IntN(4))
		if r.IntN(3) > 0 {
			b.Low = &low
		}
		if r.IntN(3) > 0 {
			b.High = &high
		}
		return b
	}
	for _, word := range []string{"soft", "WHITE", "über", "silicone", "f2ef"} {
		if r.IntN(6) == 0 {
			q.Words = append(q.Words, word)
		}
	}
	if r.IntN(3) == 0 {
		q.Families = material.Families()[:1+r.IntN(4)]
	}
	switch r.IntN(5) {
	case 0:
		q.PotLife = bounds(60)
	case 1:
		q.Demold = bounds(600)
	case 2:
		q.Cost = bounds(10)
	case 3:
		q.Hardness = []shop.ShoreBounds{{Scale: "A", Bounds: bounds(10)}, {Scale: "D", Bounds: bounds(20)}}
		if r.IntN(2) == 0 { // two ranges on one scale
			q.Hardness = append(q.Hardness, shop.ShoreBounds{Scale: "A", Bounds: bounds(20)})
		}
	}
	return q
}

// byHand is a search by looking at each.
func byHand(all []shop.Material, q shop.MaterialQuery) (fit []shop.Material, silent int) {
	in := func(v float64, b shop.Bounds) bool {
		return (b.Low == nil || v >= *b.Low-1e-6) && (b.High == nil || v <= *b.High+1e-6)
	}
	for _, m := range all {
		text := strings.ToLower(m.Name + "\n" + string(m.Family) + "\n" + m.CuredColor)
		good, said := true, true
		for _, word := range q.Words {
			good = good && strings.Contains(text, strings.ToLower(word))
		}
		good = good && (len(q.Families) == 0 || slices.Contains(q.Families, m.Family))
		figure := func(v float64, b shop.Bounds) {
			switch {
			case b.Open():
			case v == 0:
				said = false
			default:
				good = good && in(v, b)
			}
		}
		cost, _ := m.PricePerGram()
		figure(m.PotLife, q.PotLife)
		figure(m.Demold, q.Demold)
		figure(1000*cost, q.Cost)
		if len(q.Hardness) > 0 {
			if m.Hardness == nil {
				said = false
			} else {
				good = good && slices.ContainsFunc(q.Hardness, func(h shop.ShoreBounds) bool {
					return h.Scale == m.Hardness.Scale && in(m.Hardness.Shore, h.Bounds)
				})
			}
		}
		switch {
		case good && said:
			fit = append(fit, m)
		case good:
			silent++
		}
	}
	return fit, silent
}

func inOrder(all []shop.Material) []string {
	names := make([]string, len(all))
	for i, m := range all {
		names[i] = m.Name
	}
	return names
}

// namesOf is a set: the order of a search is its own.
func namesOf(all []shop.Material) []string {
	names := inOrder(all)
	slices.Sort(names)
	return names
}
