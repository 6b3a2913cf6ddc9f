package plan

import (
	"math/rand/v2"
	"slices"
)

// reach is how far a small change moves an act, in places; handsOver is how many
// fillings of a small mold may stand for one of a large mold.
const (
	reach     = 6
	handsOver = 3
)

// change makes a list that differs a little and is as sound; nil where the change
// that was drawn can't be made.
func (j *Job) change(list []act, chance *rand.Rand) []act {
	at := chance.IntN(len(list))
	switch chance.IntN(4) {
	case 0:
		return moved(list, at, at+1+chance.IntN(reach))
	case 1:
		return j.merged(list, at)
	case 2:
		return split(list, at, chance)
	}
	return j.handedOn(list, chance)
}

// moved brings the act at to in front of the one at from, where nothing between
// touches its molds.
func moved(list []act, from, at int) []act {
	if at >= len(list) {
		return nil
	}
	for _, a := range list[from:at] {
		if a.touches(list[at]) {
			return nil
		}
	}
	out := slices.Clone(list)
	copy(out[from+1:at+1], list[from:at])
	out[from] = list[at]
	return out
}

// merged pours from one cup what came from two: the pour at and the next one,
// at the place of the later.
func (j *Job) merged(list []act, at int) []act {
	first := list[at]
	if first.kind != Pour {
		return nil
	}
	for i := at + 1; i < len(list) && i <= at+2*reach; i++ {
		if list[i].kind == Pour && len(list[i].molds)+len(first.molds) <= j.PerCup && !list[i].touches(first) {
			out := slices.Clone(list)
			out[i] = act{Pour, slices.Concat(first.molds, list[i].molds)}
			return slices.Delete(out, at, at+1)
		}
		if list[i].touches(first) {
			return nil
		}
	}
	return nil
}

// split pours from two cups what came from one.
func split(list []act, at int, chance *rand.Rand) []act {
	a := list[at]
	if a.kind != Pour || len(a.molds) < 2 {
		return nil
	}
	cut := 1 + chance.IntN(len(a.molds)-1)
	out := slices.Clone(list)
	out[at] = act{Pour, a.molds[cut:]}
	return slices.Insert(out, at, act{Pour, a.molds[:cut]})
}

// handedOn takes the last filling of a mold away and, where the copies need it,
// gives it to another, last of all, which may need several for it.
func (j *Job) handedOn(list []act, chance *rand.Rand) []act {
	from, to := chance.IntN(len(j.Molds)), chance.IntN(len(j.Molds))
	parts, pulls := 0, make([]int, len(j.Molds))
	for _, a := range list {
		if a.kind != Pour {
			continue
		}
		for _, m := range a.molds {
			parts += j.Molds[m].Cavities
			pulls[m]++
		}
	}
	if pulls[from] == 0 || from == to {
		return nil
	}
	parts -= j.Molds[from].Cavities
	out := withoutLast(list, from)
	if parts >= j.Copies {
		return j.pruned(out)
	}
	for range handsOver {
		if left := j.Molds[to].Left; left > 0 && pulls[to] >= left {
			return nil
		}
		if j.coatDue(to, pulls[to]) {
			out = append(out, act{Coat, []int{to}})
		}
		out = append(out, act{Pour, []int{to}}, act{Demold, []int{to}})
		pulls[to]++
		if parts += j.Molds[to].Cavities; parts >= j.Copies {
			return j.pruned(out)
		}
	}
	return nil
}

// coatDue reports whether a mold wants a coat before the pull after so many of
// this run.
func (j *Job) coatDue(i, pulls int) bool {
	m := j.Molds[i]
	since := m.Since + pulls
	if m.Full {
		since++
	}
	// The first coat falls due once, then each Every pulls after it.
	first := max(m.Every, m.Since+b2i(m.Full))
	return since >= first && (since-first)%m.Every == 0
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// withoutLast leaves out the last pour into a mold, its taking out, and a coat
// that was for it alone.
func withoutLast(list []act, mold int) []act {
	out := make([]act, 0, len(list)+3)
	dropped := map[Kind]bool{}
	poured := false
	for i := len(list) - 1; i >= 0; i-- {
		a := list[i]
		mine := slices.Contains(a.molds, mold)
		switch {
		case !mine, poured && dropped[Coat]:
		case a.kind == Demold && !dropped[Demold]:
			dropped[Demold] = true
			continue
		case a.kind == Pour && !poured:
			poured = true
			rest := slices.DeleteFunc(slices.Clone(a.molds), func(m int) bool { return m == mold })
			if len(rest) > 0 {
				out = append(out, act{Pour, rest})
			}
			continue
		case a.kind == Coat && !dropped[Coat]:
			dropped[Coat] = true
			continue
		default:
			dropped[Coat] = true // what came before is not for it
		}
		out = append(out, a)
	}
	slices.Reverse(out)
	return out
}

// pruned leaves out fillings that the copies do not need, and coats that no pour
// follows.
func (j *Job) pruned(list []act) []act {
	list = j.withoutExcess(list)
	coming := make([]bool, len(j.Molds))
	out := make([]act, 0, len(list)+3) // room for what is handed on
	for _, a := range slices.Backward(list) {
		if a.kind == Coat && !coming[a.molds[0]] {
			continue
		}
		for _, m := range a.molds {
			coming[m] = coming[m] || a.kind == Pour
		}
		out = append(out, a)
	}
	slices.Reverse(out)
	return out
}

func (j *Job) withoutExcess(list []act) []act {
	spare, pulls := -j.Copies, make([]int, len(j.Molds))
	for _, a := range list {
		if a.kind != Pour {
			continue
		}
		for _, m := range a.molds {
			spare += j.Molds[m].Cavities
			pulls[m]++
		}
	}
	for i, m := range j.Molds {
		for pulls[i] > 0 && m.Cavities <= spare {
			list = withoutLast(list, i)
			spare -= m.Cavities
			pulls[i]--
		}
	}
	return list
}
